"""A slip in the keys of a note, and the place where YAML gave up because of it.

Invariant: looks for nothing.
"""

from typing import NamedTuple


class Slip(NamedTuple):
    """A slip and how to mend it; line and column count from 0."""

    line: int
    column: int
    found: str
    mend: str
    code: str = "yaml-broken"


class Stop(NamedTuple):
    """Where YAML gave up, with the lines of the text and the words of its keys."""

    lines: list[str]
    line: int
    column: int
    here: str
    """The line on which it gave up."""
    known: frozenset[str]
    """Words of the keys that may stand in its first column."""
    inner: frozenset[str]
    """Words of the keys that may stand further in."""

    def slip(self, column: int, found: str, mend: str) -> Slip:
        """A slip on this line."""
        return Slip(self.line, column, found, mend)
