"""Frontmatter as a tree of located text.

YAML's own typing is left out on purpose (`1:30` would be 90, `no` False, `0123` 83): every scalar stays the text
that was written, with its line and column, and the vocabulary types it. Anchors, aliases and tags are refused, so
nothing can expand, loop or run. Events come from libyaml by PyYAML; the builder is here because node trees cost
more and lose nothing we keep.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Any, NoReturn

import frontmatter
import yaml
from frontmatter.default_handlers import YAMLHandler
from yaml.reader import Reader, ReaderError

from purfle.base.place import Lookup, Place
from purfle.base.trouble import Troubles, braced
from purfle.notes.frontmatter.key_line import NO_SPACE
from purfle.notes.frontmatter.slips import slip_in
from purfle.notes.frontmatter.text import unturned

_MOST_DEPTH = 20
_MOST_NODES = 40_000


@dataclass(frozen=True, slots=True)
class Scalar:
    """A piece of text with its place."""

    text: str
    at: Place
    quoted: bool = False
    """Whether it stood in quotes or a block, so that an empty one is meant."""
    joined: bool = False
    """Whether it was put together again of what a comma within braces parted; a key without its colon may be in it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One key and its value."""

    key: Scalar
    value: "Node"


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys and values in the order written; a key twice is told and the first one kept."""

    entries: tuple[Entry, ...]
    at: Place


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list in the order written."""

    items: tuple["Node", ...]
    at: Place


Node = Scalar | Mapping | Sequence


def is_empty(node: Node) -> bool:
    """Whether a node says nothing: an unquoted empty value, `~` or `null`."""
    return isinstance(node, Scalar) and not node.quoted and node.text.strip() in ("", "~", "null")


def is_blank(node: Node) -> bool:
    """Whether a node is a text without a letter, in quotes or not."""
    return isinstance(node, Scalar) and not node.text.strip()


def name_of(node: Node) -> str:
    """What a node is, in words for a trouble."""
    return {Scalar: "a plain value", Mapping: "a mapping", Sequence: "a list"}[type(node)]


def on_one_line(node: Node) -> str:
    """A node as it would be typed on one line."""
    if isinstance(node, Scalar):
        return f'"{node.text}"' if node.quoted and '"' not in node.text else node.text
    if isinstance(node, Sequence):
        return f"[{', '.join(map(on_one_line, node.items))}]"
    return f"{{{', '.join(f'{entry.key.text.strip()}: {on_one_line(entry.value)}' for entry in node.entries)}}}"


TREE = "tree"
"""The one key python-frontmatter hands back: our handler puts the whole tree under it."""


class _Refused(Exception):
    """The YAML is well formed but holds something notes may not; the trouble is already noted."""


class LocatedYAML(YAMLHandler):
    """python-frontmatter's YAML handler, loading located text instead of typed values."""

    def __init__(self, builder: "_Builder") -> None:
        super().__init__()
        self._builder = builder

    def load(self, fm: str, **_: object) -> dict[str, Node | None]:
        """The tree under the key `tree`, or None there when the YAML can't be used (troubles say why)."""
        return {TREE: self._builder.build(fm)}


def compose(block: str, file: str, troubles: Troubles, known: Collection[str] = (), inner: Collection[str] = ()) -> Node | None:
    """The tree of a fenced block that starts on line 1 of `file`; None when it is empty or unusable. Words of keys, `inner` ones too, help to tell why."""
    metadata, _ = frontmatter.parse(block, handler=LocatedYAML(_Builder(Place(file, 1), troubles, known, inner)))
    tree = metadata.get(TREE)
    return tree if isinstance(tree, (Scalar, Mapping, Sequence)) else None


def compose_bare(text: str, start: Place, troubles: Troubles, known: Collection[str] = (), inner: Collection[str] = ()) -> Node | None:
    """The tree of YAML without fences whose first line is that of `start`."""
    return _Builder(start, troubles, known, inner).build(text)


class _Builder:
    """Builds one tree from libyaml's events."""

    def __init__(self, start: Place, troubles: Troubles, known: Collection[str], inner: Collection[str]) -> None:
        self.start, self.troubles, self.known, self.inner = start, troubles, known, inner
        self.nodes = 0
        self.text = ""

    def build(self, text: str) -> Node | None:
        """The tree of a text; None when it is empty or a trouble says why it can't be used."""
        self.text = text
        loader = yaml.CBaseLoader(text)
        self.next: Callable[[], Any] = loader.get_event
        try:
            return self._document()
        except _Refused:
            return None
        except yaml.YAMLError as error:
            self._broken(error)
            return None
        finally:
            loader.dispose()

    def _document(self) -> Node | None:
        self.next()  # the stream's start
        if type(self.next()) is not yaml.DocumentStartEvent:
            return None
        tree = self._node(self.next(), 0)
        self.next()  # the document's end
        if type(after := self.next()) is yaml.DocumentStartEvent:
            self._refuse(
                after, "yaml-broken", "the frontmatter holds a second YAML document", "take this line out, so that all keys stand between two lines of ---"
            )
        if type(tree) is Scalar and not tree.quoted and self.known:
            self._slipped(self.text.count("\n"), 0, "no key with its colon stands in it")
            raise _Refused
        return tree

    def _node(self, event: Any, depth: int) -> Node:
        self.nodes += 1
        kind = type(event)
        if kind is yaml.AliasEvent or event.anchor is not None:
            self._refuse(
                event,
                "yaml-anchor",
                "an anchor (&) or alias (*) stands here; notes have none",
                "write the value out, or put quotes round it if it only begins with & or *",
            )
        if event.tag is not None and event.tag != "!":
            self._refuse(event, "yaml-tag", f"a tag ({event.tag}) stands here; notes have none", "take the tag out, or put quotes round the text")
        if depth > _MOST_DEPTH or self.nodes > _MOST_NODES:
            self._refuse(event, "yaml-too-deep", "the frontmatter is nested too deep or is too long", "write flat lists of mappings, as the reference shows")
        mark = event.start_mark
        at = self.start.down(mark.line, mark.column + 1)  # not by `_at`: a large shop has half a million nodes
        if kind is yaml.ScalarEvent:
            return Scalar(unturned(event.value), at, not event.implicit[0])  # an escape in quotes may make what the text has not
        if kind is yaml.SequenceStartEvent:
            return Sequence(tuple(self._items(depth)), at)
        return Mapping(tuple(self._entries(depth)), at)

    def _items(self, depth: int) -> Iterator[Node]:
        while type(event := self.next()) is not yaml.SequenceEndEvent:
            yield self._node(event, depth + 1)

    def _entries(self, depth: int) -> list[Entry]:
        entries: list[Entry] = []
        seen: dict[str, Scalar] = {}
        value_start, of_two_stages = 0, False
        while type(event := self.next()) is not yaml.MappingEndEvent:
            key = self._node(event, depth + 1)
            value_event = self.next()
            value = self._node(value_event, depth + 1)
            if type(key) is not Scalar:
                self.troubles.add(key.at, "yaml-broken", "a key is a list or a mapping", "write a word as the key")
            elif entries and self._goes_on(event, key, value):
                entries[-1] = self._joined(entries[-1], value_start, event.end_mark.index)
            elif (name := key.text.strip().casefold()) in seen and name.startswith(("-{", "-[")):  # told of the first line by who reads the keys
                rest = value.text if type(value) is Scalar else ""
                self.troubles.add(key.at, "key-glued", NO_SPACE, f"write - {key.text.strip()[1:]}: {rest}".rstrip())
            elif name in seen:
                if not of_two_stages:  # what follows a second stage is its own
                    found = f"{key.text} stands twice in one mapping; the first is on line {seen[name].at.line}"
                    self.troubles.add(key.at, "key-twice", found, self._both(name, entries, value))
                of_two_stages |= name == "stage"
            else:
                seen[name] = key
                entries.append(Entry(key, value))
                value_start = value_event.start_mark.index
        return entries

    def _both(self, name: str, entries: list[Entry], value: Node) -> str:
        """How to write what two keys of one name say."""
        first = next((entry.value for entry in entries if entry.key.text.strip().casefold() == name), None)
        if name == "stage" and "bench" in self.known and type(first) is Scalar and type(value) is Scalar:
            return f"write bench: [{{stage: {braced(first.text)}}}, {{stage: {braced(value.text)}}}], each with its own hours, in place of both"
        return "keep one of the two, or write both in one list if the key may hold several"

    def _goes_on(self, event: Any, key: Scalar, value: Node) -> bool:
        """Whether a "key" is the rest of the value before it: in `{price: 39,80}` YAML sees a key 80 without a colon."""
        if type(value) is not Scalar or value.text or value.quoted or key.quoted or re.match(r"\w+:\S", key.text):
            return False
        return not self.text[event.end_mark.index :].lstrip().startswith(":")

    def _joined(self, entry: Entry, start: int, end: int) -> Entry:
        if not isinstance(entry.value, Scalar) or entry.value.quoted:
            return entry
        return Entry(entry.key, Scalar(self.text[start:end].strip(), entry.value.at, joined=True))

    def _at(self, mark: Any) -> Place:
        return self.start.down(mark.line, mark.column + 1)

    def _refuse(self, event: Any, code: str, found: str, mend: str) -> NoReturn:
        self.troubles.add(self._at(event.start_mark), code, found, mend)
        raise _Refused

    def _broken(self, error: yaml.YAMLError) -> None:
        if isinstance(error, ReaderError) and (refused := Reader.NON_PRINTABLE.search(self.text)):
            found = f"a character that no frontmatter may hold, U+{ord(refused[0]):04X}, stands here"
            self.troubles.add(Lookup(self.text).place(refused.start(), self.start), "yaml-broken", found, "delete it, or type these words anew")
            return
        mark = getattr(error, "problem_mark", None)
        line, column = (mark.line, mark.column) if mark else (0, 0)
        self._slipped(line, column, getattr(error, "problem", None) or "not YAML")

    def _slipped(self, line: int, column: int, problem: str) -> None:
        slip = slip_in(self.text.split("\n"), line, column, problem, self.known, self.inner)
        self.troubles.add(self.start.down(slip.line, slip.column + 1), slip.code, slip.found, slip.mend)
