"""What comes back of a sale or a delivery: money, and goods at the cost they once left with.

Invariant: a refund, fees and tax given back are of their own day; nothing of the sale itself is changed.
"""

from decimal import Decimal
from typing import NamedTuple

from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books import collection
from purfle.books.desk import OFF_THE_SHELF, BooksDesk
from purfle.books.jobs import Deal, Job, first_shares
from purfle.books.kinds import SELLING_FEES
from purfle.books.ledger import CAME_BACK, RECOGNISED, Account, Book, Voucher, cash_in, cash_out
from purfle.books.sales import share_owed
from purfle.books.stock import cost_of
from purfle.events.money import COMMISSION, CameBack, StockCameBack
from purfle.notes.records.note import SoldBack
from purfle.notes.records.sales import Back


def came_back(desk: BooksDesk, event: CameBack) -> None:
    """A refund; with the goods, their cost returns at what was once recognised."""
    job, back, day = desk.jobs[event.build], event.record, event.date
    _too_early(desk, event)
    deal = job.deals.get(event.number)
    if deal is None:
        found = f"date: nothing of {job.id} was delivered by {back.date}"
        desk.troubles.add(back.where("date"), "refund-before-sale", found, "mend the day, or note what goes back of a deposit as received: {refunded: …}")
        return
    given = _given_back(desk, back, deal)
    if deal.private:
        _piece_back(desk, event, job, deal, given)
        return
    _money_back(desk, event, given)
    if back.goods:
        deal.undone += given.refund
        deal.tax_undone += given.tax
        units, cost = _units_back(desk, event, deal)
        _return_cost(desk, event, job, units, cost)
        for name, other in _bundle_back(deal):
            _return_cost(desk, event, desk.jobs[name], 1, other)
    share_owed(desk, job, deal, Voucher(day, CAME_BACK, event.at))


def stock_came_back(desk: BooksDesk, event: StockCameBack) -> None:
    """A refund on what was sold from stock; what comes back lies on the shelf again at what was once recognised."""
    back, day, item = event.record, event.date, event.sale.item
    _too_early(desk, event)
    deal = desk.sold[event.sale.at]
    given = _given_back(desk, back, deal)
    for what, name, amount, to, origin in (
        ("refund", "refund", given.refund, Account(Book.RETURNS, "refund"), cash_out()),
        ("fees back", "fees_back", given.fees, cash_in(), desk.spent(SELLING_FEES)),
        ("tax back", "tax_back", given.tax, Account(Book.SALES_TAX, "collected"), cash_out()),
    ):
        desk.ledger.move(Voucher(day, f"{item}, {what}", back.where(name)), amount, to, origin)
    if event.qty > deal.qty:
        found = f"qty: {event.qty} of {item} come back and {deal.qty} went out"
        desk.troubles.add(back.where("qty"), "units-oversold", found, "mend the quantity")
    qty = min(event.qty, deal.qty)
    if qty and desk.counts(item):
        cost = cost_of(qty, deal.qty, deal.cost, desk.smallest)
        deal.qty -= qty
        deal.cost -= cost
        desk.ledger.move(Voucher(day, f"{item}, came back", event.at), cost, OFF_THE_SHELF, Account(Book.COGS, "came back"))
        desk.shelve(day, item, qty, cost, event.at, event.sale.lot)


def _too_early(desk: BooksDesk, event: CameBack | StockCameBack) -> None:
    at, day = event.record.where("date"), event.record.date
    if day < event.sold:
        desk.troubles.add(at, "refund-before-sale", f"date: the refund of {day} is before the sale of {event.sold}", "mend one of the two days")


class _Given(NamedTuple):
    """What is given back."""

    refund: Decimal
    fees: Decimal
    tax: Decimal


def _given_back(desk: BooksDesk, back: Back | SoldBack, deal: Deal) -> _Given:
    """Refund, fees and tax given back, put down in the deal; what is more than was charged or taken is told."""
    refund, fees = desk.rounded(back.refund), desk.rounded(back.fees_back)
    if deal.returns + refund > deal.price + deal.post:
        found = f"refund: {deal.returns + refund} in all is more than the {deal.price + deal.post} that was charged"
        desk.troubles.add(back.where("refund"), "refund-above-price", found, "mend the refund, or give tax back under tax_back")
    if fees > deal.kept_by_channel:
        found = f"fees_back: {fees} is more than the {deal.kept_by_channel} of selling fees"
        desk.troubles.add(back.where("fees_back"), "fees-back-above-fees", found, "mend the amount")
    tax = desk.rounded(back.tax_back) if deal.tax_by_shop else ZERO
    if deal.tax_back + tax > deal.tax:
        found = f"tax_back: {deal.tax_back + tax} in all is more than the {deal.tax} of tax that was charged"
        desk.troubles.add(back.where("tax_back"), "tax-back-above-tax", found, "mend the amount, or add tax: to the sale")
    deal.returns += refund
    deal.fees -= fees
    deal.kept_by_channel -= fees
    deal.tax_back += tax
    return _Given(refund, fees, tax)


def _money_back(desk: BooksDesk, event: CameBack, given: _Given) -> None:
    back, build = event.record, event.build
    _pay_back(desk, event, "refund", back.where("refund"), given.refund, Account(Book.RETURNS, "refund", build))
    desk.ledger.move(Voucher(event.date, "fees back", back.where("fees_back")), given.fees, cash_in(build), desk.spent(SELLING_FEES, build))
    _pay_back(desk, event, "tax back", back.where("tax_back"), given.tax, Account(Book.SALES_TAX, "collected", build))


def _pay_back(desk: BooksDesk, event: CameBack, what: str, at: Place, amount: Decimal, to: Account) -> None:
    """Money back; who ordered it and still owes something has that lowered first, and sees all of it in their account."""
    job = desk.jobs[event.build]
    if event.number != COMMISSION:
        desk.ledger.move(Voucher(event.date, what, at), amount, to, cash_out(job.id))
        return
    off, owed = min(amount, max(-job.deposit, ZERO)), Account(Book.CUSTOMERS, "owed", job.id)
    job.deposit += off
    desk.ledger.move(Voucher(event.date, what, at), amount, to, owed)
    desk.ledger.move(Voucher(event.date, f"{what}, paid back", at), amount - off, owed, cash_out(job.id))


def _units_back(desk: BooksDesk, event: CameBack, deal: Deal) -> tuple[int, Decimal]:
    """How many units of a sale come back, and the cost they once left with."""
    back = event.record
    if back.units > deal.units:
        desk.troubles.add(back.where("units"), "units-oversold", f"units: {back.units} come back and {deal.units} went out", "mend the units")
    units = min(back.units, deal.units)
    cost = first_shares(deal.cost, deal.units, units, desk.smallest) if units else ZERO
    deal.units -= units
    deal.cost -= cost
    return units, cost


def _bundle_back(deal: Deal) -> list[tuple[str, Decimal]]:
    """What went along comes back with the last unit."""
    if deal.units:
        return []
    bundled, deal.bundled = deal.bundled, []
    return bundled


def _return_cost(desk: BooksDesk, event: CameBack, job: Job, units: int, cost: Decimal) -> None:
    """Goods are the shop's again; the owner's own, where the rest of the batch went into the collection in between."""
    if not units:
        return
    job.left += units
    voucher = Voucher(event.date, "came back", event.at)
    desk.ledger.move(voucher, cost, Account(Book.INVENTORY, "came back", job.id, RECOGNISED), Account(Book.COGS, "came back", job.id))
    if job.place == "collection":
        job.gone = None
        desk.to_owner(voucher, cost, job)
    else:
        job.held += cost
        job.place = "shop"


def _piece_back(desk: BooksDesk, event: CameBack, job: Job, deal: Deal, given: _Given) -> None:
    collection.proceeds(desk, Voucher(event.date, "refund", event.record.where("refund")), job, given.fees - given.refund)
    if event.record.goods:
        voucher = Voucher(event.date, "came back", event.at)
        units, basis = _units_back(desk, event, deal)
        collection.take_back(desk, voucher, job, units, basis)
        for name, other in _bundle_back(deal):
            collection.take_back(desk, voucher, desk.jobs[name], 1, other, job.id)
