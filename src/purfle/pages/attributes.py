"""What templates ask of the view, checked against its types before anything is rendered.

A strict environment raises only for what is reached; a misspelt field in a branch that today's notes do not reach would
wait for the day they do. So every name and attribute in a template is looked up in the types of what the template is
handed. What the types do not tell (a macro's arguments, a filter's result) is left to the rendering.
Invariant: renders nothing and sees no value, only types.
"""

import dataclasses
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from jinja2 import Environment, TemplateSyntaxError, nodes
from jinja2.defaults import DEFAULT_NAMESPACE

from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Trouble, listed

UNKNOWN = object()
"""The type of what can't be told; anything may be asked of it."""
Sees = Mapping[str, Mapping[str, Any]]
"""Template → name → type of what it is handed."""
_ALWAYS = {*DEFAULT_NAMESPACE, "loop", "self", "super", "caller", "varargs", "kwargs", "true", "false", "none"}


def first_fault(site: str, texts: Mapping[str, bytes], sees: Sees) -> Trouble | None:
    """The first name or attribute that no view has, in the order of the templates' names; None when all are right.

    Templates that `sees` does not name are pieces of the owner's own and are not checked.
    """
    for name in sorted(set(texts) & set(sees)):
        for fault in _faults(texts[name], sees[name]):
            at = Place(f"site_templates/{site}/{name}", fault.line)
            return Trouble(at, f"{site}-template-fault", fault.found, fault.mend)
    return None


def fault_of_page(site: str, name: str, texts: Mapping[str, bytes], values: Mapping[str, object]) -> Trouble | None:
    """The same for one page and the template of its frame, by the types of the very values it is handed."""
    handed = tuple((value, _kind_of(values[value])) for value in sorted(values))
    frame = tuple(pair for pair in handed if pair[0] == "frame")
    return _fault_of_page(site, name, texts.get(name, b""), handed) or _fault_of_page(site, "_base.html", texts.get("_base.html", b""), frame)


@lru_cache(maxsize=256)
def _fault_of_page(site: str, name: str, text: bytes, handed: tuple[tuple[str, Any], ...]) -> Trouble | None:
    return first_fault(site, {name: text}, {name: dict(handed)})


def _kind_of(value: object) -> Any:
    if isinstance(value, tuple):
        return tuple[type(value[0]), ...] if value else UNKNOWN  # type: ignore[misc]  # a tuple here is of one type
    return UNKNOWN if value is None else type(value)


@dataclass(frozen=True, slots=True)
class _Fault:
    line: int
    found: str
    mend: str


def _faults(text: bytes, handed: Mapping[str, Any]) -> Iterator[_Fault]:
    try:
        tree = Environment(autoescape=True).parse(text.decode("utf-8"))
        yield from _Reader().body(tree.body, dict(handed))
    except (TemplateSyntaxError, ValueError, RecursionError):  # no UTF-8, a number of thousands of figures, brackets in brackets
        return  # told when the template is loaded, by whoever renders it


class _Reader:
    """Walks one template with the types of the names in scope."""

    def __init__(self) -> None:
        self.found: list[_Fault] = []

    def body(self, body: list[nodes.Node], scope: dict[str, Any]) -> list[_Fault]:
        for node in body:
            self._node(node, scope)
        return self.found

    def _node(self, node: nodes.Node, scope: dict[str, Any]) -> None:
        if isinstance(node, nodes.For):
            self._loop(node, scope)
        elif isinstance(node, nodes.Macro):
            scope[node.name] = UNKNOWN  # inside it too: a macro may call itself
            inner = {**scope, **dict.fromkeys((arg.name for arg in node.args), UNKNOWN)}
            self.body(node.body, inner)
        elif isinstance(node, nodes.Block):
            self.body(node.body, dict(scope))
        elif isinstance(node, nodes.Assign):
            self._bind(node.target, self._type(node.node, scope), scope)
        elif isinstance(node, nodes.Import):
            scope[node.target] = UNKNOWN
        elif isinstance(node, nodes.FromImport):
            scope.update({name if isinstance(name, str) else name[1]: UNKNOWN for name in node.names})
        elif isinstance(node, nodes.With | nodes.AssignBlock | nodes.CallBlock | nodes.FilterBlock):
            self._opaque(node, scope)
        elif isinstance(node, nodes.Expr):
            self._type(node, scope)
        else:
            for child in node.iter_child_nodes():
                self._node(child, scope)

    def _loop(self, node: nodes.For, scope: dict[str, Any]) -> None:
        inner = dict(scope)
        self._bind(node.target, _member(self._type(node.iter, scope)), inner)
        if node.test is not None:
            self._type(node.test, inner)
        self.body(node.body, inner)
        self.body(node.else_, dict(scope))

    def _opaque(self, node: nodes.Node, scope: dict[str, Any]) -> None:
        """A statement whose own names are not followed: they are taken as known, what is inside is still read."""
        inner = {**scope, **{name.name: UNKNOWN for name in node.find_all(nodes.Name) if name.ctx in ("store", "param")}}
        for child in node.iter_child_nodes():
            self._node(child, inner)
        scope.update(dict.fromkeys(inner.keys() - scope.keys(), UNKNOWN))

    def _bind(self, target: nodes.Node, kind: Any, scope: dict[str, Any]) -> None:
        if isinstance(target, nodes.Name):
            scope[target.name] = kind
        for name in target.find_all(nodes.Name):
            scope.setdefault(name.name, UNKNOWN)
            if name is not target and isinstance(target, nodes.Tuple):
                scope[name.name] = UNKNOWN

    # --- types of expressions -----------------------------------------------------------------------------------------

    def _type(self, node: nodes.Node, scope: dict[str, Any]) -> Any:
        if isinstance(node, nodes.Name):
            return self._name(node, scope)
        if isinstance(node, nodes.Getattr):
            return self._attribute(node, self._type(node.node, scope))
        if isinstance(node, nodes.Getitem):
            return self._item(node, scope)
        for child in node.iter_child_nodes():
            self._type(child, scope)
        return UNKNOWN

    def _name(self, node: nodes.Name, scope: dict[str, Any]) -> Any:
        if node.ctx == "load" and node.name not in scope and node.name not in _ALWAYS:
            self._tell(node.lineno, f"there is no {node.name} here", node.name, [name for name in scope if scope[name] is not UNKNOWN])
        return scope.get(node.name, UNKNOWN)

    def _item(self, node: nodes.Getitem, scope: dict[str, Any]) -> Any:
        whole = self._type(node.node, scope)
        self._type(node.arg, scope)
        return whole if isinstance(node.arg, nodes.Slice) else _member(whole)

    def _attribute(self, node: nodes.Getattr, owner: Any) -> Any:
        if owner is UNKNOWN:
            return UNKNOWN
        if isinstance(owner, type) and dataclasses.is_dataclass(owner):
            known = _fields(owner)
            if node.attr not in known:
                self._tell(node.lineno, f"{owner.__name__} has no {node.attr}", node.attr, list(known))
            return known.get(node.attr, UNKNOWN)
        if isinstance(owner, type) and not hasattr(owner, node.attr):
            self._tell(node.lineno, f"{owner.__name__} has no {node.attr}", node.attr, [])
        return UNKNOWN

    def _tell(self, line: int, found: str, name: str, known: list[str]) -> None:
        near = nearest(name, known, 0.6)
        mend = (
            f"write {near}"
            if near
            else f"use one of {listed(known, 30)}"
            if known
            else "take it out, or take the file away so that the packaged template is used"
        )
        self.found.append(_Fault(line, found, mend))


def _member(kind: Any) -> Any:
    """The type of what a tuple of one type holds."""
    arguments = get_args(kind) if get_origin(kind) is tuple else ()
    return _plain(arguments[0]) if len(arguments) == 2 and arguments[1] is Ellipsis else UNKNOWN


def _plain(kind: Any) -> Any:
    """A type without None."""
    if get_origin(kind) in (Union, types.UnionType):
        left = [part for part in get_args(kind) if part is not type(None)]
        return left[0] if len(left) == 1 else UNKNOWN
    return kind


@cache
def _fields(kind: type) -> dict[str, Any]:
    """The fields, properties and methods of a view type, with their types where they can be told."""
    found = {name: _plain(hint) for name, hint in get_type_hints(kind).items()}
    for name in dir(kind):
        if not name.startswith("_") and name not in found:
            member = getattr(kind, name)
            returns = get_type_hints(member.fget).get("return", UNKNOWN) if isinstance(member, property) and member.fget else UNKNOWN
            found[name] = _plain(returns)
    return found
