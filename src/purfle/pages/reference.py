"""The reference of the showroom's templates, for an owner who writes their own: what each is handed, and every field of it.

Made from the types and the words under their fields, so it can't fall behind them.
Invariant: tells of types alone; no shop is read for it.
"""

import ast
import inspect
from collections.abc import Iterator
from types import ModuleType
from typing import Any

from purfle.pages.showroom import SEES
from purfle.pages.showroom_filters import filter_words
from purfle.views import markdown, pictures, public


def template_reference() -> str:
    """The reference as Markdown: the templates, the filters, then each type with its fields."""
    return "\n".join(["# Templates of the showroom", "", *_templates(), *_filters(), *_types()])


def _templates() -> Iterator[str]:
    yield "A file of the same name in `site_templates/showroom/` replaces the packaged one.\n"
    for template, names in SEES.items():
        handed = ", ".join(f"`{name}`: {_shown(kind)}" for name, kind in names.items()) or "nothing of its own"
        yield f"- `{template}` gets {handed}"
    yield ""


def _filters() -> Iterator[str]:
    yield "## Filters\n"
    for name, words in filter_words().items():
        yield f"- `{name}`: {words}"
    yield ""


def _types() -> Iterator[str]:
    for module in (public, markdown, pictures):
        for name, says, fields in _classes(module):
            yield f"## {name}\n\n{says}\n"
            yield from (f"- `{field}` ({kind}){': ' if words else ''}{words}" for field, kind, words in fields)
            yield ""


def _classes(module: ModuleType) -> Iterator[tuple[str, str, list[tuple[str, str, str]]]]:
    """Each class that a module gives to others: its name, what it is, and its fields and properties with type and words."""
    for node in ast.parse(inspect.getsource(module)).body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield node.name, ast.get_docstring(node) or "", list(_fields(node))


def _fields(node: ast.ClassDef) -> Iterator[tuple[str, str, str]]:
    for item, after in zip(node.body, [*node.body[1:], None], strict=True):
        if isinstance(item, ast.AnnAssign):
            words = after.value.value if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant) else ""
            yield ast.unparse(item.target), ast.unparse(item.annotation), " ".join(str(words).split())
        elif isinstance(item, ast.FunctionDef) and not item.name.startswith("_"):
            yield item.name, ast.unparse(item.returns) if item.returns else "", " ".join((ast.get_docstring(item) or "").split())


def _shown(kind: Any) -> str:
    return str(getattr(kind, "__name__", kind)) if not getattr(kind, "__args__", None) else f"{kind.__args__[0].__name__}, several"
