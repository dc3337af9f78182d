"""What can be told of the shop folder and of `out/` without opening a file: enough to know whether anything may have changed.

A stamp holds every name, and a number made of each file's size, times, kind and place on the disk. Two looks with one stamp saw the same bytes,
provided that no file had changed within the last tick of its file system's clock before the first; `settled` says so (two seconds: the
coarsest clock in use, FAT's). A command that prints again what it printed does little else than this, so nothing but `os` and `time` is loaded.
Invariant: opens no file, follows no link.
"""

import os
import sys
import time

from purfle.shell.beside import begun

_TICK = 2_000_000_000  # nanoseconds
_MOST_DEPTH = 9
_MANY = 100
"""Folders from which it is worth a fork to share them."""
_LATE = b"!"
_BY_HANDLE = os.open in os.supports_dir_fd and os.stat in os.supports_dir_fd and os.listdir in os.supports_fd
"""Whether names can be looked up in an open folder: a fifth less work than from the root each time."""
INPUTS = ("shop.md", "builds", "journal", "photos", "site_templates")


def misspelt(root: str) -> dict[str, str]:
    """The folders that may be meant for those of notes, `Journal` or `journals` for `journal`, with the right name of each; none where a disk takes them for the same."""
    try:
        near = {name: right for name in sorted(os.listdir(root)) if name not in INPUTS and (right := _MEANT.get(name.strip().lower()))}
    except OSError:
        return {}
    return {name: right for name, right in near.items() if not _same(f"{root}{os.sep}{name}", f"{root}{os.sep}{right}")}


_MEANT = {"builds": "builds", "build": "builds", "journal": "journal", "journals": "journal"}


def _same(one: str, other: str) -> bool:
    try:
        return os.path.samestat(os.lstat(one), os.lstat(other))
    except OSError:
        return False


class Stamp:
    """A look at some files. No dataclass, whose module takes longer to load than a small shop to look at."""

    __slots__ = ("seen", "settled")

    def __init__(self, seen: bytes, settled: bool) -> None:
        self.seen = seen
        """Names and numbers."""
        self.settled = settled
        """Whether a later change is sure to give another stamp."""


class Listing:
    """What a folder holds: names in order, a number for each, and which of them are folders or were changed lately."""

    __slots__ = ("folders", "late", "names", "numbers")

    def __init__(self) -> None:
        self.names: list[str] = []
        self.numbers: list[int] = []
        self.folders: list[str] = []
        self.late: list[str] = []

    def look(self, names: list[str], before: str, handle: int | None, recent: int) -> None:
        """Look at each name. A number is a hash of whole numbers, which is the same in every process.

        A folder's own times move when our neighbours write: its names and their files are what counts.
        """
        self.names = names
        number, lstat = self.numbers.append, os.lstat
        for name in names:
            try:
                s = lstat(before + name, dir_fd=handle)
            except OSError:
                number(-1)  # gone since it was listed
                continue
            kind, changed, written = s.st_mode, s.st_ctime_ns, s.st_mtime_ns
            if kind & 0o170000 == 0o040000:
                number(kind)
                self.folders.append(name)
                continue
            number(hash((kind, s.st_size, written, changed, s.st_ino)))
            if changed > recent or written > recent:
                self.late.append(name)

    def leave_out(self, name: str) -> None:
        """Forget a name, if it is there."""
        if name in self.names:
            at = self.names.index(name)
            del self.names[at], self.numbers[at]
            self.folders = [folder for folder in self.folders if folder != name]

    def told(self) -> str:
        """Names, and one number for the lot of them."""
        return "\0".join((*self.names, f"/{hash(tuple(self.numbers))}"))


def listing(path: str, recent: int) -> Listing:
    """What a folder holds; late is what was changed after `recent`, in nanoseconds since 1970. Raises OSError."""
    found = Listing()
    if not _BY_HANDLE:
        found.look(sorted(os.listdir(path)), f"{path}{os.sep}", None, recent)
        return found
    handle = os.open(path, os.O_RDONLY)
    try:
        found.look(sorted(os.listdir(handle)), "", handle, recent)
    finally:
        os.close(handle)
    return found


def since() -> int:
    """After when a change is too late to be trusted."""
    return time.time_ns() - _TICK


class _Walk:
    """A look at folders and all that is in them."""

    __slots__ = ("late", "recent", "seen", "without")

    def __init__(self, recent: int, without: str) -> None:
        self.recent, self.without = recent, without
        self.seen: list[str] = []
        self.late = False

    def look(self, path: str) -> list[str]:
        """Look at a folder; gives the folders in it."""
        try:
            found = listing(path, self.recent)
        except OSError as error:
            self.seen.append(f"/{error.errno}")
            return []
        if self.without:
            found.leave_out(self.without)
        self.seen.append(found.told())
        self.late = self.late or bool(found.late)
        return [f"{path}{os.sep}{name}" for name in found.folders]

    def look_through(self, paths: list[str]) -> bytes:
        """Look at folders and those in them; gives what was seen, and in the first byte whether something is late."""
        waiting = [(path, 1) for path in paths]
        while waiting:
            path, depth = waiting.pop()
            inside = self.look(path)
            if depth < _MOST_DEPTH:
                waiting += [(folder, depth + 1) for folder in inside]
        return (_LATE if self.late else b" ") + "\0\0".join(self.seen).encode("utf-8", "surrogateescape")


def stamp_of(root: str, names: tuple[str, ...], without: str = "", shared: bool = False) -> Stamp:
    """The stamp of the named files and folders below `root`, less what is called `without`.

    With `shared`, half of many folders is looked at by a fork of this process, which must have no threads.
    """
    top, walk = Listing(), _Walk(since(), without)
    top.look(list(names), f"{root}{os.sep}", None, walk.recent)
    walk.seen, walk.late = [top.told()], bool(top.late)
    inside = [folder for name in top.folders for folder in walk.look(f"{root}{os.sep}{name}")]
    half = len(inside) // 2

    def look_at_rest() -> bytes:
        return _Walk(walk.recent, without).look_through(inside[half:])

    rest = begun(look_at_rest) if shared and len(inside) >= _MANY else look_at_rest
    parts = walk.look_through(inside[:half]), rest()
    return Stamp(b"\0\0".join(part[1:] for part in parts), not any(part.startswith(_LATE) for part in parts))


_LIBRARIES = ("site-packages", "dist-packages")
"""Where libraries are installed: Debian's own Python has the second name."""


def code_stamp() -> bytes:
    """What stands for purfle's own code, its templates, the interpreter and the installed libraries."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    source, name = os.path.split(package)
    own = stamp_of(source, (name,), "__pycache__").seen + stamp_of(os.path.dirname(source), ("site_templates",)).seen
    libraries = [f"{folder}\0{os.stat(folder).st_mtime_ns}" for folder in sorted(set(sys.path)) if folder.endswith(_LIBRARIES) and os.path.isdir(folder)]
    return own + "\n".join((sys.version, *libraries)).encode("utf-8", "surrogateescape")
