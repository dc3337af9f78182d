"""A mapping whose keys are the owner's own names: how it is read, how a name is looked up, and names that can't be meant.

Invariant: knows no name, and no particular key of the vocabulary.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Wrong
from purfle.notes.frontmatter.key_line import plain_word
from purfle.notes.frontmatter.tree import Mapping, Node, Scalar, name_of
from purfle.notes.vocabulary.fields import EXAMPLE, Kind, Reading, Told, keys_of, reads_as
from purfle.notes.vocabulary.kinds import unquoted


@dataclass(frozen=True, slots=True)
class Named:
    """One entry of a mapping whose keys are the user's own names."""

    name: str
    value: Any
    at: Place
    value_at: Place


def called(name: str | None, among: Iterable[Named]) -> Named | None:
    """The entry of that name, case and space no matter; None when there is none."""
    if name is None:
        return None
    wanted = folded(name)
    return next((entry for entry in among if folded(entry.name) == wanted), None)


def _no_name_within(kind: Kind, value: Node) -> None:
    """Tell of `{heron: 400, wren 200}` and `{lacquer: can, sandpaper}`: a name without its colon would else be of the value before it. Raises `Wrong`."""
    if not isinstance(value, Scalar) or not value.joined or not re.search(r"[^\W\d_]", rest := value.text.partition(",")[2].partition(",")[0].strip()):
        return
    if kind.part is not None and kind.part.LISTED:
        raise Wrong("text-expected", "several values stand here without brackets", f"write [{value.text}]")
    name, _, last = rest.rpartition(" ")
    plain = bool(name) and re.match(r"\d", last) is not None and reads_as(kind, last)
    mend = f"write {name}: {last}" if plain else f"write {rest}: and its value, or put quotes round all of it if it is one value"
    raise Wrong("key-glued", f"no colon stands after {name if plain else rest}", mend)


_NO_NAME = re.compile(r"(?P<before>(?:(?![+<>]\d)[-–—•*+/<>!?])*) *(?P<bare>.*?) *(?P<behind>[:=]*)")


def _name(key: Scalar, kind: Kind, what: str) -> str:
    """A name of the user's own. Raises `Wrong` for one that can't be meant: with a sign about it, or a key of the value it should stand before."""
    name = unquoted(key.text.strip())
    if kind.part is not None and plain_word(name) in keys_of(kind.part):
        mend = "begin it further in, below the name it belongs to, or give that another name"
        raise Wrong("key-misplaced", f"the key {name} stands where names of {what} are expected", mend)
    if (signs := _NO_NAME.fullmatch(name)) and signs["bare"] and (signs["before"] or signs["behind"]):
        raise Wrong("key-glued", f"{signs['before'] or signs['behind']} stands about the name {signs['bare']}", f"write {signs['bare']}:")
    return name


def named(kind: Kind, what: str) -> Kind:
    """A mapping from the user's own names (`what` says of what) to values of one kind; gives a tuple of `Named`."""

    def read(node: Node, reading: Reading) -> tuple[Named, ...]:
        if not isinstance(node, Mapping):
            raise Wrong(
                "mapping-expected",
                f"{name_of(node)} stands here; names with values are expected",
                f"write names of {what}, each with its value, such as {EXAMPLE}",
            )
        found = []
        for entry in node.entries:
            try:
                name = _name(entry.key, kind, what)
            except Wrong as wrong:
                reading.troubles.wrong(entry.key.at, wrong)
                continue
            try:
                _no_name_within(kind, entry.value)
                found.append(Named(name, kind.read(entry.value, reading), entry.key.at, entry.value.at))
            except Told:
                continue
            except Wrong as wrong:
                reading.troubles.wrong(entry.value.at, wrong)
        return tuple(found)

    return Kind(f"names of {what}, each with: {kind.says}", read, lambda: {"type": "object", "additionalProperties": kind.schema()}, kind.part)
