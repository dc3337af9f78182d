"""A day in the journal: the day as such, and the part that each heading gives to a build.

A heading names a build when it is the build's id or title, alone or followed by a colon, comma, dash or bracket; what is nearly
one is told, and its text stays private.
Invariant: knows builds by their names alone.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from purfle.base.names import folded
from purfle.base.near import nearest, swapped
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.bodies.headings import Heading, endings, headings, headings_in_code, meant, outside_code
from purfle.notes.bodies.private import without_private
from purfle.notes.frontmatter.text import is_fence, mended
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.keys_in_text import flat_lines, is_key, tell_keys, time_spent
from purfle.notes.model import Note
from purfle.notes.parse import SHEETS, UP, Context, check_date, folder_of, record_of, sheet_of, shown_body, start_of
from purfle.notes.records.note import NoteSheet
from purfle.notes.retold import retold
from purfle.notes.vocabulary.fields import keys_of, words_under

_UNDER_HEADING = "write it, and the keys below it, as plain lines right under the heading, before any other words and with nothing between"
_TO_A_BUILD = "write it right under a heading that is the name of a build alone, or at the top between two lines of --- with its build:"


def parse_journal_day(file: str, day: date, data: bytes, context: Context) -> Iterator[Note]:
    """A day at the shop: the day as such, then a note for each part that a heading gives to a build.

    A part runs to the next heading of the same or a higher level. Text outside parts is private.
    """
    found = sheet_of(NoteSheet, file, data, context.troubles)
    if found is None:
        return
    sheet, text = found
    check_date(sheet, day, context.troubles)
    clean = without_private(text.body, text.body_start, context.troubles)
    build = context.names.get(folded(sheet.build)) if sheet.build else None
    # A day that says `build:` is about that build as a whole; otherwise its own text is private and holds no body.
    body = shown_body(clean if build else "", text.body_start, f"builds/{build}" if build else folder_of(file), context)
    yield Note(file, day, build, sheet, body, start_of(sheet, file), of_journal=True)
    lines, first = clean.split("\n"), text.body_start
    if build:
        tell_keys(lines, first, NoteSheet, UP, context.troubles)
    else:
        yield from _of_parts(lines, first, day, sheet.showroom, context)


def _of_parts(lines: list[str], first: Place, day: date, showroom: bool, context: Context) -> Iterator[Note]:
    """The notes of a day's parts; keys that stand outside of them, or too late in them, are told. `first` is the place of the first line.

    Without `showroom` the day as a whole is kept off the public log, whatever its parts say.
    """
    read = 0
    for part in _parts(lines, first, context):
        tell_keys(lines[read : part.start], first.down(read), NoteSheet, _TO_A_BUILD, context.troubles)
        if part.build is not None:
            yield _note_of(part, part.build, lines, first, day, showroom, context)
        read = part.end
    tell_keys(lines[read:], first.down(read), NoteSheet, _TO_A_BUILD, context.troubles)


@dataclass(frozen=True, slots=True)
class _Part:
    """What a heading gives to a build: lines of the day's text, counted from 0."""

    build: str | None
    """None when the heading is only nearly a build's name, which is told."""
    start: int
    """The line of the heading."""
    under: int
    """The first line under it."""
    end: int
    """The line on which it ends, not included."""


def _parts(lines: list[str], first: Place, context: Context) -> Iterator[_Part]:
    stops = _stops(lines, context)
    covered, about = 0, None
    for heading in _with_almost(lines, context):
        if _is_of_keys(heading):
            continue
        at = first.down(heading.line, heading.level + 2)
        before = len(context.troubles.found)
        build = _named_build(heading, at, about if heading.line < covered else None, context)
        if heading.line < covered or (build is None and len(context.troubles.found) == before):
            continue
        covered = next(line for line, level in stops[bisect_right(stops, (heading.line, _LOWEST)) :] if level <= heading.level)
        about = build
        yield _Part(build, heading.line, heading.line + heading.length, covered)
    _tell_in_code(lines, first, context)


_LOWEST = 6


def _stops(lines: list[str], context: Context) -> list[tuple[int, int]]:
    """Where parts end, each with the level of the heading there: one that names a build ends any part, and so does the end of the day."""
    ends = [*(ending for ending in endings(lines) if not _is_of_keys(ending)), *(line for line in _with_almost(lines, context) if not line.length)]
    return [*sorted((end.line, 1 if _is_build(end.words, context) else end.level) for end in ends), (len(lines), 1)]


def _is_of_keys(heading: Heading) -> bool:
    """Whether what is underlined is a key over a fence, and so no title."""
    return heading.length == 2 and is_key(heading.words)


def _tell_in_code(lines: list[str], first: Place, context: Context) -> None:
    for heading in headings_in_code(lines):
        if _is_build(heading.words, context):
            found = f"the heading “{heading.words}” stands inside a code block, so it begins no part of that build"
            context.troubles.add(first.down(heading.line), "part-name-near", found, "close the code block above it with ```, or take the # away")


def _is_build(words: str, context: Context) -> bool:
    return folded(_bare(words)) in context.names


_PRIVATE = re.compile(r"\b(?:priv|secret|showroom|(?:do )?not (?:public|show))", re.IGNORECASE)


_LINKED = re.compile(r"^\[+([^\[\]]+)\]+(?:\([^()]*\))?")
"""A name that is a link."""


def _bare(words: str) -> str:
    """A heading's words without emphasis marks and without what follows a colon, comma, dash or bracket, and signs such as pictures at its end.

    Words of what is private are left: such a heading is no build's name, and is told.
    """
    plain = " ".join(_LINKED.sub(r"\1", re.sub(r"[*_`]", "", words).strip()).split())
    if _PRIVATE.search(plain):
        return plain
    name = re.split(r"\s*[:,]\s|\s+[–—-]\s+|\s+[(\[]|[:,]$", plain, maxsplit=1)[0]
    return re.sub(r"\s+[^\w\s)]+$", "", name).strip()


def _with_almost(lines: list[str], context: Context) -> Iterator[Heading]:
    """The headings, and those lines that are none for Markdown and can't be meant otherwise: `##Heron`, or `**Heron**` over keys."""
    found = {heading.line: heading for heading in headings(lines)}
    for number, line in outside_code(lines):
        if number in found:
            yield found[number]
        elif folded(name := (plain := meant(line).strip()).strip("#*_: ")) in context.names and (
            plain.startswith("#") or _is_set_apart(lines, number, plain != name)
        ):
            yield Heading(1, name, number, 0)


_LISTED = re.compile(r"[ \t]*\*[ \t]")


def _is_set_apart(lines: list[str], number: int, marked: bool) -> bool:
    """Whether a line of a name alone stands as a heading would: over keys, or below an empty line, with marks about it or an empty line under it.

    The star of a list is no mark about it: `* Heron` may be one of several names, as `- Heron` is.
    """
    above, below = lines[number - 1] if number else "", lines[number + 1] if number + 1 < len(lines) else ""
    if flat_lines(lines[number + 1 :]):
        return True
    return not above.strip() and not _LISTED.match(lines[number]) and (marked or not below.strip())


def _named_build(heading: Heading, at: Place, within: str | None, context: Context) -> str | None:
    """The build that a heading names, and of one that nearly does a trouble; not of a heading `within` the part of that very build, for nothing is lost there."""
    words = heading.words
    plain = folded(re.sub(r"[*_`]", "", words))
    build = context.names.get(plain) or context.names.get(folded(_bare(words)))
    if not heading.length:
        context.troubles.add(
            replace(at, column=1), "part-name-near", f"a line with the name {words} is no heading; what follows it is no build's", f"write ## {words}"
        )
        return None
    if build is None and plain:
        near = (
            nearest(_without_time(plain), context.names, 0.8)
            or _begins(plain, context)
            or _behind_a_word(plain, context)
            or swapped(folded(_bare(words)), context.names)
        )
        if near and (meant_for := context.names[folded(near)]) != within:
            found = f"the heading “{words}” is nearly the name of the build {meant_for}; its text {f'still belongs to {within}' if within else 'stays private'}"
            context.troubles.add(at, "part-name-near", found, _heading_mend(plain, near, context))
    return build


def _without_time(plain: str) -> str:
    """The words before the time spent that a heading ends with."""
    return plain[: time.start()].rstrip(" :,(–—-") if (time := time_spent(plain)) and time.end() >= len(plain.rstrip(")")) else plain


def _heading_mend(plain: str, near: str, context: Context) -> str:
    if len({build for name, build in context.names.items() if f" {name} " in f" {plain} "}) > 1:
        return "give each build a heading of its own, with its own hours"
    spent = f", with hours: {time[0]} on the line below it" if (time := time_spent(plain)) else ""
    return f"write the heading as {near}, alone or with a colon after it{spent}, or choose other words"


_AFTER = frozenset(" :,([–—")


def _begins(plain: str, context: Context) -> str | None:
    return next((name for name in sorted(context.names, key=len, reverse=True) if plain.startswith(name) and plain[len(name) : len(name) + 1] in _AFTER), None)


_BEFORE_NAME = re.compile(r"(?:(?:the|an?|my|our|on|\d{1,2}[.)]) )+")


def _behind_a_word(plain: str, context: Context) -> str | None:
    """The name that stands alone behind an article or a number: `the Heron`, `1. Heron`."""
    before = _BEFORE_NAME.match(plain)
    name = folded(_bare(plain[before.end() :])) if before else ""
    return name if name in context.names else None


def _note_of(part: _Part, build: str, lines: list[str], first: Place, day: date, showroom: bool, context: Context) -> Note:
    at, under = first.down(part.start), first.down(part.under)
    words = part.under + flat_lines(lines[part.under : part.end])
    flat = lines[part.under : words]
    sheet = retold(SHEETS, (at.file, at.line), (showroom, *flat), lambda own: _sheet(flat, under, at, showroom, own), context.troubles)
    if not sheet.wrote("hours") and (time := time_spent(lines[part.start])):
        at_time = replace(at, column=time.start() + 1)
        context.troubles.add(
            at_time, "key-in-text", f"{time[0]} stands in the heading, where it counts as no hours", f"write hours: {time[0]} on the line below it"
        )
    tell_keys(lines[words : part.end], first.down(words), NoteSheet, _UNDER_HEADING, context.troubles)
    body = shown_body("\n".join(lines[words : part.end]), first.down(words), f"builds/{build}", context)
    return Note(at.file, day, build, sheet, body, at, of_journal=True)


def _sheet(flat: list[str], under: Place, at: Place, showroom: bool, troubles: Troubles) -> NoteSheet:
    """The record of a part that begins `at`, of the flat lines right under its heading; one of a day that stays off the public log stays off it, too."""
    plain = ["#" if is_fence(line) else line for line in mended(flat, under, troubles)]
    swallowed = list(troubles.found)
    tree = compose_bare("\n".join(plain), under, troubles, keys_of(NoteSheet), words_under(NoteSheet)) if flat else None
    if tree is None and swallowed:  # by a #: that the rest can't be read then is no cause of its own
        troubles.found[:] = swallowed
    read = record_of(NoteSheet, tree, under, troubles, frozenset(told.place.line for told in swallowed)) if tree is not None else None
    sheet = read or NoteSheet(at=at)
    return sheet if showroom else replace(sheet, showroom=False)
