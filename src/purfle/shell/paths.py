"""What stands at a path, as far as that can be seen; the way to it may be barred.

Invariant: opens nothing and raises nothing.
"""

import stat
from pathlib import Path

SHOP_FILE = "shop.md"


def find_shop(start: Path) -> Path | None:
    """The nearest folder from `start` upward that holds a shop.md, or None."""
    start = start.absolute()
    return next((folder for folder in (start, *start.parents) if is_file(folder / SHOP_FILE)), None)


def is_folder(path: Path) -> bool:
    """Whether a folder can be seen there, also over a link."""
    return stat.S_ISDIR(_mode(path))


def is_file(path: Path) -> bool:
    """Whether a file can be seen there, also over a link."""
    return stat.S_ISREG(_mode(path))


def _mode(path: Path) -> int:
    """What stands at a path, over links; 0 for nothing, and where the way to it is barred, for which `Path.is_dir` and its like raise."""
    try:
        return path.stat().st_mode
    except OSError:
        return 0


def is_link(path: Path) -> bool:
    """Whether a link can be seen there."""
    try:
        return stat.S_ISLNK(path.lstat().st_mode)
    except OSError:
        return False
