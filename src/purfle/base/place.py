"""Where something stands in the notes."""

import re
from bisect import bisect_right
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
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file

    def down(self, lines: int, column: int = 1) -> "Place":
        """The place so many lines further down."""
        return Place(self.file, self.line + lines, column)

    @property
    def in_file(self) -> str:
        """File and line, as one note is pointed out in words about another."""
        return f"{self.file}:{self.line}"


class Lookup:
    """Finds places in one text; its lines are counted once, when the first place is asked for."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._starts: list[int] = []

    def place(self, position: int, start: Place) -> Place:
        """The place of a character, counted from 0, of the text that begins at `start`."""
        if not self._starts:
            self._starts = [0, *(end.end() for end in re.finditer("\n", self._text))]
        line = bisect_right(self._starts, position) - 1
        return Place(start.file, start.line + line, position - self._starts[line] + (1 if line else start.column))


NOWHERE = Place("", 0, 0)
"""The place of a value that no file wrote, such as a default."""
