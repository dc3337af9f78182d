"""How a mapping is read by the declaration of its record.

Invariant: takes no key for another; what was meant by one that is none is told by `purfle.notes.vocabulary.keys_meant`.
"""

from typing import Any, TypeVar

from purfle.base.place import Place
from purfle.base.trouble import Wrong, listed
from purfle.notes.frontmatter.key_line import plain_word
from purfle.notes.frontmatter.tree import Entry, Mapping, Node, Scalar, is_blank, is_empty, name_of
from purfle.notes.vocabulary.fields import EXAMPLE, Key, Reading, Record, Told, keys_of, required_keys
from purfle.notes.vocabulary.keys_meant import half_a_key_alone, key_within, mapping_mend, no_colon_in_words, no_names_as_keys, tell_unknown

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
    no_colon_in_words(record, node)
    values, marks, meant = _values(record, node, reading)
    missing = [(word, declared) for word, name, declared in required_keys(record) if name not in marks and word not in meant]
    if len(missing) > 1 and not node.entries:
        words = listed([word for word, _ in missing], last="and")
        reading.troubles.add(node.at, "key-missing", f"{words} are missing", mapping_mend(record, node))
    else:
        for word, declared in missing:
            _tell_missing(word, declared, node, reading)
    return record(at=node.at, marks=tuple(marks.items()), **values)


def _tell_missing(word: str, declared: Key, node: Mapping, reading: Reading) -> None:
    """Tell of a key that must be written: of one without its value at its own place, unless a # swallowed that, which is told."""
    empty = next((entry for entry in node.entries if plain_word(entry.key.text) == word), None)
    if empty is None:
        where = "" if node.entries or node.at.column > 1 else " between two lines of --- at the top"
        reading.troubles.add(node.at, "key-missing", f"{word} is missing", f"add {word}: ({declared.doc}){where}, such as {word}: {declared.example}")
    elif empty.key.at.line not in reading.swallowed:
        reading.troubles.add(empty.key.at, "key-missing", f"nothing stands behind {word}:", f"write its value behind it, such as {word}: {declared.example}")


def _values(record: type[Record], node: Mapping, reading: Reading) -> tuple[dict[str, Any], dict[str, Place], set[str]]:
    """Values and places by field, and the keys that others were told to be meant for: those are not missing as well."""
    known = keys_of(record)
    values: dict[str, Any] = {}
    marks: dict[str, Place] = {}
    meant: set[str] = set()
    written: frozenset[str] = frozenset()
    for entry in node.entries:
        word = plain_word(entry.key.text)
        if word not in known:
            written = written or frozenset(plain_word(other.key.text) for other in node.entries)
            meant.add(tell_unknown(entry, node, written, record, reading))
            continue
        name, declared = known[word]
        if is_empty(entry.value) or (declared.required and is_blank(entry.value)):
            continue  # it says nothing, and the default stays; a comment that ate the value is told by the reader of lines
        if name in marks:
            found = f"{entry.key.text} is the key {word} again; the first is on line {marks[name].line}"
            reading.troubles.add(entry.key.at, "key-twice", found, "keep one of the two, or write both in one list if the key may hold several")
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
