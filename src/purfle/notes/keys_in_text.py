"""Keys below the frontmatter: those right under a heading of a journal day, which are read, and those among the words, which are told.

Left among the words, their hours would be lost and their money could be read by all. Right under a heading a line is a key if it is nearly one; elsewhere
only if it can hardly be prose, for `finish: oil over stain` may stand in any text, `hours: 2.5` and `sold: {item: …}` may not.
Invariant: looks at lines alone, and reads no value.
"""

import re
from collections.abc import Sequence
from itertools import takewhile

from purfle.base.names import visible
from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.bodies.headings import outside_code
from purfle.notes.frontmatter.key_line import TIME, KeyLine, half_key, is_sentence, key_among_words, key_line, time_alone
from purfle.notes.frontmatter.text import is_fence
from purfle.notes.records.everywhere import ELSEWHERE, MONEY
from purfle.notes.records.note import NoteSheet
from purfle.notes.vocabulary.fields import Record, keys_of, reads_as, tells_a_key, words_under
from purfle.notes.vocabulary.kinds import LINK

# --- right under a heading -------------------------------------------------------------------------------------------

_FIGURE = re.compile(r"\W?\d[\d.,:-]*\W?")
_COUNTS = MONEY | words_under(NoteSheet)
"""Words before a figure that a note would lack and all would read: `cost: 12`. What is public anyhow, as `Frets: 21` is, may stand in a text."""


def flat_lines(lines: Sequence[str]) -> int:
    """How many lines right under a heading are flat keys: with the blank lines and the fence before them, their lists, and the fence after."""
    count = 0
    for number, line in enumerate(map(visible, lines)):
        if is_key(line) or _is_half_a_key(line, lines[number + 1 : number + 2]) or (count and _goes_on(line, lines[count - 1])):
            count = number + 1
        elif count and is_fence(line):
            return number + 1
        elif count or (line.strip() and not is_fence(line)):
            break
    return count


def is_key(line: str) -> bool:
    """Whether a line with a colon is a key, known, misspelt or of a line of money, and no sentence; `Finish: oil` is a word of the build sheet and ends nothing."""
    found, words = key_line(visible(line)), keys_of(NoteSheet)
    if found is None:
        glued = half_key(visible(line))
        return glued is not None and glued.mark.strip()[:1] == ":" and glued.word in words and not is_sentence(glued)
    word, value = found.word, found.value
    if found.before or is_sentence(found):
        return False
    if word in words or (word in _COUNTS and _FIGURE.fullmatch(value)):
        return True
    meant = next((own for own, (_, declared) in words.items() if word in declared.instead_of and tells_a_key(declared.kind, value)), None)
    near = meant or (nearest(word, words, 0.8) if found.key.isidentifier() else None)
    return near is not None and (word not in ELSEWHERE or reads_as(words[near][1].kind, value))


def _is_half_a_key(line: str, below: Sequence[str]) -> bool:
    """Whether a line is a key without its colon, `hours 2`, or the time of one, `2 h`; where what follows may be words, a key must stand below."""
    half, words = half_key(line), keys_of(NoteSheet)
    if half is None or not half.value or half.word not in words:
        return bool(time_alone(line))
    return tells_a_key(words[half.word][1].kind, half.value) or (half.word == "stage" and len(half.value.split()) < 4 and any(map(is_key, below)))


def _goes_on(line: str, above: str) -> bool:
    """Whether a line belongs to the key above it: an indented one, or one of a list."""
    return bool(line.strip()) and (line[0] in " \t" or (line.startswith("- ") and (above.rstrip().endswith(":") or above.startswith(("- ", " ")))))


# --- in the heading --------------------------------------------------------------------------------------------------

_RESTS = r"(?:cool|cur|dr[iy]|flash|harden|rest|sett?|soak|wait)(?:e|es|s|ed|ing|off)?\b"
_RESTS_BEHIND = re.compile(rf"[ -](?:(?:a|of|in|the|to)[ -])*(?:{_RESTS}|(?:after|ago|apart|between|later|old|since)\b)", re.IGNORECASE)
_RESTS_BEFORE = re.compile(rf"\b(?:{_RESTS}|after|every|until|within)(?: (?:a|an|another|for|its|of|only|the))*[ -]\Z", re.IGNORECASE)
"""What stands beside a time that needs no hands."""
_DAY = 24


def time_spent(heading: str) -> re.Match[str] | None:
    """The time in a heading that may be hours at the bench: less than a day, and none in which something rests, as in `Heron: 12 h later`."""
    time = TIME.search(heading)
    if time is None or _RESTS_BEHIND.match(heading, time.end()) or _RESTS_BEFORE.search(heading[: time.start()]):
        return None
    return time if int(time["many"]) < _DAY or time["unit"][0] in "mM" else None


# --- among the words -------------------------------------------------------------------------------------------------

_BELOW = 9
"""Lines below a key in which one of its own is looked for."""
_NAMES = ("redo", "stage", "route", "serial")
"""Keys of plain words that are no prose when hardly more than a name stands behind them."""
_PROSE = ("date", "instrument", "year")
"""Keys that say in a text what they say at the top of a file, and lose nothing there."""


def tell_keys(lines: Sequence[str], start: Place, record: type[Record], mend: str, troubles: Troubles) -> None:
    """Tell of keys among the words, of lines that follow each other only of the first; `start` is the place of the first line.

    `record` is what the file's own keys are of; of all other words that are keys, only mappings and lists count.
    """
    last = -2
    for number, line in outside_code(lines):
        found = key_among_words(visible(line)) if ":" in line or "=" in line else None
        if found and found.word in ELSEWHERE and _is_meant(found, lines[number + 1 : number + 1 + _BELOW], record):
            if number != last + 1:
                troubles.add(start.down(number, found.column + 1), "key-in-text", f"the key {found.key} stands among the words and is not read", mend)
            last = number


def _is_meant(found: KeyLine, below: Sequence[str], record: type[Record]) -> bool:
    """Whether a word among the others that is a key somewhere can hardly be prose."""
    word, value = found.word, found.value
    if "{" in found.before:
        return value.endswith("}")
    if value[:1] in ("{", "[") and value[-1] in "}]" and "](" not in value:
        return True
    _, declared = keys_of(record).get(word, (None, None))
    if declared is None or word in _PROSE:
        return False
    if not value:
        return declared.kind.part is not None and _has_entry(below, declared.kind.part)
    if word in _NAMES:
        return len(value.split()) <= 2
    return declared.kind is not LINK and tells_a_key(declared.kind, value)


def _has_entry(below: Sequence[str], record: type[Record]) -> bool:
    """Whether the entries right below a key hold one of its own keys, or a mapping; a list such as `- bridge: bent` is of the builder's own words."""
    entries = takewhile(lambda entry: entry is not None and entry.before.strip("*_"), map(key_among_words, below))
    return any(entry.word in keys_of(record) or entry.value.startswith("{") for entry in entries if entry)
