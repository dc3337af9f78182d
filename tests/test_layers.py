"""The layers go one way: an ordered, exhaustive list, counting imports inside functions and under TYPE_CHECKING."""

import ast
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[1] / "src" / "purfle"

# Each line may import the lines above it and itself; names on one line are siblings and know nothing of each other.
LAYERS: tuple[tuple[str, ...], ...] = (
    ("base",),
    ("notes",),
    ("events",),
    ("progress",),
    ("books", "bench", "show", "sheets"),
    ("views",),
    ("pages",),
    ("compile",),
    ("sites",),
    ("shell",),
)
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
NO_CODE = {"data", "site_templates"}
"""Folders of the package that hold files and no modules."""

MODULES = sorted(SOURCE.rglob("*.py"))


def layer_of(module: Path) -> str:
    return module.relative_to(SOURCE).parts[0].removesuffix(".py")


def imported(module: Path) -> Iterator[tuple[str, int]]:
    """The full names of purfle's own modules that a module imports anywhere in its text, with the line."""
    package = ("purfle", *module.relative_to(SOURCE).parts[:-1])
    for node in ast.walk(ast.parse(module.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            name = ".".join((*base, *([node.module] if node.module else [])))
            # `from purfle import books` names a layer in its second half.
            yield from ((f"{name}.{alias.name}" if name == "purfle" else name, node.lineno) for alias in node.names)


def layers_imported(module: Path) -> Iterator[tuple[str, int]]:
    for name, line in imported(module):
        steps = name.split(".")
        if steps[0] == "purfle" and len(steps) > 1 and steps[1] != "__version__":
            yield steps[1], line


def test_every_module_has_a_layer():
    found = {layer_of(m) for m in MODULES} - {"__init__"}
    assert found == set(RANK)
    assert {p.name for p in SOURCE.iterdir() if p.is_dir() and p.name != "__pycache__"} <= set(RANK) | NO_CODE


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(SOURCE)))
def test_imports_go_one_way(module):
    own = layer_of(module)
    rank = RANK.get(own, -1)  # the package's own __init__ imports nothing of purfle
    wrong = [f"line {line} imports {name}" for name, line in layers_imported(module) if name != own and RANK[name] >= rank]
    assert not wrong


def test_no_module_imports_itself_by_way_of_others():
    """Within a layer too, imports inside functions counted: `prepare` raises CycleError, which names the modules, for a ring of them."""
    names = {name_of(module): module for module in MODULES}
    TopologicalSorter({name: used(module, names) - {name} for name, module in names.items()}).prepare()


def name_of(module: Path) -> str:
    return ".".join(("purfle", *module.relative_to(SOURCE).with_suffix("").parts)).removesuffix(".__init__")


def used(module: Path, names: dict[str, Path]) -> set[str]:
    """The modules that a module imports: of `from purfle.shell import cli` the one of that name."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {whole if (whole := f"{node.module}.{alias.name}") in names else node.module for alias in node.names}
    return found & names.keys()


PURE_REFUSES = {
    "os",
    "sys",
    "time",
    "random",
    "socket",
    "subprocess",
    "threading",
    "tempfile",
    "shutil",
    "urllib.request",
    "http",
    "sqlite3",
    "secrets",
    "watchdog",
    "click",
}


@pytest.mark.parametrize("module", [m for m in MODULES if layer_of(m) not in ("shell", "__init__")], ids=lambda m: str(m.relative_to(SOURCE)))
def test_the_core_reaches_for_nothing(module):
    """No module of the core can reach the clock, the network, other processes or chance."""
    names = {name for name, _ in imported(module)}
    assert not {n for n in names if n in PURE_REFUSES or n.split(".")[0] in PURE_REFUSES}


@pytest.mark.parametrize("module", [m for m in MODULES if layer_of(m) not in ("shell", "__init__")], ids=lambda m: str(m.relative_to(SOURCE)))
def test_the_core_asks_no_clock_and_opens_no_file(module):
    calls = {ast.unparse(node.func) for node in ast.walk(ast.parse(module.read_text("utf-8"))) if isinstance(node, ast.Call)}
    assert not calls & {"date.today", "datetime.now", "datetime.today", "datetime.utcnow", "open", "input", "print", "eval", "exec", "uuid.uuid1", "uuid.uuid4"}


HEAVY = {"numpy", "ortools", "PIL", "pillow_heif", "babel", "icalendar", "xlsxwriter", "segno"}


@pytest.mark.parametrize("module", MODULES, ids=lambda m: str(m.relative_to(SOURCE)))
def test_heavy_libraries_are_imported_where_they_are_needed(module):
    """At module level only in modules that are themselves imported inside a function, or by another such module."""
    if heavy := _heavy(module):
        eager = [m for m in MODULES if name_of(module) in _imported_at_top(m) and not _heavy(m)]
        assert not eager, f"{name_of(module)} imports {heavy} and is imported at the top of {eager}"


def _heavy(module: Path) -> set[str]:
    return {name.split(".")[0] for name in _imported_at_top(module)} & HEAVY


def _imported_at_top(module: Path) -> set[str]:
    body = ast.parse(module.read_text("utf-8")).body
    return {node.module for node in body if isinstance(node, ast.ImportFrom) and node.module} | {
        a.name for node in body if isinstance(node, ast.Import) for a in node.names
    }


@pytest.mark.parametrize("module", [m for m in MODULES if "CpSolver()" in m.read_text("utf-8")], ids=lambda m: str(m.relative_to(SOURCE)))
def test_the_solver_leaves_ctrl_c_alone(module):
    """OR-tools' sat_parameters.proto, `catch_sigint_signal`: on unless said otherwise, and it leaves the default handler behind."""
    assert "catch_sigint_signal = False" in module.read_text("utf-8")
