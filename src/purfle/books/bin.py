"""The parts bin: what is used, salvaged, moved, sold, written off, withdrawn and counted.

Invariant: nothing here comes from outside the shop, so nothing here adds to purchases.
"""

from decimal import Decimal

from purfle.base.money import ZERO, split
from purfle.base.near import misspelt_for
from purfle.books.charged import book_fees, book_payout, book_revenue, charged
from purfle.books.desk import OFF_THE_SHELF, SHELF, BooksDesk
from purfle.books.jobs import Job
from purfle.books.kinds import POST
from purfle.books.landed import worth
from purfle.books.ledger import INSIDE, STOCK, WITHDRAWN, Account, Book, Voucher, cash_out
from purfle.events.money import PartMoved, SalvagedPart, StockCounted, StockSold, TookOut, UsedUp, WroteOff


def used_up(desk: BooksDesk, event: UsedUp) -> None:
    """What a build used is cost of that build; several share it by that day's hours, else evenly.

    What the shop itself used is cost of goods sold that no build bears. An uncounted item was cost when it was bought.
    """
    record = event.record
    if not desk.counts(record.item):
        return
    cost = desk.take_off(event.date, record)
    voucher = Voucher(event.date, record.item, record.where("qty"))
    if len(event.builds) > 1:
        for build, share in zip(event.builds, split(cost, event.weights, desk.smallest), strict=True):
            desk.charge(voucher, share, Account(Book.INVENTORY, "materials", build, INSIDE), SHELF)
        return
    alone = event.builds[0] if event.builds else None
    if alone is not None:
        desk.fit(alone, record.item, record.qty, cost)
    desk.charge(voucher, cost, Account(Book.INVENTORY, "materials", alone, INSIDE), SHELF)


def salvaged(desk: BooksDesk, event: SalvagedPart) -> None:
    """The value of a part taken off leaves the build's cost and goes with the part into stock."""
    record = event.record
    value = desk.rounded(record.value)
    job = desk.jobs[event.build] if event.build is not None else None
    if job is None:
        return
    if value > _free(job):
        found = f"value: {value} is more than the {_free(job)} that {job.id} has cost on {event.date}"
        desk.troubles.add(record.where("value"), "salvage-above-cost", found, "write a lower value, or add the cost that is missing")
        value = _free(job)
    if not record.qty:
        desk.troubles.add(record.where("qty"), "qty-zero", f"qty: nothing of {record.item} is salvaged", "write how many there are")
        return
    desk.unfit(job.id, record.item, record.qty)
    _into_stock(desk, job, Voucher(event.date, record.item, record.where("value")), "salvage", record.qty, value)


def _free(job: Job) -> Decimal:
    """The cost that can still leave a build; nothing once it is sold or gone."""
    return job.held if job.place == "shop" else ZERO


def _into_stock(desk: BooksDesk, job: Job, voucher: Voucher, account: str, qty: Decimal, cost: Decimal) -> None:
    """The part that a voucher names leaves a build with its cost, for the shelf; for nobody, where such things are not counted."""
    job.held -= cost
    origin = Account(Book.INVENTORY, account, job.id, INSIDE)
    if not desk.counts(voucher.what):
        desk.charge(voucher, cost, Account(Book.INVENTORY, "materials", None, INSIDE), origin)
        return
    desk.ledger.move(voucher, cost, SHELF, origin)
    desk.shelve(voucher.date, voucher.what, qty, cost, voucher.source)


def part_moved(desk: BooksDesk, event: PartMoved) -> None:
    """A part moves with its cost: as the note says, else with what it cost the build it leaves."""
    record, job = event.record, desk.jobs[event.origin]
    there = desk.has_fitted(job.id, record.part)
    qty = event.qty(there)
    if not qty:
        desk.troubles.add(record.where("qty"), "qty-zero", f"qty: nothing of {record.part} moves", "write how many there are")
        return
    cost = desk.unfit(job.id, record.part, qty)
    if record.cost is not None:
        cost = desk.rounded(record.cost)
    elif event.part is not None and worth(event.part) and qty > there:
        found = f"{qty} of {record.part} moves and {there} of it is in {job.id} on {event.date}"
        mend = f"mend the day or qty:, or add arrived: to the part ({event.part.at.in_file})"
        desk.troubles.add(record.where("qty" if record.wrote("qty") else "part"), "move-above-cost", found, mend)
    elif event.part is None and not there:
        near = misspelt_for(record.part, [part.part for part in job.build.sheet.parts])
        mend = f"write {near}" if near else "write its name as the bill of materials has it, or cost: with what it counts for, 0 for nothing"
        desk.troubles.add(record.where("part"), "part-unknown", f"{job.id} has no {record.part} that cost something, so it moves with no cost", mend)
    if cost > _free(job):
        where = record.where("cost" if record.wrote("cost") else "part")
        found = f"{record.part} moves with a cost of {cost}, and {job.id} has cost {_free(job)} on {event.date}"
        desk.troubles.add(where, "move-above-cost", found, "mend the cost, or add the purchase that is missing")
        cost = _free(job)
    if event.to is None:
        _into_stock(desk, job, Voucher(event.date, record.part, record.where("cost")), "moved", qty, cost)
        return
    job.held -= cost
    desk.fit(event.to, record.part, qty, cost)
    voucher = Voucher(event.date, f"{record.part}, from {job.id}", record.where("cost"))
    desk.charge(voucher, cost, Account(Book.INVENTORY, "moved", event.to, INSIDE), Account(Book.INVENTORY, "moved", job.id, INSIDE))


def wrote_off(desk: BooksDesk, event: WroteOff) -> None:
    """Spoiled stock is cost of goods sold, told apart as lost."""
    if desk.counts(event.record.item):
        _lose(desk, event, desk.take_off(event.date, event.record), "written off")


def counted(desk: BooksDesk, event: StockCounted) -> None:
    """What is missing on the shelf is shrinkage; what is over comes in at nothing."""
    record = event.record
    if not desk.counts(record.item):
        return
    there = desk.shelf.has(record.item)
    if record.qty < there:
        _lose(desk, event, desk.unshelve(event.date, record, record.item, there - record.qty, None), "shrinkage")
    elif record.qty > there:
        desk.shelve(event.date, record.item, record.qty - there, ZERO, record.where("qty"))


def _lose(desk: BooksDesk, event: WroteOff | StockCounted, cost: Decimal, account: str) -> None:
    voucher = Voucher(event.date, f"{event.record.item}, {account}", event.record.where("qty"))
    desk.ledger.move(voucher, cost, Account(Book.COGS, account, lost=True), OFF_THE_SHELF)


def took_out(desk: BooksDesk, event: TookOut) -> None:
    """Goods the owner took for private use leave the purchases at cost."""
    record = event.record
    if not desk.counts(record.item):
        return
    cost = desk.take_off(event.date, record)
    voucher = Voucher(event.date, f"{record.item}, withdrawn", record.where("qty"))
    desk.ledger.move(voucher, cost, Account(Book.PRIVATE, "withdrawn"), Account(Book.INVENTORY, STOCK, None, WITHDRAWN))


def stock_sold(desk: BooksDesk, event: StockSold) -> None:
    """A sale from stock: no build's revenue, and cost of goods sold that no build bears."""
    record = event.record
    sold = charged(desk, record, event.date)
    deal = desk.sold[record.at] = sold.deal()
    book_revenue(desk, sold, record.item)
    book_fees(desk, sold)
    deal.qty, deal.cost = record.qty, _sent_out(desk, event)
    book_payout(desk, sold, sold.gross)


def _sent_out(desk: BooksDesk, event: StockSold) -> Decimal:
    """Post, and the goods' cost, which it gives."""
    record = event.record
    paid = desk.rounded(record.shipping_paid)
    desk.ledger.move(Voucher(event.date, f"{record.item}, post", record.where("shipping_paid")), paid, desk.spent(POST), cash_out())
    if not desk.counts(record.item):
        return ZERO
    cost = desk.take_off(event.date, record)
    desk.ledger.move(Voucher(event.date, f"{record.item}, cost", record.where("qty")), cost, Account(Book.COGS, "stock sold"), OFF_THE_SHELF)
    return cost
