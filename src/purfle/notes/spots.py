"""Which files of the folder are read, and as what: told by their names, and of copies by their bytes.

Invariant: reads no note; what stands in one is the business of `purfle.notes.parse`.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from purfle.base import meant
from purfle.base.groups import grouped
from purfle.base.memo import Memo
from purfle.base.place import Place
from purfle.base.times import day as read_day
from purfle.base.trouble import Trouble, Troubles, Wrong
from purfle.notes.checks.addresses import as_address, is_address

_DATED = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[-_ .].*)?\.(?i:md)")
_OTHER_TEXT = re.compile(
    r"(?:builds/[^/]+/(?:build|[0-9]{4}-[0-9]{2}-[0-9]{2}[^/]*)|journal/(?:episodes/|bulletins/)?[0-9]{4}-[0-9]{2}-[0-9]{2}[^/]*)\.(?:txt|text|markdown|mdown|mkd)"
    r"|(?:builds/[^/]+/|journal/(?:episodes/|bulletins/)?)(?:build|[0-9]{4}-[0-9]{2}-[0-9]{2}[^./]*)",
    re.IGNORECASE,
)
"""A note that an editor saved as another kind of text."""
_COPY = r"(?:copy|kopie|kopi|kopia|copie|copia)"
"""A copy, as file managers call it."""
_MACHINE = r"(?-i:(?:DESKTOP|LAPTOP)-[A-Z0-9]{6,15}|[A-Z][A-Z0-9]*-(?=[A-Z]*[0-9])(?=[0-9]*[A-Z])[A-Z0-9]{6,15})"
"""A machine as it is named when it is set up, letters and figures mixed; nobody names a job so, while TOP-COAT is one."""
_COPIED = re.compile(
    rf"\.sync-|conflicted|\([^()]*conflict[^()]*\)|\(\d+\)\.md$|~|\.orig\b|\.bak\b|\({_COPY}\)|^{_COPY} (?:of|von|av|af|de|di) ", re.IGNORECASE
)
"""What no hand writes into the name of a note."""
_COPY_OF = re.compile(
    rf"(?P<first>.+?)(?:[ _.-]+conflict(?:[ _.-]*\d.*)?|(?: -)? {_COPY}(?: \d+| \(\d+\))?| \([\w ]*{_COPY}\)| \d{{1,2}}|-{_MACHINE})\.md",
    re.IGNORECASE,
)
"""What programs that copy or sync put behind the name of the first file: a count, a word, the name of the machine. Where that file is not there, somebody wrote it."""

DatedKind = Literal["bench", "journal", "episode", "bulletin"]


@dataclass(frozen=True, slots=True)
class Spot:
    """A file that will be read, and as what; or a build sheet that will not, so that its build is known to be there."""

    file: str
    kind: Literal["build", "misnamed", "refused"] | DatedKind
    """misnamed: a build sheet in other letters; refused: one in a folder whose name can't be used. Neither is read."""
    folder: str
    """The build's folder; empty in the journal."""
    day: date | None


def spots_of(files: Mapping[str, bytes], troubles: Troubles) -> tuple[Spot, ...]:
    """Every file with its kind: build sheets by name, then all else by day and name, a day alone before one with words behind it. Names that can't be used, and what is there twice, are told."""
    spots, of_one_day, told = _SPOTS.get((), tuple(files), lambda: _spots(tuple(files)))
    troubles.found.extend(told)
    twice = {file for some in of_one_day for file in _same_bytes(some, files, troubles)}
    return tuple(spot for spot in spots if spot.file not in twice) if twice else spots


_SPOTS = Memo()
"""What the last names told."""


def _spots(names: tuple[str, ...]) -> tuple[tuple[Spot, ...], tuple[tuple[str, ...], ...], tuple[Trouble, ...]]:
    """What the names alone tell: files and their kinds, those of one folder and day together, and troubles."""
    troubles = Troubles()
    there = frozenset(map(str.casefold, names))
    found = [spot for file in _without_alike(names, troubles) if file != "shop.md" and not _is_copy(file, there, troubles) and (spot := _place(file, troubles))]
    spots = tuple(sorted(found, key=lambda spot: (spot.day or date.min, spot.file.rpartition(".")[0])))
    days = grouped((spot for spot in spots if spot.day is not None), lambda spot: (spot.file.rpartition("/")[0], spot.day))
    of_one_day = (sorted((spot.file for spot in some), key=lambda file: (len(file), file)) for some in days.values() if len(some) > 1)
    return spots, tuple(map(tuple, of_one_day)), tuple(troubles.found)


def _same_bytes(some: tuple[str, ...], files: Mapping[str, bytes], troubles: Troubles) -> Iterator[str]:
    """Of files of one folder and day, those that say word for word what a shorter name says."""
    first: dict[bytes, str] = {}
    for file in some:
        if files[file].strip() and (other := first.setdefault(files[file], file)) != file:
            found = f"it says word for word what {other} says; it is not read"
            troubles.add(Place(file, 0), "file-copied", found, "delete one of the two; what was twice on that day is written twice in one file")
            yield file


def _is_copy(file: str, there: frozenset[str], troubles: Troubles) -> bool:
    """Whether a file's name says that a program made it as the copy of another, which is told: what both say would count twice."""
    name = file.rpartition("/")[2]
    if _COPIED.search(name):
        found, mend = "the name says that a syncing program kept a second copy of a note", "move what is new in it into the first file and delete this one"
    elif (copy := _COPY_OF.fullmatch(file)) and (first := f"{copy['first']}.md").casefold() in there:
        found = f"the name says that it is a copy of {first}"
        mend = "move what is new in it into that file and delete this one; if it is another note, put words behind its day, such as 2026-03-14-evening.md"
    else:
        return False
    troubles.add(Place(file, 0), "file-copied", f"{found}; it is not read", mend)
    return True


def _place(file: str, troubles: Troubles) -> Spot | None:
    folders, _, name = file.rpartition("/")
    parts = folders.split("/")
    if parts[0] == "builds" and len(parts) == 2:
        return _place_of_build(file, parts[1], name, troubles)
    kind = _JOURNAL.get(folders)
    if kind is None:
        troubles.add(Place(file, 0), "file-out-of-place", "a note lies where none is read", _place_mend(name))
        return None
    return _place_dated(file, name, kind, troubles)


def _place_mend(name: str) -> str:
    if name.casefold() == "build.md":
        return "move it into the folder of its build, such as builds/heron/build.md"
    dated = "" if _DATED.fullmatch(name) else f" and name it after its day, such as 2026-03-14-{name}"
    return f"move it to journal/, journal/episodes/, journal/bulletins/ or the folder of its build in builds/{dated}"


_JOURNAL: dict[str, DatedKind] = {"journal": "journal", "journal/episodes": "episode", "journal/bulletins": "bulletin"}
"""What lies in each folder of the journal."""


def _place_of_build(file: str, id: str, name: str, troubles: Troubles) -> Spot | None:
    is_sheet = name.casefold() == "build.md"
    if is_address(id):
        return Spot(file, "build" if name == "build.md" else "misnamed", id, None) if is_sheet else _place_dated(file, name, "bench", troubles, id)
    if not is_sheet:
        return None
    found = f"the folder “{id}” can't be part of an address; nothing in it is read"
    mend = f"rename it, and in notes that name it so, for example to {as_address(id) or 'another-name'}: letters a to z, digits, - and _"
    troubles.add(Place(file, 0), "file-name-refused", found, mend)
    return Spot(file, "refused", id, None)


def _place_dated(file: str, name: str, kind: DatedKind, troubles: Troubles, folder: str = "") -> Spot | None:
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
        return Spot(file, kind, folder, read_day(match[1]))
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
            found = f"{other} and {first[_on_any_disk(other)]} differ only by case or by how an accent is stored; many disks hold only one of them"
            troubles.add(Place(file, 0), "file-names-alike", found, "rename one of the two")
    return kept


def _on_any_disk(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def tell_other_texts(assets: Iterable[str], troubles: Troubles) -> None:
    """Tell of files beside the notes that are named as notes and are of another kind of text."""
    for name in sorted(filter(_OTHER_TEXT.fullmatch, assets)):
        _, point, ending = name.rpartition(".")
        ends = f"ends in .{ending}" if point else "has no ending"
        troubles.add(Place(name, 0), "file-out-of-place", f"it is named as a note and {ends}, so it is not read", "rename it so that it ends in .md")
