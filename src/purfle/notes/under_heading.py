"""The keys right under a heading of a journal day, and what is nearly a key there or in the heading.

Left among the words, their hours would be lost and their money could be read by all.
Invariant: looks at lines alone, and tells nothing.
"""

import re
from collections.abc import Sequence

from purfle.base.names import visible
from purfle.base.trouble import nearest
from purfle.notes.frontmatter.slips_of_keys import HALF_KEY, TIME, TIME_ALONE
from purfle.notes.frontmatter.text import is_fence, is_sentence
from purfle.notes.parse import ELSEWHERE, MONEY
from purfle.notes.records.note import NoteSheet
from purfle.notes.vocabulary.fields import keys_of, plain_word, reads_as, tells_a_key, words_under

_KEY = re.compile(r"(?P<key>[A-Za-z_]+)[ \t]*:(?P<apart>\s|$)?(?P<value>.*)")
_FIGURE = re.compile(r"\W?\d[\d.,:-]*\W?")
_RESTS = r"(?:cool|cur|dr[iy]|flash|harden|rest|sett?|soak|wait)(?:e|es|s|ed|ing|off)?\b"
_RESTS_BEHIND = re.compile(rf"[ -](?:(?:a|of|in|the|to)[ -])*(?:{_RESTS}|(?:after|ago|apart|between|later|old|since)\b)", re.IGNORECASE)
_RESTS_BEFORE = re.compile(rf"\b(?:{_RESTS}|after|every|until|within)(?: (?:a|an|another|for|its|of|only|the))*[ -]\Z", re.IGNORECASE)
"""What stands beside a time that needs no hands."""
_DAY = 24

_COUNTS = MONEY | words_under(NoteSheet)
"""Words before a figure that a note would lack and all would read: `cost: 12`. What is public anyhow, as `Frets: 21` is, may stand in a text."""


def time_spent(heading: str) -> re.Match[str] | None:
    """The time in a heading that may be hours at the bench: less than a day, and none in which something rests, as in `Heron: 12 h later`."""
    time = TIME.search(heading)
    if time is None or _RESTS_BEHIND.match(heading, time.end()) or _RESTS_BEFORE.search(heading[: time.start()]):
        return None
    return time if int(time["many"]) < _DAY or time["unit"][0] in "mM" else None


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
    match = _KEY.match(visible(line))
    if match is None or is_sentence(word := plain_word(match["key"]), match["value"]):
        return False
    words, value = keys_of(NoteSheet), match["value"].strip()
    if word in words or match["apart"] is None:
        return word in words
    if word in _COUNTS and _FIGURE.fullmatch(value):
        return True
    meant = next((own for own, (_, declared) in words.items() if word in declared.instead_of and tells_a_key(declared.kind, value)), None)
    near = meant or nearest(word, words, 0.8)
    return near is not None and (word not in ELSEWHERE or reads_as(words[near][1].kind, value))


def _is_half_a_key(line: str, below: Sequence[str]) -> bool:
    """Whether a line is a key without its colon, `hours 2`, or the time of one, `2 h`; where what follows may be words, a key must stand below."""
    if TIME_ALONE.fullmatch(line.strip()):
        return True
    match = HALF_KEY.fullmatch(line.rstrip())
    if match is None or (word := plain_word(match["key"])) not in keys_of(NoteSheet):
        return False
    return tells_a_key(keys_of(NoteSheet)[word][1].kind, match["value"]) or (word == "stage" and len(match["value"].split()) < 4 and any(map(is_key, below)))


def _goes_on(line: str, above: str) -> bool:
    """Whether a line belongs to the key above it: an indented one, or one of a list."""
    return bool(line.strip()) and (line[0] in " \t" or (line.startswith("- ") and (above.rstrip().endswith(":") or above.startswith(("- ", " ")))))
