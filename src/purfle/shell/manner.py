"""How a stream wants to be written to: in colour or without, and how wide.

Invariant: writes nothing, and loads nothing but `os`.
"""

import os
import sys

TYPE_CHECKING = False  # `typing` is not loaded for a name
if TYPE_CHECKING:
    from typing import TextIO

_MOST_WIDTH, _USUAL_WIDTH = 160, 80


def colourful(stream: "TextIO") -> bool:
    """Whether colour is welcome: a terminal that knows it, and no NO_COLOR (no-color.org) in the environment."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def width_of(stream: "TextIO") -> int:
    """Columns to fill: the terminal's own, or 160 into a pipe or file."""
    return min(_columns(), _MOST_WIDTH) if stream.isatty() else _MOST_WIDTH


def _columns() -> int:
    """What COLUMNS says, else what the terminal says (as `shutil.get_terminal_size`, which loads ten times what this needs)."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told) > 0:
        return int(told)
    try:
        return os.get_terminal_size(sys.__stdout__.fileno()).columns or _USUAL_WIDTH  # type: ignore[union-attr]
    except (AttributeError, ValueError, OSError):
        return _USUAL_WIDTH


def manner() -> tuple[str, ...]:
    """What of the two standard streams shapes a printed answer."""
    return tuple(f"{colourful(s)} {width_of(s)} {s.encoding} {s.errors}" for s in (sys.stdout, sys.stderr))
