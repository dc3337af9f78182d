"""The files of a shop folder to one checked `Shop`.

Invariant: the order in which files are handed in changes nothing.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from purfle.base import meant
from purfle.base.memo import Latest
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.quantities import day as read_day
from purfle.base.trouble import Trouble, Troubles, Wrong
from purfle.notes.check import check
from purfle.notes.journal import parse_journal_day
from purfle.notes.links import as_address, is_address
from purfle.notes.model import Body, Build, Bulletin, Episode, Note, Shop
from purfle.notes.parse import Context, parse_bench_note, parse_build, parse_bulletin, parse_episode, parse_shop
from purfle.notes.records.shop import ShopSheet
from purfle.notes.retold import Retold
from purfle.notes.unshown import MAY_NAME

_DATED = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[-_ .].*)?\.(?i:md)")
_OTHER_TEXT = re.compile(
    r"(?:builds/[^/]+/(?:build|[0-9]{4}-[0-9]{2}-[0-9]{2}[^/]*)|journal/(?:episodes/|bulletins/)?[0-9]{4}-[0-9]{2}-[0-9]{2}[^/]*)\.(?:txt|text|markdown|mdown|mkd)"
    r"|(?:builds/[^/]+/|journal/(?:episodes/|bulletins/)?)(?:build|[0-9]{4}-[0-9]{2}-[0-9]{2}[^./]*)",
    re.IGNORECASE,
)
"""A note that an editor saved as another kind of text."""
_COPY = re.compile(r"conflict|\bcopy\b|\bkopie\b|\(\d+\)\.md$|~|\.sync-|\.orig\b|\.bak\b", re.IGNORECASE)


def read_shop(files: Mapping[str, bytes], assets: Iterable[str], today: date) -> tuple[Shop, tuple[Trouble, ...]]:
    """The shop that the files tell of, and every trouble found in them, sorted.

    `files` maps shop-relative names of notes (`shop.md`, `builds/…/*.md`, `journal/…/*.md`) to their bytes; `assets`
    names the pictures and sounds that exist. A file that can't be read leaves its trouble and nothing else.
    """
    troubles = Troubles()
    present = _ASSETS.get((), assets := frozenset(assets), lambda: assets)
    placed = _placed(files, troubles)
    for name in sorted(filter(_OTHER_TEXT.fullmatch, present)):
        _, point, ending = name.rpartition(".")
        ends = f"ends in .{ending}" if point else "has no ending"
        troubles.add(Place(name, 0), "file-out-of-place", f"it is named as a note and {ends}, so it is not read", "rename it so that it ends in .md")
    builds, names = _builds(placed, files, present, troubles)
    context = Context(present, _NAMES.get((), tuple(names.items()), lambda: names), troubles)
    settings, about = _settings(files, context)
    notes, episodes, bulletins = _dated(placed, files, context, today)
    unread = frozenset(item.folder for item in placed if item.folder) - {build.id for build in builds}
    notes = tuple(note for note in notes if note.build not in unread) if unread else notes
    shop = Shop(
        settings=settings,
        about=about,
        builds=tuple(builds),
        notes=notes,
        episodes=episodes,
        bulletins=bulletins,
        assets=context.assets,
        unread=unread,
        names=context.names,
    )
    check(shop, troubles)
    return shop, tuple(sorted(_once_each(troubles.found)))


def _once_each(told: Iterable[Trouble]) -> set[Trouble]:
    """What was told, less what is told at the very place as something worse: a picture that is not shown, and whose name would be read."""
    read = {trouble.place for trouble in told if trouble.code == "leak-file"}
    return {trouble for trouble in told if trouble.code != "picture-unshown" or trouble.place not in read}


_ASSETS, _NAMES = Latest(), Latest()
"""The last names of pictures and of builds: while they are equal they are the very same, and known at a glance."""


@dataclass(frozen=True, slots=True)
class _Spot:
    """A file that will be read, and as what."""

    file: str
    kind: str
    """shop, build, bench, journal, episode or bulletin; misnamed for a build sheet in other letters, which is not read."""
    folder: str
    """The build's folder; empty in the journal."""
    day: date | None


def _placed(files: Mapping[str, bytes], troubles: Troubles) -> tuple[_Spot, ...]:
    """Every file with its kind: build sheets by name, then all else by day and name. Names that can't be used, and what is there twice, are told."""
    spots, of_one_day, told = _spots(tuple(files))
    troubles.found.extend(told)
    twice = {file for some in of_one_day for file in _same_bytes(some, files, troubles)}
    return tuple(spot for spot in spots if spot.file not in twice) if twice else spots


@lru_cache(maxsize=2)
def _spots(names: tuple[str, ...]) -> tuple[tuple[_Spot, ...], tuple[tuple[str, ...], ...], tuple[Trouble, ...]]:
    """What the names alone tell: files and their kinds, those of one folder and day together, and troubles."""
    troubles = Troubles()
    found = [spot for file in _without_alike(names, troubles) if file != "shop.md" and (spot := _place(file, troubles))]
    spots = tuple(sorted(found, key=lambda spot: (spot.day or date.min, spot.file)))
    days: dict[tuple[str, date], list[str]] = {}
    for spot in spots:
        if spot.day is not None:
            days.setdefault((spot.file.rpartition("/")[0], spot.day), []).append(spot.file)
    return spots, tuple(tuple(sorted(some, key=lambda file: (len(file), file))) for some in days.values() if len(some) > 1), tuple(troubles.found)


def _same_bytes(some: tuple[str, ...], files: Mapping[str, bytes], troubles: Troubles) -> Iterator[str]:
    """Of files of one folder and day, those that say word for word what a shorter name says."""
    first: dict[bytes, str] = {}
    for file in some:
        if files[file].strip() and (other := first.setdefault(files[file], file)) != file:
            troubles.add(
                Place(file, 0),
                "file-copied",
                f"it says word for word what {other} says; it is not read",
                "delete one of the two; what was twice on that day is written twice in one file",
            )
            yield file


def _place(file: str, troubles: Troubles) -> _Spot | None:
    folders, _, name = file.rpartition("/")
    parts = folders.split("/")
    if _COPY.search(name):
        troubles.add(
            Place(file, 0),
            "file-copied",
            "the name says that a syncing program kept a second copy of a note; it is not read",
            "move what is new in it into the first file and delete this one",
        )
        return None
    if parts[0] == "builds" and len(parts) == 2:
        return _place_of_build(file, parts[1], name, troubles)
    kind = {"journal": "journal", "journal/episodes": "episode", "journal/bulletins": "bulletin"}.get(folders)
    if kind is None:
        troubles.add(
            Place(file, 0), "file-out-of-place", "a note lies where none is read", "move it to builds/<id>/, journal/, journal/episodes/ or journal/bulletins/"
        )
        return None
    return _place_dated(file, name, kind, troubles)


def _place_of_build(file: str, id: str, name: str, troubles: Troubles) -> _Spot | None:
    if not is_address(id):
        if name.casefold() == "build.md":
            wanted = as_address(id) or "another-name"
            troubles.add(
                Place(file, 0),
                "file-name-refused",
                f"the folder “{id}” can't be part of an address; nothing in it is read",
                f"rename it, for example to {wanted}: letters a to z, digits, - and _",
            )
        return None
    if name != "build.md" and name.casefold() == "build.md":
        return _Spot(file, "misnamed", id, None)
    return _Spot(file, "build", id, None) if name == "build.md" else _place_dated(file, name, "bench", troubles, id)


def _place_dated(file: str, name: str, kind: str, troubles: Troubles, folder: str = "") -> _Spot | None:
    match = _DATED.fullmatch(name)
    if not match:
        code, found = (
            ("file-date-bad", "the name begins with a date that is not year-month-day")
            if re.match(r"\d{2,4}[-._]?\d", name) or _DAY_FIRST.fullmatch(name)
            else ("file-out-of-place", "the name does not begin with a day, so the file is not read")
        )
        troubles.add(Place(file, 0), code, found, _name_mend(name))
        return None
    try:
        return _Spot(file, kind, folder, read_day(match[1]))
    except Wrong as wrong:
        troubles.add(Place(file, 0), "file-date-bad", wrong.found, "name the file after a day that exists")
        return None


_DAY_FIRST = re.compile(r"(\d{1,4}[-._ ‐-―]?\d{1,2}[-._ ‐-―]?\d{1,4})[-_ .]*(.*)\.(?i:md)")


def _name_mend(name: str) -> str:
    """What to call a file whose name does not begin with its day as a day is written."""
    first = _DAY_FIRST.fullmatch(name)
    words = f"-{first[2]}" if first and first[2] else ""
    likely = [f"{day}{words}.md" for day in meant.days(first[1])] if first else []
    return f"name it {' or '.join(likely)}" if likely else "name it after its day, such as 2026-03-14-words.md"


def _without_alike(files: Iterable[str], troubles: Troubles) -> list[str]:
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
            troubles.add(
                Place(file, 0),
                "file-names-alike",
                f"{other} and {first[_on_any_disk(other)]} differ only by case or by how an accent is stored; many disks hold only one of them",
                "rename one of the two",
            )
    return kept


def _on_any_disk(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def _settings(files: Mapping[str, bytes], context: Context) -> tuple[ShopSheet, Body]:
    if "shop.md" not in files:
        context.troubles.add(
            Place("shop.md", 0),
            "shop-missing",
            "there is no shop.md in this folder",
            "run purfle start in an empty folder, or write a shop.md with name: between fences",
        )
        return _NO_SETTINGS
    (found,) = _once(_Spot("shop.md", "shop", "", None), files["shop.md"], context) or (_NO_SETTINGS,)
    return found  # type: ignore[no-any-return]


_NO_SETTINGS = ShopSheet(name="", at=Place("shop.md", 1)), Body("", "shop.md", 1)


def _builds(placed: Iterable[_Spot], files: Mapping[str, bytes], assets: frozenset[str], troubles: Troubles) -> tuple[list[Build], dict[str, str]]:
    context = Context(assets, {}, troubles)
    sheets = [item for item in placed if item.kind == "build"]
    builds: list[Build] = [build for item in sheets for build in _once(item, files[item.file], context)]
    read = {item.folder for item in sheets}
    for item in (item for item in placed if item.kind == "misnamed"):
        read.add(item.folder)
        name = item.file.rpartition("/")[2]
        troubles.add(Place(item.file, 0), "build-sheet-missing", f"it is called {name} and not build.md, so it is not read", "rename it to build.md")
    for item in placed:
        if item.kind == "bench" and item.folder not in read:
            read.add(item.folder)
            troubles.add(
                Place(item.file, 0),
                "build-sheet-missing",
                f"the folder builds/{item.folder} has notes and no build.md",
                f"write builds/{item.folder}/build.md with title: between fences",
            )
    return builds, _names(builds, troubles)


def _names(builds: list[Build], troubles: Troubles) -> dict[str, str]:
    names = {folded(build.id): build.id for build in builds}
    for build in builds:
        title = folded(build.sheet.title)
        other = names.setdefault(title, build.id) if title else build.id
        if other != build.id:
            troubles.add(
                build.sheet.where("title"), "name-twice", f"the title {build.sheet.title} also names the build {other}", "give one of the two another title"
            )
    return names


def _dated(
    placed: Iterable[_Spot], files: Mapping[str, bytes], context: Context, today: date
) -> tuple[tuple[Note, ...], tuple[Episode, ...], tuple[Bulletin, ...]]:
    """Notes, episodes and bulletins, in the order of the files: by date, then file, then place in the file."""
    notes: list[Note] = []
    episodes: list[Episode] = []
    bulletins: list[Bulletin] = []
    family: dict[str, list[Any]] = {"bench": notes, "journal": notes, "episode": episodes, "bulletin": bulletins}
    for item in placed:
        if item.day is None:
            continue
        if item.day > today and item.kind in ("bench", "journal"):
            context.troubles.add(
                Place(item.file, 0),
                "file-later-than-today",
                f"the note is dated {item.day}, after {today}; it counts from its day on",
                "mend the date in its name, or leave it if it is right",
            )
        family[item.kind] += _once(item, files[item.file], context)
    return tuple(notes), tuple(episodes), tuple(bulletins)


def _once(spot: _Spot, data: bytes, context: Context) -> tuple[Any, ...]:
    """What a file comes to, nothing when it can't be read."""
    pictured, journal = _PICTURED.get(spot.file, data, lambda: MAY_NAME.search(data) is not None), spot.kind == "journal"
    asked = (data, context.assets if pictured else None, context.names if journal else None) if pictured or journal else data
    return _READ.get(spot.file, asked, lambda own: _parsed(spot, data, Context(context.assets, context.names, own)), context.troubles)


_PICTURED = Latest()
"""Whether each file may name a picture: to look through all of them takes longer than all else that is asked of those that stand as they did."""
_READ = Retold()
"""What each file came to, by its bytes and the names that it may ask for."""


def _parsed(spot: _Spot, data: bytes, context: Context) -> tuple[Any, ...]:
    """The notes of a journal day, or the one record that another file comes to."""
    file, day = spot.file, spot.day
    if day is None:
        found = parse_build(file, data, context) if spot.kind == "build" else parse_shop(file, data, context)
    elif spot.kind == "journal":
        return tuple(parse_journal_day(file, day, data, context))
    else:
        found = _DATED_READERS[spot.kind](file, day, data, context)
    return () if found is None else (found,)


_DATED_READERS: dict[str, Callable[[str, date, bytes, Context], Any]] = {"bench": parse_bench_note, "episode": parse_episode, "bulletin": parse_bulletin}
