"""The files of a shop folder to one checked `Shop`.

Invariant: the order in which files are handed in changes nothing.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date
from functools import partial
from itertools import chain
from typing import NamedTuple, TypeVar

from purfle.base.groups import lots
from purfle.base.memo import Memo, steady, very
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles
from purfle.notes.bodies.body import MAY_NAME
from purfle.notes.check import check
from purfle.notes.checks.addresses import as_address
from purfle.notes.journal import parse_journal_day
from purfle.notes.model import Body, Build, Bulletin, Episode, Note, Shop
from purfle.notes.parse import Context, parse_bench_note, parse_build, parse_bulletin, parse_episode, parse_shop
from purfle.notes.records.shop import ShopSheet
from purfle.notes.retold import retold
from purfle.notes.spots import Spot, spots_of, tell_other_texts

T = TypeVar("T")


def read_shop(files: Mapping[str, bytes], assets: Iterable[str], today: date) -> tuple[Shop, tuple[Trouble, ...]]:
    """The shop that the files tell of, and every trouble found in them, sorted.

    `files` maps shop-relative names of notes (`shop.md`, `builds/…/*.md`, `journal/…/*.md`) to their bytes; `assets`
    names the pictures and sounds that exist. A file that can't be read leaves its trouble and nothing else.
    """
    troubles = Troubles()
    present = steady("pictures and sounds", frozenset(assets))
    spots = spots_of(files, troubles)
    tell_other_texts(present, troubles)
    builds = _builds(spots, files, Context(present, {}, troubles))
    names = _names(builds, troubles)
    unread = _unread(spots, builds)
    called = {**{folded(id): id for id in unread}, **names}  # a heading that names an unread build begins its part all the same
    context = Context(present, _NAMES.get((), tuple(called.items()), lambda: called), troubles)
    settings, about = _settings(files, context)
    notes, episodes, bulletins = _dated(spots, files, context, today)
    notes = tuple(note for note in notes if note.build not in unread) if unread else notes
    shop = Shop(
        settings=settings,
        about=about,
        builds=builds,
        notes=notes,
        episodes=episodes,
        bulletins=bulletins,
        assets=context.assets,
        unread=unread,
        names=names,
    )
    check(shop, troubles)
    return shop, tuple(sorted(_once_each(troubles.found)))


def _once_each(told: Iterable[Trouble]) -> set[Trouble]:
    """What was told, less what is told at the very place as something worse: a picture that is not shown, and whose name would be read."""
    read = {trouble.place for trouble in told if trouble.code == "leak-file"}
    return {trouble for trouble in told if trouble.code != "picture-unshown" or trouble.place not in read}


_NAMES = Memo()
"""The last names of builds: while they are the same, in the same order, they are the very same, and known at a glance."""


def _settings(files: Mapping[str, bytes], context: Context) -> tuple[ShopSheet, Body]:
    if "shop.md" not in files:
        context.troubles.add(
            Place("shop.md", 0),
            "shop-missing",
            "there is no shop.md in this folder",
            "run purfle start in an empty folder, or write a shop.md with name: between two lines of ---",
        )
        return _NO_SETTINGS
    data = files["shop.md"]
    return _kept("shop.md", data, context, lambda own: parse_shop("shop.md", data, own)) or _NO_SETTINGS


_NO_SETTINGS = ShopSheet(name="", at=Place("shop.md", 1)), Body("", "shop.md", 1)


def _builds(spots: Iterable[Spot], files: Mapping[str, bytes], context: Context) -> tuple[Build, ...]:
    """The build sheets that can be read; a folder with notes and without a sheet is told."""
    told: set[str] = set()
    builds = []
    for spot in spots:  # sheets come before notes
        if spot.kind == "build":
            told.add(spot.folder)
            parse = partial(parse_build, spot.file, files[spot.file])
            builds.append(_kept(spot.file, files[spot.file], context, parse))
        elif spot.kind == "misnamed":
            told.add(spot.folder)
            name = spot.file.rpartition("/")[2]
            context.troubles.add(
                Place(spot.file, 0), "build-sheet-missing", f"it is called {name} and not build.md, so it is not read", "rename it to build.md"
            )
        elif spot.kind == "bench" and spot.folder not in told:
            told.add(spot.folder)
            found = f"the folder builds/{spot.folder} has notes and no build.md"
            context.troubles.add(Place(spot.file, 0), "build-sheet-missing", found, f"write builds/{spot.folder}/build.md with title: between two lines of ---")
    return tuple(build for build in builds if build is not None)


def _unread(spots: Iterable[Spot], builds: Iterable[Build]) -> dict[str, str]:
    """The folders of builds that can't be read, and what those should be called whose names are refused, for notes may say so already; each → that."""
    called = {folder: as_address(folder) or folder for folder in {spot.folder: None for spot in spots if spot.folder}}
    read = {build.id for build in builds}
    return {id: called.get(id, id) for id in sorted({*called, *called.values()} - read)}


def _names(builds: Iterable[Build], troubles: Troubles) -> dict[str, str]:
    """Folded id or title → build id; a title that is another build's name is told and not taken."""
    names = {folded(build.id): build.id for build in builds}
    for build in builds:
        title = folded(build.sheet.title)
        other = names.setdefault(title, build.id) if title else build.id
        if other != build.id:
            troubles.add(
                build.sheet.where("title"), "name-twice", f"the title {build.sheet.title} also names the build {other}", "give one of the two another title"
            )
    return names


Dated = Note | Episode | Bulletin

_BLANK = " \t\r\n\ufeff".encode()
"""The bytes of a file in which nothing is written."""


class _Lot(NamedTuple):
    """What some dated files came to."""

    notes: tuple[Note, ...]
    episodes: tuple[Episode, ...]
    bulletins: tuple[Bulletin, ...]


def _dated(spots: Iterable[Spot], files: Mapping[str, bytes], context: Context, today: date) -> _Lot:
    """Notes, episodes and bulletins, in the order of the files: by date, then file, then place in the file."""
    dated = [spot for spot in spots if spot.day is not None]
    _tell_later(dated, today, context.troubles)
    found = []
    for start, lot in lots(dated):
        datas = tuple(files[spot.file] for spot in lot)
        asked = *lot, *datas, context.assets, context.names
        found.append(retold(_LOTS, start, asked, partial(_of_lot, lot, datas, context), context.troubles, very))
    return _Lot(*(tuple(chain.from_iterable(some)) for some in zip(*found, strict=True))) if found else _Lot((), (), ())


def _tell_later(dated: Iterable[Spot], today: date, troubles: Troubles) -> None:
    for spot in dated:
        if spot.day is not None and spot.day > today and spot.kind in ("bench", "journal"):
            troubles.add(
                Place(spot.file, 0),
                "file-later-than-today",
                f"the note is dated {spot.day}, after {today}; it counts from its day on",
                "mend the date in its name, or leave it if it is right",
            )


_LOTS = Memo()
"""What a hundred dated files came to, with the troubles they told."""


def _of_lot(lot: Iterable[Spot], datas: Iterable[bytes], context: Context, troubles: Troubles) -> _Lot:
    own = replace(context, troubles=troubles)
    found: list[Dated] = []
    for spot, data in zip(lot, datas, strict=True):
        if not data.strip(_BLANK):
            troubles.add(
                Place(spot.file, 0),
                "file-empty",
                "the file holds nothing, as after an editor crashed or a sync that stopped half way",
                "take it back from a copy, or write it anew; delete it if nothing was in it",
            )
        found += _of_day(spot, data, own)
    return _Lot(
        tuple(one for one in found if isinstance(one, Note)),
        tuple(one for one in found if isinstance(one, Episode)),
        tuple(one for one in found if isinstance(one, Bulletin)),
    )


_READERS: dict[str, Callable[[str, date, bytes, Context], Dated | None]] = {"bench": parse_bench_note, "episode": parse_episode, "bulletin": parse_bulletin}
"""What reads each kind of dated file but a day in the journal, which comes to several notes."""


def _of_day(spot: Spot, data: bytes, context: Context) -> tuple[Dated, ...]:
    """What a dated file comes to; nothing when it can't be read."""
    day = spot.day
    if day is None:
        return ()
    if spot.kind == "journal":
        return _kept(spot.file, data, context, lambda own: tuple(parse_journal_day(spot.file, day, data, own)), asks_builds=True)
    found = _kept(spot.file, data, context, lambda own: _READERS[spot.kind](spot.file, day, data, own))
    return () if found is None else (found,)


def _kept(file: str, data: bytes, context: Context, parse: Callable[[Context], T], *, asks_builds: bool = False) -> T:
    """What a file comes to, parsed anew only when its bytes, or names that it may ask for, are others; troubles are told each time.

    Names of pictures are asked for by what may name one, those of builds where `asks_builds` says so.
    """
    asked = data, context.assets, context.names if asks_builds else None
    return retold(_READ, file, asked, lambda own: parse(replace(context, troubles=own)), context.troubles, _same_asked)


_READ = Memo()
"""What each file came to."""
_Asked = tuple[bytes, frozenset[str], dict[str, str] | None]


def _same_asked(one: _Asked, other: _Asked) -> bool:
    (data, assets, names), (other_data, other_assets, other_names) = one, other
    return (data is other_data or data == other_data) and names is other_names and (assets is other_assets or MAY_NAME.search(data) is None)
