"""Sales, deliveries and what comes back.

Sales are price, extras and post charged, less discount, without tax, on the day of the sale or delivery. A channel pays
net: gross comes in and fees go out on the day it pays. A share is an expense once the sale is recognised.
Invariant: cost moves only through `Desk.recognise` and, for goods that come back, at the cost once recognised.
"""

from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books import collection
from purfle.books.desk import Deal, Desk, Job, first_shares
from purfle.books.fees import channel_named, fee, partners_part, pays_on
from purfle.books.ledger import PURCHASES, RECOGNISED, Account, Book
from purfle.events.money import COMMISSION, AgreedLate, BuildSold, CameBack, HandedOver
from purfle.notes.fields import Record
from purfle.notes.records.sales import Sale


def build_sold(desk: Desk, event: BuildSold) -> None:
    """A build, or some of its units, was sold."""
    job, sale, day = desk.jobs[event.build], event.record, event.date
    units = _units(desk, job, sale, sale.units)
    price, post = _price(desk, sale), desk.rounded(sale.shipping_charged)
    deal = Deal(price, post, units=units, tax_by_shop=_tax_by_shop(desk, sale), private=job.place == "collection")
    job.deals[event.number] = deal
    _early(desk, job, sale, day)
    if deal.private:
        _piece_sold(desk, job, event, deal)
        return
    if units:
        deal.cost = desk.recognise(job, units, day, "cost of what was sold", event.at)
    for name in event.bundled:
        if _may_go_along(desk, event, desk.jobs[name], "shop"):
            deal.bundled.append((name, desk.recognise(desk.jobs[name], 1, day, f"sold with {event.build}, where the price stands", event.at)))
    _revenue(desk, event, deal)
    _sent_out(desk, event, deal)
    share_owed(desk, job, deal, day, event.at)


def _units(desk: Desk, job: Job, record: Record, units: int) -> int:
    if units > job.left:
        place = job.gone or job.place
        where = "left" if place in ("shop", "collection") else f"left: it was {place}"
        code, found = "units-oversold", f"units: {units} of {job.id} go out and {job.left} are {where}"
        desk.troubles.add(
            record.where("units") if record.wrote("units") else record.where("date"), code, found, "mend the units here or on the build sheet, or the day"
        )
    return min(units, job.left)


def _price(desk: Desk, sale: Sale) -> Decimal:
    if sale.discount > sale.price:
        desk.troubles.add(
            sale.where("discount"),
            "discount-above-price",
            f"discount: {sale.discount} is more than the price of {sale.price}",
            "mend the discount or the price",
        )
    return max(desk.rounded(sale.price - sale.discount), ZERO)


def _tax_by_shop(desk: Desk, sale: Sale) -> bool:
    channel = channel_named(desk.shop, sale.channel)
    return (sale.tax_by or ("channel" if channel and channel.remits_tax else "shop")) == "shop"


def _early(desk: Desk, job: Job, sale: Sale, day: date) -> None:
    acquired = job.build.sheet.acquired
    came = min((d for d in (acquired.date, acquired.paid) if d), default=None) if acquired else None
    came = came or job.came
    if came and day < came:
        desk.troubles.add(sale.where("date"), "sale-before-acquisition", f"date: {job.id} is sold on {day} and came in on {came}", "mend one of the two days")


def _may_go_along(desk: Desk, event: BuildSold, other: Job, place: str) -> bool:
    """Whether another build is there to be sold with one that is the shop's, or of the collection; what is not is told."""
    if other.place == place and not other.gone and other.id != event.build:
        return True
    at, found = event.record.where("bundled"), f"with: {other.id} goes out with {event.build} on {event.date}"
    if other.place in ("shop", "collection") and not other.gone and other.id != event.build:
        whose = ("the owner's own", "the shop's") if place == "shop" else ("the shop's", "the owner's own")
        mend = "give each a sale of its own with its part of the price, or move one of them first"
        desk.troubles.add(at, "sale-mixed", f"{found} and is {whose[0]}, {event.build} {whose[1]}: one price can't be of both", mend)
    else:
        desk.troubles.add(at, "units-oversold", f"{found} and was gone by then", "take it out of with:, or mend the day")
    return False


def _revenue(desk: Desk, event: BuildSold, deal: Deal) -> None:
    sale, build, day = event.record, event.build, event.date
    tax = desk.rounded(sale.tax) if deal.tax_by_shop else ZERO
    gross = deal.price + deal.charged + tax
    for amount, name, origin in (
        (deal.price, "price", Account(Book.SALES, "price", build)),
        (deal.charged, "shipping_charged", Account(Book.SALES, "shipping charged", build)),
        (tax, "tax", Account(Book.SALES_TAX, "collected", build)),
    ):
        desk.ledger.move(day, f"sold{_together(event)}", sale.where(name), amount, Account(Book.CHANNELS, "sold", build), origin)
    gross -= _trade_in(desk, event)
    for job in (desk.jobs[build], *(along for name, _ in deal.bundled if not (along := desk.jobs[name]).left)):
        held = min(max(job.deposit, ZERO), max(gross, ZERO))
        job.deposit -= held
        gross -= held
        desk.ledger.move(day, "deposit counted", event.at, held, Account(Book.CUSTOMERS, "deposits", job.id), Account(Book.CHANNELS, "sold", build))
    _pay_out(desk, event, deal, gross)


def _together(event: BuildSold) -> str:
    """What else the price paid for: its cost stands on its own sheet."""
    return f" with {' and '.join(event.bundled)}" if event.bundled else ""


def _trade_in(desk: Desk, event: BuildSold) -> Decimal:
    """What a trade-in counted for: it is the cost of the build it becomes."""
    sale = event.record
    if sale.trade_in is None or event.trade_in is None:
        return ZERO
    value, at = desk.rounded(sale.trade_in.value), sale.trade_in.where("value")
    job, sold = desk.jobs[event.trade_in], Account(Book.CHANNELS, "sold", event.build)
    desk.came(job.id, event.date, sale.trade_in.where("build"), "is taken in trade")
    if job.place == "collection":  # the shop's money bought it for the owner
        desk.ledger.move(event.date, "trade-in, kept", at, value, Account(Book.PRIVATE, "withdrawn", job.id), sold)
    desk.charge(job.id, event.date, "instrument", PURCHASES, value, f"trade-in for {event.build}", at, sold)
    return value


def _pay_out(desk: Desk, event: BuildSold, deal: Deal, gross: Decimal) -> None:
    """Fees at the sale, computed ones marked; the money on the day it was here, or after the channel's usual hold."""
    sale, build = event.record, event.build
    channel = channel_named(desk.shop, sale.channel)
    fees = desk.rounded(sale.fees) if sale.fees is not None else fee(channel, deal.price, deal.charged, sale.tax, desk.smallest)
    deal.fees += fees
    guess = sale.fees is None
    desk.ledger.move(
        event.date, "fees", sale.where("fees"), fees, Account(Book.EXPENSES, desk.kind("selling fees"), build), Account(Book.CHANNELS, "sold", build), guess
    )
    day, usual = pays_on(channel, event.date, sale.paid_out)
    desk.ledger.move(day, "paid out", sale.where("paid_out"), gross, Account(Book.CASH, "received", build), Account(Book.CHANNELS, "sold", build), usual)
    desk.ledger.move(day, "fees kept", sale.where("fees"), fees, Account(Book.CHANNELS, "sold", build), Account(Book.CASH, "paid", build), guess)


def _sent_out(desk: Desk, event: BuildSold, deal: Deal) -> None:
    sale = event.record
    for kind, name in (("post", "shipping_paid"), ("packing", "packing"), ("parcel insurance", "insurance")):
        paid = desk.rounded(getattr(sale, name))
        deal.fees += paid
        desk.ledger.move(
            event.date, kind, sale.where(name), paid, Account(Book.EXPENSES, desk.kind(kind), event.build), Account(Book.CASH, "paid", event.build)
        )


# --- shares ------------------------------------------------------------------------------------------------------------


def share_owed(desk: Desk, job: Job, deal: Deal, day: date, at: Place) -> None:
    """Bring the partner's share of a deal to what it is now: of the price kept, or of a profit above nothing."""
    share = job.build.sheet.share
    if share is None:
        return
    kept = deal.price - deal.returns
    profit = deal.price + deal.charged - deal.returns - deal.fees - deal.cost - sum((cost for _, cost in deal.bundled), ZERO)
    due = desk.rounded(partners_part(share, kept, profit))
    more, deal.share = due - deal.share, due
    desk.ledger.move(
        day, f"share of {share.partner}", at, more, Account(Book.EXPENSES, desk.kind("share"), job.id), Account(Book.SHARES, share.partner, job.id)
    )


# --- what comes back ---------------------------------------------------------------------------------------------------


def came_back(desk: Desk, event: CameBack) -> None:
    """A refund; with the goods, their cost returns at what was once recognised."""
    job, back, day = desk.jobs[event.build], event.record, event.date
    if back.date < event.sold:
        desk.troubles.add(
            back.where("date"), "refund-before-sale", f"date: the refund of {back.date} is before the sale of {event.sold}", "mend one of the two days"
        )
    deal = job.deals.get(event.number)
    if deal is None:
        found = f"date: nothing of {job.id} was delivered by {back.date}"
        desk.troubles.add(back.where("date"), "refund-before-sale", found, "mend the day, or note what goes back of a deposit as received: {refunded: …}")
        return
    refund, fees = desk.rounded(back.refund), desk.rounded(back.fees_back)
    if deal.returns + refund > deal.price + deal.charged:
        found = f"refund: {deal.returns + refund} in all is more than the {deal.price + deal.charged} that was charged"
        desk.troubles.add(back.where("refund"), "refund-above-price", found, "mend the refund, or give tax back under tax_back")
    if fees > deal.fees:
        found = f"fees_back: {fees} is more than the {deal.fees} that the sale took"
        desk.troubles.add(back.where("fees_back"), "fees-back-above-fees", found, "mend the amount")
    deal.returns += refund
    deal.fees -= fees
    if deal.private:
        _piece_back(desk, event, job, deal, refund, fees)
        return
    _money_back(desk, event, refund, fees, desk.rounded(back.tax_back) if deal.tax_by_shop else ZERO)
    if back.goods:
        units, cost = _units_back(desk, event, deal)
        _return_cost(desk, event, job, units, cost)
        for name, other in _bundle_back(deal):
            _return_cost(desk, event, desk.jobs[name], 1, other)
    share_owed(desk, job, deal, day, event.at)


def _money_back(desk: Desk, event: CameBack, refund: Decimal, fees: Decimal, tax: Decimal) -> None:
    back, build, received = event.record, event.build, Account(Book.CASH, "received", event.build)
    _pay_back(desk, event, "refund", back.where("refund"), refund, Account(Book.RETURNS, "refund", build))
    desk.ledger.move(event.date, "fees back", back.where("fees_back"), fees, received, Account(Book.EXPENSES, desk.kind("selling fees"), build))
    _pay_back(desk, event, "tax back", back.where("tax_back"), tax, Account(Book.SALES_TAX, "collected", build))


def _pay_back(desk: Desk, event: CameBack, what: str, at: Place, amount: Decimal, to: Account) -> None:
    """Money back; who ordered it and still owes something has that lowered first."""
    job = desk.jobs[event.build]
    off = min(amount, max(-job.deposit, ZERO)) if event.number == COMMISSION else ZERO
    job.deposit += off
    desk.ledger.move(event.date, f"{what}, off what is owed", at, off, to, Account(Book.CUSTOMERS, "owed", job.id))
    desk.ledger.move(event.date, what, at, amount - off, to, Account(Book.CASH, "paid", job.id))


def _units_back(desk: Desk, event: CameBack, deal: Deal) -> tuple[int, Decimal]:
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


def _return_cost(desk: Desk, event: CameBack, job: Job, units: int, cost: Decimal) -> None:
    """Goods are the shop's again; the owner's own, where the rest of the batch went into the collection in between."""
    if not units:
        return
    job.left += units
    desk.ledger.move(event.date, "came back", event.at, cost, Account(Book.INVENTORY, "came back", job.id, RECOGNISED), Account(Book.COGS, "came back", job.id))
    if job.place == "collection":
        job.gone = ""
        desk.to_owner(job, cost, event.date, "came back", event.at)
    else:
        job.held += cost
        job.place = "shop"


# --- commissions -------------------------------------------------------------------------------------------------------


def handed_over(desk: Desk, event: HandedOver) -> None:
    """A delivery is the sale of its units: their part of price and extras, their part of the cost."""
    job, commission, day = desk.jobs[event.build], event.commission, event.date
    before = job.left
    units = _units(desk, job, event.record, event.record.units)
    deal = job.deals.setdefault(COMMISSION, Deal())
    deal.tax_by_shop = not ((channel := channel_named(desk.shop, commission.channel)) and channel.remits_tax)
    if not units:
        return
    extras = sum((x.price for x in commission.extras if x.date is None or x.date <= day), ZERO)
    agreed = desk.rounded((commission.price or ZERO) + extras)
    price = first_shares(agreed - deal.price, before, units, desk.smallest)
    tax = first_shares(desk.rounded(commission.tax) - deal.tax, before, units, desk.smallest)
    deal.tax += tax
    deal.units += units
    deal.cost += desk.recognise(job, units, day, "cost of what was delivered", event.at)
    _earned(desk, event, job, deal, price, tax)


def agreed_late(desk: Desk, event: AgreedLate) -> None:
    """An extra agreed once everything was delivered is earned on its own day; while units are left it is earned with them."""
    job = desk.jobs[event.build]
    if COMMISSION in job.deals and not job.left:
        _earned(desk, event, job, job.deals[COMMISSION], desk.rounded(event.record.price), ZERO)


def _earned(desk: Desk, event: HandedOver | AgreedLate, job: Job, deal: Deal, price: Decimal, tax: Decimal) -> None:
    """Earned, and owed by the customer as far as no deposit covers it."""
    own = tax if deal.tax_by_shop else ZERO
    deal.price += price
    job.deposit -= price + own
    day, at, owed = event.date, event.record.where("price"), Account(Book.CUSTOMERS, "owed", job.id)
    desk.ledger.move(day, "delivered", at, price, owed, Account(Book.SALES, "price", job.id))
    desk.ledger.move(day, "delivered", at, own, owed, Account(Book.SALES_TAX, "collected", job.id))
    fees = fee(channel_named(desk.shop, event.commission.channel), price, ZERO, tax, desk.smallest)
    deal.fees += fees
    desk.ledger.move(day, "fees", at, fees, Account(Book.EXPENSES, desk.kind("selling fees"), job.id), Account(Book.CASH, "paid", job.id), True)
    share_owed(desk, job, deal, day, at)


# --- the owner's collection --------------------------------------------------------------------------------------------


def _piece_sold(desk: Desk, job: Job, event: BuildSold, deal: Deal) -> None:
    """A piece of the owner's own: proceeds after fees and post against its basis, in the table apart.

    What the owner takes in trade for it and gives to the shop is the shop's at the value it counted for.
    """
    sale, day = event.record, event.date
    if sale.trade_in is not None and event.trade_in is not None:
        value, owner = desk.rounded(sale.trade_in.value), Account(Book.PRIVATE, "owner", event.trade_in)
        desk.charge(event.trade_in, day, "instrument", PURCHASES, value, f"trade-in for {job.id}", sale.trade_in.where("value"), owner)
    channel = channel_named(desk.shop, sale.channel)
    fees = desk.rounded(sale.fees) if sale.fees is not None else fee(channel, deal.price, deal.charged, sale.tax, desk.smallest)
    deal.fees = fees + sum((desk.rounded(a) for a in (sale.shipping_paid, sale.packing, sale.insurance)), ZERO)
    guess = sale.fees is None and bool(fees)
    collection.proceeds(desk, job, deal.price + deal.charged - deal.fees, day, "sold from the collection", sale.where("price"), guess)
    deal.cost = collection.let_go(desk, job, deal.units, "sold", day, "basis of what was sold", event.at)
    for name in event.bundled:
        other = desk.jobs[name]
        if _may_go_along(desk, event, other, "collection"):
            deal.bundled.append((name, collection.let_go(desk, other, 1, "sold", day, f"sold with {job.id}", event.at, job.id)))


def _piece_back(desk: Desk, event: CameBack, job: Job, deal: Deal, refund: Decimal, fees: Decimal) -> None:
    collection.proceeds(desk, job, fees - refund, event.date, "refund", event.record.where("refund"))
    if event.record.goods:
        units, basis = _units_back(desk, event, deal)
        collection.take_back(desk, job, units, basis, event.date, event.at)
        for name, other in _bundle_back(deal):
            collection.take_back(desk, desk.jobs[name], 1, other, event.date, event.at, job.id)
