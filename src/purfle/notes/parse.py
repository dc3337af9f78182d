"""One file of the shop folder to its typed record and body.

Invariant: looks at one file at a time; what only another file can tell is the business of `purfle.notes.check`.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Troubles, Wrong, nearest
from purfle.notes.body import body_of, headings, without_private
from purfle.notes.fields import Reading, Record, keys_of, plain_word, read_record, words_under
from purfle.notes.model import Body, Build, Bulletin, Episode, Note
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.retold import Retold
from purfle.notes.text import PHOTOS, Text, read_text
from purfle.notes.tree import Mapping, Node, compose, compose_bare

R = TypeVar("R", bound=Record)
D = TypeVar("D", NoteSheet, EpisodeSheet, BulletinSheet)


@dataclass(frozen=True, slots=True)
class Context:
    """What reading a file may need of the rest of the folder: names only, never contents."""

    assets: frozenset[str]
    names: dict[str, str]
    """Casefolded id or title → build id."""
    troubles: Troubles


ELSEWHERE = frozenset().union(*(words_under(record) for record in (BuildSheet, NoteSheet, EpisodeSheet, BulletinSheet, ShopSheet)))
"""Every word that is a key anywhere."""


def sheet_of(record: type[R], file: str, data: bytes, troubles: Troubles) -> tuple[R, Text] | None:
    """The record and the halves of a file; None when the file or its frontmatter can't be read at all."""
    text = read_text(file, data, keys_of(record), troubles)
    if text is None:
        return None

    def read(own: Troubles) -> R | None:
        tree = compose(text.block, file, own) if text.block else None
        return None if tree is None and own.found else _record(record, tree, Place(file, 1), own)

    sheet = _RECORDS.get((record, file), text.block, read, troubles)
    return None if sheet is None else (sheet, text)


_RECORDS = Retold()
"""The last record of each file and part by its text: a change of the body alone leaves the very same record in memory."""


def _record(record: type[R], tree: Node | None, start: Place, troubles: Troubles) -> R | None:
    try:
        return read_record(record, tree if tree is not None else Mapping((), start), Reading(troubles, ELSEWHERE))
    except Wrong as wrong:
        troubles.wrong(tree.at if tree is not None else start, wrong)
        return None


def _body(text: Text, folder: str, context: Context) -> Body:
    clean = without_private(text.body, text.file, text.body_line, context.troubles)
    return body_of(clean, text.file, text.body_line, folder, context.assets)


def _folder(file: str) -> str:
    return file.rpartition("/")[0]


# --- each kind of file -----------------------------------------------------------------------------------------------


def parse_shop(file: str, data: bytes, context: Context) -> tuple[ShopSheet, Body] | None:
    """shop.md: the settings, and the about page as body, whose pictures lie in a folder of their own and are no build's."""
    found = sheet_of(ShopSheet, file, data, context.troubles)
    own = frozenset(path for path in context.assets if path.startswith(f"{PHOTOS}/"))
    return found and (found[0], _body(found[1], "", replace(context, assets=own)))


def parse_build(file: str, data: bytes, context: Context) -> Build | None:
    """A build sheet."""
    found = sheet_of(BuildSheet, file, data, context.troubles)
    return found and Build(file.split("/")[1], file, found[0], _body(found[1], _folder(file), context))


def parse_bench_note(file: str, day: date, data: bytes, context: Context) -> Note | None:
    """A bench note, about the build in whose folder it lies."""
    found = _dated(NoteSheet, file, day, data, context)
    return found and Note(file, day, file.split("/")[1], *found, _start(found[0], file))


def parse_episode(file: str, day: date, data: bytes, context: Context) -> Episode | None:
    """An episode."""
    found = _dated(EpisodeSheet, file, day, data, context)
    return found and Episode(file, day, *found)


def parse_bulletin(file: str, day: date, data: bytes, context: Context) -> Bulletin | None:
    """A bulletin."""
    found = _dated(BulletinSheet, file, day, data, context)
    return found and Bulletin(file, day, *found)


def _dated(record: type[D], file: str, day: date, data: bytes, context: Context) -> tuple[D, Body] | None:
    """The record and the body of a file that is named after its day."""
    found = sheet_of(record, file, data, context.troubles)
    if found is None:
        return None
    sheet, text = found
    _check_date(sheet, day, context.troubles)
    return sheet, _body(text, _folder(file), context)


def _start(sheet: Record, file: str) -> Place:
    return sheet.at if sheet.at.line else Place(file, 1)


def _check_date(sheet: NoteSheet | EpisodeSheet | BulletinSheet, day: date, troubles: Troubles) -> None:
    if sheet.date is not None and sheet.date != day:
        troubles.add(
            sheet.where("date"),
            "date-disagrees",
            f"date: {sheet.date} stands here and the file's name says {day}",
            "change one of the two, or leave the key out",
        )


# --- a journal day and its parts -------------------------------------------------------------------------------------


def parse_journal_day(file: str, day: date, data: bytes, context: Context) -> Iterator[Note]:
    """A day at the shop: the day as such, then a note for each part that a heading gives to a build.

    A part runs to the next heading of the same or a higher level. Text outside parts is private.
    """
    found = sheet_of(NoteSheet, file, data, context.troubles)
    if found is None:
        return
    sheet, text = found
    _check_date(sheet, day, context.troubles)
    clean = without_private(text.body, file, text.body_line, context.troubles)
    build = context.names.get(folded(sheet.build)) if sheet.build else None
    # A day that says `build:` is about that build as a whole; otherwise its own text is private and holds no body.
    body = body_of(clean if build else "", file, text.body_line, f"builds/{build}" if build else _folder(file), context.assets)
    yield Note(file, day, build, sheet, body, _start(sheet, file), of_journal=True)
    if not build:
        for part in _parts(clean, file, text.body_line, context):
            yield _note_of(part, day, context)


@dataclass(frozen=True, slots=True)
class _Part:
    """What a heading gives to a build."""

    build: str
    heading: Place
    """The line of the heading."""
    lines: list[str]
    """The lines under it."""


def _parts(text: str, file: str, first_line: int, context: Context) -> Iterator[_Part]:
    found, lines = list(headings(text)), text.split("\n")
    covered = 0
    for index, heading in enumerate(found):
        at = Place(file, first_line + heading.line, heading.level + 2)
        build = _named_build(heading.words, at, context)
        if build is None or heading.line < covered:
            continue
        covered = next((later.line for later in found[index + 1 :] if later.level <= heading.level or _is_build(later.words, context)), len(lines))
        yield _Part(build, Place(file, first_line + heading.line), lines[heading.line + 1 : covered])


def _is_build(words: str, context: Context) -> bool:
    return folded(_bare(words)) in context.names


def _bare(words: str) -> str:
    """A heading's words without emphasis marks and without what follows a colon, comma or dash."""
    plain = re.sub(r"[*_`]", "", words)
    return re.split(r"\s*[:,]\s|\s+[–—-]\s+|[:,]$", plain, maxsplit=1)[0].strip()


def _named_build(words: str, at: Place, context: Context) -> str | None:
    plain = folded(re.sub(r"[*_`]", "", words))
    build = context.names.get(plain) or context.names.get(folded(_bare(words)))
    if build is None and plain:
        near = nearest(plain, context.names, 0.8) or _begins(plain, context)
        if near:
            context.troubles.add(
                at,
                "part-name-near",
                f"the heading “{words}” is nearly the name of the build {context.names[folded(near)]}; its text stays private",
                f"write the heading as {near}, alone or with a colon after it, or choose other words",
            )
    return build


def _begins(plain: str, context: Context) -> str | None:
    return next((name for name in sorted(context.names, key=len, reverse=True) if plain.startswith(name + " ")), None)


def _note_of(part: _Part, day: date, context: Context) -> Note:
    at = part.heading
    count = _flat_lines(part.lines)
    flat, words = part.lines[:count], part.lines[count:]
    sheet = _RECORDS.get((at.file, at.line), tuple(flat), lambda own: _flat(flat, at, own), context.troubles)
    body = body_of("\n".join(words), at.file, at.line + 1 + count, f"builds/{part.build}", context.assets)
    return Note(at.file, day, part.build, sheet, body, at, of_journal=True)


def _flat(lines: list[str], heading: Place, troubles: Troubles) -> NoteSheet:
    """The record of the flat lines right under a heading; an empty one when there are none or they can't be read."""
    tree = compose_bare("\n".join(lines), heading.file, heading.line + 1, troubles) if lines else None
    return (_record(NoteSheet, tree, heading, troubles) if tree is not None else None) or NoteSheet(at=heading)


def _flat_lines(lines: list[str]) -> int:
    """How many lines right under a heading are flat keys; blank lines before them count in."""
    words = keys_of(NoteSheet)
    count = 0
    for number, line in enumerate(lines):
        match = re.match(r"([A-Za-z_]+):(\s|$)", line)
        known = match and (plain_word(match[1]) in words or nearest(plain_word(match[1]), words, 0.8))
        if known:
            count = number + 1
        elif line.strip() or count:
            break
    return count
