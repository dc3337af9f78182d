"""Writes a file that was not there.

Invariant: never writes over a file that is there, and leaves none that is not whole.
"""

from pathlib import Path


def write_new(path: Path, text: str) -> None:
    """Write a new file. Raises FileExistsError when there is one, OSError when it can't be written."""
    file = path.open("x", encoding="utf-8", newline="\n")
    try:
        with file:
            file.write(text)
    except OSError:
        path.unlink(missing_ok=True)
        raise
