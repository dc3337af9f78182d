"""How one key of the frontmatter is declared.

A record is a frozen dataclass whose fields are made with `key(...)`: that one declaration gives the reader, the
check, the near-name suggestion, the reference page, the JSON Schema and an example that a test reads back.
There is no registry and no inheritance beyond `Record`; `purfle.notes.vocabulary.mapping` reads a mapping by it.
Invariant: knows no kind of value, which are in `purfle.notes.vocabulary.kinds`, and no key of the vocabulary, which are in `purfle.notes.records`.
"""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, ClassVar, TypeVar, cast

from purfle.base.place import NOWHERE, Place
from purfle.base.trouble import Troubles, Wrong
from purfle.notes.frontmatter.tree import Node, Scalar
from purfle.notes.vocabulary import schemas


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A mapping that was read: its values are the subclass's fields; these two say where it stood."""

    at: Place = NOWHERE
    """Where the mapping begins."""
    marks: tuple[tuple[str, Place], ...] = dataclasses.field(default=(), repr=False)
    """Where each value that was written stands, by field name."""

    SHORT: ClassVar[str | None] = None
    """The key that a plain value in place of the mapping stands for."""
    LISTED: ClassVar[bool] = False
    """Several values in one text are told, for each would be one of these that nobody meant."""
    SAMPLE: ClassVar[tuple[str, ...]] = ()
    """The keys of the mapping that a mend shows; those that must be written when left out."""
    PAIR: ClassVar[tuple[str, str] | None] = None
    """The keys of a name and its figure, which people write as `{name: figure}`."""
    IN_FULL: ClassVar[Mapping[str, str]] = {}
    """Words that people write here for what no one key says → the whole mend."""
    IN_KEYS: ClassVar[Callable[[str], str] | None] = None
    """Words in place of the mapping → the mapping they mean; empty for none."""

    def where(self, name: str) -> Place:
        """The place of one value, or of the whole mapping when that key was not written."""
        for field, place in self.marks:  # not a generator: events ask this of every line
            if field == name:
                return place
        return self.at

    def wrote(self, name: str) -> bool:
        """Whether the key was written at all, whatever became of its value."""
        return any(field == name for field, _ in self.marks)


T = TypeVar("T")


def once_a_record(tell: Callable[[type[Record]], T]) -> Callable[[type[Record]], T]:
    """Keep what a function tells of a record's declaration, which is of the code and not of the notes."""
    return cast(Callable[[type[Record]], T], cache(tell))  # mypy takes no class of dataclasses for hashable


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
    money: bool = False
    """Whether the value is an amount."""


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
    instead_of: tuple[str, ...] = ()
    """Words that people write for it. None is taken for it; each is told, with this one as the mend."""


EXAMPLE = "<example>"
"""What a kind writes into a mend for the example of the key, which it does not know."""


class Told(Exception):
    """A value is left out, and why has been told already."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a reader may need beside the node."""

    troubles: Troubles
    elsewhere: Mapping[str, str] = dataclasses.field(default_factory=dict)
    """Words that are keys somewhere in the vocabulary, to tell a key in the wrong place from one that is not known → where they begin a line."""
    swallowed: frozenset[int] = frozenset()
    """Lines on which a # swallowed a value, which is told."""


def key(kind: Kind, doc: str, example: str, *, default: Any = None, required: bool = False, word: str | None = None, instead_of: str = "") -> Any:
    """Declare a field of a record. `instead_of` holds the words that people write for it, with spaces between."""
    meta = {"key": Key(kind, doc, example, required, word, tuple(instead_of.split()))}
    return dataclasses.field(default=default, metadata=meta, kw_only=True)


@once_a_record
def keys_of(record: type[Record]) -> dict[str, tuple[str, Key]]:
    """Word in the notes → (field name, declaration), in the order declared."""
    declared = ((field.name, field.metadata["key"]) for field in dataclasses.fields(record) if "key" in field.metadata)
    return {meta.word or name: (name, meta) for name, meta in declared}


@once_a_record
def required_keys(record: type[Record]) -> tuple[tuple[str, str, Key], ...]:
    """Word, field and declaration of the keys that must be written."""
    return tuple((word, name, declared) for word, (name, declared) in keys_of(record).items() if declared.required)


def is_whole(record: Record) -> bool:
    """Whether every key that must be written has a value."""
    return all(getattr(record, name) is not None for _, name, _ in required_keys(type(record)))


def reads_as(kind: Kind, value: str) -> bool:
    """Whether a value is one of this kind."""
    own = Troubles()
    try:
        kind.read(Scalar(value, NOWHERE), Reading(own))
    except (Wrong, Told):
        return False
    return not own.found


def takes_words(kind: Kind) -> bool:
    """Whether a value of this kind may be any words, and so can't tell a key from prose."""
    return reads_as(kind, "such as one says")


def tells_a_key(kind: Kind, value: str) -> bool:
    """Whether a value is one of this kind, and no mere words."""
    return reads_as(kind, value) and not takes_words(kind)


@once_a_record
def words_under(record: type[Record]) -> frozenset[str]:
    """Every key of a record and of the records inside it."""
    found = set(keys_of(record))
    for _, declared in keys_of(record).values():
        if declared.kind.part is not None:
            found |= words_under(declared.kind.part)
    return frozenset(found)


def money_under(record: type[Record]) -> frozenset[str]:
    """The keys of a record, and of the records inside it, that hold an amount of money."""
    found = {word for word, (_, declared) in keys_of(record).items() if declared.kind.money}
    return frozenset(found).union(*(money_under(declared.kind.part) for _, declared in keys_of(record).values() if declared.kind.part is not None))


def record_schema(record: type[Record]) -> dict[str, Any]:
    """The JSON Schema of a record. A key without a value says nothing, so null is refused only where a key must be written."""
    keys = keys_of(record)
    schema: dict[str, Any] = {
        "type": "object",
        "properties": {word: {"description": declared.doc, **_value_schema(declared)} for word, (_, declared) in keys.items()},
        "additionalProperties": False,
    }
    required = [word for word, (_, declared) in keys.items() if declared.required]
    if required:
        schema["required"] = required
    short = record.SHORT
    return schemas.any_of(schema, _value_schema(keys[short][1])) if short else schema


def _value_schema(declared: Key) -> dict[str, Any]:
    return declared.kind.schema() if declared.required else schemas.or_nothing(declared.kind.schema())
