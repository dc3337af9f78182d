"""Mutation testing: changes one thing in a module at a time and sees whether the tests notice; prints what survived.

    python tools/mutate.py MODULE MOST SEED TEST...      such as  tools/mutate.py src/purfle/books/stock.py 40 1 tests/test_books_*.py

A mutant is one comparison turned, one operator changed, one constant moved, one condition negated, one `return` emptied or one statement dropped. The
tests run against a copy of the sources; a mutant that takes four times as long as the sound module counts as noticed.
"""

import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

_TURNED = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_CHANGED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And}


def mutants(tree: ast.Module) -> Iterator[tuple[str, ast.Module]]:
    """Every mutant with a word on what was changed where."""
    for number, node in enumerate(ast.walk(tree)):
        for what, change in _changes(node):
            other = copy.deepcopy(tree)
            twin = next(n for i, n in enumerate(ast.walk(other)) if i == number)
            change(twin)
            yield f"line {getattr(node, 'lineno', '?')}: {what}", ast.fix_missing_locations(other)


def _changes(node: ast.AST) -> Iterator[tuple[str, Callable[[Any], object]]]:
    """What can be changed in a node: a word on it, and what does it to a copy of the node."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _TURNED:
        yield f"{type(node.ops[0]).__name__} turned in {ast.unparse(node)[:60]}", lambda n: n.ops.__setitem__(0, _TURNED[type(n.ops[0])]())
    if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in _CHANGED:
        yield f"{type(node.op).__name__} changed in {ast.unparse(node)[:60]}", lambda n: setattr(n, "op", _CHANGED[type(n.op)]())
    if isinstance(node, ast.Constant) and type(node.value) in (int, bool):
        yield f"{node.value!r} moved", lambda n: setattr(n, "value", not n.value if isinstance(n.value, bool) else n.value + 1)
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        yield f"negated: {ast.unparse(node.test)[:60]}", lambda n: setattr(n, "test", ast.UnaryOp(ast.Not(), n.test))
    if isinstance(node, ast.Return) and node.value is not None:
        yield f"returns None: {ast.unparse(node)[:60]}", lambda n: setattr(n, "value", ast.Constant(None))
    if (isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)) or isinstance(node, ast.AugAssign):
        yield f"dropped: {ast.unparse(node)[:60]}", _drop


def _drop(node: Any) -> None:
    """Make a statement one that does nothing, where it stands."""
    node.__dict__.update(ast.Pass().__dict__)
    node.__class__ = ast.Pass


class Trial:
    """A copy of the project in which one module is put in place of another and the tests are run."""

    def __init__(self, folder: Path, module: Path, tests: list[str]) -> None:
        """Copy the project; nothing is run yet."""
        for part in ("src", "site_templates", "tests", "builds", "journal", "photos"):
            shutil.copytree(part, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        for part in ("shop.md", "pyproject.toml", "Makefile", "README.md", "DEVELOPERS.md"):
            shutil.copy(part, folder / part)
        self.folder, self.module = folder, folder / module
        self.words = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests]

    def passes(self, patience: float | None = None) -> bool:
        """Whether the tests pass, within so many seconds."""
        more = {**os.environ, "PYTHONPATH": str(self.folder / "src"), "PYTHONDONTWRITEBYTECODE": "1"}
        try:
            return subprocess.run(self.words, cwd=self.folder, env=more, capture_output=True, timeout=patience).returncode == 0
        except subprocess.TimeoutExpired:
            return False

    def survives(self, mutant: ast.Module, patience: float) -> bool:
        """Whether the tests pass with a mutant in the module's place."""
        self.module.write_text(ast.unparse(mutant), "utf-8")
        return self.passes(patience)


def main() -> int:
    """Run a sample of a module's mutants."""
    module, most, seed, tests = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4:]
    every = list(mutants(ast.parse(module.read_text("utf-8"))))
    chosen, survived = random.Random(seed).sample(every, min(most, len(every))), 0
    with tempfile.TemporaryDirectory() as name:
        trial, began = Trial(Path(name), module, tests), time.monotonic()
        if not trial.passes():
            print("the tests fail on the sound module")
            return 2
        patience = 4 * (time.monotonic() - began) + 5
        for what, mutant in chosen:
            if trial.survives(mutant, patience):
                survived += 1
                print(f"{module}: survived  {what}", flush=True)
    print(f"{module}: {len(chosen)} of {len(every)} mutants, {len(chosen) - survived} noticed, {survived} survived", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
