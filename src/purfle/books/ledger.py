"""The ledger: every amount leaves one account and enters another, so that the whole always adds up.

A posting is positive where it adds to what the shop has or spent, negative where it adds to what it owes or earned.
The postings of one entry sum to nothing; `entry` refuses to write any other.
Invariant: knows no rule of the trade; only that nothing is lost and nothing is counted twice.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import partial
from typing import NamedTuple, TypeVar

from purfle.base.money import ZERO
from purfle.base.place import Place

K = TypeVar("K", bound=Hashable)


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
SOLD, CAME_BACK = "sold", "came back"
UNSAID = "paid"
"""The account of shares that were paid without a word to whom."""
ON_THE_WAY, STOCK = "on the way", "stock"


class Account(NamedTuple):
    """Where an amount lies."""

    book: Book
    name: str
    build: str | None = None
    flow: str = ""
    """For inventory: purchases, materials, outside work or other costs when it comes from outside (goods refunded are
    negative purchases); inside for a move; withdrawn for private use; recognised when it becomes cost of goods sold.
    For partners' shares: sold or came back when a share is earned or taken back, nothing when one is paid."""
    lost: bool = False
    """For cost of goods sold: scrapped, lost, written off or short."""

    @property
    def carried(self) -> bool:
        """Whether it is cost that is held here, in a build or on the shelf; what is on the way is not."""
        return self.book is Book.INVENTORY and self.name != ON_THE_WAY

    @property
    def went_in(self) -> bool:
        """Whether it is cost that went into goods or was taken off them again; what left with a sale or an end is not."""
        return self.book is Book.INVENTORY and self.flow != RECOGNISED


def cash_in(build: str | None = None) -> Account:
    """Money that comes in."""
    return Account(Book.CASH, "received", build)


def cash_out(build: str | None = None) -> Account:
    """Money that goes out."""
    return Account(Book.CASH, "paid", build)


class Voucher(NamedTuple):
    """What an entry goes by: the day, what it was, and the line of the notes that says so."""

    date: date
    what: str
    source: Place
    estimated: bool = False
    """Worked out and not on a bill yet, or not yet paid."""
    who: str = ""
    """Whom the note names as paid or paying."""


class Posting(NamedTuple):
    """An amount that an account takes on a day, with the line of the notes it comes from."""

    date: date
    account: Account
    amount: Decimal
    what: str
    source: Place
    estimated: bool
    who: str


_posting: Callable[[tuple[object, ...]], Posting] = partial(tuple.__new__, Posting)
Totals = Mapping[Account, Decimal]
"""What each account took in all."""


def totals(postings: Iterable[Posting]) -> Totals:
    """What each account took: far fewer than the postings, and every figure is a sum of them."""
    sums: dict[Account, Decimal] = {}
    for posting in postings:
        account = posting.account
        sums[account] = sums.get(account, ZERO) + posting.amount
    return sums


def summed(accounts: Totals, by: Callable[[Account], K]) -> Mapping[K, Decimal]:
    """What accounts took, put together by what `by` says of each; nothing for all that none of them is."""
    sums: defaultdict[K, Decimal] = defaultdict(lambda: ZERO)
    for account, amount in accounts.items():
        sums[by(account)] += amount
    return sums


def by_book(accounts: Totals) -> Mapping[Book, Totals]:
    """The same, each book's accounts together; every book is there."""
    books: dict[Book, dict[Account, Decimal]] = {book: {} for book in Book}
    for account, amount in accounts.items():
        books[account.book][account] = amount
    return books


def added(before: Totals, within: Totals) -> Totals:
    """What each account took before and within a span of days."""
    return {**before, **{account: before.get(account, ZERO) + amount for account, amount in within.items()}}


@dataclass(slots=True)
class Ledger:
    """The postings as they are written, in the order of the events."""

    today: date
    postings: list[Posting] = field(default_factory=list)

    def move(self, voucher: Voucher, amount: Decimal, to: Account, origin: Account) -> None:
        """Write the usual entry, one amount from one account to another: it balances by what it is. A day after today has not happened."""
        day, what, source, estimated, who = voucher
        if amount and day <= self.today:
            self.postings.append(_posting((day, to, amount, what, source, estimated, who)))
            self.postings.append(_posting((day, origin, -amount, what, source, estimated, who)))

    def entry(self, voucher: Voucher, legs: Sequence[tuple[Account, Decimal]]) -> None:
        """Write an entry of several legs; those of nothing are left out, and all of them when the day is after today.

        Raises ValueError when the legs do not sum to nothing: that would be purfle's own fault.
        """
        day, what, source, estimated, who = voucher
        if sum((amount for _, amount in legs), ZERO):
            raise ValueError(f"an entry does not balance: {what} at {source}")
        if day <= self.today:
            self.postings += [_posting((day, account, amount, what, source, estimated, who)) for account, amount in legs if amount]
