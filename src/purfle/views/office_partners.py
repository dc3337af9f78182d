"""A partner's account of shares, to print and hand over.

Invariant: shows the sales and payments of one partner, and nothing of another, of a customer or of a cost, but in the owner's own words.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.names import folded
from purfle.books.partners import PartnerAccount, partners_of
from purfle.views.office_desk import Figure, Link, OfficeDesk


@dataclass(frozen=True, slots=True)
class ShareRow:
    """One sale or payment."""

    day: str
    build: str
    """Its title; empty for a payment on no build."""
    what: str
    price: Figure | None
    amount: Figure
    owed: Figure
    """What was still to be paid after it."""


@dataclass(frozen=True, slots=True)
class PartnerPaper:
    """The account of one partner."""

    page: Link
    terms: tuple[tuple[str, str], ...]
    """A build's title, and what was agreed of it."""
    rows: tuple[ShareRow, ...]
    owed: Figure
    owed_words: str
    estimated: bool
    """Some of it is only worked out."""


def partner_papers_of(desk: OfficeDesk) -> tuple[PartnerPaper, ...]:
    """One paper for each partner, by name."""
    return tuple(_paper(desk, account) for account in partners_of(desk.found.books))


def _address(partner: str) -> str:
    """A page's address from the partner's name alone: another partner more or less leads no bookmark to the wrong account."""
    return f"partner-{hashlib.sha256(folded(partner).encode()).hexdigest()[:12]}.html"


def _paper(desk: OfficeDesk, account: PartnerAccount) -> PartnerPaper:
    page = Link(account.partner, _address(account.partner))
    guessed = any(line.estimated for line in account.lines)
    words = "still owed" if account.owed >= 0 else "paid ahead"
    return PartnerPaper(page, tuple(_terms(desk, account.partner)), tuple(_rows(desk, account)), desk.money(abs(account.owed), guessed), words, guessed)


def _terms(desk: OfficeDesk, partner: str) -> Iterator[tuple[str, str]]:
    for build in desk.shop.builds:
        for share in build.sheet.share:
            if folded(share.partner) == folded(partner):
                no_line = "; a sale without a profit has no line" if share.of == "profit" else ""
                yield desk.titles[build.id], f"{desk.write.percent(share.percent / 100)} of the {share.of}{no_line}"


def _rows(desk: OfficeDesk, account: PartnerAccount) -> Iterator[ShareRow]:
    left, guessed = Decimal(0), False
    for line in account.lines:
        left, guessed = left + line.amount, guessed or line.estimated
        price = None if line.price is None else desk.money(line.price)
        build = desk.titles.get(line.build, line.build) if line.build else ""
        yield ShareRow(desk.write.date(line.date), build, line.what, price, desk.money(line.amount, line.estimated), desk.money(left, guessed))
