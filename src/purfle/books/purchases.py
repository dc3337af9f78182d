"""What comes in: instruments, parts, lots, gifts, and goods that go back to their supplier.

Landed cost is price, post and tax together; tax that comes back is a balance and no cost.
Paid and not here is inventory on the way; here and not paid is payable; neither is a plan, and in no total.
Invariant: takes nothing off the shelf but what is returned.
"""

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.money import ZERO, split
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.books.desk import SUPPLIERS, BooksDesk
from purfle.books.jobs import Job
from purfle.books.kinds import SUPPLIES
from purfle.books.landed import cost_at, landed, worth
from purfle.books.ledger import INSIDE, MATERIALS, ON_THE_WAY, PURCHASES, RECOGNISED, STOCK, WITHDRAWN, Account, Book, Voucher, cash_in, cash_out
from purfle.events.money import CameIn, GiftedPart, Goods, GoodsHere, PaidAhead, SentBack
from purfle.notes.records.build import Acquired, Part
from purfle.notes.records.note import Bought, Lot
from purfle.notes.vocabulary.named import Named

_TAX_BACK = Account(Book.RECLAIM, "tax paid")


def paid_ahead(desk: BooksDesk, event: PaidAhead) -> None:
    """Money went out and the goods are on the way."""
    goods = event.goods
    if _private(desk, goods):
        return
    cost, tax = _landed(desk, goods)
    desk.under_way.add(goods.record.at)
    flow = MATERIALS if goods.to != "shop" and _uncounted(desk, goods) else PURCHASES
    legs = [(Account(Book.INVENTORY, ON_THE_WAY, goods.build, flow), cost), (_TAX_BACK, tax), (cash_out(), -cost - tax)]
    desk.ledger.entry(Voucher(event.date, f"{goods.what}, on the way", cost_at(goods.record), who=goods.record.origin or ""), legs)


def goods_here(desk: BooksDesk, event: GoodsHere) -> None:
    """Goods came in: each to its build, the shelf or the shop, paid or owed."""
    goods, day = event.goods, event.date
    cost, tax = _landed(desk, goods)
    if goods.build is not None and isinstance(goods.record, Acquired):
        desk.jobs[goods.build].came = day
    ahead = goods.paid is not None and goods.paid < day
    estimated = goods.paid is None or goods.paid > desk.today
    on_the_way = goods.record.at in desk.under_way
    come = Arrival(day, INSIDE if on_the_way else PURCHASES, _on_the_way(goods) if on_the_way else _paid_by(goods, day), estimated, goods.record.origin or "")
    if not ahead and tax and not _private(desk, goods):
        desk.ledger.move(Voucher(day, f"{goods.what}, reclaimable tax", goods.record.where("tax"), who=come.who), tax, _TAX_BACK, come.origin)
    _place(desk, goods, cost, come)
    if not ahead and goods.paid and goods.paid > day and not _private(desk, goods):
        desk.ledger.move(Voucher(goods.paid, f"{goods.what}, paid", goods.record.where("paid"), who=come.who), cost + tax, SUPPLIERS, cash_out())


class Arrival(NamedTuple):
    """How a cost comes into the books."""

    day: date
    flow: str
    """Purchases, or inside when it was on the way before."""
    origin: Account
    estimated: bool
    """Not yet paid."""
    who: str
    """The supplier; empty where the note names none."""

    def voucher(self, what: str, source: Place) -> Voucher:
        """What its entries go by."""
        return Voucher(self.day, what, source, self.estimated, self.who)

    @property
    def as_materials(self) -> str:
        """The flow of what is never counted: its cost goes to materials when it comes, or when it was paid before."""
        return self.flow if self.flow == INSIDE else MATERIALS

    @property
    def no_purchase(self) -> Account:
        """Where the cost of what turns out to be no purchase comes from: what was on the way as one leaves the purchases again."""
        return self.origin._replace(flow=PURCHASES) if self.flow == INSIDE else self.origin


def _landed(desk: BooksDesk, goods: Goods) -> tuple[Decimal, Decimal]:
    """Landed cost and reclaimable tax in the shop's currency, each rounded once."""
    cost, tax = landed(goods.record, goods.cost)
    return desk.home(goods.record, cost), desk.home(goods.record, tax)


def _private(desk: BooksDesk, goods: Goods) -> bool:
    """Bought by the owner for a piece of the collection: no money of the shop's."""
    return goods.build is not None and desk.jobs[goods.build].place == "collection"


def _uncounted(desk: BooksDesk, goods: Goods) -> bool:
    """Sandpaper and the like; an instrument or a lot may bear such a name and is none."""
    return isinstance(goods.record, Part | Bought) and not desk.counts(goods.what)


def _on_the_way(goods: Goods) -> Account:
    return Account(Book.INVENTORY, ON_THE_WAY, goods.build, INSIDE)


def _paid_by(goods: Goods, day: date) -> Account:
    """Where the cost of what is here comes from: cash, the supplier who waits, or the owner, who had paid when the piece was still their own."""
    if goods.paid is not None and goods.paid < day:
        return Account(Book.PRIVATE, "owner", goods.build)
    return cash_out() if goods.paid == day else SUPPLIERS


def _place(desk: BooksDesk, goods: Goods, cost: Decimal, come: Arrival) -> None:
    record, uncounted = goods.record, _uncounted(desk, goods)
    voucher = come.voucher(goods.what, cost_at(record))
    if isinstance(record, Lot):
        _split_lot(desk, record, cost, come)
    elif goods.to == "build":
        account = "instrument" if isinstance(record, Acquired) else "parts"
        flow = come.flow
        if goods.build is not None and isinstance(record, Part | Bought):
            desk.fit(goods.build, goods.what, record.qty, cost)
        if uncounted:
            account, flow = "materials", come.as_materials
        desk.charge(voucher, cost, Account(Book.INVENTORY, account, goods.build, flow), come.origin)
    elif goods.to == "shop":
        _for_shop(desk, record, goods.what, cost, come)
    elif uncounted:
        desk.charge(voucher, cost, Account(Book.INVENTORY, "materials", None, come.as_materials), come.origin)
    else:
        assert isinstance(record, Bought)
        _to_shelf(desk, record.item, record.qty, cost, come, record, record.lot)


def _to_shelf(desk: BooksDesk, item: str, qty: Decimal, cost: Decimal, come: Arrival, record: Bought | Lot, lot: str | None) -> None:
    if not qty:
        desk.troubles.add(record.where("qty"), "qty-zero", f"qty: nothing of {item} comes in for a cost of {cost}", "write how much came in")
        return
    voucher = come.voucher(item, cost_at(record))
    desk.ledger.move(voucher, cost, Account(Book.INVENTORY, STOCK, None, come.flow), come.origin)
    desk.shelve(come.day, item, qty, cost, voucher.source, lot)


def _for_shop(desk: BooksDesk, record: Acquired | Part | Bought | Lot, what: str, cost: Decimal, come: Arrival) -> None:
    spent = desk.spent(getattr(record, "kind", None) or SUPPLIES)
    desk.supplies[folded(what)] = spent.name
    desk.ledger.move(come.voucher(what, cost_at(record)), cost, spent, come.no_purchase)


# --- lots --------------------------------------------------------------------------------------------------------------


def _split_lot(desk: BooksDesk, lot: Lot, cost: Decimal, come: Arrival) -> None:
    """One price over several instruments by relative value; largest remainders, and on a tie the first listed gains."""
    if not lot.values:
        return
    shares = split(cost, [named.value for named in lot.values], desk.smallest)
    for named, share in zip(lot.values, shares, strict=True):
        _lot_share(desk, lot, named, share, come)


def _lot_share(desk: BooksDesk, lot: Lot, named: Named, share: Decimal, come: Arrival) -> None:
    voucher, word = come.voucher(f"share of the lot {lot.lot}", named.at), folded(named.name)
    build = desk.shop.find(named.name)
    if word == "stock":
        if not desk.counts(lot.stocked):
            desk.charge(voucher, share, Account(Book.INVENTORY, "materials", None, MATERIALS), come.no_purchase)
        elif lot.has_stock:
            _to_shelf(desk, lot.stocked, lot.qty, share, come, lot, None)
    elif word == "shop":
        _for_shop(desk, lot, voucher.what, share, come)
    elif build is not None and desk.jobs[build].place != "collection":
        desk.came(build, come.day, named.at, f"is part of the lot {lot.lot}")
        desk.charge(voucher, share, Account(Book.INVENTORY, "instrument", build, come.flow), come.origin)
    else:
        _lot_share_private(desk, voucher, build, share, come)


def _lot_share_private(desk: BooksDesk, voucher: Voucher, build: str | None, share: Decimal, come: Arrival) -> None:
    """The shop paid for it and the owner keeps it: a purchase withdrawn the same day, paid by the shop or not yet."""
    inventory, taken = Account(Book.INVENTORY, "instrument", build, come.flow), voucher._replace(estimated=False)
    desk.ledger.move(voucher, share, inventory, come.origin)
    desk.ledger.move(taken, share, Account(Book.PRIVATE, "withdrawn", build), inventory._replace(flow=WITHDRAWN))
    if build is not None:
        desk.jobs[build].basis += share
        desk.ledger.move(taken, share, Account(Book.COLLECTION, "instrument", build), Account(Book.COLLECTION, "owner", build))


# --- without a price ---------------------------------------------------------------------------------------------------


def came_in(desk: BooksDesk, event: CameIn) -> None:
    """An instrument that was not bought: a gift counts at its stated value, one of the owner's own at the lower figure."""
    record, day = event.record, event.date
    job = desk.jobs[event.build]
    job.came = day
    if record.how == "gift" and record.value:
        _gift(desk, event, "instrument", desk.home(record, record.value))
    elif record.how == "own collection":
        _own_piece(desk, event)
    _way_here(desk, event, "instrument", "bringing it here")


def _own_piece(desk: BooksDesk, event: CameIn) -> None:
    record = event.record
    basis = record.basis if record.basis is not None else record.price
    in_collection = desk.jobs[event.build].place == "collection"
    amount = desk.home(record, basis if in_collection and basis is not None else worth(record))
    voucher = Voucher(event.date, "from the owner's collection", cost_at(record))
    desk.charge(voucher, amount, Account(Book.INVENTORY, "instrument", event.build, PURCHASES), Account(Book.PRIVATE, "owner", event.build))


def gifted_part(desk: BooksDesk, event: GiftedPart) -> None:
    """A part given with a value is cost and show income at once; without one, or a customer's, it is neither; its way here is cost."""
    record, value = event.record, desk.home(event.record, worth(event.record))
    desk.fit(event.build, record.part, record.qty, value + desk.home(record, landed(record, ZERO)[0]))
    _gift(desk, event, "parts", value)
    _way_here(desk, event, "parts", f"{event.record.part}, post")


def _way_here(desk: BooksDesk, event: CameIn | GiftedPart, account: str, what: str) -> None:
    """Post and tax paid for what itself cost nothing."""
    record, (cost, tax) = event.record, landed(event.record, ZERO)
    if desk.jobs[event.build].place != "collection":  # the owner's own money
        desk.ledger.move(Voucher(event.date, f"{what}, reclaimable tax", record.where("tax")), desk.home(record, tax), _TAX_BACK, cash_out())
    voucher = Voucher(event.date, what, record.where("shipping"))
    desk.charge(voucher, desk.home(record, cost), Account(Book.INVENTORY, account, event.build, PURCHASES), cash_out())


def _gift(desk: BooksDesk, event: CameIn | GiftedPart, account: str, amount: Decimal) -> None:
    what = event.record.part if isinstance(event, GiftedPart) else "instrument"
    voucher = Voucher(event.date, f"{what}, given", event.record.where("value"))
    desk.charge(voucher, amount, Account(Book.INVENTORY, account, event.build, PURCHASES), Account(Book.SHOW_INCOME, "gifts", event.build))


# --- back to the supplier ----------------------------------------------------------------------------------------------


_REFUNDS_DUE = Account(Book.PAYABLES, "refunds due")


def sent_back(desk: BooksDesk, event: SentBack) -> None:
    """A refund lowers what the goods were bought as: purchases, materials or an expense.

    What stock cost beyond the refund is cost of goods sold that no build bears. For a piece of the collection the owner has the money.
    """
    record, item, voucher = event.record, folded(event.record.item), _sent_back(event)
    refund, on_shelf = desk.home(record, record.refund), desk.shelf.has(record.item)
    if (build := event.leaves(on_shelf)) is not None:
        _refund_to_build(desk, event, build, refund)
        if desk.jobs[build].place == "collection":
            return
    elif not desk.counts(record.item):
        desk.charge(voucher, -refund, Account(Book.INVENTORY, "materials", None, MATERIALS), _REFUNDS_DUE)
    elif item in desk.supplies and not on_shelf:
        desk.ledger.move(voucher, refund, _REFUNDS_DUE, Account(Book.EXPENSES, desk.supplies[item]))
    else:
        rest = desk.take_off(event.date, record) - refund
        legs = [(Account(Book.INVENTORY, STOCK, None, PURCHASES), -refund), (Account(Book.INVENTORY, STOCK, None, RECOGNISED), -rest)]
        legs += [(Account(Book.COGS, "returned below cost"), rest), (_REFUNDS_DUE, refund)]
        desk.ledger.entry(voucher, legs)
    paid = Voucher(record.paid or event.date, f"{record.item}, refund", record.where("paid" if record.paid else "refund"), who=voucher.who)
    desk.ledger.move(paid, refund, cash_in(), _REFUNDS_DUE)


def _sent_back(event: SentBack) -> Voucher:
    return Voucher(event.date, f"{event.record.item}, sent back", event.record.where("refund"), who=event.record.origin or "")


def _not_come(desk: BooksDesk, job: Job, item: str, day: date) -> Part | None:
    """The part on a build's bill that goes by that name, when none of it has come by then: its cost may be on the way, and is not in the build."""
    listed = [part for part in job.build.sheet.parts if folded(part.part) == folded(item)]
    come = desk.has_fitted(job.id, item) or any(part.arrived is not None and part.arrived <= day for part in listed)
    return None if come or not listed else listed[0]


def _refund_to_build(desk: BooksDesk, event: SentBack, build: str, refund: Decimal) -> None:
    job, record = desk.jobs[build], event.record
    if (part := _not_come(desk, job, record.item, event.date)) is not None:
        found = f"item: {record.item} is sent back on {event.date} and is not in {build} by then"
        mend = f"add arrived: to the part ({part.at.in_file}), with the day it was called off if it never came, or mend the day"
        desk.troubles.add(record.where("item"), "refund-above-cost", found, mend)
        return
    if job.place == "shop" and refund > job.held:
        found = f"refund: {refund} is more than the {job.held} that {build} has cost on {event.date}"
        desk.troubles.add(record.where("refund"), "refund-above-cost", found, "mend the refund, or add the cost that is missing")
        return
    desk.unfit(build, record.item, record.qty)
    desk.charge(_sent_back(event), -refund, Account(Book.INVENTORY, "parts", build, PURCHASES), _REFUNDS_DUE)
