"""The ledger: every amount leaves one account and enters another, so that the whole always adds up.

A posting is positive where it adds to what the shop has or spent, negative where it adds to what it owes or earned.
The postings of one entry sum to nothing; `entry` refuses to write any other.
Invariant: knows no rule of the trade; only that nothing is lost and nothing is counted twice.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import partial
from operator import itemgetter
from typing import NamedTuple

from purfle.base.money import ZERO
from purfle.base.place import Place


class Book(Enum):
    """The kinds of account."""

    INVENTORY = "inventory"
    COGS = "cost of goods sold"
    CASH = "cash"
    PAYABLES = "payables"
    CUSTOMERS = "customers"
    """Per build: above nothing they owe, below nothing their deposits are held."""
    CHANNELS = "channels"
    """Sold, and the money is not here yet."""
    SALES_TAX = "sales tax"
    RECLAIM = "reclaimable tax"
    SHARES = "partner shares"
    SALES = "sales"
    RETURNS = "returns"
    EXPENSES = "expenses"
    SHOW_INCOME = "show income"
    OTHER_INCOME = "other income"
    PRIVATE = "private"
    """What the owner took out (withdrawn) or brought in (owner, mileage of the own car)."""
    COLLECTION = "collection"
    """The owner's own pieces, basis and sales: a table apart, private on both sides."""

    __hash__ = object.__hash__  # an enumeration's own is Python code, and every posting is summed under its book


PURCHASES, MATERIALS, OUTSIDE, OTHER = "purchases", "materials", "outside work", "other costs"
ADDITIONS = (PURCHASES, MATERIALS, OUTSIDE, OTHER)
INSIDE, RECOGNISED, WITHDRAWN = "inside", "recognised", "withdrawn"
ON_THE_WAY, STOCK = "on the way", "stock"


class Leg(NamedTuple):
    """One side of an entry."""

    book: Book
    account: str
    amount: Decimal
    build: str | None = None
    flow: str = ""
    """For inventory: purchases, materials, outside work or other costs when it comes from outside (goods refunded are
    negative purchases); inside for a move; withdrawn for private use; recognised when it becomes cost of goods sold."""
    lost: bool = False
    """For cost of goods sold: scrapped, lost, written off or short."""


class Posting(NamedTuple):
    """One leg on its day, with the line of the notes it comes from."""

    date: date
    book: Book
    account: str
    amount: Decimal
    build: str | None
    flow: str
    lost: bool
    what: str
    source: Place
    estimated: bool


_posting: Callable[[tuple[object, ...]], Posting] = partial(tuple.__new__, Posting)


def summed(postings: Iterable[Posting]) -> tuple[Leg, ...]:
    """The postings of each account, build and flow as one leg: far fewer, and every figure is a sum of them."""
    sums: dict[tuple[Book, str, str | None, str, bool], Decimal] = {}
    for posting in postings:
        key = _ACCOUNT(posting)
        sums[key] = sums.get(key, ZERO) + posting[3]
    return tuple(Leg(book, account, amount, build, flow, lost) for (book, account, build, flow, lost), amount in sums.items())


_ACCOUNT = itemgetter(1, 2, 4, 5, 6)


@dataclass(slots=True)
class Ledger:
    """The postings as they are written, in the order of the events."""

    today: date
    postings: list[Posting] = field(default_factory=list)

    def entry(self, day: date, what: str, source: Place, legs: Iterable[Leg], estimated: bool = False) -> None:
        """Write one entry; legs of nothing are left out. A day after today is not written: it has not happened.

        Raises ValueError when the legs do not sum to nothing: that would be purfle's own fault.
        """
        kept = [leg for leg in legs if leg[2]]  # by number: an entry is written for every line of every note
        whole = ZERO
        for leg in kept:
            whole += leg[2]
        if whole:
            raise ValueError(f"an entry does not balance: {what} at {source}")
        if day <= self.today:
            self.postings += [_posting((day, *leg, what, source, estimated)) for leg in kept]
