"""How a mapping is read by the declaration of its record.

Invariant: takes no key for another; what was meant by one that is none is told by `purfle.notes.vocabulary.keys_meant`.
"""

from typing import Any, TypeVar

from purfle.base.place import Place
from purfle.base.trouble import Wrong
from purfle.notes.frontmatter.tree import Entry, Mapping, Node, Scalar, is_empty, name_of
from purfle.notes.vocabulary.fields import EXAMPLE, Reading, Record, Told, keys_of, plain_word, required_keys
from purfle.notes.vocabulary.keys_meant import half_a_key_alone, key_within, mapping_mend, no_names_as_keys, tell_unknown

R = TypeVar("R", bound=Record)


def read_record(record: type[R], node: Node, reading: Reading) -> R:
    """The record that a mapping holds. Keys that can't be read are told and keep their default.

    A record with a `SHORT` key may also be written as the value of that one alone.
    """
    short = record.SHORT
    if not isinstance(node, Mapping):
        if short is None or not isinstance(node, Scalar):
            raise Wrong("mapping-expected", f"{name_of(node)} stands here; a mapping of keys is expected", mapping_mend(record, node))
        half_a_key_alone(record, node)
        node = Mapping((Entry(Scalar(short, node.at), node),), node.at)
    no_names_as_keys(record, node)
    values, marks, meant = _values(record, node, reading)
    for word, name, declared in required_keys(record):
        if name not in marks and word not in meant:
            reading.troubles.add(node.at, "key-missing", f"{word} is missing", f"add {word}: ({declared.doc}), such as {word}: {declared.example}")
    return record(at=node.at, marks=tuple(marks.items()), **values)


def _values(record: type[Record], node: Mapping, reading: Reading) -> tuple[dict[str, Any], dict[str, Place], set[str]]:
    """Values and places by field, and the keys that others were told to be meant for: those are not missing as well."""
    known = keys_of(record)
    values: dict[str, Any] = {}
    marks: dict[str, Place] = {}
    meant: set[str] = set()
    for entry in node.entries:
        word = plain_word(entry.key.text)
        if word not in known:
            meant.add(tell_unknown(entry, node, record, reading) or "")
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
        if within := key_within(word, entry.value, node, known, reading):
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
