"""Plain data that comes back from the disposable store, taken for what it should be or not at all.

Whatever lies there may be damaged, half of something, or somebody else's: what has not the very form it was kept in is thrown away and
made anew. Every function raises ValueError (or, where it reads, OSError) for it.
Invariant: never waits on a pipe, reads a device, follows a link to a file, or believes what it reads.
"""

import json
import os
import re
from pathlib import Path
from typing import Any, NoReturn

from purfle.shell.opening import open_file

_MOST_BYTES = 100_000_000


def read(path: Path) -> Any:
    """The JSON of a file of the store."""
    with open_file(path) as file:
        if os.fstat(file.fileno()).st_size > _MOST_BYTES:
            refuse()
        try:
            return json.loads(file.read())
        except RecursionError:
            refuse()


def refuse() -> NoReturn:
    """What was read is not what was kept."""
    raise ValueError("not as it was kept")


def text(value: Any, form: str | re.Pattern[str] = "") -> str:
    """A text, of a form when one is given; letters that can't be written are in none."""
    if type(value) is not str or (form and re.fullmatch(form, value) is None):
        refuse()
    value.encode()  # UnicodeEncodeError is a ValueError
    return value


def number(value: Any, least: int, most: int) -> int:
    """A whole number within bounds; neither true nor 1.0 is one."""
    if type(value) is not int or not least <= value <= most:
        refuse()
    return value


def listed(value: Any) -> list[Any]:
    """A list."""
    if type(value) is not list:
        refuse()
    return value


def mapping(value: Any, keys: set[str] | None = None) -> dict[str, Any]:
    """A mapping; with exactly these keys when they are given."""
    if type(value) is not dict or (keys is not None and value.keys() != keys):
        refuse()
    return value
