"""The files of a shop folder to one checked `Shop`.

Invariant: the order in which files are handed in changes nothing.
"""

import re
import unicodedata
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import TypeVar

from purfle.base.names import folded
from purfle.base.memo import Memo
from purfle.base.place import Place
from purfle.base.quantities import day as read_day
from purfle.base.trouble import Trouble, Troubles, Wrong
from purfle.notes.check import check
from purfle.notes.model import Body, Build, Bulletin, Episode, Note, Shop
from purfle.notes.parse import Context, parse_bench_note, parse_build, parse_bulletin, parse_episode, parse_journal_day, parse_shop
from purfle.notes.records.shop import ShopSheet

T = TypeVar("T")

_DATED = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[-_ .].*)?\.md")
_COPY = re.compile(r"conflict|\bcopy\b|\bkopie\b|\(\d+\)\.md$|~|\.sync-|\.orig\b|\.bak\b", re.IGNORECASE)
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,79}")
_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10)), "index"}


def read_shop(files: Mapping[str, bytes], assets: Iterable[str], today: date) -> tuple[Shop, tuple[Trouble, ...]]:
    """The shop that the files tell of, and every trouble found in them, sorted.

    `files` maps shop-relative names of notes (`shop.md`, `builds/…/*.md`, `journal/…/*.md`) to their bytes; `assets`
    names the pictures and sounds that exist. A file that can't be read leaves its trouble and nothing else.
    """
    troubles = Troubles()
    _PARSED.turn()
    placed, present = _placed(files, troubles), frozenset(assets)
    builds, names = _builds(placed, present, troubles)
    context = Context(present, names, troubles)
    settings, about = _settings(files, context)
    notes, episodes, bulletins = _dated(placed, context, today)
    unread = frozenset(item.file.split("/")[1] for item in placed if item.kind in ("build", "bench")) - {build.id for build in builds}
    notes = tuple(note for note in notes if note.build not in unread)
    shop = Shop(settings, about, tuple(builds), notes, episodes, bulletins, context.assets, unread, names)
    check(shop, troubles)
    return shop, tuple(sorted(set(troubles.found)))


@dataclass(frozen=True, slots=True)
class _File:
    """A file that will be read, and as what."""

    file: str
    data: bytes
    kind: str
    """build, bench, journal, episode or bulletin."""
    day: date | None


def _placed(files: Mapping[str, bytes], troubles: Troubles) -> list[_File]:
    """Every file with its kind; names that can't be used are told. Sorted by name."""
    found = []
    for file in _without_alike(files, troubles):
        if file != "shop.md" and (placed := _place(file, files[file], troubles)):
            found.append(placed)
    _check_same_bytes(found, troubles)
    return found


def _place(file: str, data: bytes, troubles: Troubles) -> _File | None:
    folders, _, name = file.rpartition("/")
    parts = folders.split("/")
    if _COPY.search(name):
        troubles.add(Place(file, 0), "file-copied", "the name says that a syncing program kept a second copy of a note; it is not read", "move what is new in it into the first file and delete this one")
        return None
    if parts[0] == "builds" and len(parts) == 2:
        return _place_of_build(file, parts[1], name, data, troubles)
    kind = {"journal": "journal", "journal/episodes": "episode", "journal/bulletins": "bulletin"}.get(folders)
    if kind is None:
        troubles.add(Place(file, 0), "file-out-of-place", "a note lies where none is read", "move it to builds/<id>/, journal/, journal/episodes/ or journal/bulletins/")
        return None
    return _place_dated(file, name, data, kind, troubles)


def _place_of_build(file: str, id: str, name: str, data: bytes, troubles: Troubles) -> _File | None:
    if not _ID.fullmatch(id) or id.casefold() in _RESERVED:
        if name == "build.md":
            wanted = re.sub(r"[^A-Za-z0-9_-]+", "-", id).strip("-_")[:80].lower() or "another-name"
            troubles.add(Place(file, 0), "file-name-refused", f"the folder “{id}” can't be part of an address; nothing in it is read", f"rename it, for example to {wanted}: letters a to z, digits, - and _")
        return None
    return _File(file, data, "build", None) if name == "build.md" else _place_dated(file, name, data, "bench", troubles)


def _place_dated(file: str, name: str, data: bytes, kind: str, troubles: Troubles) -> _File | None:
    match = _DATED.fullmatch(name)
    if not match:
        code, found = ("file-date-bad", "the name begins with a date that is not year-month-day") if re.match(r"\d{2,4}[-._]?\d", name) else ("file-out-of-place", "the name does not begin with a day, so the file is not read")
        troubles.add(Place(file, 0), code, found, "name it after its day, such as 2026-03-14-words.md")
        return None
    try:
        return _File(file, data, kind, read_day(match[1]))
    except Wrong as wrong:
        troubles.add(Place(file, 0), "file-date-bad", wrong.found, "name the file after a day that exists")
        return None


def _without_alike(files: Mapping[str, bytes], troubles: Troubles) -> list[str]:
    """The names of all files, sorted, less those that many disks could not tell from one before them."""
    first: dict[str, str] = {}
    told: set[str] = set()
    kept = []
    for file in sorted(files):
        folder = "/".join(file.split("/")[:2]) if file.startswith("builds/") else ""
        other = next((name for name in (folder, file) if first.setdefault(_on_any_disk(name), name) != name), None)
        if other is None:
            kept.append(file)
        elif other not in told:
            told.add(other)
            troubles.add(Place(file, 0), "file-names-alike", f"{other} and {first[_on_any_disk(other)]} differ only by case or by how an accent is stored; many disks hold only one of them", "rename one of the two")
    return kept


def _on_any_disk(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def _check_same_bytes(placed: list[_File], troubles: Troubles) -> None:
    seen: dict[tuple[str, date | None, bytes], str] = {}
    for item in sorted(placed, key=lambda item: (len(item.file), item.file)):
        if item.kind == "build" or not item.data.strip():
            continue
        key = (item.file.rpartition("/")[0], item.day, item.data)
        first = seen.setdefault(key, item.file)
        if first != item.file:
            troubles.add(Place(item.file, 0), "file-copied", f"it says word for word what {first} says; it is not read", "delete one of the two")
            placed.remove(item)


def _settings(files: Mapping[str, bytes], context: Context) -> tuple[ShopSheet, Body]:
    empty = ShopSheet(name="", at=Place("shop.md", 1)), Body("", "shop.md", 1)
    if "shop.md" not in files:
        context.troubles.add(Place("shop.md", 0), "shop-missing", "there is no shop.md in this folder", "run purfle start in an empty folder, or write a shop.md with name: between fences")
        return empty
    return _once("shop.md", files["shop.md"], context, lambda own: parse_shop("shop.md", files["shop.md"], own)) or empty


def _builds(placed: list[_File], assets: frozenset[str], troubles: Troubles) -> tuple[list[Build], dict[str, str]]:
    context = Context(assets, {}, troubles)
    builds = [build for item in placed if item.kind == "build" and (build := _once(item.file, item.data, context, partial(parse_build, item.file, item.data)))]
    read = {item.file.split("/")[1] for item in placed if item.kind == "build"}
    for item in placed:
        id = item.file.split("/")[1]
        if item.kind == "bench" and id not in read:
            read.add(id)
            troubles.add(Place(item.file, 0), "build-sheet-missing", f"the folder builds/{id} has notes and no build.md", f"write builds/{id}/build.md with title: between fences")
    return builds, _names(builds, troubles)


def _names(builds: list[Build], troubles: Troubles) -> dict[str, str]:
    names = {build.id.casefold(): build.id for build in builds}
    for build in builds:
        title = folded(build.sheet.title)
        other = names.setdefault(title, build.id) if title else build.id
        if other != build.id:
            troubles.add(build.sheet.where("title"), "name-twice", f"the title {build.sheet.title} also names the build {other}", "give one of the two another title")
    return names


def _dated(placed: list[_File], context: Context, today: date) -> tuple[tuple[Note, ...], tuple[Episode, ...], tuple[Bulletin, ...]]:
    notes: list[Note] = []
    episodes: list[Episode] = []
    bulletins: list[Bulletin] = []
    known = tuple(sorted(context.names.items())) if Memo.keeping else ()
    for item in placed:
        if item.day is None:
            continue
        if item.kind in ("bench", "journal") and item.day > today:
            context.troubles.add(Place(item.file, 0), "file-later-than-today", f"the note is dated {item.day}, after {today}; it counts from its day on", "mend the date in its name, or leave it if it is right")
        if item.kind == "journal":
            notes.extend(_once(item.file, item.data, context, partial(_days, item.file, item.day, item.data), known))
        elif item.kind == "bench":
            notes.extend(_some(_once(item.file, item.data, context, partial(parse_bench_note, item.file, item.day, item.data))))
        elif item.kind == "episode":
            episodes.extend(_some(_once(item.file, item.data, context, partial(parse_episode, item.file, item.day, item.data))))
        else:
            bulletins.extend(_some(_once(item.file, item.data, context, partial(parse_bulletin, item.file, item.day, item.data))))
    notes.sort(key=lambda note: (note.date, note.file, note.at.line))
    return tuple(notes), tuple(sorted(episodes, key=lambda e: (e.date, e.file))), tuple(sorted(bulletins, key=lambda b: (b.date, b.file)))


_PARSED = Memo()
"""What each file came to, with its troubles, by its name, its bytes and the names it may ask for."""


def _once(file: str, data: bytes, context: Context, read: Callable[[Context], T], names: Hashable = ()) -> T:
    """What a file comes to; its troubles are told again when it was read before. `names` are those it may ask for beside the pictures' own."""
    if not Memo.keeping:
        return read(context)

    def fresh() -> tuple[T, tuple[Trouble, ...]]:
        own = Troubles()
        return read(replace(context, troubles=own)), tuple(own.found)

    value, told = _PARSED.get((file, data, context.assets if b"![" in data else (), names), fresh)
    context.troubles.found.extend(told)
    return value


def _days(file: str, day: date, data: bytes, context: Context) -> tuple[Note, ...]:
    return tuple(parse_journal_day(file, day, data, context))


def _some(value: T | None) -> Iterator[T]:
    if value is not None:
        yield value
