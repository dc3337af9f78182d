"""Opening one file of the shop folder, and nothing that is not one.

Invariant: never follows a link out of the folder, never waits on a pipe, never reads a device.
"""

from pathlib import Path
from typing import BinaryIO

from purfle.base.trouble import Wrong
from purfle.shell.opening import NotAFile, open_file


def open_inside(shop_dir: Path, path: str) -> BinaryIO:
    """The file `shop_dir/path`, opened for reading.

    Raises Wrong `picture-missing` when there is no such file and `picture-refused` when it is a folder, a pipe or a
    device, can't be opened, or lies outside the shop folder or under its `out/` once links are followed.
    """
    real = _real(shop_dir, path)
    try:
        return open_file(real)
    except NotAFile:
        raise _refused("is not a plain file") from None
    except OSError as error:
        raise _refused(f"can't be opened ({error.strerror})") from None


def read_at_most(file: BinaryIO, most: int) -> bytes | None:
    """The whole file, or None when it is more than `most` bytes. Raises Wrong `picture-refused` when it can't be read."""
    try:
        data = file.read(most + 1)
    except OSError as error:
        raise _refused(f"can't be read ({error.strerror})") from None
    return None if len(data) > most else data


def _real(shop_dir: Path, path: str) -> Path:
    """Where the path leads once every link is followed."""
    root = shop_dir.resolve()
    try:
        real = (root / path).resolve(strict=True)
    except (FileNotFoundError, NotADirectoryError):
        raise Wrong("picture-missing", "there is no such file", "put the file there, or take its name out of the text") from None
    except (OSError, RuntimeError, ValueError):  # a loop of links, a name too long, a NUL
        raise _refused("can't be followed to a file") from None
    if not real.is_relative_to(root) or real.is_relative_to(root / "out"):
        raise _refused("leads out of the shop's own folders")
    return real


def _refused(why: str) -> Wrong:
    return Wrong("picture-refused", f"the file {why}", "put a copy of the picture or sound itself into the build's folder")
