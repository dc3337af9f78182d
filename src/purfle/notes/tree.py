"""Frontmatter as a tree of located text.

YAML's own typing is left out on purpose (`1:30` would be 90, `no` False, `0123` 83): every scalar stays the text
that was written, with its line and column, and the vocabulary types it. Anchors, aliases and tags are refused, so
nothing can expand, loop or run. Events come from libyaml by PyYAML; the builder is here because node trees cost
more and lose nothing we keep.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import frontmatter
import yaml
from frontmatter.default_handlers import YAMLHandler

from purfle.base.place import Place
from purfle.base.trouble import Troubles

_MOST_DEPTH = 20
_MOST_NODES = 200_000


@dataclass(frozen=True, slots=True)
class Scalar:
    """A piece of text with its place."""

    text: str
    at: Place
    quoted: bool = False
    """Whether it stood in quotes or a block, so that an empty one is meant."""


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
TREE = "tree"
"""The one key python-frontmatter hands back: our handler puts the whole tree under it."""


class _Refused(Exception):
    """The YAML is well formed but holds something notes may not; the trouble is already noted."""


class LocatedYAML(YAMLHandler):
    """python-frontmatter's YAML handler, loading located text instead of typed values."""

    def __init__(self, file: str, first_line: int, troubles: Troubles) -> None:
        super().__init__()
        self._builder = _Builder(file, first_line, troubles)

    def load(self, fm: str, **_: object) -> dict[str, Node | None]:
        """The tree under the key `tree`, or None there when the YAML can't be used (troubles say why)."""
        return {TREE: self._builder.build(fm)}


def compose(block: str, file: str, troubles: Troubles) -> Node | None:
    """The tree of a fenced block that starts on line 1 of `file`; None when it is empty or unusable."""
    metadata, _ = frontmatter.parse(block, handler=LocatedYAML(file, 1, troubles))
    tree = metadata.get(TREE)
    return tree if isinstance(tree, (Scalar, Mapping, Sequence)) else None


def compose_bare(text: str, file: str, first_line: int, troubles: Troubles) -> Node | None:
    """The tree of YAML without fences whose first line is line `first_line` of `file`."""
    return _Builder(file, first_line, troubles).build(text)


class _Builder:
    """Builds one tree from libyaml's events."""

    def __init__(self, file: str, first_line: int, troubles: Troubles) -> None:
        self.file, self.first_line, self.troubles = file, first_line, troubles
        self.nodes = 0
        self.text = ""

    def build(self, text: str) -> Node | None:
        self.text = text
        try:
            events = self._events(text)
            first = next(events, None)
            return None if first is None else self._node(first, events, 0)
        except _Refused:
            return None
        except yaml.YAMLError as error:
            self._broken(error, text)
            return None

    def _events(self, text: str) -> Iterator[yaml.Event]:
        loader = yaml.CBaseLoader(text)
        documents = 0
        try:
            while loader.check_event():
                event = loader.get_event()
                if isinstance(event, yaml.DocumentStartEvent):
                    documents += 1
                    if documents > 1:
                        self._refuse(event, "yaml-broken", "the frontmatter holds a second YAML document", "keep one block of keys between the fences")
                elif isinstance(event, yaml.NodeEvent | yaml.CollectionEndEvent):
                    yield event
        finally:
            loader.dispose()

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Node:
        self.nodes += 1
        at = self._place(event)
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None) is not None:
            self._refuse(event, "yaml-anchor", "an anchor (&) or alias (*) stands here; notes have none", "write the value out, or put quotes round it if it only begins with & or *")
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            self._refuse(event, "yaml-tag", f"a tag ({tag}) stands here; notes have none", "take the tag out, or put quotes round the text")
        if depth > _MOST_DEPTH or self.nodes > _MOST_NODES:
            self._refuse(event, "yaml-too-deep", "the frontmatter is nested too deep or is too long", "write flat lists of mappings, as the reference shows")
        if isinstance(event, yaml.ScalarEvent):
            return Scalar(event.value, at, quoted=not event.implicit[0])
        if isinstance(event, yaml.SequenceStartEvent):
            return Sequence(tuple(self._items(events, depth)), at)
        return Mapping(tuple(self._entries(events, depth)), at)

    def _items(self, events: Iterator[yaml.Event], depth: int) -> Iterator[Node]:
        while not isinstance(event := next(events), yaml.SequenceEndEvent):
            yield self._node(event, events, depth + 1)

    def _entries(self, events: Iterator[yaml.Event], depth: int) -> list[Entry]:
        entries: list[Entry] = []
        seen: dict[str, Scalar] = {}
        value_start = 0
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            key = self._node(event, events, depth + 1)
            value_event = next(events)
            value = self._node(value_event, events, depth + 1)
            if not isinstance(key, Scalar):
                self.troubles.add(key.at, "yaml-broken", "a key is a list or a mapping", "write a word as the key")
            elif entries and self._goes_on(event, key, value):
                entries[-1] = self._joined(entries[-1], value_start, _end(event))
            elif (name := key.text.strip().casefold()) in seen:
                self.troubles.add(key.at, "key-twice", f"{key.text} stands twice in one mapping; the first is on line {seen[name].at.line}", "keep one of the two, or make a list of both")
            else:
                seen[name] = key
                entries.append(Entry(key, value))
                value_start = _start(value_event)
        return entries

    def _goes_on(self, event: yaml.Event, key: Scalar, value: Node) -> bool:
        """Whether a "key" is the rest of the value before it: in `{price: 39,80}` YAML sees a key 80 without a colon."""
        if key.quoted or not isinstance(value, Scalar) or value.text or value.quoted or re.match(r"\w+:\S", key.text):
            return False
        return not self.text[_end(event) :].lstrip().startswith(":")

    def _joined(self, entry: Entry, start: int, end: int) -> Entry:
        if not isinstance(entry.value, Scalar) or entry.value.quoted:
            return entry
        return Entry(entry.key, Scalar(self.text[start:end].strip(), entry.value.at))

    def _place(self, event: yaml.Event) -> Place:
        mark: Any = event.start_mark
        return Place(self.file, mark.line + self.first_line, mark.column + 1)

    def _refuse(self, event: yaml.Event, code: str, found: str, mend: str) -> None:
        at = self._place(event)
        self.troubles.add(at, code, found, mend)
        raise _Refused

    def _broken(self, error: yaml.YAMLError, text: str) -> None:
        mark = getattr(error, "problem_mark", None)
        line, column = (mark.line, mark.column) if mark else (0, 0)
        lines = text.split("\n")
        line = min(line, max(len(lines) - 1, 0))
        # libyaml stops where it lost the thread; the slip is often the colon earlier on that line or the one above.
        found, mend, at_line, at_column = _slip(lines, line, column, getattr(error, "problem", None) or "not YAML")
        self.troubles.add(Place(self.file, at_line + self.first_line, at_column + 1), "yaml-broken", found, mend)


def _start(event: yaml.Event) -> int:
    mark: Any = event.start_mark  # libyaml always gives marks; the stubs allow for parsers that do not
    return int(mark.index)


def _end(event: yaml.Event) -> int:
    mark: Any = event.end_mark
    return int(mark.index)


_COLON_IN_TEXT = re.compile(r"^(\s*(?:- )?[A-Za-z_]+: )([^\"'\[{|>].*?:(?:\s.*)?)$")


def _slip(lines: list[str], line: int, column: int, problem: str) -> tuple[str, str, int, int]:
    """Cause, mend, line and column of a YAML fault, as near to the slip as can be told."""
    here = lines[line] if line < len(lines) else ""
    if "\t" in here[: len(here) - len(here.lstrip())]:
        return "the line is indented with a tab", "indent with spaces", line, 0
    if colon := _COLON_IN_TEXT.match(here):
        return "a second colon in the value makes it unreadable", f"put the value in quotes: {colon[1].strip()} \"{colon[2]}\"", line, len(colon[1])
    if here.lstrip()[:1] in "@`%" and here.strip():
        return f"a value begins with {here.lstrip()[0]}", "put the value in quotes", line, column
    return f"the frontmatter is not readable here ({problem})", "check the quotes, brackets and indentation of this line and the one above", line, column
