"""Where something stands in the notes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in one file of the shop folder."""

    file: str
    """Path relative to the shop folder, with forward slashes."""
    line: int
    """Line, counted from 1; 0 when the trouble is about the file as a whole."""
    column: int = 1
    """Column in characters, counted from 1."""

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


NOWHERE = Place("", 0, 0)
"""The place of a value that no file wrote, such as a default."""
