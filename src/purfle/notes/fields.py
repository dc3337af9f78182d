"""How one key of the frontmatter is declared, and how a mapping is read by its declaration.

A record is a frozen dataclass whose fields are made with `key(...)`: that one declaration gives the reader, the
check, the near-name suggestion, the reference page, the JSON Schema and an example that a test reads back.
Kinds are plain values holding a function; there is no registry and no inheritance beyond `Record`.
Invariant: knows no particular key of the vocabulary; those are in `purfle.notes.records`.
"""

import dataclasses
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeVar

from purfle.base import quantities
from purfle.base.quantities import Estimate
from purfle.base.place import NOWHERE, Place
from purfle.base.trouble import Troubles, Wrong, listed, nearest
from purfle.notes.tree import Entry, Mapping, Node, Scalar, Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A mapping that was read: its values are the subclass's fields; these two say where it stood."""

    at: Place = NOWHERE
    """Where the mapping begins."""
    marks: tuple[tuple[str, Place], ...] = dataclasses.field(default=(), repr=False)
    """Where each value that was written stands, by field name."""

    def where(self, name: str) -> Place:
        """The place of one value, or of the whole mapping when that key was not written."""
        for field, place in self.marks:  # not a generator: events ask this of every line
            if field == name:
                return place
        return self.at

    def wrote(self, name: str) -> bool:
        """Whether the key was written at all, whatever became of its value."""
        return any(field == name for field, _ in self.marks)


R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class Kind:
    """What a value may be: a reader of nodes, words for a person and a JSON Schema for programs."""

    says: str
    """What to write, in words, for the reference and for mends."""
    read: Callable[[Node, "Reading"], Any]
    """Gives the value; raises `Wrong`, or notes troubles of parts itself and leaves those out."""
    schema: Callable[[], dict[str, Any]]
    """The JSON Schema of the value as YAML types it."""
    part: type[Record] | None = None
    """The record inside, when the value is a mapping or a list of them."""


@dataclass(frozen=True, slots=True)
class Key:
    """The declaration of one key."""

    kind: Kind
    doc: str
    """One sentence for the reference."""
    example: str
    """A value as it would be typed; a test reads it."""
    required: bool = False
    word: str | None = None
    """The word in the notes when it is not the field's name (`from`, `for`, `with` are Python's)."""


class Told(Exception):
    """A value is left out, and why has been told already."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a reader may need beside the node."""

    troubles: Troubles
    elsewhere: frozenset[str] = frozenset()
    """Words that are keys somewhere in the vocabulary, to tell a key in the wrong place from one that is not known."""


def key(kind: Kind, doc: str, example: str, *, default: Any = None, required: bool = False, word: str | None = None) -> Any:
    """Declare a field of a record."""
    meta = {"key": Key(kind, doc, example, required, word)}
    return dataclasses.field(default=default, metadata=meta, kw_only=True)


_KEYS: dict[type[Record], dict[str, tuple[str, Key]]] = {}  # of the code, not of the notes: worked out once
_REQUIRED: dict[type[Record], tuple[tuple[str, str, Key], ...]] = {}


def keys_of(record: type[Record]) -> dict[str, tuple[str, Key]]:
    """Word in the notes → (field name, declaration), in the order declared."""
    if record not in _KEYS:
        declared = ((field.name, field.metadata["key"]) for field in dataclasses.fields(record) if "key" in field.metadata)
        _KEYS[record] = {meta.word or name: (name, meta) for name, meta in declared}
    return _KEYS[record]


def _required(record: type[Record]) -> tuple[tuple[str, str, Key], ...]:
    """Word, field and declaration of the keys that must be written."""
    if record not in _REQUIRED:
        _REQUIRED[record] = tuple((word, name, declared) for word, (name, declared) in keys_of(record).items() if declared.required)
    return _REQUIRED[record]


# --- reading a mapping -----------------------------------------------------------------------------------------------


def read_record(record: type[R], node: Node, reading: Reading) -> R:
    """The record that a mapping holds. Keys that can't be read are told and keep their default.

    A record with a `SHORT` class attribute may also be written as that one key's value alone.
    """
    short = getattr(record, "SHORT", None)
    if not isinstance(node, Mapping):
        if short is None or not isinstance(node, Scalar):
            raise Wrong("mapping-expected", f"{_name_of(node)} stands here; a mapping of keys is expected", f"write keys such as {_sample(record)}")
        node = Mapping((Entry(Scalar(short, node.at), node),), node.at)
    values, marks = _values(record, node, reading)
    for word, name, declared in _required(record):
        if name not in marks:
            reading.troubles.add(node.at, "key-missing", f"{word} is missing", f"add {word}: {declared.example}")
    return record(at=node.at, marks=tuple(marks.items()), **values)


def _values(record: type[Record], node: Mapping, reading: Reading) -> tuple[dict[str, Any], dict[str, Place]]:
    known = keys_of(record)
    values: dict[str, Any] = {}
    marks: dict[str, Place] = {}
    for entry in node.entries:
        word = plain_word(entry.key.text)
        if word not in known:
            _unknown(entry, record, reading)
            continue
        name, declared = known[word]
        marks[name] = entry.value.at
        if _is_empty(entry.value):
            # An empty key says nothing; the value keeps its default. A comment that ate it is told by the reader of lines.
            del marks[name]
            continue
        try:
            values[name] = declared.kind.read(entry.value, reading)
        except Told:
            continue
        except Wrong as wrong:
            told = Wrong(wrong.code, f"{word}: {wrong.found}", wrong.mend, wrong.offset)
            reading.troubles.wrong(entry.value.at, told)
    return values, marks


def words_under(record: type[Record]) -> frozenset[str]:
    """Every key of a record and of the records inside it."""
    found = set(keys_of(record))
    for _, declared in keys_of(record).values():
        if declared.kind.part is not None:
            found |= words_under(declared.kind.part)
    return frozenset(found)


@lru_cache(maxsize=4096)
def plain_word(text: str) -> str:
    """A key as it is compared: case, outer quotes and the kind of space or hyphen are no matter. Kept, for every note has the same ones."""
    return re.sub(r"[\s-]+", "_", text.strip().strip("“”‘’\"'").casefold())


def _is_empty(node: Node) -> bool:
    return isinstance(node, Scalar) and not node.quoted and node.text.strip() in ("", "~", "null")


def _unknown(entry: Entry, record: type[Record], reading: Reading) -> None:
    troubles = reading.troubles
    word = plain_word(entry.key.text)
    known = list(keys_of(record))
    glued = re.match(r"([a-z_]+):(\S.*)$", entry.key.text.strip(), re.IGNORECASE)
    if glued and plain_word(glued[1]) in known and _is_empty(entry.value):
        troubles.add(entry.key.at, "key-glued", f"“{entry.key.text}” has no space after its colon, so it has no value", f"write {glued[1]}: {glued[2]}")
    elif near := nearest(word, known):
        troubles.add(entry.key.at, "key-misspelt", f"there is no key {entry.key.text} here", f"write {near}")
    elif word in reading.elsewhere:
        troubles.add(
            entry.key.at, "key-misplaced", f"the key {entry.key.text} is not used here", f"move it to where it belongs; here stand {listed(known, 12)}"
        )
    else:
        troubles.add(
            entry.key.at, "key-unknown", f"there is no key {entry.key.text} here; its value is not used", f"take it out, or use one of {listed(known, 12)}"
        )


def _name_of(node: Node) -> str:
    return {Scalar: "a plain value", Mapping: "a mapping", Sequence: "a list"}[type(node)]


def _sample(record: type[Record]) -> str:
    words = list(keys_of(record).items())[:2]
    return "{" + ", ".join(f"{word}: {declared.example}" for word, (_, declared) in words) + "}"


# --- kinds -----------------------------------------------------------------------------------------------------------


def scalar(says: str, read: Callable[[str], Any], schema: dict[str, Any]) -> Kind:
    """A kind whose value is one piece of text, given a reader of that text."""

    def read_node(node: Node, reading: Reading) -> Any:
        return read(text_of(node, says))

    return Kind(says, read_node, lambda: schema)


def text_of(node: Node, says: str) -> str:
    """The text of a scalar, with curly quotes round the whole of it taken off."""
    if not isinstance(node, Scalar):
        raise Wrong("text-expected", f"{_name_of(node)} stands here; {says} is expected", f"write {says}")
    text = node.text.strip()
    if len(text) >= 2 and text[0] in "“‘„" and text[-1] in "”’“":
        text = text[1:-1].strip()
    return text


def _text(text: str) -> str:
    if len(text) > 2000:
        raise Wrong("text-expected", f"the text is {len(text)} characters long", "keep it under 2,000 characters; longer words belong in the body")
    return text


def one_of(*words: str) -> Kind:
    """One of a few words; case is no matter, a near one is suggested and never taken."""

    def read(text: str) -> str:
        folded = " ".join(text.casefold().replace("’", "'").split())
        for word in words:
            if folded == word.casefold():
                return word
        near = nearest(folded, words, 0.6)
        raise Wrong("choice-unknown", f"“{text}” is not one of {listed(words, 20)}", f"write {near}" if near else f"write one of {listed(words, 20)}")

    return scalar(listed(words, 20), read, {"enum": list(words)})


def part(record: type[Record]) -> Kind:
    """A mapping read as `record`; one whose needed values can't be read is told and left out, so that no later phase meets a hole."""

    def read(node: Node, reading: Reading) -> Record:
        found = read_record(record, node, reading)
        if any(getattr(found, name) is None for _, name, _ in _required(record)):
            raise Told
        return found

    return Kind(f"a mapping of {listed(keys_of(record), 30).replace(' or ', ' and ')}", read, lambda: record_schema(record), record)


def many(kind: Kind) -> Kind:
    """A tuple of values: a list, or one value standing alone where a list is expected. Bad items are told and left out."""

    def read(node: Node, reading: Reading) -> tuple[Any, ...]:
        items = node.items if isinstance(node, Sequence) else (node,)
        return tuple(_readable(kind, items, reading))

    def schema() -> dict[str, Any]:
        inner = kind.schema()
        return {"anyOf": [{"type": "array", "items": inner}, inner]}

    return Kind(f"a list of: {kind.says}", read, schema, kind.part)


def _readable(kind: Kind, items: tuple[Node, ...], reading: Reading) -> Iterator[Any]:
    for item in items:
        if _is_empty(item):
            continue
        try:
            yield kind.read(item, reading)
        except Told:
            continue
        except Wrong as wrong:
            reading.troubles.wrong(item.at, wrong)


@dataclass(frozen=True, slots=True)
class Named:
    """One entry of a mapping whose keys are the user's own names."""

    name: str
    value: Any
    at: Place


def named(kind: Kind, what: str) -> Kind:
    """A mapping from the user's own names (`what` says of what) to values of one kind; gives a tuple of `Named`."""

    def read(node: Node, reading: Reading) -> tuple[Named, ...]:
        if not isinstance(node, Mapping):
            raise Wrong(
                "mapping-expected",
                f"{_name_of(node)} stands here; names with values are expected",
                f"write one line for each {what}, its name, a colon and its value",
            )
        found = []
        for entry in node.entries:
            try:
                found.append(Named(entry.key.text.strip(), kind.read(entry.value, reading), entry.key.at))
            except Told:
                continue
            except Wrong as wrong:
                reading.troubles.wrong(entry.value.at, wrong)
        return tuple(found)

    return Kind(f"names of {what}, each with: {kind.says}", read, lambda: {"type": "object", "additionalProperties": kind.schema()}, kind.part)


def either(first: Kind, word: str, value: Any) -> Kind:
    """A kind that may also be one fixed word, such as `no`, standing for `value`."""

    def read(node: Node, reading: Reading) -> Any:
        if isinstance(node, Scalar) and node.text.strip().casefold() == word:
            return value
        return first.read(node, reading)

    return Kind(f"{first.says}, or {word}", read, lambda: {"anyOf": [first.schema(), {"type": ["string", "boolean"]}]}, first.part)


def record_schema(record: type[Record]) -> dict[str, Any]:
    """The JSON Schema of a record."""
    keys = keys_of(record)
    schema: dict[str, Any] = {
        "type": "object",
        "properties": {word: {"description": declared.doc, **declared.kind.schema()} for word, (_, declared) in keys.items()},
        "additionalProperties": False,
    }
    required = [word for word, (_, declared) in keys.items() if declared.required]
    if required:
        schema["required"] = required
    short = getattr(record, "SHORT", None)
    return {"anyOf": [schema, {"type": ["string", "number"]}]} if short else schema


_LINK = re.compile(r"(https?://[^\s<>\"']+|mailto:[^\s<>\"'@]+@[^\s<>\"'@]+)", re.IGNORECASE)


def _link(text: str) -> str:
    if not _LINK.fullmatch(text):
        raise Wrong("link-refused", f"“{text}” is not a web or mail address", "write an address that begins with https:// or mailto:")
    return text


def _count(text: str) -> int:
    value = quantities.number(text, "count")
    if value != int(value) or value > 1_000_000:
        raise Wrong("number-unreadable", f"“{text}” is not a whole number", "write a whole number such as 6")
    return int(value)


def _year(text: str) -> int:
    if not re.fullmatch(r"(19|20|21)[0-9]{2}", text):
        raise Wrong("number-unreadable", f"“{text}” is not a year", "write a year with four digits, such as 2025")
    return int(text)


def _currency(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{3}", text):
        raise Wrong("currency-unknown", f"“{text}” is not a currency code", "write the three letters of ISO 4217, such as USD")
    return text.upper()


def _path(text: str) -> str:
    clean = text.replace("\\", "/").removeprefix("./")
    if clean.startswith("/") or ".." in clean.split("/") or ":" in clean or not clean:
        raise Wrong("path-climbs", f"“{text}” leads out of the build's folder", "write the name of a file inside that folder, such as photos/front.jpg")
    return clean


_AMOUNT_SCHEMA = {"type": ["number", "string"], "pattern": r"^[0-9]+(\.[0-9]+)?$"}

TEXT = scalar("words", _text, {"type": ["string", "number", "boolean"]})
AMOUNT = scalar("an amount such as 39.80", quantities.amount, _AMOUNT_SCHEMA)
NUMBER = scalar("a number such as 2.5", quantities.number, _AMOUNT_SCHEMA)
COUNT = scalar("a whole number", _count, {"type": ["integer", "string"], "pattern": "^[0-9]+$"})
HOURS = scalar("hours such as 2.5, 2:30 or 2h30", quantities.hours, {"type": ["number", "string"]})
WAIT = scalar("a time such as 14 days or 4 h", quantities.wait, {"type": ["number", "string"]})
DAY = scalar("a day such as 2026-03-14", quantities.day, {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"})
YEAR = scalar("a year such as 2025", _year, {"type": ["integer", "string"]})
PERCENT = scalar("a percentage such as 40", quantities.percent, {"type": ["number", "string"]})
LENGTH = scalar("a length such as 34 in or 864 mm", quantities.length, {"type": "string"})
GAUGE = scalar("a gauge in inches such as 0.046, or with its unit", quantities.gauge, {"type": ["number", "string"]})
WEIGHT = scalar("a weight such as 6.4 kg or 14 lb 6 oz", quantities.weight, {"type": "string"})
UNIT_WEIGHT = scalar("a weight for each length, such as 0.00088 (lb/in) or 15.7 g/m", quantities.unit_weight, {"type": ["number", "string"]})
CLOCK = scalar("a time of day such as 14:30", quantities.clock, {"type": ["string", "integer"]})
YES_NO = scalar("yes or no", quantities.yes_or_no, {"type": ["boolean", "string"]})
LINK = scalar("a web or mail address", _link, {"type": "string", "pattern": "^(https?://|mailto:)"})
CURRENCY = scalar("a currency code such as EUR", _currency, {"type": "string", "pattern": "^[A-Za-z]{3}$"})


def estimate(kind: Kind) -> Kind:
    """One figure, or [low, likely, high] in that order; gives an `Estimate`."""

    def read(node: Node, reading: Reading) -> Estimate:
        if not isinstance(node, Sequence):
            figure = kind.read(node, reading)
            return Estimate(figure, figure, figure)
        figures = [kind.read(item, reading) for item in node.items]
        if len(figures) != 3 or sorted(figures) != figures:
            raise Wrong(
                "estimate-disordered", f"{len(figures)} figures stand here, or they do not rise", "write one figure, or [low, likely, high] from small to large"
            )
        return Estimate(*figures)

    def schema() -> dict[str, Any]:
        return {"anyOf": [kind.schema(), {"type": "array", "items": kind.schema(), "minItems": 3, "maxItems": 3}]}

    return Kind(f"{kind.says}, or [low, likely, high]", read, schema)


PATH = scalar("the name of a file in the build's folder", _path, {"type": "string"})
