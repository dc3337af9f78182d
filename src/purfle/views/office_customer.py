"""A customer's account of a commission, to print and hand over.

Invariant: shows what was agreed, done and paid for one commission, and no cost, no hours and nobody else, but in the owner's own words.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from purfle.books.fees import channel_named, remits_tax
from purfle.books.figures import CustomerAccount
from purfle.books.outlook import agreed_price
from purfle.notes.model import Build
from purfle.notes.records.sales import Commission
from purfle.views.office_desk import Figure, OfficeDesk


@dataclass(frozen=True, slots=True)
class AccountRow:
    """One amount with its day, which may be unknown."""

    day: str
    what: str
    amount: Figure


@dataclass(frozen=True, slots=True)
class CustomerPaper:
    """The account of one commission."""

    page: str
    title: str
    """Of the build."""
    customer: str
    """Empty when no name is written."""
    agreed: tuple[AccountRow, ...]
    total: Figure
    done: tuple[tuple[str, str], ...]
    """The finished stages, each with its day."""
    paid: tuple[AccountRow, ...]
    """Above nothing what they paid or were let off, below nothing what was delivered for it, paid back or kept."""
    balance: Figure
    balance_words: str
    to_pay: Figure | None
    """What is to be paid at delivery, beside what is owed of an earlier one; None once all was delivered, or the job is over."""
    rest: bool
    """That is for the rest: a part was delivered."""


def customer_paper_of(desk: OfficeDesk, build: Build, account: CustomerAccount | None) -> CustomerPaper | None:
    """None for what is no commission, or one without a price and without a payment."""
    order = build.sheet.commission
    if order is None or (order.price is None and account is None):
        return None
    balance = account.balance if account else Decimal(0)
    tax = Decimal(0) if remits_tax(channel_named(desk.shop, order.channel)) else order.tax
    agreed = agreed_price(order) + tax
    begun = any(delivered.date <= desk.today for delivered in order.delivered)
    to_come = desk.found.books.facts[build.id].to_come - max(balance, Decimal(0))
    waits = order.price is not None and desk.progress[build.id].closed_on is None
    return CustomerPaper(
        page=f"accounts/{build.id}.html",
        title=desk.titles[build.id],
        customer=order.customer or "",
        agreed=tuple(_agreed(desk, order, tax)),
        total=desk.money(agreed),
        done=tuple(_done(desk, build)),
        paid=tuple(AccountRow(desk.write.date(line.date), line.what, desk.money(line.amount, line.estimated)) for line in (account.lines if account else ())),
        balance=desk.money(abs(balance)),
        balance_words=("still to be paid" if balance < 0 else "held for the customer") if balance else "settled",
        to_pay=desk.money(max(to_come, Decimal(0))) if waits else None,
        rest=begun,
    )


def _agreed(desk: OfficeDesk, order: Commission, tax: Decimal) -> Iterator[AccountRow]:
    if order.price is not None:
        yield AccountRow("", "price agreed", desk.money(order.price))
    for extra in order.extras:
        yield AccountRow(desk.write.date(extra.date) if extra.date else "", extra.what, desk.money(extra.price))
    if tax:
        yield AccountRow("", "sales tax", desk.money(tax))


def _done(desk: OfficeDesk, build: Build) -> Iterator[tuple[str, str]]:
    for stage in desk.progress[build.id].stages:
        if stage.current.finished is not None:
            yield stage.stage.name, desk.write.date(stage.current.finished)
