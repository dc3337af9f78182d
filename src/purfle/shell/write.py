"""Writes a site: compares, and swaps a whole new folder in only when something differs.

The new site is built beside the old one, unchanged files as hard links, then the two folders change places:

- Linux: one `renameat2` with RENAME_EXCHANGE; macOS: one `renamex_np` with RENAME_SWAP. There is no instant without a site.
- elsewhere, or on a file system without that call: two renames, with a moment between them; a process killed in
  that moment has its old site put back by the next compile.

Nothing is flushed to the disk by force: a power cut may take the newest site with it, never a note.
Invariant: reads and writes under `out/` alone, and follows no link there.
"""

import errno
import filecmp
import os
import shutil
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from purfle.shell.output import WAS, Output, clear_beside

_UNSUPPORTED = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EPERM, errno.EXDEV}


@dataclass(frozen=True, slots=True)
class Written:
    """What a write changed, as paths inside the site."""

    changed: tuple[str, ...]
    """New or different files."""
    removed: tuple[str, ...]
    """Files that are gone."""
    reasons: tuple[tuple[str, str], ...] = ()
    """Each file with why it was written, left alone or taken away."""

    def __bool__(self) -> bool:
        return bool(self.changed or self.removed)


def write_site(output: Output, name: str, files: Mapping[str, bytes], made: Mapping[str, Path] | None = None, *, keep_others: bool = False) -> Written:
    """Make `out/<name>` hold exactly `files` and `made`, all at once.

    `made` are files of the store by their path in the site. `keep_others` leaves files alone that are not named.
    Raises OSError when it can't be written; the site is then as it was.
    """
    site = output.site(name)
    have = dict(_files_of(site))
    made = made or {}
    for path in (*files, *made):
        _refuse_climbing(path)
    changed = [p for p, data in files.items() if not _holds(site, have, p, data)] + [p for p, source in made.items() if not _is(site, have, p, source)]
    removed = [] if keep_others else sorted(have.keys() - files.keys() - made.keys())
    if not changed and not removed and site.is_dir() and not site.is_symlink():
        return Written((), (), _reasons(files, made, have, (), ()))
    beside = output.beside / name
    try:
        _build(beside, site, set(have) - set(changed) - set(removed), {p: files[p] for p in changed if p in files}, {p: made[p] for p in changed if p in made})
        _swap(beside, site, output.beside / f"{WAS}{name}")
    finally:
        clear_beside(output)
    return Written(tuple(sorted(changed)), tuple(removed), _reasons(files, made, have, changed, removed))


def _reasons(files: Mapping[str, bytes], made: Mapping[str, Path], have: Mapping[str, os.stat_result], changed: Sequence[str], removed: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Why each file was written or not: what is compared is its bytes, so nothing else can be the reason."""
    new = set(changed)
    found = [(path, "left alone: it would be the same, byte for byte") for path in (*files, *made) if path not in new]
    found += [(path, "written: its content is not what it was" if path in have else "written: it was not there") for path in changed]
    found += [(path, "removed: nothing in the notes makes it any more") for path in removed]
    return tuple(sorted(found))


def _files_of(folder: Path, under: str = "") -> Iterator[tuple[str, os.stat_result]]:
    """Regular files below a folder, by relative path; a link counts as nothing, so it is replaced."""
    if folder.is_symlink() or not folder.is_dir():
        return
    for entry in os.scandir(folder):
        path = under + entry.name
        if entry.is_dir(follow_symlinks=False):
            yield from _files_of(Path(entry.path), path + "/")
        else:
            yield path, entry.stat(follow_symlinks=False)


def _refuse_climbing(path: str) -> None:
    if path.startswith("/") or "\\" in path or any(step in ("", ".", "..") for step in path.split("/")):
        raise ValueError(f"{path!r} is not a path inside a site")


def _holds(site: Path, have: Mapping[str, os.stat_result], path: str, data: bytes) -> bool:
    known = have.get(path)
    return known is not None and _regular(known) and known.st_size == len(data) and (site / path).read_bytes() == data


def _is(site: Path, have: Mapping[str, os.stat_result], path: str, source: Path) -> bool:
    known, wanted = have.get(path), source.stat()
    if known is None or not _regular(known) or known.st_size != wanted.st_size:
        return False
    return (known.st_ino, known.st_dev) == (wanted.st_ino, wanted.st_dev) or filecmp.cmp(site / path, source, shallow=False)


def _regular(known: os.stat_result) -> bool:
    return (known.st_mode & 0o170000) == 0o100000


def _build(beside: Path, site: Path, same: set[str], new: Mapping[str, bytes], made: Mapping[str, Path]) -> None:
    shutil.rmtree(beside, ignore_errors=True)
    beside.mkdir(parents=True)
    folders = {beside}
    for path in (*same, *new, *made):
        folder = (beside / path).parent
        if folder not in folders:
            folder.mkdir(parents=True, exist_ok=True)
            folders.add(folder)
    for path in same:
        _link(site / path, beside / path)
    for path, source in made.items():
        _link(source, beside / path)
    for path, data in new.items():
        (beside / path).write_bytes(data)


def _link(source: Path, target: Path) -> None:
    """A second name for a file, or a copy where the file system knows no second names."""
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.ENOENT):
            raise
        shutil.copyfile(source, target, follow_symlinks=False)


def _swap(beside: Path, site: Path, aside: Path) -> None:
    if not os.path.lexists(site):
        beside.rename(site)
    elif not exchange(beside, site):
        site.rename(aside)
        beside.rename(site)


def exchange(one: Path, other: Path) -> bool:
    """Let two names change places in one step; False when this system or file system can't. Raises OSError else."""
    try:
        status, code = _exchange(os.fsencode(one), os.fsencode(other))
    except (AttributeError, OSError):
        return False
    if status == 0:
        return True
    if code in _UNSUPPORTED:
        return False
    raise OSError(code, os.strerror(code), str(other))


def _exchange(one: bytes, other: bytes) -> tuple[int, int]:
    """The system's exchanging rename: its status and errno. Raises AttributeError where there is none."""
    import ctypes

    libc = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin":
        return libc.renamex_np(one, other, 0x2), ctypes.get_errno()  # RENAME_SWAP, sys/stdio.h
    if sys.platform.startswith("linux"):
        return libc.renameat2(-100, one, -100, other, 0x2), ctypes.get_errno()  # AT_FDCWD; RENAME_EXCHANGE, linux/fs.h
    raise AttributeError("renameat2")
