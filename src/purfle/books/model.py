"""The kept books: every posting, and what the figures need to know of builds, stock, trips and hours.

Invariant: values only; `year` and `quote` turn them into figures.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from purfle.base.groups import grouped
from purfle.base.place import Place
from purfle.books.figures import Trip
from purfle.books.ledger import Posting
from purfle.events.work import Worked
from purfle.notes.records.build import JobKind
from purfle.notes.records.shop import ShopSheet
from purfle.progress.model import State


class Move(NamedTuple):
    """Stock that came or went."""

    date: date
    item: str
    """As compared: casefolded."""
    qty: Decimal
    cost: Decimal
    source: Place


class Span(NamedTuple):
    """Days in a row."""

    since: date
    until: date
    """The first day that is no part of it."""


@dataclass(frozen=True, slots=True)
class Facts:
    """What the figures say of one build beside its amounts."""

    id: str
    kind: JobKind
    state: State
    hours: Decimal
    """To date."""
    since: date | None
    """The day it came in, or its first note."""
    closed_on: date | None
    ready: tuple[Span, ...]
    """When it was ready for a buyer: its last stage finished and cured, or offered before that."""
    left: int
    """Units that have not gone out yet."""
    private: bool
    """It is the owner's own on the day the books are kept to."""
    to_come: Decimal
    """What its customer is still to be charged for units of a commission that have not gone out, with tax that the shop hands in."""
    carried: Decimal
    """Cost still held on the day the books are kept to, as followed build by build; the ledger must say the same."""


@dataclass(frozen=True)
class Books:
    """The books, kept up to a day."""

    settings: ShopSheet
    smallest: Decimal
    today: date
    postings: tuple[Posting, ...]
    """By date, then as they happened."""
    facts: Mapping[str, Facts]
    """By build id, in order of id."""
    moves: tuple[Move, ...]
    """By date."""
    items: Mapping[str, str]
    """Stock items as compared → as written."""
    units: Mapping[str, str]
    """Stock items as compared → the unit they are counted in."""
    trips: tuple[Trip, ...]
    hours: tuple[Worked, ...]
    """Bench hours for the shop, and those of the show, by date."""
    own_hours: tuple[Worked, ...]
    """Bench hours on what was the owner's own that day, by date: no profit of the shop's comes of them."""

    @cached_property
    def of_build(self) -> Mapping[str, Sequence[Posting]]:
        """The postings of each build that has any: gathered once, for looking through all of them for each build is slow in a large shop."""
        own = grouped(self.postings, lambda posting: posting.account.build)
        return {build: postings for build, postings in own.items() if build is not None}
