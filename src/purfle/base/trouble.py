"""Troubles: anything wrong in the notes, as data.

A trouble says where, what was found and how to mend it. The table of codes says what each one stops.
Renderers (terminal, JSON, page) live elsewhere.
Invariant: knows nothing of files or of how a trouble is shown.
"""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

from purfle.base.names import folded
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


def nearest(name: str, known: Iterable[str], cutoff: float = 0.7) -> str | None:
    """The known name most like `name`, case ignored, or None when none is near (difflib ratio)."""
    by_fold = {folded(k): k for k in known}
    hits = difflib.get_close_matches(folded(name), by_fold, n=1, cutoff=cutoff)
    return by_fold[hits[0]] if hits else None


def misspelt_for(name: str, known: Iterable[str]) -> str | None:
    """The known name that a name can hardly be else: the same but for spaces, or nearly the same letters and whatever tells the likes of it apart the same."""
    closed = _closed(name)
    alike = [other for other in known if _closed(other) == closed or _tells_apart(other) == _tells_apart(name)]
    return nearest(name, alike, 0.8) if alike else None


def _closed(name: str) -> str:
    return "".join(filter(str.isalnum, name.casefold()))


def nearest_first(name: str, known: Iterable[str]) -> list[str]:
    """The known names in the order given, but for the one most like `name`, if any is like it at all, which comes first."""
    names = list(known)
    near = nearest(name, names, 0.6)
    return names if near is None else [near, *(other for other in names if other != near)]


@lru_cache(maxsize=4096)
def _tells_apart(name: str) -> tuple[tuple[str, ...], str]:
    """How the words of a name begin, short ones whole, and its figures: an E string is no G string, and amber is not umber."""
    return tuple(word if len(word) < _SHORT else word[0] for word in name.casefold().split()), "".join(filter(str.isdigit, name))


_SHORT = 3
"""From so many letters on a word may be misspelt."""


def bracketed(text: str, known: Iterable[str]) -> str | None:
    """Several names between commas as the list they were meant to be; None where none of them is known."""
    names = [name.strip() for name in text.split(",") if name.strip()]
    of_them = set(map(folded, known))
    return f"[{', '.join(names)}]" if len(names) > 1 and any(folded(name) in of_them for name in names) else None


def listed(names: Iterable[str], most: int = 8, last: str = "or") -> str:
    """Names as a person would list them: "a, b or c", cut with "and N more" when there are many; `last` stands before the last."""
    names = list(names)
    if len(names) > most:
        return ", ".join(names[:most]) + f" and {len(names) - most} more"
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"
