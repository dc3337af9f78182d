"""What each partner earned and was paid: the account of shares that can be handed to them.

Invariant: sums postings and works out nothing; holds no line of another partner, and no cost.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.money import ZERO
from purfle.base.names import folded
from purfle.books.ledger import CAME_BACK, SOLD, UNSAID, Book
from purfle.books.model import Books


class ShareLine(NamedTuple):
    """A share earned (above nothing) or taken back with a refund, or a payment (below nothing)."""

    date: date
    build: str | None
    what: str
    """Of a share, what brought it: sold, refunded or fees back; of a payment, the note's words."""
    price: Decimal | None
    """What was paid for what was sold, without post and tax; None where the line is no sale."""
    amount: Decimal
    estimated: bool


@dataclass(frozen=True, slots=True)
class PartnerAccount:
    """All that passed between the shop and one partner, by day."""

    partner: str
    """As a sheet writes it."""
    lines: tuple[ShareLine, ...]

    @property
    def owed(self) -> Decimal:
        """What is still to be paid."""
        return sum((line.amount for line in self.lines), ZERO)


def partners_of(books: Books) -> tuple[PartnerAccount, ...]:
    """Every partner's account by name; what was paid without a word to whom is in none."""
    found: dict[str, tuple[str, list[ShareLine]]] = {}
    sold: dict[tuple[date, str | None], Decimal] = {}
    for day, account, amount, what, _, estimated, _ in books.postings:
        if account.book is Book.SALES and account.name == "price":
            sold[day, account.build] = -amount  # the shares of a sale are booked right after it
        elif account.book is Book.SHARES and account.name != UNSAID:
            price = sold.get((day, account.build)) if account.flow == SOLD else None
            _, lines = found.setdefault(folded(account.name), (account.name, []))
            lines.append(ShareLine(day, account.build, _said(account.flow, amount) or what, price, -amount, estimated))
    return tuple(PartnerAccount(name, tuple(lines)) for _, (name, lines) in sorted(found.items()))


def _said(flow: str, amount: Decimal) -> str:
    """What changed a share; nothing for a payment. Fees that a channel gives back raise the share of a profit."""
    if flow == CAME_BACK:
        return "refunded" if amount > ZERO else "fees back"
    return flow
