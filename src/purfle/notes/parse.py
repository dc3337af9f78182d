"""One file of the shop folder to its typed record and body.

Invariant: looks at one file at a time; what only another file can tell is the business of `purfle.notes.check`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, TypeVar

from purfle.base.memo import Memo
from purfle.base.place import Place
from purfle.base.trouble import Troubles, Wrong
from purfle.notes.bodies.body import pictures, stored, unshown
from purfle.notes.bodies.private import without_private
from purfle.notes.frontmatter.text import PHOTOS, Halves, read_text
from purfle.notes.frontmatter.tree import Mapping, Node, compose
from purfle.notes.keys_in_text import tell_keys
from purfle.notes.model import HEAD_PICTURES, Body, Build, Bulletin, Episode, Note
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.everywhere import ELSEWHERE
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.retold import retold
from purfle.notes.vocabulary.fields import Reading, Record, keys_of, words_under
from purfle.notes.vocabulary.mapping import read_record

R = TypeVar("R", bound=Record)
D = TypeVar("D", NoteSheet, EpisodeSheet, BulletinSheet)


@dataclass(frozen=True, slots=True)
class Context:
    """What reading a file may need of the rest of the folder: names only, never contents."""

    assets: frozenset[str]
    names: dict[str, str]
    """Casefolded id or title → build id."""
    troubles: Troubles


def sheet_of(record: type[R], file: str, data: bytes, troubles: Troubles) -> tuple[R, Halves] | None:
    """The record and the halves of a file; None when the file or its frontmatter can't be read at all."""
    text = read_text(file, data, keys_of(record), troubles)
    if text is None:
        return None

    def read(own: Troubles) -> R | None:
        tree = compose(text.block, file, own, keys_of(record), words_under(record)) if text.block else None
        if tree is None and own.found:
            if text.swallowed:  # which is told, and is the cause
                own.found.clear()
            return None
        return record_of(record, tree, Place(file, 1), own, text.swallowed)

    sheet = retold(SHEETS, (record, file), text.block, read, troubles)
    return None if sheet is None else (sheet, text)


SHEETS = Memo()
"""The last record of each file and part by its text: a change of the body alone leaves the very same record in memory."""


def record_of(record: type[R], tree: Node | None, start: Place, troubles: Troubles, swallowed: frozenset[int]) -> R | None:
    """The record of a tree, an empty one when there is no tree; None when it holds no keys at all, which is told. `swallowed` is as in `Halves`."""
    try:
        return read_record(record, tree if tree is not None else Mapping((), start), Reading(troubles, ELSEWHERE, swallowed))
    except Wrong as wrong:
        troubles.wrong(tree.at if tree is not None else start, wrong)
        return None


def _body(text: Halves, folder: str, context: Context, record: type[Record]) -> Body:
    clean = without_private(text.body, text.body_start, context.troubles)
    tell_keys(clean.split("\n"), text.body_start, record, UP if text.block else _FENCED, context.troubles)
    return shown_body(clean, text.body_start, folder, context)


def shown_body(text: str, start: Place, folder: str, context: Context) -> Body:
    """The body that a text comes to; pictures that it names and does not show are told."""
    for name, at in unshown(text, start, folder, context.assets):
        context.troubles.add(at, "picture-unshown", f"{name} is named here and not shown", f"write ![what it shows]({name}), or name it in other words")
    return Body(text, start.file, start.line, tuple(pictures(text, start, folder, context.assets)))


UP = "move it up between the two --- lines, or say it in other words if it was never meant as a key"
_FENCED = "move it to the top of the file, between two lines of ---, or say it in other words if it was never meant as a key"


def folder_of(file: str) -> str:
    """The folder a file lies in, by its name."""
    return file.rpartition("/")[0]


# --- each kind of file -----------------------------------------------------------------------------------------------


def parse_shop(file: str, data: bytes, context: Context) -> tuple[ShopSheet, Body] | None:
    """shop.md: the settings, and the about page as body, whose pictures lie in a folder of their own and are no build's."""
    found = sheet_of(ShopSheet, file, data, context.troubles)
    own = frozenset(path for path in context.assets if path.startswith(f"{PHOTOS}/"))
    return found and (found[0], _body(found[1], "", replace(context, assets=own), ShopSheet))


def parse_build(file: str, data: bytes, context: Context) -> Build | None:
    """A build sheet."""
    found = sheet_of(BuildSheet, file, data, context.troubles)
    if found is None:
        return None
    sheet = _as_stored(found[0], HEAD_PICTURES, folder_of(file), context)
    return Build(file.split("/")[1], file, sheet, _body(found[1], folder_of(file), context, BuildSheet))


def parse_bench_note(file: str, day: date, data: bytes, context: Context) -> Note | None:
    """A bench note, about the build in whose folder it lies."""
    found = _dated(NoteSheet, file, day, data, context)
    return found and Note(file, day, file.split("/")[1], *found, start_of(found[0], file))


def parse_episode(file: str, day: date, data: bytes, context: Context) -> Episode | None:
    """An episode."""
    found = _dated(EpisodeSheet, file, day, data, context)
    return found and Episode(file, day, _as_stored(found[0], ("still",), folder_of(file), context), found[1])


def parse_bulletin(file: str, day: date, data: bytes, context: Context) -> Bulletin | None:
    """A bulletin."""
    found = _dated(BulletinSheet, file, day, data, context)
    return found and Bulletin(file, day, *found)


def _as_stored(sheet: R, keys: Iterable[str], folder: str, context: Context) -> R:
    """A sheet whose pictures are named as their files are stored."""
    changes: dict[str, Any] = {}
    for key in keys:
        if (name := getattr(sheet, key)) and not name.isascii():
            changes[key] = stored(f"{folder}/{name}", context.assets).removeprefix(f"{folder}/")
    return replace(sheet, **changes) if changes else sheet


def _dated(record: type[D], file: str, day: date, data: bytes, context: Context) -> tuple[D, Body] | None:
    """The record and the body of a file that is named after its day."""
    found = sheet_of(record, file, data, context.troubles)
    if found is None:
        return None
    sheet, text = found
    check_date(sheet, day, context.troubles)
    return sheet, _body(text, folder_of(file), context, record)


def start_of(sheet: Record, file: str) -> Place:
    """Where a note begins: at its first key, or with the file."""
    return sheet.at if sheet.at.line else Place(file, 1)


def check_date(sheet: NoteSheet | EpisodeSheet | BulletinSheet, day: date, troubles: Troubles) -> None:
    """Tell of a date among the keys that is not the one of the file's name."""
    if sheet.date is not None and sheet.date != day:
        found = f"date: {sheet.date} stands here and the file's name says {day}"
        troubles.add(sheet.where("date"), "date-disagrees", found, "change one of the two, or leave the key out")
