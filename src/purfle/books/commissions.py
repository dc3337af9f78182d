"""Commissions: what a delivery, or an extra agreed after the last, earns, and what the customer then owes.

Invariant: cost moves only through `BooksDesk.recognise`; what a deposit covers is no money a second time.
"""

from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.books.desk import BooksDesk
from purfle.books.fees import channel_named, fee, remits_tax
from purfle.books.jobs import Deal, Job, first_shares
from purfle.books.kinds import SELLING_FEES
from purfle.books.ledger import SOLD, Account, Book, Voucher, cash_out
from purfle.books.sales import share_owed, sold_for, units_out
from purfle.events.money import COMMISSION, AgreedLate, HandedOver
from purfle.notes.records.sales import Commission


def handed_over(desk: BooksDesk, event: HandedOver) -> None:
    """A delivery is the sale of its units: their part of price and extras, their part of the cost."""
    job, commission, day = desk.jobs[event.build], event.commission, event.date
    before = job.left
    units = units_out(desk, job, event.record, event.record.units)
    deal = job.deals.setdefault(COMMISSION, Deal())
    deal.tax_by_shop = not remits_tax(channel_named(desk.shop, commission.channel))
    if not units:
        return
    price, tax = (first_shares(left, before, units, desk.smallest) for left in _still_to_earn(desk, commission, deal, day))
    deal.tax += tax
    deal.units += units
    deal.cost += desk.recognise(Voucher(day, "cost of what was delivered", event.at), job, units)
    _earned(desk, event, job, deal, "delivered", price, tax)


def to_come(desk: BooksDesk, job: Job) -> Decimal:
    """What the units that are left will earn when they are delivered, with tax that the shop hands in."""
    commission = job.build.sheet.commission
    if commission is None or not job.left:
        return ZERO
    price, tax = _still_to_earn(desk, commission, job.deals.get(COMMISSION, Deal()), date.max)
    return price if remits_tax(channel_named(desk.shop, commission.channel)) else price + tax


def _still_to_earn(desk: BooksDesk, commission: Commission, deal: Deal, day: date) -> tuple[Decimal, Decimal]:
    """Price and tax that the units left are to earn: all that was agreed up to a day, less what was earned and not undone."""
    extras = sum((extra.price for extra in commission.extras if extra.date is None or extra.date <= day), ZERO)
    price = desk.rounded((commission.price or ZERO) + extras)
    return price - deal.price + deal.undone, desk.rounded(commission.tax) - deal.tax + deal.tax_undone


def agreed_late(desk: BooksDesk, event: AgreedLate) -> None:
    """An extra agreed once everything was delivered is earned on its own day; while units are left it is earned with them."""
    job = desk.jobs[event.build]
    if COMMISSION in job.deals and not job.left:
        _earned(desk, event, job, job.deals[COMMISSION], event.record.what, desk.rounded(event.record.price), ZERO)


def _earned(desk: BooksDesk, event: HandedOver | AgreedLate, job: Job, deal: Deal, what: str, price: Decimal, tax: Decimal) -> None:
    """Earned, and owed by the customer as far as no deposit covers it."""
    own = tax if deal.tax_by_shop else ZERO
    deal.price += price
    job.deposit -= price + own
    day, at, owed = event.date, event.record.where("price"), Account(Book.CUSTOMERS, "owed", job.id)
    desk.ledger.move(Voucher(day, what, at), price, owed, Account(Book.SALES, "price", job.id))
    desk.ledger.move(Voucher(day, "tax", at), own, owed, Account(Book.SALES_TAX, "collected", job.id))
    fees, guess = _fees(desk, event, price, tax)
    deal.fees += fees
    deal.kept_by_channel += fees
    deal.guessed = deal.guessed or (guess and bool(fees))
    at_fees = event.record.where("price" if guess else "fees")
    desk.ledger.move(Voucher(day, "fees", at_fees, guess), fees, desk.spent(SELLING_FEES, job.id), cash_out(job.id))
    sold_for(job, deal)
    share_owed(desk, job, deal, Voucher(day, SOLD, at))


def _fees(desk: BooksDesk, event: HandedOver | AgreedLate, price: Decimal, tax: Decimal) -> tuple[Decimal, bool]:
    """The channel's fees as charged for a delivery, else as worked out, and whether they are that."""
    if isinstance(event, HandedOver) and event.record.fees is not None:
        return desk.rounded(event.record.fees), False
    return fee(channel_named(desk.shop, event.commission.channel), price, ZERO, tax, desk.smallest), True
