"""What can be told of the shop folder and of `out/` without opening a file: enough to know whether anything may have changed.

A stamp holds every name, and a number made of each file's size, times, kind and place on the disk. Two looks with one stamp saw the same bytes,
provided that no file had changed within the last tick of its file system's clock before the first; `settled` says so (two seconds: the
coarsest clock in use, FAT's). A command that prints again what it printed does little else than this, so nothing but `os` and `time` is loaded.
Invariant: opens no file, follows no link.
"""

import os
import sys
import time

_TICK = 2_000_000_000  # nanoseconds
_MOST_DEPTH = 9
_KIND, _FOLDER = 0o170000, 0o040000
_BY_HANDLE = os.open in os.supports_dir_fd and os.stat in os.supports_dir_fd and os.listdir in os.supports_fd
"""Whether names can be looked up in an open folder: a fifth less work than from the root each time."""
INPUTS = ("shop.md", "builds", "journal", "photos", "site_templates")


class Stamp:
    """A look at some files. No dataclass, whose module takes longer to load than a small shop to look at."""

    __slots__ = ("seen", "settled")

    def __init__(self, seen: bytes, settled: bool) -> None:
        self.seen = seen
        """Names and numbers."""
        self.settled = settled
        """Whether a later change is sure to give another stamp."""


class _Look:
    """What a look gathers: for each folder its names, and one number for the lot of them."""

    __slots__ = ("late", "recent", "seen")

    def __init__(self, now: int) -> None:
        self.seen: list[str] = []
        self.recent, self.late = now - _TICK, False

    def folder(self, path: str, depth: int = 0) -> None:
        """Everything in a folder, sorted by name. Its own times move when our neighbours write: its names and their files are what counts."""
        try:
            handle, names = _listed(path)
        except OSError as error:
            self.seen.append(f"/{error.errno}")
            return
        try:
            inner = self.files(names, "" if handle is not None else f"{path}{os.sep}", handle)
        finally:
            if handle is not None:
                os.close(handle)
        for name in inner if depth < _MOST_DEPTH else ():
            self.seen.append(f"{depth}/{name}")
            self.folder(f"{path}{os.sep}{name}", depth + 1)

    def files(self, names: list[str], before: str, handle: int | None) -> list[str]:
        """Look at each name; gives those that are folders. The hash of whole numbers is the same in every process."""
        numbers: list[int] = []
        inner: list[str] = []
        number, recent = numbers.append, self.recent
        for name in names:
            try:
                s = os.lstat(before + name, dir_fd=handle)
            except OSError:
                number(-1)  # gone since it was listed
                continue
            kind, changed, written = s.st_mode, s.st_ctime_ns, s.st_mtime_ns
            if kind & _KIND == _FOLDER:
                number(kind)
                inner.append(name)
                continue
            number(hash((kind, s.st_size, written, changed, s.st_ino)))
            if changed > recent or written > recent:
                self.late = True
        self.seen += "\0".join(names), f"/{hash(tuple(numbers))}"
        return inner

    def stamp(self) -> Stamp:
        """What was seen."""
        return Stamp("\0".join(self.seen).encode("utf-8", "surrogateescape"), not self.late)


def _listed(path: str) -> tuple[int | None, list[str]]:
    """A folder opened, where that is of use, and its names in order. Raises OSError."""
    handle = os.open(path, os.O_RDONLY) if _BY_HANDLE else None
    try:
        return handle, sorted(name for name in os.listdir(path if handle is None else handle) if name != "__pycache__")
    except BaseException:
        if handle is not None:
            os.close(handle)
        raise


def stamp_of(root: str, names: tuple[str, ...]) -> Stamp:
    """The stamp of the named files and folders below `root`."""
    look = _Look(time.time_ns())
    for name in names:
        for folder in look.files([name], f"{root}{os.sep}", None):
            look.folder(f"{root}{os.sep}{folder}")
    return look.stamp()


def code_stamp() -> bytes:
    """What stands for purfle's own code, its templates, the interpreter and the installed libraries."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    source, name = os.path.split(package)
    own = stamp_of(source, (name,)).seen + stamp_of(os.path.dirname(source), ("site_templates",)).seen
    libraries = [f"{folder}\0{os.stat(folder).st_mtime_ns}" for folder in sorted(set(sys.path)) if folder.endswith("site-packages") and os.path.isdir(folder)]
    return own + "\n".join((sys.version, *libraries)).encode("utf-8", "surrogateescape")
