"""Reads the shop folder: the named files and folders, and nothing beside them.

Symbolic links, sockets, pipes and devices are never opened. What can't be read is a trouble, not an exception.
Invariant: writes nothing, and reads nothing outside the folder it was given.
"""

import os
import re
import stat
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum, auto
from pathlib import Path

from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.notes.frontmatter.text import MOST_BYTES, PHOTOS
from purfle.shell.opening import NotAFile, open_file
from purfle.shell.paths import SHOP_FILE, is_folder, is_link
from purfle.shell.stamps import listing, misspelt, since

TEMPLATES = "site_templates"
_MOST_TEMPLATE = 20_000_000
_MOST_DEPTH = 8


@dataclass(frozen=True, slots=True)
class Part:
    """One folder as it was read, without those in it."""

    met: Mapping[str, tuple[int, "_Outcome"]]
    """By name: the number that tells one state of a file from another, and what came of it; less what was changed too lately to be sure of."""
    files: Mapping[str, bytes] = field(default_factory=dict)
    others: Mapping[str, int] = field(default_factory=dict)
    """Files that are no notes, by path, with their numbers."""
    unsure: tuple[str, ...] = ()
    """Those of them that were changed too lately."""
    folders: tuple[str, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    unsettled: tuple[str, ...] = ()
    """Names of which it is not sure what became: one of them may be gone by the next look."""

    def stands(self, numbers: Mapping[str, int]) -> bool:
        """Whether it surely holds what it held: by name, the numbers that stand there now."""
        return not self.unsettled and numbers.keys() == self.met.keys() and all(number == self.met[name][0] for name, number in numbers.items())


class _Kind(Enum):
    OTHER = auto()
    FOLDER = auto()


_BY_EDITORS = re.compile(r".*~|#.*#|.*\.sw[a-p]", re.DOTALL)
"""What editors put beside a file they change, by name: copies of it as it was, and of what is not yet saved. While purfle follows they come and go with every save."""


_Outcome = bytes | _Kind | Trouble | None
"""A note's bytes, a file of another kind, a folder, a trouble; None for what is passed over."""


@dataclass(frozen=True, slots=True)
class Folder:
    """What stands in a shop folder."""

    root: Path
    files: dict[str, bytes]
    """Text files by path relative to the folder, forward slashes; sorted by path."""
    assets: frozenset[str]
    """Every other regular file under builds/ and journal/, and every one under photos/: photos, sounds, and what does not belong there."""
    overrides: dict[str, bytes]
    """The shop's own templates, by path under site_templates/."""
    troubles: tuple[Trouble, ...]
    numbers: Mapping[str, int] = field(default_factory=dict)
    """What tells one state of an asset from another."""
    unsure: frozenset[str] = field(default=frozenset(), compare=False)
    """Assets changed so lately that a later change might leave the same number."""
    parts: Mapping[str, Part] = field(default_factory=dict, repr=False, compare=False)
    """Its folders by path, for the next look."""

    @property
    def texts(self) -> dict[str, bytes]:
        """All that a trouble may quote a line of: the notes, and the shop's own templates."""
        return {**self.files, **{f"{TEMPLATES}/{path}": data for path, data in self.overrides.items()}}


@dataclass(slots=True)
class _Scan:
    """A look at the folder, and what the one before it found."""

    root: Path
    before: Mapping[str, Part]
    recent: int
    """After when a change may not be the last of its tick."""
    only: Container[str] | None = None
    """Folders to look at; all others are taken to stand as they did."""
    parts: dict[str, Part] = field(default_factory=dict)
    troubles: list[Trouble] = field(default_factory=list)


def read_folder(root: Path, before: Folder | None = None, only: Container[str] | None = None) -> Folder:
    """Everything purfle reads of the shop folder at `root`; a file that stands as it did in `before` is not opened again.

    With `only`, no folder that was known before is looked at but those, named relative to `root`: a quick look, not to be relied on for long.
    """
    scan = _Scan(root, before.parts if before is not None and before.root == root else {}, since(), only)
    shop = _outcome(scan, SHOP_FILE, _text)
    files = {SHOP_FILE: shop} if isinstance(shop, bytes) else {}
    assets: dict[str, int] = {}
    overrides: dict[str, bytes] = {}
    for part in (*_parts(scan, "builds", _text), *_parts(scan, "journal", _text), *_parts(scan, PHOTOS, _other)):
        files.update(part.files)
        assets.update(part.others)
    for part in _parts(scan, TEMPLATES, _override):
        overrides.update((path.removeprefix(f"{TEMPLATES}/"), data) for path, data in part.files.items())
    troubles = [shop] if isinstance(shop, Trouble) else []
    troubles += [_misspelt(name, right) for name, right in misspelt(str(root)).items() if _holds_notes(root / name, name.lower() == right)]
    troubles += [*scan.troubles, *(trouble for part in scan.parts.values() for trouble in part.troubles)]
    unsure = frozenset(path for part in scan.parts.values() for path in part.unsure)
    return Folder(
        root=root,
        files=dict(sorted(files.items())),
        assets=frozenset(assets),
        overrides=overrides,
        troubles=tuple(troubles),
        numbers=assets,
        unsure=unsure,
        parts=scan.parts,
    )


_Reader = Callable[["_Scan", str], _Outcome]
"""What is made of a regular file."""


def _parts(scan: _Scan, folder: str, read: _Reader, depth: int = 0) -> Iterator[Part]:
    """A folder and those in it."""
    if depth == 0 and is_link(scan.root / folder):
        scan.troubles.append(_link(folder))
        return
    part = scan.parts[folder] = _part(scan, folder, read)
    yield part
    for name in part.folders if depth < _MOST_DEPTH else ():
        yield from _parts(scan, f"{folder}/{name}", read, depth + 1)


def _part(scan: _Scan, folder: str, read: _Reader) -> Part:
    if scan.only is not None and folder in scan.before and folder not in scan.only:
        return scan.before[folder]
    try:
        seen = listing(f"{scan.root}/{folder}", scan.recent)
    except (FileNotFoundError, NotADirectoryError):
        return Part({})
    except OSError as error:
        return Part({}, troubles=(_unreadable(folder, error),))
    known, met = scan.before.get(folder, _UNKNOWN), dict(zip(seen.names, seen.numbers, strict=True))
    if known.stands(met):
        return known
    return _assembled(folder, _met(scan, folder, met, known, read), seen.late)


_UNKNOWN = Part({})


def _met(scan: _Scan, folder: str, met: Mapping[str, int], known: Part, read: _Reader) -> Iterator[tuple[str, int, _Outcome]]:
    """Each name with what comes of it; hidden names are passed over. Bytes that are equal are the very same, and known at a glance later on."""
    for name, number in met.items():
        path = f"{folder}/{name}"
        if name in known.met and known.met[name][0] == number:
            yield name, *known.met[name]
        elif name.startswith("."):
            yield name, number, None
        else:
            outcome, kept = _outcome(scan, path, read), known.files.get(path)
            yield name, number, kept if kept is not None and kept == outcome else outcome


def _assembled(folder: str, met: Iterable[tuple[str, int, _Outcome]], late: Container[str]) -> Part:
    """A folder by what came of each of its names; `late` are those that were changed too lately to be sure of."""
    found = tuple(met)
    sure = {name: (number, outcome) for name, number, outcome in found if name not in late and not isinstance(outcome, Trouble)}
    others = {name: number for name, number, outcome in found if outcome is _Kind.OTHER}
    return Part(
        met=sure,
        files={f"{folder}/{name}": outcome for name, _, outcome in found if isinstance(outcome, bytes)},
        others={f"{folder}/{name}": number for name, number in others.items()},
        unsure=tuple(f"{folder}/{name}" for name in others if name in late),
        folders=tuple(name for name, _, outcome in found if outcome is _Kind.FOLDER),
        troubles=tuple(outcome for _, _, outcome in found if isinstance(outcome, Trouble)),
        unsettled=tuple(name for name, _, _ in found if name not in sure),
    )


def _outcome(scan: _Scan, path: str, read: _Reader) -> _Outcome:
    """What stands at a path. Links, and names that no page could hold, are passed over, and told if they may be notes."""
    try:
        mode = os.lstat(scan.root / path).st_mode
    except OSError:
        return None
    note = path.casefold().endswith(".md")
    if not _in_unicode(path):
        return _misnamed(path) if note or stat.S_ISDIR(mode) else None
    if stat.S_ISLNK(mode):
        return _link(path) if note or is_folder(scan.root / path) else None
    if stat.S_ISDIR(mode):
        return _Kind.FOLDER
    return read(scan, path) if stat.S_ISREG(mode) and not _BY_EDITORS.fullmatch(path.rpartition("/")[2]) else None


def _text(scan: _Scan, path: str) -> _Outcome:
    # One byte over the limit is enough for whoever reads the note to tell that it is too large.
    return _read(scan, path, MOST_BYTES + 1) if path.casefold().endswith(".md") else _Kind.OTHER


def _other(scan: _Scan, path: str) -> _Outcome:
    return _Kind.OTHER


def _override(scan: _Scan, path: str) -> _Outcome:
    data = _read(scan, path, _MOST_TEMPLATE + 1)
    if isinstance(data, bytes) and len(data) > _MOST_TEMPLATE:
        return _told(path, "file-too-large", f"the file is larger than {_MOST_TEMPLATE // 1_000_000} MB", "make it smaller, or keep it elsewhere")
    return data


def _read(scan: _Scan, path: str, most: int) -> bytes | Trouble | None:
    """A file's first bytes, or its trouble. A link or pipe swapped in since the look is refused here too."""
    try:
        with open_file(f"{scan.root}/{path}") as file:
            return file.read(most)
    except NotAFile:
        return None
    except OSError as error:
        return _unreadable(path, error)


def _in_unicode(path: str) -> bool:
    """Whether a name can be written: bytes that are not UTF-8 come from the system as lone surrogates (PEP 383), which no text may hold."""
    try:
        path.encode()
    except UnicodeEncodeError:
        return False
    return True


def _misnamed(path: str) -> Trouble:
    shown = os.fsencode(path).decode("utf-8", "backslashreplace")
    return _told(shown, "file-unreadable", "its name is not UTF-8, so that nothing can name it; it is not read", "rename it, best with plain letters")


_NOTES = ("[12][0-9][0-9][0-9]-*.md", "*/build.md", "*/[12][0-9][0-9][0-9]-*.md")


def _holds_notes(folder: Path, surely: bool) -> bool:
    """Whether notes are meant to lie in a folder: `surely` by its name, else by what lies in it, for other programs, too, have a `build/`."""
    try:
        return is_folder(folder) and (surely or any(True for pattern in _NOTES for _ in folder.glob(pattern)))
    except OSError:
        return False


def _misspelt(folder: str, right: str) -> Trouble:
    return _told(
        folder, "file-out-of-place", f"the notes in it are not read: their folder is called {right}", f"rename it to {right}, or move what is in it there"
    )


def _link(path: str) -> Trouble:
    return _told(path, "file-is-link", "a symbolic link stands here; links are never followed", "put the file or folder itself in its place")


def _unreadable(path: str, error: OSError) -> Trouble:
    return _told(path, "file-unreadable", f"it can't be read: {error.strerror or error}", "give yourself the right to read it, or move it elsewhere")


def _told(path: str, code: str, found: str, mend: str) -> Trouble:
    return Trouble(Place(path, 0, 1), code, found, mend)
