"""Reads the shop folder: the named files and folders, and nothing beside them.

Symbolic links, sockets, pipes and devices are never opened. What can't be read is a trouble, not an exception.
Invariant: writes nothing, and reads nothing outside the folder it was given.
"""

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.notes.text import MOST_BYTES, PHOTOS

SHOP_FILE = "shop.md"
TEMPLATES = "site_templates"
_MOST_TEMPLATE = 20_000_000
_MOST_DEPTH = 8


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


@dataclass(slots=True)
class _Scan:
    """The lists one scan fills."""

    root: Path
    files: dict[str, bytes] = field(default_factory=dict)
    assets: set[str] = field(default_factory=set)
    overrides: dict[str, bytes] = field(default_factory=dict)
    troubles: list[Trouble] = field(default_factory=list)


def find_shop(start: Path) -> Path | None:
    """The nearest folder from `start` upward that holds a shop.md, or None."""
    start = start.absolute()
    return next((folder for folder in (start, *start.parents) if (folder / SHOP_FILE).is_file()), None)


def read_folder(root: Path) -> Folder:
    """Everything purfle reads of the shop folder at `root`."""
    scan = _Scan(root)
    if (root / SHOP_FILE).is_symlink():
        _link(scan, SHOP_FILE)
    elif (root / SHOP_FILE).is_file():
        _read_text(scan, SHOP_FILE)
    for top in ("builds", "journal"):
        for path in _regular_files(scan, top, 0):
            if path.casefold().endswith(".md"):
                _read_text(scan, path)
            else:
                scan.assets.add(path)
    scan.assets.update(_regular_files(scan, PHOTOS, 0))
    for path in _regular_files(scan, TEMPLATES, 0):
        _read_override(scan, path)
    return Folder(root, dict(sorted(scan.files.items())), frozenset(scan.assets), scan.overrides, tuple(scan.troubles))


def _regular_files(scan: _Scan, folder: str, depth: int) -> Iterator[str]:
    """Paths of regular files below `folder`, sorted; hidden names are passed over, and so are links, which are told if they may be notes."""
    if depth == 0 and (scan.root / folder).is_symlink():
        _link(scan, folder)
        return
    for entry in _entries(scan, folder):
        path = f"{folder}/{entry.name}"
        if entry.is_symlink():
            if entry.name.casefold().endswith(".md") or entry.is_dir():
                _link(scan, path)
        elif entry.is_dir(follow_symlinks=False):
            if depth < _MOST_DEPTH:
                yield from _regular_files(scan, path, depth + 1)
        elif entry.is_file(follow_symlinks=False):
            yield path


def _entries(scan: _Scan, folder: str) -> list[os.DirEntry[str]]:
    try:
        return sorted((e for e in os.scandir(scan.root / folder) if not e.name.startswith(".")), key=lambda e: e.name)
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        _unreadable(scan, folder, error)
        return []


def _read_text(scan: _Scan, path: str) -> None:
    # One byte over the limit is enough for whoever reads the note to tell that it is too large.
    data = _read(scan, path, MOST_BYTES + 1)
    if data is not None:
        scan.files[path] = data


def _read_override(scan: _Scan, path: str) -> None:
    data = _read(scan, path, _MOST_TEMPLATE + 1)
    if data is not None and len(data) > _MOST_TEMPLATE:
        _told(scan, path, "file-too-large", f"the file is larger than {_MOST_TEMPLATE // 1_000_000} MB", "make it smaller, or keep it elsewhere")
    elif data is not None:
        scan.overrides[path.removeprefix(f"{TEMPLATES}/")] = data


def _read(scan: _Scan, path: str, most: int) -> bytes | None:
    """A file's first bytes, or None with its trouble noted. A link or pipe swapped in since the scan is refused here too."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(scan.root / path, flags)
        with os.fdopen(handle, "rb") as file:
            return file.read(most) if stat.S_ISREG(os.fstat(handle).st_mode) else None
    except OSError as error:
        _unreadable(scan, path, error)
        return None


def _link(scan: _Scan, path: str) -> None:
    _told(scan, path, "file-is-link", "a symbolic link stands here; links are never followed", "put the file or folder itself in its place")


def _unreadable(scan: _Scan, path: str, error: OSError) -> None:
    _told(scan, path, "file-unreadable", f"it can't be read: {error.strerror or error}", "give yourself the right to read it, or move it elsewhere")


def _told(scan: _Scan, path: str, code: str, found: str, mend: str) -> None:
    scan.troubles.append(Trouble(Place(path, 0, 1), code, found, mend))
