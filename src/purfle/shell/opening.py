"""Opens a file that may have become anything since it was looked at: a link, a pipe, a folder, a device.

Invariant: follows no link and waits for nobody; loads nothing that takes time, for the door of the command line opens files, too.
"""

import os
import stat

TYPE_CHECKING = False  # `typing` is not loaded for a name
if TYPE_CHECKING:
    from pathlib import Path
    from typing import BinaryIO

_READING = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
"""Follows no link and waits for no writer on a pipe. Windows knows the last flag alone."""


class NotAFile(OSError):
    """What was opened is no regular file."""


def open_file(path: "str | Path") -> "BinaryIO":
    """A regular file, to read. Raises `NotAFile` for anything else that opens, OSError for what does not."""
    handle = os.open(path, _READING)
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        raise NotAFile(f"{path} is no file")
    return os.fdopen(handle, "rb")
