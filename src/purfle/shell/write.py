"""Writes the sites: compares, and swaps a whole new folder in only when something differs.

The new site is built beside the old one, unchanged files as hard links, then the two folders change places:

- Linux: one `renameat2` with RENAME_EXCHANGE; macOS: one `renamex_np` with RENAME_SWAP. There is no instant without a site.
- elsewhere, or on a file system without that call: two renames, with a moment between them; a process killed in
  that moment has its old site put back by the next compile.

Nothing is flushed to the disk by force: a power cut may take the newest site with it, never a note.
Invariant: reads and writes under `out/` alone, and follows no link there.
"""

import contextlib
import errno
import filecmp
import os
import shutil
import stat
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from purfle.shell.output import WAS, Output, clear_beside, make_folder, remove
from purfle.shell.twin import Left, Memory, looked_at, renew

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


@dataclass(frozen=True, slots=True)
class Site:
    """A site as it is to be: `out/<name>` with exactly these files."""

    name: str
    files: Mapping[str, bytes]
    made: Mapping[str, Path] = field(default_factory=dict)
    """Files of the store by their path in the site."""
    keep_others: bool = False
    """Whether files that are not named are left alone."""


@dataclass(frozen=True, slots=True)
class _Change:
    """What has to be done to a site."""

    site: Site
    same: frozenset[str]
    """Files that stay."""
    written: Written
    due: bool
    """Whether anything has to be done."""
    left: Left | None = None
    """How this process left the site, when it still stands so."""


def write_sites(output: Output, *sites: Site, memory: Memory | None = None) -> tuple[Written, ...]:
    """Make `out/` hold these sites, each all at once, and none before all of them are built.

    With a `memory`, what this process wrote before is not compared and built again; it gives no reasons then.
    Raises OSError when one can't be written; every site is then as it was. A process killed between two swaps leaves one site
    of the newer notes and the other of the older, each whole.
    """
    changes = [_change(output.site(site.name), site, memory) for site in sites]
    due = [change for change in changes if change.due]
    try:
        for change in due:
            _build(output, change)
        old = _swap_all(output, [change.site.name for change in due])
        if memory is not None:
            _keep_twins(output, old)
    finally:
        clear_beside(output)
    if memory is not None:
        _remember(output, memory, changes)
    return tuple(change.written for change in changes)


def _change(there: Path, site: Site, memory: Memory | None) -> _Change:
    for path in (*site.files, *site.made):
        _refuse_climbing(path)
    if memory is not None and not site.keep_others and (left := memory.known(there)) is not None:
        return _from_memory(site, left)
    have = dict(_files_of(there))
    changed = [p for p, data in site.files.items() if not _holds(there, have, p, data)] + [
        p for p, source in site.made.items() if not _is(there, have, p, source)
    ]
    removed = [] if site.keep_others else sorted(have.keys() - site.files.keys() - site.made.keys())
    written = Written(tuple(sorted(changed)), tuple(removed), _reasons(site.files, site.made, have, changed, removed))
    return _Change(site, frozenset(have).difference(changed, removed), written, bool(written) or not there.is_dir() or there.is_symlink())


def _from_memory(site: Site, left: Left) -> _Change:
    changed = [p for p, data in site.files.items() if (was := left.files.get(p)) is not data and was != data] + [p for p in site.made if p not in left.made]
    removed = left.paths().difference(site.files, site.made)
    written = Written(tuple(sorted(changed)), tuple(sorted(removed)))
    return _Change(site, left.paths().difference(changed, removed), written, bool(written), left)


def _reasons(
    files: Mapping[str, bytes], made: Mapping[str, Path], have: Mapping[str, os.stat_result], changed: Sequence[str], removed: Sequence[str]
) -> tuple[tuple[str, str], ...]:
    """Why each file was written or not: what is compared is its bytes, so nothing else can be the reason."""
    new = set(changed)
    found = [(path, "left alone: unchanged, byte for byte") for path in (*files, *made) if path not in new]
    found += [(path, "written: its content changed" if path in have else "written: it is new") for path in changed]
    found += [(path, "removed: nothing in the notes produces it any more") for path in removed]
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
    try:
        return known is not None and _regular(known) and known.st_size == len(data) and (site / path).read_bytes() == data
    except PermissionError:  # whoever took the right to read it: it is made anew
        return False


def _is(site: Path, have: Mapping[str, os.stat_result], path: str, source: Path) -> bool:
    known, wanted = have.get(path), source.stat()
    if known is None or not _regular(known) or known.st_size != wanted.st_size:
        return False
    return (known.st_ino, known.st_dev) == (wanted.st_ino, wanted.st_dev) or filecmp.cmp(site / path, source, shallow=False)


def _regular(known: os.stat_result) -> bool:
    return stat.S_ISREG(known.st_mode)


def _build(output: Output, change: _Change) -> None:
    """The new site, in a folder of its own: from the twin of the site where there is one, else what stays is given a second name there."""
    name, left, put = change.site.name, change.left, partial(_put, output.beside / change.site.name, change.site)
    beside, twin, there = output.beside / name, output.twins / name, output.site(name)
    remove(beside)
    if left is not None and left.twin and left.twin == looked_at(twin):
        make_folder(output.beside, output.store)
        twin.rename(beside)
        renew(beside, there, left, change.written.removed, change.written.changed, put, _link)
        return
    make_folder(beside, output.store)
    for folder in {(beside / path).parent for path in (*change.same, *change.written.changed)}:
        make_folder(folder, beside)
    for path in change.same:
        _link(there / path, beside / path)
    for path in change.written.changed:
        put(path)


def _put(beside: Path, site: Site, path: str) -> None:
    """A file that is new or different, where nothing stands yet."""
    if path in site.files:
        (beside / path).write_bytes(site.files[path])
    else:
        _link(site.made[path], beside / path)


def _keep_twins(output: Output, old: Mapping[str, Path]) -> None:
    """Put the sites that were swapped out where the next write finds them; it does without where they can't be put there."""
    for name, path in old.items():
        with contextlib.suppress(OSError):
            remove(output.twins / name)
            output.twins.mkdir(exist_ok=True)
            path.rename(output.twins / name)


def _remember(output: Output, memory: Memory, changes: Iterable[_Change]) -> None:
    for change in changes:
        site, twin = change.site, output.twins / change.site.name
        if site.keep_others:
            memory.sites.pop(site.name, None)
            remove(twin)
        elif change.due or change.left is None:
            stamps = looked_at(output.site(site.name)), looked_at(twin) if change.due and twin.is_dir() else b""
            memory.sites[site.name] = Left(site.files, frozenset(site.made), *stamps, frozenset((*change.written.changed, *change.written.removed)))


def _link(source: Path, target: Path) -> None:
    """A second name for a file, or a copy where the file system knows no second names."""
    try:
        os.link(source, target, follow_symlinks=False)
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.ENOENT):
            raise
        shutil.copyfile(source, target, follow_symlinks=False)


def _swap_all(output: Output, names: Sequence[str]) -> dict[str, Path]:
    """Swap the built sites in, and tell where the old ones are now; when one can't be, those that were are swapped back."""
    done: dict[str, Path] = {}
    try:
        for name in names:
            old = _swap(output.beside / name, output.site(name), output.beside / f"{WAS}{name}")
            if old is not None:
                done[name] = old
    except BaseException:
        for name, old in reversed(done.items()):
            _swap(old, output.site(name), output.beside / name)
        raise
    return done


def _swap(beside: Path, site: Path, aside: Path) -> Path | None:
    """Put a built site in place; gives where the old one is now, None when there was none."""
    if not os.path.lexists(site):
        beside.rename(site)
        return None
    if exchange(beside, site):
        return beside
    site.rename(aside)
    beside.rename(site)
    return aside


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
