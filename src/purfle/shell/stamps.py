"""What can be told of the shop folder and of `out/` without opening a file: enough to know whether anything may have changed.

A stamp is a digest of every name with its size, times, kind and number. Two looks with one stamp saw the same bytes, provided that no file
had changed within the last tick of its file system's clock; `settled` says so (two seconds: the coarsest clock in use, FAT's).
Invariant: opens no file, follows no link.
"""

import hashlib
import os
import sys
import time
from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from operator import attrgetter
from pathlib import Path

_TICK = 2_000_000_000
_MOST_DEPTH = 9
INPUTS = ("shop.md", "builds", "journal", "site_templates")


@dataclass(frozen=True, slots=True)
class Stamp:
    """A look at some files."""

    digest: str
    newest: int
    """The latest change seen, in nanoseconds since 1970."""

    def settled(self, now: int | None = None) -> bool:
        """Whether a later change is sure to give another stamp."""
        return (time.time_ns() if now is None else now) - self.newest > _TICK


@dataclass(slots=True)
class _Seen:
    """What a look gathers: names in order, and five numbers for each file."""

    names: list[str] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    newest: int = 0

    def file(self, name: str, s: os.stat_result) -> None:
        self.names.append(name)
        changed, written = s.st_ctime_ns, s.st_mtime_ns
        self.numbers.extend((s.st_mode, s.st_size, written, changed, s.st_ino & 0x7FFF_FFFF_FFFF_FFFF))
        if changed > self.newest or written > self.newest:
            self.newest = max(changed, written)

    def folder(self, path: str, depth: int) -> None:
        """Everything in a folder, sorted by name; a slash ends it. Its own times move when our neighbours write: its names and their files are what counts."""
        try:
            entries = sorted(os.scandir(path), key=_name)
        except OSError as error:
            self.names.append(f"\0{error.errno}")
            return
        for entry in entries:
            if entry.name == "__pycache__":
                continue
            try:
                s = entry.stat(follow_symlinks=False)
            except OSError:
                continue
            if (s.st_mode & 0o170000) != 0o040000:
                self.file(entry.name, s)
            else:
                self.names.append(f"{entry.name}\0{s.st_mode}")
                if depth < _MOST_DEPTH:
                    self.folder(entry.path, depth + 1)
        self.names.append("/")


_name = attrgetter("name")


def stamp_of(root: Path, names: Iterable[str]) -> Stamp:
    """The stamp of the named files and folders below `root`."""
    seen = _Seen()
    for name in names:
        try:
            top = (root / name).lstat()
        except OSError:
            seen.names.append(f"{name}\0-")
            continue
        seen.file(name, top)
        if (top.st_mode & 0o170000) == 0o040000:
            seen.folder(os.fspath(root / name), 0)
    digest = hashlib.sha256("\0\0".join(seen.names).encode("utf-8", "surrogateescape"))
    digest.update(array("q", seen.numbers).tobytes())
    return Stamp(digest.hexdigest(), seen.newest)


def code_stamp() -> str:
    """What stands for purfle's own code, its templates, the interpreter and the installed libraries."""
    package = Path(__file__).parents[1]
    own = stamp_of(package.parent, (package.name,))
    templates = stamp_of(package.parents[1], ("site_templates",))
    libraries = [f"{folder}\0{Path(folder).stat().st_mtime_ns}" for folder in sorted(set(sys.path)) if folder.endswith("site-packages") and Path(folder).is_dir()]
    return hashlib.sha256("\n".join((own.digest, templates.digest, sys.version, *libraries)).encode()).hexdigest()
