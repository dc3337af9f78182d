"""The folder `out/`: who may write there, and what a killed compile left behind.

`out/.store` holds made pictures, the lock, and sites not yet swapped in. Delete it and nothing is lost but time.
Invariant: writes under `out/` alone, and nothing here can't be made again from the notes.
"""

import contextlib
import errno
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

WAS = "was-"
"""Begins the name of a site put aside by a swap in two steps."""


class Busy(Exception):
    """Another purfle is writing to the same `out/`."""


@dataclass(frozen=True, slots=True)
class Output:
    """Paths of one shop's output."""

    root: Path
    """The folder `out/` itself."""

    @property
    def store(self) -> Path:
        """The disposable store."""
        return self.root / ".store"

    @property
    def lock(self) -> Path:
        """What is held by whoever writes."""
        return self.store / "lock"

    @property
    def beside(self) -> Path:
        """Where a site is written before it is swapped in; on the same file system as the sites."""
        return self.store / "beside"

    @property
    def twins(self) -> Path:
        """Where a following process keeps the sites it swapped out, to build the next ones from; none are kept beyond it."""
        return self.store / "twins"

    def site(self, name: str) -> Path:
        """The folder of a site, `showroom` or `office`."""
        return self.root / name


@contextlib.contextmanager
def locked(root: Path, *, keeps_twins: bool = False) -> Iterator[Output]:
    """The output folder at `root`, made if need be, held for this process alone.

    The lock is the kernel's and falls with the process, so a killed compile leaves none behind.
    Leftovers of a killed compile are cleared away first, and another's twins unless they may be one's own. Raises `Busy`, or OSError when it can't be written.
    """
    output = Output(root)
    if root.is_symlink() or output.store.is_symlink():
        raise OSError(f"{root} is a symbolic link; purfle writes into a real folder only")
    root.mkdir(exist_ok=True)  # not the shop's own: one that was moved away is not made anew
    for ours, is_ours in ((output.store, Path.is_dir), (output.lock, Path.is_file)):
        if os.path.lexists(ours) and not is_ours(ours):
            remove(ours)
    output.store.mkdir(exist_ok=True)
    handle = os.open(output.lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o644)
    try:
        _hold(handle)
        _clear(output)
        if not keeps_twins or output.twins.is_symlink():
            remove(output.twins)
        yield output
    finally:
        os.close(handle)


def _clear(output: Output) -> None:
    """Take away what a killed compile left, putting an old site back if it was caught with none in place."""
    clear_beside(output)
    for shelf in (output.store / folder for folder in _SHELVES):
        if shelf.is_symlink() or not shelf.is_dir():  # what lies behind a link is not ours
            shelf.unlink(missing_ok=True)
    for folder in _KEPT:
        for half in output.store.glob(f"{folder}/.new-*"):
            remove(half)


def clear_beside(output: Output) -> None:
    """Put a site back that was put aside and has nothing in its place, then take away all else that was built beside."""
    if output.beside.is_symlink() or output.beside.is_file():
        remove(output.beside)
    for old in sorted(output.beside.glob(f"{WAS}*")):
        if not os.path.lexists(site := output.site(old.name.removeprefix(WAS))):
            old.rename(site)
    remove(output.beside)


def make_folder(folder: Path, within: Path) -> None:
    """Make a folder and those above it, up to `within`. Raises FileNotFoundError when that can't be made: a shop that was moved away is not made anew."""
    try:
        folder.mkdir(exist_ok=True)
    except FileNotFoundError:
        if folder == within:
            raise
        make_folder(folder.parent, within)
        folder.mkdir(exist_ok=True)


def remove(folder: Path) -> None:
    """Take a folder away with all in it, what was made read-only too; no link is followed, in it or in its place."""
    if folder.is_symlink() or not folder.is_dir():
        folder.unlink(missing_ok=True)
        return
    for path, names, _ in os.walk(folder):
        for inner in (Path(path, name) for name in names):
            if not inner.is_symlink():
                inner.chmod(0o700)
    shutil.rmtree(folder, ignore_errors=True)


_SHELVES = ("answers", "pictures", "sounds", "records", "records/pictures", "records/sounds")
_KEPT = (".", "answers", "pictures", "sounds", "records/*")
"""Folders of the store where files are written beside and renamed."""


_HELD = (errno.EAGAIN, errno.EACCES, errno.EDEADLK)
"""What the system says of a lock that someone else has: flock(2), and Windows' `_locking`."""


def _hold(handle: int) -> None:
    try:
        _lock(handle)
    except OSError as error:
        if error.errno not in _HELD:
            raise  # a file system without locks, not another purfle
        holder = os.read(handle, 32).decode("ascii", "replace").strip()
        raise Busy(f"another purfle{f' (process {holder})' if holder.isdigit() else ''} is writing to out/ just now") from None
    os.ftruncate(handle, 0)
    os.write(handle, f"{os.getpid()}\n".encode("ascii"))


def _lock(handle: int) -> None:
    """Take the lock without waiting. Raises OSError when someone else has it."""
    try:
        import fcntl
    except ImportError:
        import msvcrt

        # Windows locks a byte range; one far past the process number, so that others can still read that.
        os.lseek(handle, 1_000_000, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        os.lseek(handle, 0, os.SEEK_SET)
        return
    fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
