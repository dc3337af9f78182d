"""How one key of the frontmatter is declared, and how a mapping is read by its declaration.

A record is a frozen dataclass whose fields are made with `key(...)`: that one declaration gives the reader, the
check, the near-name suggestion, the reference page, the JSON Schema and an example that a test reads back.
There is no registry and no inheritance beyond `Record`.
Invariant: knows no kind of value, which are in `purfle.notes.kinds`, and no key of the vocabulary, which are in `purfle.notes.records`.
"""

import dataclasses
import re
from collections.abc import Callable, Container, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, TypeVar, cast

from purfle.base.meant import figures
from purfle.base.place import NOWHERE, Place
from purfle.base.trouble import Troubles, Wrong, listed, nearest
from purfle.notes import schemas
from purfle.notes.tree import Entry, Mapping, Node, Scalar, Sequence, is_empty, name_of


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
    elsewhere: frozenset[str] = frozenset()
    """Words that are keys somewhere in the vocabulary, to tell a key in the wrong place from one that is not known."""


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
def _required(record: type[Record]) -> tuple[tuple[str, str, Key], ...]:
    """Word, field and declaration of the keys that must be written."""
    return tuple((word, name, declared) for word, (name, declared) in keys_of(record).items() if declared.required)


# --- reading a mapping -----------------------------------------------------------------------------------------------


def read_record(record: type[R], node: Node, reading: Reading) -> R:
    """The record that a mapping holds. Keys that can't be read are told and keep their default.

    A record with a `SHORT` class attribute may also be written as that one key's value alone.
    """
    short = getattr(record, "SHORT", None)
    if not isinstance(node, Mapping):
        if short is None or not isinstance(node, Scalar):
            raise Wrong("mapping-expected", f"{name_of(node)} stands here; a mapping of keys is expected", _mapping_mend(record, node))
        node = Mapping((Entry(Scalar(short, node.at), node),), node.at)
    _no_names_as_keys(record, node)
    values, marks, meant = _values(record, node, reading)
    for word, name, declared in _required(record):
        if name not in marks and word not in meant:
            reading.troubles.add(node.at, "key-missing", f"{word} is missing", f"add {word}: ({declared.doc}), such as {word}: {declared.example}")
    return record(at=node.at, marks=tuple(marks.items()), **values)


def _mapping_mend(record: type[Record], node: Node) -> str:
    """What to write where something else than a mapping stands: its own keys without the hyphens of a list, the record's own reading of the words, or an example."""
    items = node.items if isinstance(node, Sequence) else ()
    words = [plain_word(entry.key.text) for item in items if isinstance(item, Mapping) for entry in item.entries]
    if words and len(set(words)) == len(words) and keys_of(record).keys() >= set(words):
        return "take out the hyphens or brackets before the keys, and begin all of them in one column"
    in_keys = getattr(record, "IN_KEYS", None)
    if in_keys is not None and isinstance(node, Scalar) and (whole := in_keys(node.text)):
        return f"write {whole}"
    return f"write keys such as {_sample(record, node)}"


def _no_names_as_keys(record: type[Record], node: Mapping) -> None:
    """Tell of `{clear lacquer: 0.5}`, the name of a thing where the key of the name belongs: one cause, and no three keys amiss."""
    pair = getattr(record, "PAIR", None)
    if pair is None:  # so it is with most records, and every mapping of a shop comes by here
        return
    known = keys_of(record)
    plain = [(e.key.text.strip(), e.value.text) for e in node.entries if isinstance(e.value, Scalar) and re.match(r"[\d.½¼¾]", e.value.text)]
    if not plain or len(plain) < len(node.entries) or any(_meant(word := plain_word(name), known) or word in known for name, _ in plain):
        return
    counts = [alone[0] if pair[1] == "qty" and len(alone := figures(text)) == 1 else text for _, text in plain]
    lines = ", ".join(f"{{{pair[0]}: {name}, {pair[1]}: {count}}}" for (name, _), count in zip(plain, counts, strict=True))
    raise Wrong("mapping-expected", "a name stands where a key belongs", f"write {lines if len(plain) == 1 else f'[{lines}]'}")


def is_whole(record: Record) -> bool:
    """Whether every key that must be written has a value."""
    return all(getattr(record, name) is not None for _, name, _ in _required(type(record)))


def _values(record: type[Record], node: Mapping, reading: Reading) -> tuple[dict[str, Any], dict[str, Place], set[str]]:
    """Values and places by field, and the keys that others were told to be meant for: those are not missing as well."""
    known = keys_of(record)
    values: dict[str, Any] = {}
    marks: dict[str, Place] = {}
    meant: set[str] = set()
    for entry in node.entries:
        word = plain_word(entry.key.text)
        if word not in known:
            meant.add(_unknown(entry, {plain_word(other.key.text) for other in node.entries}, record, reading) or "")
            continue
        if is_empty(entry.value):
            continue  # it says nothing, and the default stays; a comment that ate the value is told by the reader of lines
        name, declared = known[word]
        if name in marks:
            reading.troubles.add(
                entry.key.at,
                "key-twice",
                f"{entry.key.text} is the key {word} again; the first is on line {marks[name].line}",
                "keep one of the two, or make a list of both",
            )
            continue
        marks[name] = entry.value.at
        if within := _key_within(word, entry.value, node, known, reading):
            meant.add(within)
            continue
        try:
            values[name] = declared.kind.read(entry.value, reading)
        except Told:
            continue
        except Wrong as wrong:
            told = Wrong(wrong.code, f"{word}: {wrong.found}", wrong.mend.replace(EXAMPLE, declared.example), wrong.offset)
            reading.troubles.wrong(entry.value.at, told)
    return values, marks, meant


_KEY_BEHIND_COMMA = re.compile(r",\s{0,9}(?P<key>[^\W\d]\w{0,40})(?: {1,9}| {0,9}= {0,9})(?P<value>[^\s,=][^,]{0,200})")


_NAMING = frozenset(("item", "part", "stage", "build", "lot"))
"""Keys whose value is a name: one that goes on with `, for …` or `, from …` lacks a colon, where other words may well do so."""


def _key_within(word: str, value: Node, mapping: Mapping, known: dict[str, tuple[str, Key]], reading: Reading) -> str | None:
    """Tell of `{item: sandpaper, qty 20}`: a key of this mapping that lacks its colon would else be words of the value before it. Gives that key.

    Behind other words only where what follows it can't be words itself: `nickel plating, paid in cash` stays a text.
    """
    if not isinstance(value, Scalar) or not value.joined:
        return None
    written = {plain_word(entry.key.text) for entry in mapping.entries}
    for match in _KEY_BEHIND_COMMA.finditer(value.text):
        inner, said = plain_word(match["key"]), match["value"].strip()
        kind = known[inner][1].kind if inner in known and inner not in written else None
        if kind is None or kind.part is not None or not reads_as(kind, said) or (word not in _NAMING and reads_as(kind, "such as one says")):
            continue
        over = 0 if "\n" in value.text[: match.start()] else match.start("key")
        mend = f"write {match['key']}: {said}, or put quotes round all of it if these are words"
        reading.troubles.wrong(value.at, Wrong("key-glued", f"{word}: no colon stands after {match['key']}", mend, over))
        return inner
    return None


def reads_as(kind: Kind, value: str) -> bool:
    """Whether a value is one of this kind. A kind that takes any words can't tell a key from prose."""
    own = Troubles()
    try:
        kind.read(Scalar(value, NOWHERE), Reading(own))
    except (Wrong, Told):
        return False
    return not own.found


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


_SAYS_ONLY = frozenset(("note", "title", "why", "words"))
"""Keys that hold words alone wherever they stand: where they are not used nothing is lost but these, and no figure is another."""


def _unknown(entry: Entry, written: Container[str], record: type[Record], reading: Reading) -> str | None:
    """Tell of a key that is none here; gives the key that is meant, where that is plain: never one that is `written` beside it."""
    at, text, word, known = entry.key.at, entry.key.text, plain_word(entry.key.text), keys_of(record)
    meant = ""
    glued = re.match(r"([a-z_]+):(\S.*)$", text.strip(), re.IGNORECASE)
    dashed = re.match(r"[-–—](\w+)$", text.strip())
    if glued and is_empty(entry.value) and (meant := plain_word(glued[1])) in known:
        reading.troubles.add(at, "key-glued", f"“{text}” has no space after its colon, so it has no value", f"write {glued[1]}: {glued[2]}")
    elif dashed and (meant := plain_word(dashed[1])) in known:
        reading.troubles.add(at, "key-glued", f"“{text}” has no space after its dash, so it begins no line of a list", f"write - {dashed[1]}:")
    elif mend := getattr(record, "IN_FULL", {}).get(word):
        reading.troubles.add(at, "key-misspelt", f"there is no key {text} here", mend)
    elif (meant := _meant(word, known)) and meant not in written:
        reading.troubles.add(at, "key-misspelt", f"there is no key {text} here", f"write {meant}")
    elif word in reading.elsewhere and word not in _SAYS_ONLY:
        reading.troubles.add(at, "key-misplaced", f"the key {text} is not used here", _home(word, known))
    else:
        reading.troubles.add(at, "key-unknown", f"there is no key {text} here; its value is not used", f"take it out, or use one of {listed(known, 12)}")
    return meant if meant and meant not in written else None


def _home(word: str, known: dict[str, tuple[str, Key]]) -> str:
    """What to do with a key that is known, and not here: under which key of this mapping it stands, if under one."""
    homes = [f"{own}:" for own, (_, declared) in known.items() if declared.kind.part is not None and word in keys_of(declared.kind.part)]
    return f"move it under {listed(homes)}" if homes else f"move it to where it belongs; here stand {listed(known, 12)}"


def _meant(word: str, known: dict[str, tuple[str, Key]]) -> str:
    """The key that people who write `word` mean by it, else the one it is nearly spelt like; empty for none."""
    return next((own for own, (_, declared) in known.items() if word in declared.instead_of), None) or nearest(word, known) or ""


_PLAIN_WORDS = re.compile(r"[^\W\d_]+(?:[ -][^\W\d_]+){0,5}")
_SUM = re.compile(r"\d+(?:\.\d+)?(?: ?%)?")
_DAY_OR_SUM = re.compile(rf"\d{{4}}-\d\d-\d\d|{_SUM.pattern}")
_NAME_AND_SUM = re.compile(rf"({_PLAIN_WORDS.pattern}) ({_SUM.pattern})|({_SUM.pattern}) ({_PLAIN_WORDS.pattern})")
"""`klarlak 2`, or the other way about."""


def _sample(record: type[Record], written: Node) -> str:
    """A mapping as it would be typed: with the record's `SAMPLE` keys, or those that must be there and of others as many as make it two.

    A name, a day and a sum that were `written` stand in it under the first key that each can be the value of.
    """
    known, shown = keys_of(record), getattr(record, "SAMPLE", ())
    words = shown or sorted(known, key=lambda word: not known[word][1].required)[: max(2, len(_required(record)))]
    samples = {word: known[word][1].example for word in words}
    said = written.text.strip() if isinstance(written, Scalar) else ""
    parts = [part for part in pair.groups() if part] if (pair := _NAME_AND_SUM.fullmatch(said)) else [said]
    for part in parts:
        plain = _PLAIN_WORDS.fullmatch(part) and part.casefold() not in ("yes", "no")
        if (plain or _DAY_OR_SUM.fullmatch(part)) and (taker := next(_takers(part, words, known), None)):
            samples[taker] = part
    return "{" + ", ".join(f"{word}: {example}" for word, example in samples.items()) + "}"


def _takers(part: str, words: Iterable[str], known: dict[str, tuple[str, Key]]) -> Iterator[str]:
    """The keys whose value a text can be: those that take no words else first, and of those that take any the one that comes first of all."""
    kinds = {word: known[word][1].kind for word in words if known[word][1].kind.part is None}
    free = [word for word, kind in kinds.items() if kind.says == "words"]
    yield from (word for word, kind in kinds.items() if word not in free and not reads_as(kind, "such as one says") and reads_as(kind, part))
    if not _DAY_OR_SUM.fullmatch(part):
        yield from free


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
    short = getattr(record, "SHORT", None)
    return schemas.any_of(schema, _value_schema(keys[short][1])) if short else schema


def _value_schema(declared: Key) -> dict[str, Any]:
    return declared.kind.schema() if declared.required else schemas.or_nothing(declared.kind.schema())
