"""Writes the files that were asked for outside `out/`: notes, which are never written over, and a workbook, which takes the place of the one before.

Invariant: leaves no file that is not whole, and touches none but the one that was named.
"""

import contextlib
import errno
import os
import tempfile
from pathlib import Path


def notes_of(folder: Path, day: str) -> list[Path]:
    """The notes of a day in a folder, however they end: .md or .MD."""
    return sorted(path for path in folder.glob(f"{day}*") if path.suffix.casefold() == ".md")


def write_new(path: Path, text: str) -> None:
    """Write a new file. Raises FileExistsError when there is one, OSError when it can't be written."""
    file = path.open("x", encoding="utf-8", newline="\n")
    try:
        with file:
            file.write(text)
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def write_in_place(path: Path, data: bytes) -> None:
    """Write a file whole in place of the one of that name, which keeps its rights. Raises OSError when it can't be written, or may not be."""
    path = Path(os.path.realpath(path))  # over a link, as any program that saves
    if path.exists() and not os.access(path, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".purfle-")  # a name that nobody has
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        beside.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        beside.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


def _umask() -> int:
    """What new files are not to be allowed; it can be asked for only by setting it."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
