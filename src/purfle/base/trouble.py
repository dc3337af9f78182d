"""Troubles: anything wrong in the notes, as data.

A trouble says where, what was found and how to mend it. The table of codes says what each one stops.
Renderers (terminal, JSON, page) live elsewhere.
Invariant: knows nothing of files or of how a trouble is shown.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from purfle.base.place import Place


class Stops(StrEnum):
    """What a trouble holds back until it is mended."""

    NOTHING = "nothing"
    """A warning: everything is still written."""
    BOOKS = "books"
    """Figures, plan and office pages keep their last good state."""
    SHOWROOM = "showroom"
    """The showroom keeps its last good state."""
    BOTH = "both"
    """Neither can be trusted: a note that could not be read may hold money and secrets alike."""

    def books(self) -> bool:
        """Whether the books, plan and office are held."""
        return self in (Stops.BOOKS, Stops.BOTH)

    def showroom(self) -> bool:
        """Whether the showroom is held."""
        return self in (Stops.SHOWROOM, Stops.BOTH)


@dataclass(frozen=True, slots=True, order=True)
class Trouble:
    """One thing wrong in the notes; sorts by file, line and column."""

    place: Place
    code: str
    """A key of `purfle.base.codes.CODES`."""
    found: str
    """What is wrong: field, what was found, what was expected. No mend in it."""
    mend: str
    """One imperative sentence: what to write instead."""


class Wrong(Exception):
    """Raised by a reader of one value; whoever knows the place turns it into a `Trouble`."""

    def __init__(self, code: str, found: str, mend: str, offset: int = 0) -> None:
        super().__init__(found)
        self.code = code
        self.found = found
        self.mend = mend
        self.offset = offset
        """Characters from the start of the value to the fault."""


@dataclass(slots=True)
class Troubles:
    """The list a phase fills while it goes on working."""

    found: list[Trouble] = field(default_factory=list)

    def add(self, place: Place, code: str, found: str, mend: str) -> None:
        """Note one trouble."""
        self.found.append(Trouble(place, code, found, mend))

    def wrong(self, place: Place, wrong: Wrong) -> None:
        """Note what a reader raised, at the place of its value."""
        shifted = Place(place.file, place.line, place.column + wrong.offset)
        self.add(shifted, wrong.code, wrong.found, wrong.mend)


_ENDS_IN_BRACES = re.compile(r"[\[\]{},]|:(?:\s|$)|\s#|^[-?:&*!|>'\"%@`#]")


def braced(text: str) -> str:
    """A text as a mend writes it between braces: in quotes where a sign in it would end it there, or make it something else."""
    return "'" + text.replace("'", "''") + "'" if _ENDS_IN_BRACES.search(text) else text


def listed(names: Iterable[str], most: int = 8, last: str = "or") -> str:
    """Names as a person would list them: "a, b or c", cut with "and N more" when there are many; `last` stands before the last."""
    names = list(names)
    if len(names) > most:
        return ", ".join(names[:most]) + f" and {len(names) - most} more"
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"
