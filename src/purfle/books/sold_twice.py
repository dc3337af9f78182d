"""Payments to sell a build that may count twice: in a note, and in the sale on its sheet.

A second box or a listing fee is paid beside what the sale says, so this only warns.
Invariant: moves no amount.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.books.charged import charged
from purfle.books.desk import BooksDesk
from purfle.books.jobs import Deal, Job
from purfle.books.kinds import SELLING_FEES, SENDING
from purfle.events.money import COMMISSION, MoneyOut
from purfle.notes.vocabulary.fields import Record

_KEYS = {SELLING_FEES: "fees", **SENDING}
"""Expense kind → the key of a sale that has it."""
_SOON = timedelta(days=14)
"""How far from the sale a note of the same amount still looks like the same payment; a guess."""


class _Stated(NamedTuple):
    """What a sale or delivery says of one kind of cost."""

    date: date
    record: Record
    amount: Decimal
    guess: bool
    """A fee that is worked out, for as long as none is written."""


def check_sold_twice(desk: BooksDesk) -> None:
    """Tell of each payment to sell a build that the nearest of its sales seems to count, too."""
    for event in desk.to_sell:
        kind = folded(event.record.kind)
        stated = [one for one in _stated(desk, desk.jobs[event.build or ""], kind) if one.date <= desk.today]
        nearest = min(stated, key=lambda one: abs(one.date - event.date), default=None)
        if nearest is not None and nearest.amount:
            _compare(desk, event, kind, nearest)


def _compare(desk: BooksDesk, event: MoneyOut, kind: str, sale: _Stated) -> None:
    record, key = event.record, _KEYS[kind]
    if sale.guess and event.date >= sale.date:
        says = "counts what its channel takes, having no fees: of its own"
        mend = "write fees: there with all that was charged, and take this line out"
    elif not sale.guess and desk.home(record, record.cost) == sale.amount and abs(sale.date - event.date) <= _SOON:
        says, mend = f"has {key}: {sale.amount}", "take one of the two out; if both were paid, write their sum there and take this line out"
    else:
        return
    found = f"cost: {record.cost} is paid here for {kind} of {event.build}, and its sale of {sale.date} ({sale.record.at.in_file}) {says}; both count"
    desk.troubles.add(record.where("cost"), "sold-twice", found, mend)


def _stated(desk: BooksDesk, job: Job, kind: str) -> Iterator[_Stated]:
    """What each sale of a build says of a kind of cost, nothing where it says none; of a delivery, of its fees."""
    if kind == SELLING_FEES:
        yield from _fees(desk, job)
    else:
        for sale in job.build.sheet.sale:
            yield _Stated(sale.date, sale, desk.rounded(getattr(sale, _KEYS[kind])), guess=False)


def _fees(desk: BooksDesk, job: Job) -> Iterator[_Stated]:
    for sale in job.build.sheet.sale:
        taken = charged(desk, sale, sale.date)
        yield _Stated(sale.date, sale, taken.fees, taken.guess)
    order, deal = job.build.sheet.commission, job.deals.get(COMMISSION, Deal())
    for delivered in order.delivered if order else ():
        yield _Stated(delivered.date, delivered, deal.kept_by_channel if delivered.fees is None else desk.rounded(delivered.fees), delivered.fees is None)
