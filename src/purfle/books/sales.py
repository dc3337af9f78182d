"""Sales, deliveries and what comes back.

Sales are price, extras and post charged, less discount, without tax, on the day of the sale or delivery. A channel pays
net: gross comes in and fees go out on the day it pays. A share is an expense once the sale is recognised.
Invariant: cost moves only through `Desk.recognise` and, for goods that come back, at the cost once recognised.
"""

from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books.desk import Deal, Desk, Job, first_shares
from purfle.books.fees import channel_named, fee, partners_part, pays_on
from purfle.books.ledger import PURCHASES, RECOGNISED, Account, Book
from purfle.events.money import AgreedLate, BuildSold, CameBack, HandedOver
from purfle.notes.fields import Record
from purfle.notes.records.sales import Sale

COMMISSION = -1
"""The number under which a build's deliveries are one deal."""


def build_sold(desk: Desk, event: BuildSold) -> None:
    """A build, or some of its units, was sold."""
    job, sale, day = desk.jobs[event.build], event.record, event.date
    if job.place == "collection":
        _piece_sold(desk, job, event)
        return
    units = _units(desk, job, sale, sale.units)
    price, post = _price(desk, sale), desk.rounded(sale.shipping_charged)
    deal = Deal(price, post, units=units, tax_by_shop=_tax_by_shop(desk, sale))
    job.deals[event.number] = deal
    _early(desk, job, sale, day)
    if units:
        deal.cost = desk.recognise(job, units, day, "cost of what was sold", event.at)
    for name in event.bundled:
        _bundle(desk, deal, desk.jobs[name], day, event)
    _revenue(desk, event, deal)
    _sent_out(desk, event, deal)
    share_owed(desk, job, deal, day, event.at)


def _units(desk: Desk, job: Job, record: Record, units: int) -> int:
    if units > job.left:
        where = "left" if job.place == "shop" else f"left: it was {job.place}"
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


def _bundle(desk: Desk, deal: Deal, other: Job, day: date, event: BuildSold) -> None:
    if other.place == "shop":
        deal.bundled.append((other.id, desk.recognise(other, 1, day, f"sold with {event.build}, where the price stands", event.at)))
    else:
        found = f"with: {other.id} goes out with {event.build} on {day} and was gone, or the owner's own, by then"
        desk.troubles.add(event.record.where("bundled"), "units-oversold", found, "take it out of with:, or mend the day")


def _revenue(desk: Desk, event: BuildSold, deal: Deal) -> None:
    sale, build, day = event.record, event.build, event.date
    tax = desk.rounded(sale.tax) if deal.tax_by_shop else ZERO
    gross = deal.price + deal.charged + tax
    owed = (Account(Book.CHANNELS, "sold", build), gross)
    legs = [
        owed,
        (Account(Book.SALES, "price", build), -deal.price),
        (Account(Book.SALES, "shipping charged", build), -deal.charged),
        (Account(Book.SALES_TAX, "collected", build), -tax),
    ]
    desk.ledger.entry(day, f"sold{_together(event)}", event.at, legs)
    gross -= _trade_in(desk, event)
    held = min(max(desk.jobs[build].deposit, ZERO), max(gross, ZERO))
    desk.jobs[build].deposit -= held
    desk.ledger.move(day, "deposit counted", event.at, held, Account(Book.CUSTOMERS, "deposits", build), Account(Book.CHANNELS, "sold", build))
    _pay_out(desk, event, deal, gross - held)


def _together(event: BuildSold) -> str:
    """What else the price paid for: its cost stands on its own sheet."""
    return f" with {' and '.join(event.bundled)}" if event.bundled else ""


def _trade_in(desk: Desk, event: BuildSold) -> Decimal:
    """What a trade-in counted for: it is the cost of the build it becomes."""
    sale = event.record
    if sale.trade_in is None or event.trade_in is None:
        return ZERO
    value = desk.rounded(sale.trade_in.value)
    job = desk.jobs[event.trade_in]
    job.came = job.came or event.date
    if job.place == "collection":  # the shop's money bought it for the owner
        desk.ledger.move(event.date, "trade-in, kept", event.at, value, Account(Book.PRIVATE, "withdrawn", job.id), Account(Book.CHANNELS, "sold", event.build))
    desk.charge(
        job.id, event.date, "instrument", PURCHASES, value, f"trade-in for {event.build}", sale.trade_in.at, Account(Book.CHANNELS, "sold", event.build)
    )
    return value


def _pay_out(desk: Desk, event: BuildSold, deal: Deal, gross: Decimal) -> None:
    """Fees at the sale, computed ones marked; the money on the day it was here, or after the channel's usual hold."""
    sale, build = event.record, event.build
    channel = channel_named(desk.shop, sale.channel)
    fees = desk.rounded(sale.fees) if sale.fees is not None else fee(channel, deal.price, deal.charged, sale.tax, desk.smallest)
    deal.fees += fees
    guess = sale.fees is None
    desk.ledger.move(event.date, "fees", event.at, fees, Account(Book.EXPENSES, desk.kind("selling fees"), build), Account(Book.CHANNELS, "sold", build), guess)
    day, usual = pays_on(channel, event.date, sale.paid_out)
    desk.ledger.move(day, "paid out", event.at, gross, Account(Book.CASH, "received", build), Account(Book.CHANNELS, "sold", build), usual)
    desk.ledger.move(day, "fees kept", event.at, fees, Account(Book.CHANNELS, "sold", build), Account(Book.CASH, "paid", build), guess)


def _sent_out(desk: Desk, event: BuildSold, deal: Deal) -> None:
    sale = event.record
    for kind, amount in (("post", sale.shipping_paid), ("packing", sale.packing), ("parcel insurance", sale.insurance)):
        paid = desk.rounded(amount)
        deal.fees += paid
        desk.ledger.move(event.date, kind, event.at, paid, Account(Book.EXPENSES, desk.kind(kind), event.build), Account(Book.CASH, "paid", event.build))


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
    if back.date < event.sale.date:
        desk.troubles.add(
            back.where("date"), "refund-before-sale", f"date: the refund of {back.date} is before the sale of {event.sale.date}", "mend one of the two days"
        )
    deal = job.deals.get(event.number)
    if deal is None:
        _piece_back(desk, job, event)
        return
    refund = desk.rounded(back.refund)
    if deal.returns + refund > deal.price + deal.charged:
        found = f"refund: {deal.returns + refund} in all is more than the {deal.price + deal.charged} that was charged"
        desk.troubles.add(back.where("refund"), "refund-above-price", found, "mend the refund, or give tax back under tax_back")
    deal.returns += refund
    desk.ledger.move(day, "refund", event.at, refund, Account(Book.RETURNS, "refund", event.build), Account(Book.CASH, "paid", event.build))
    _fees_back(desk, event, deal)
    if back.goods:
        _goods_back(desk, event, job, deal)
    share_owed(desk, job, deal, day, event.at)


def _fees_back(desk: Desk, event: CameBack, deal: Deal) -> None:
    back = event.record
    fees, tax = desk.rounded(back.fees_back), desk.rounded(back.tax_back)
    if fees > deal.fees:
        desk.troubles.add(
            back.where("fees_back"), "fees-back-above-fees", f"fees_back: {fees} is more than the {deal.fees} that the sale took", "mend the amount"
        )
    deal.fees -= fees
    desk.ledger.move(
        event.date, "fees back", event.at, fees, Account(Book.CASH, "received", event.build), Account(Book.EXPENSES, desk.kind("selling fees"), event.build)
    )
    if deal.tax_by_shop:
        desk.ledger.move(event.date, "tax back", event.at, tax, Account(Book.SALES_TAX, "collected", event.build), Account(Book.CASH, "paid", event.build))


def _goods_back(desk: Desk, event: CameBack, job: Job, deal: Deal) -> None:
    back = event.record
    if back.units > deal.units:
        desk.troubles.add(back.where("units"), "units-oversold", f"units: {back.units} come back and {deal.units} went out", "mend the units")
    units = min(back.units, deal.units)
    cost = first_shares(deal.cost, deal.units, units, desk.smallest) if units else ZERO
    deal.units -= units
    deal.cost -= cost
    _return_cost(desk, event, job, units, cost)
    if not deal.units:
        for name, other in deal.bundled:
            _return_cost(desk, event, desk.jobs[name], 1, other)
        deal.bundled.clear()


def _return_cost(desk: Desk, event: CameBack, job: Job, units: int, cost: Decimal) -> None:
    if not units:
        return
    job.left += units
    job.held += cost
    if job.place == "sold":
        job.place = "shop"
    desk.ledger.move(event.date, "came back", event.at, cost, Account(Book.INVENTORY, "came back", job.id, RECOGNISED), Account(Book.COGS, "came back", job.id))


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
    every = max(job.build.sheet.units, 1)
    done = every - before
    tax_before, tax_to = (first_shares(desk.rounded(commission.tax), every, gone, desk.smallest) for gone in (done, done + units))
    tax = tax_to - tax_before
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
    legs = [
        (Account(Book.CUSTOMERS, "owed", job.id), price + own),
        (Account(Book.SALES, "price", job.id), -price),
        (Account(Book.SALES_TAX, "collected", job.id), -own),
    ]
    desk.ledger.entry(event.date, "delivered", event.at, legs)
    fees = fee(channel_named(desk.shop, event.commission.channel), price, ZERO, tax, desk.smallest)
    deal.fees += fees
    desk.ledger.move(event.date, "fees", event.at, fees, Account(Book.EXPENSES, desk.kind("selling fees"), job.id), Account(Book.CASH, "paid", job.id), True)
    share_owed(desk, job, deal, event.date, event.at)


# --- the owner's collection --------------------------------------------------------------------------------------------


def _piece_sold(desk: Desk, job: Job, event: BuildSold) -> None:
    """A piece of the owner's own: proceeds after fees and post against its basis, in the table apart.

    What the owner takes in trade for it and gives to the shop is the shop's at the value it counted for.
    """
    sale = event.record
    if sale.trade_in is not None and event.trade_in is not None:
        value = desk.rounded(sale.trade_in.value)
        desk.charge(
            event.trade_in,
            event.date,
            "instrument",
            PURCHASES,
            value,
            f"trade-in for {job.id}",
            sale.trade_in.at,
            Account(Book.PRIVATE, "owner", event.trade_in),
        )
    price, post = _price(desk, sale), desk.rounded(sale.shipping_charged)
    channel = channel_named(desk.shop, sale.channel)
    fees = desk.rounded(sale.fees) if sale.fees is not None else fee(channel, price, post, sale.tax, desk.smallest)
    out = fees + sum((desk.rounded(a) for a in (sale.shipping_paid, sale.packing, sale.insurance)), ZERO)
    proceeds = price + post - out
    _units(desk, job, sale, sale.units)
    guess = sale.fees is None and bool(fees)
    desk.ledger.move(
        sale.date, "sold from the collection", sale.at, proceeds, Account(Book.COLLECTION, "owner", job.id), Account(Book.COLLECTION, "proceeds", job.id), guess
    )
    basis, job.basis = job.basis, ZERO
    desk.ledger.move(sale.date, "basis of what was sold", sale.at, basis, Account(Book.COLLECTION, "sold", job.id), Account(Book.COLLECTION, "basis", job.id))
    job.left = 0


def _piece_back(desk: Desk, job: Job, event: CameBack) -> None:
    if job.place != "collection":
        return
    back = desk.rounded(event.record.refund) - desk.rounded(event.record.fees_back)
    desk.ledger.move(event.date, "refund", event.at, back, Account(Book.COLLECTION, "proceeds", job.id), Account(Book.COLLECTION, "owner", job.id))
