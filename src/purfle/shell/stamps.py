"""What can be told of the shop folder and of `out/` without opening a file: enough to know whether anything may have changed.

A stamp is a digest of every name with its size, times, kind and number. Two looks with one stamp saw the same bytes, provided that no file
had changed within the last tick of its file system's clock; `settled` says so (two seconds: the coarsest clock in use, FAT's).
Invariant: opens no file, follows no link.
"""

import hashlib
import os
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
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


def stamp_of(root: Path, names: Iterable[str]) -> Stamp:
    """The stamp of the named files and folders below `root`."""
    lines: list[str] = []
    newest = 0
    for name in names:
        try:
            top = os.lstat(root / name)
        except OSError:
            lines.append(f"{name}\0-")
            continue
        lines.append(_line(name, top))
        newest = max(newest, top.st_ctime_ns, top.st_mtime_ns)
        if (top.st_mode & 0o170000) == 0o040000:
            for line, changed in _below(os.fspath(root / name), name, 0):
                lines.append(line)
                newest = max(newest, changed)
    text = "\n".join(lines)
    return Stamp(hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest(), newest)


def _line(path: str, s: os.stat_result) -> str:
    return f"{path}\0{s.st_mode}\0{s.st_size}\0{s.st_mtime_ns}\0{s.st_ctime_ns}\0{s.st_ino}\0{s.st_uid}"


def _below(folder: str, path: str, depth: int) -> Iterator[tuple[str, int]]:
    """Lines of everything in a folder, sorted by name, each with its latest change."""
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        yield f"{path}\0{error.errno}", 0
        return
    for entry in entries:
        if entry.name == "__pycache__":
            continue
        try:
            s = entry.stat(follow_symlinks=False)
        except OSError:
            continue
        name = f"{path}/{entry.name}"
        changed = s.st_ctime_ns if s.st_ctime_ns > s.st_mtime_ns else s.st_mtime_ns
        if (s.st_mode & 0o170000) == 0o040000:
            # A folder's own times move when our neighbours write; its names and their files are what counts.
            yield f"{name}\0{s.st_mode}\0{s.st_ino}", 0
            if depth < _MOST_DEPTH:
                yield from _below(entry.path, name, depth + 1)
        else:
            yield _line(name, s), changed


def code_stamp() -> str:
    """What stands for purfle's own code, its templates, the interpreter and the installed libraries."""
    package = Path(__file__).parents[1]
    own = stamp_of(package.parent, (package.name,))
    templates = stamp_of(package.parents[1], ("site_templates",))
    libraries = [f"{folder}\0{Path(folder).stat().st_mtime_ns}" for folder in sorted(set(sys.path)) if folder.endswith("site-packages") and Path(folder).is_dir()]
    return hashlib.sha256("\n".join((own.digest, templates.digest, sys.version, *libraries)).encode()).hexdigest()
