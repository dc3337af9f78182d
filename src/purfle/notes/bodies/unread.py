"""Keys that stand among the words of a note, where they are not read: their hours and money would be lost silently.

A line counts as a key only when it can hardly be prose: a key of this vocabulary with a value that reads as that key's
must. `finish: oil over stain` may stand in any text, `hours: 2.5` and `sold: {item: …}` may not.
Invariant: looks at lines alone, and judges nothing of what they say.
"""

import re
from collections.abc import Container, Iterator, Sequence
from itertools import takewhile

from purfle.base.names import visible
from purfle.notes.bodies.headings import outside_code
from purfle.notes.vocabulary.fields import Record, keys_of, plain_word, tells_a_key
from purfle.notes.vocabulary.kinds import LINK

_LINE = re.compile(r"\s*(?:[-*+]\s+)?[*_]{0,2}(?P<key>[A-Za-z][A-Za-z_-]*?)[*_]{0,2}\s?[:=][*_]{0,2}(?P<value>.*)$")
_BRACED = re.compile(r"\s*(?:[-*+]\s+)?\{\s*(?P<key>[A-Za-z][A-Za-z_-]*):\s(?P<value>.*)\}\s*$")
_ENTRY = re.compile(r"(?:\s*+-\s++\{?+\s*+|\s++)([A-Za-z_-]+)\s?:\s*(\{)?")
_BELOW = 9
"""Lines below a key in which one of its own is looked for."""
_NAMES = ("stage", "route", "serial")
"""Keys of plain words that are no prose when hardly more than a name stands behind them."""
_PROSE = ("date", "instrument", "year")
"""Keys that say in a text what they say at the top of a file, and lose nothing there."""


def unread_keys(lines: Sequence[str], record: type[Record], elsewhere: Container[str]) -> Iterator[tuple[int, int, str]]:
    """Line and column (from 0) and the word of each key that stands in a text; of lines that follow each other only the first.

    `record` is what the file's own keys are of; of `elsewhere`, all other words that are keys, only mappings and lists count.
    """
    last = -2
    for number, line in outside_code(lines):
        if (":" in line or "=" in line) and (found := _key(visible(line), lines[number + 1 : number + 1 + _BELOW], record, elsewhere)):
            if number != last + 1:
                yield number, found.start("key"), found["key"]
            last = number


def _key(line: str, below: Sequence[str], record: type[Record], elsewhere: Container[str]) -> re.Match[str] | None:
    if braced := _BRACED.match(line):
        return braced if plain_word(braced["key"]) in elsewhere else None
    match = _LINE.match(line)
    if match is None or (word := plain_word(match["key"])) not in elsewhere:
        return None
    value = match["value"].strip()
    if value[:1] in ("{", "[") and value[-1] in "}]" and "](" not in value:
        return match
    _, declared = keys_of(record).get(word, (None, None))
    if declared is None or word in _PROSE:
        return None
    if not value:
        return match if declared.kind.part is not None and _has_entry(below, declared.kind.part) else None
    if word in _NAMES:
        return match if len(value.split()) <= 2 else None
    return match if declared.kind is not LINK and tells_a_key(declared.kind, value) else None


def _has_entry(below: Sequence[str], record: type[Record]) -> bool:
    """Whether the entries right below a key hold one of its own keys, or a mapping; a list such as `- bridge: bent` is of the builder's own words."""
    entries = takewhile(lambda entry: entry is not None, map(_ENTRY.match, below))
    return any(entry[2] or plain_word(entry[1]) in keys_of(record) for entry in entries if entry)
