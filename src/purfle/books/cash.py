"""Money beside goods and sales: expenses, outside work, balances paid off, deposits, income, miles.

Invariant: moves no cost from one build to another and touches no stock.
"""

import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from functools import cache

from purfle.base.money import ZERO
from purfle.base.names import folded
from purfle.base.packaged import table
from purfle.base.trouble import Troubles
from purfle.books.checks import sold_unshared
from purfle.books.collection import proceeds
from purfle.books.desk import SUPPLIERS, BooksDesk, partners_named
from purfle.books.figures import Trip
from purfle.books.jobs import Job
from purfle.books.kinds import MILEAGE, SELLING, SHARE
from purfle.books.ledger import OTHER, OUTSIDE, UNSAID, Account, Book, Voucher, cash_in, cash_out
from purfle.events.money import Drive, EpisodeIncome, MoneyIn, MoneyOut, StandingDue
from purfle.notes.records.note import Received

KM_PER_MILE = Decimal("1.609344")  # exact by definition (international mile)


def money_out(desk: BooksDesk, event: MoneyOut) -> None:
    """A payment: cost of a build, a balance paid off, or an expense of its kind."""
    record, day, at = event.record, event.date, event.record.where("cost")
    amount = desk.home(record, record.cost)
    paid = record.paid or day
    origin = cash_out() if paid == day else SUPPLIERS
    kind = folded(record.kind)
    voucher = Voucher(day, record.what, at, paid > desk.today, _payee(desk, event, kind))
    if event.build is not None and desk.jobs[event.build].place == "collection" and kind not in _BALANCES:
        desk.charge(voucher, amount, Account(Book.INVENTORY, "spent", event.build, OTHER), origin)
        return  # the owner's own money, whenever it is paid; the shop neither owes nor pays it
    if kind in _COSTS:
        desk.charge(voucher, amount, Account(Book.INVENTORY, _COSTS[kind], event.build, _COSTS[kind]), origin)
    else:
        desk.ledger.move(voucher, amount, _paid_to(desk, event, kind), origin)
        _put_down(desk, event, kind, amount)
    if paid != day:
        desk.ledger.move(Voucher(paid, f"{record.what}, paid", record.where("paid"), who=voucher.who), amount, SUPPLIERS, cash_out())


_COSTS = {"outside work": OUTSIDE, "other cost": OTHER}
"""Kinds of payment that are cost of a build; their accounts bear the name of their flow."""
_BALANCES = {SHARE: (Book.SHARES, UNSAID), "sales tax": (Book.SALES_TAX, "remitted"), "supplier": (Book.PAYABLES, "suppliers")}
"""Those that pay a balance off."""


def _paid_to(desk: BooksDesk, event: MoneyOut, kind: str) -> Account:
    """Where a payment goes that is no cost of a build."""
    if kind == SHARE:
        return Account(Book.SHARES, _partner(desk, event), event.build)
    return Account(*_BALANCES[kind], event.build) if kind in _BALANCES else desk.spent(event.record.kind, event.build)


def _put_down(desk: BooksDesk, event: MoneyOut, kind: str, amount: Decimal) -> None:
    """Remember a payment that a build's sale, its partners or a supplier are asked about later."""
    if kind == "supplier" and event.date <= desk.today:
        desk.supplied.append(event.record)
    if event.build is None:
        desk.outgoings.append((event, amount))
        return
    if kind in SELLING:
        desk.jobs[event.build].selling += amount
        desk.to_sell.append(event)
    if kind == SHARE:
        _to_partners(desk, event, desk.jobs[event.build], amount)


def _partner(desk: BooksDesk, event: MoneyOut) -> str:
    """Whose share is paid: theirs whom the note names, as a sheet writes them, else of the one partner there is of the build, or of the shop."""
    of_build = desk.jobs[event.build].build.sheet.share if event.build is not None else ()
    known = partners_named(of_build) or desk.partners
    if (to := event.record.to) is not None:
        return known.get(folded(to), to)
    return next(iter(known.values())) if len(known) == 1 else UNSAID


def _payee(desk: BooksDesk, event: MoneyOut, kind: str) -> str:
    """Who was paid, as the note says it; of a share without a word, the one partner there is. Empty for nobody known."""
    if kind != SHARE:
        return event.record.to or ""
    partner = _partner(desk, event)
    return "" if partner == UNSAID else partner


def _to_partners(desk: BooksDesk, event: MoneyOut, job: Job, amount: Decimal) -> None:
    """Tell of more than partners are owed of a build that is sold; before, it is an advance. Why they are owed nothing at all may have been told."""
    over = amount - max(job.to_partners, ZERO)
    job.to_partners -= amount
    told = sold_unshared(job.build) is not None or (job.build.sheet.share and not job.deals)
    if job.place == "sold" and over > ZERO and not told:
        found = f"cost: {event.record.cost} goes to partners of {job.id}, which is sold, and that is {over} more than they are owed on {event.date}"
        desk.troubles.add(
            event.record.where("cost"), "more-than-owed", found, "mend the amount, take it out where another line has it, or mend share: on the build sheet"
        )


def standing_due(desk: BooksDesk, event: StandingDue) -> None:
    """A cost that comes again, paid on its day."""
    record = event.record
    desk.standing.append(event)
    voucher = Voucher(event.date, record.what, record.where("cost"))
    desk.ledger.move(voucher, desk.rounded(record.cost), desk.spent(record.kind), cash_out())


def episode_income(desk: BooksDesk, event: EpisodeIncome) -> None:
    """What an episode earned."""
    record = event.record
    voucher = Voucher(event.date, record.what, record.where("amount"))
    desk.ledger.move(voucher, desk.rounded(record.amount), cash_in(), Account(Book.SHOW_INCOME, record.kind))


def money_in(desk: BooksDesk, event: MoneyIn) -> None:
    """Deposits and instalments are held for the customer, a balance pays what they owe; the rest is income or tax back."""
    record = event.record
    amount = desk.rounded(record.amount)
    job = desk.jobs.get(event.build) if event.build is not None else None
    if record.kind in ("deposit", "instalment", "balance"):
        _of_customer(desk, event, amount, job)
        return
    if record.refunded or record.forfeited:
        name = "refunded" if record.refunded else "forfeited"
        found = f"{name}: {getattr(record, name)} is of a deposit, and kind: is {record.kind}"
        desk.troubles.add(record.where(name), "deposit-overdrawn", found, "write kind: deposit, or take it out")
    if record.kind == "insurance" and job and job.place == "collection":
        _insured_piece(desk, event, job, amount)
        return
    book = {"show income": Book.SHOW_INCOME, "reclaimed tax": Book.RECLAIM}.get(record.kind, Book.OTHER_INCOME)
    voucher = Voucher(event.date, record.what, record.where("amount"), who=record.origin or "")
    desk.ledger.move(voucher, amount, cash_in(), Account(book, record.kind, event.build))


def _insured_piece(desk: BooksDesk, event: MoneyIn, job: Job, amount: Decimal) -> None:
    """What the owner's insurer pays: for a piece that is gone it is what the piece came to, for one that is there it lowers what it cost."""
    voucher = Voucher(event.date, event.record.what, event.record.where("amount"))
    if job.gone:
        proceeds(desk, voucher, job, amount)
    else:
        desk.charge(voucher, -amount, Account(Book.INVENTORY, "spent", job.id, OTHER), cash_out())


def _of_customer(desk: BooksDesk, event: MoneyIn, amount: Decimal, job: Job | None) -> None:
    record, build, day = event.record, event.build, event.date
    back, kept = desk.rounded(record.refunded), desk.rounded(record.forfeited)
    if job:
        job.deposit += amount
        job.paid_in = record if amount else job.paid_in
        _overdrawn(desk, record, job, back + kept, day)
        job.deposit -= back + kept
        _more_than_owed(desk, event, job)
        _held_unsaid(desk, event, job)
    if job and job.place == "collection":
        return  # the owner's own money: the whole of it is in the proceeds once the piece is sold
    for said, name, moved, to, origin in (
        ("", "amount", amount, cash_in(build), Account(Book.CUSTOMERS, record.kind, build)),
        (", paid back", "refunded", back, Account(Book.CUSTOMERS, "paid back", build), cash_out(build)),
        (", kept", "forfeited", kept, Account(Book.CUSTOMERS, "kept", build), Account(Book.OTHER_INCOME, "forfeited deposits", build)),
    ):
        desk.ledger.move(Voucher(day, f"{record.what}{said}", record.where(name), who=record.origin or ""), moved, to, origin)


def _more_than_owed(desk: BooksDesk, event: MoneyIn, job: Job) -> None:
    """Tell of money for a build that is gone when nothing is owed on it: a sale counts as paid on its own day, so this would be the second time."""
    record = event.record
    over = min(job.deposit, desk.rounded(record.amount))
    if job.place == "sold" and over > ZERO:
        found = f"amount: {record.amount} comes in for {job.id}, which is gone, and that is {over} more than is owed on {event.date}"
        mend = "take it out if the sale says it already (its money is here on its day, or on paid_out:), or say refunded: what goes back"
        desk.troubles.add(record.where("amount"), "more-than-owed", found, mend)


_HELD = re.compile(r"deposit|instal|advance|reserv|prepa|partial|\bdown.?pay|\b(?:part|half|hold|holding|on account|up front)\b", re.IGNORECASE)
"""Words for money that comes before what it is for is handed over."""


def _held_unsaid(desk: BooksDesk, event: MoneyIn, job: Job) -> None:
    """Tell of money that is held for a customer of what nobody ordered, and that no kind says to be a deposit: it may be what the build was sold for."""
    record, sheet = event.record, job.build.sheet
    ordered = sheet.commission is not None or sheet.kind == "commission" or any(sale.date >= event.date for sale in sheet.sale)
    if record.amount and not (record.wrote("kind") or ordered or job.place == "sold" or _HELD.search(record.what)):
        found = f"amount: {record.amount} is held as a deposit for {job.id}, which nobody ordered, and no kind says that it is one"
        mend = f"write kind: deposit if it is; if {job.id} was sold, write sale: with its date: and price: on its sheet, in place of this line"
        desk.troubles.add(record.where("amount"), "deposit-unsaid", found, mend)


def check_deposits(gone: Iterable[Job], troubles: Troubles) -> None:
    """Tell of what is still held for the customer of a build that is gone, at the last of their money, unless that was told as too much."""
    for job in gone:
        if job.deposit <= ZERO or job.paid_in is None:
            continue
        where = job.paid_in.where("amount")
        if not any(t.place == where for t in troubles.found):
            found = f"amount: {job.deposit} is still held for the customer of {job.id}, which is gone"
            mend = "write received: with refunded: for what went back to them, or forfeited: for what you keep"
            troubles.add(where, "deposit-left", found, mend)


def check_suppliers(desk: BooksDesk) -> None:
    """Tell of payments to suppliers beyond all that was here unpaid, at the last of them."""
    over = sum((posting.amount for posting in desk.ledger.postings if posting.account.book is Book.PAYABLES and posting.account.name == "suppliers"), ZERO)
    if desk.supplied and over > ZERO:
        last = desk.supplied[-1]
        found = f"cost: suppliers were paid {over} more by {desk.today} than was here unpaid"
        desk.troubles.add(last.where("cost"), "more-than-owed", found, "take the payment out where the goods' own line says paid:, or add what is missing")


def _overdrawn(desk: BooksDesk, record: Received, job: Job, out: Decimal, day: date) -> None:
    held = max(job.deposit, ZERO)
    if out > held:
        where = record.where("refunded" if record.refunded else "forfeited")
        missing = "write what goes back of its price under back: on the build sheet" if job.deals else "add the deposit that is missing"
        desk.troubles.add(where, "deposit-overdrawn", f"{out} of deposits go out and {held} is held on {day}", f"mend the amount, or {missing}")


# --- miles -------------------------------------------------------------------------------------------------------------


def drove(desk: BooksDesk, event: Drive) -> None:
    """A trip at the rate of its day: the shop's own, else the published one; an expense outside cash.

    A distance without a unit is in that of its rate: who writes a rate for each km counts in km.
    """
    record, day, at = event.record, event.date, event.record.where("distance")
    rate = _rate(desk, day)
    if rate is None:
        desk.troubles.add(
            at,
            "mileage-rate-missing",
            f"no rate is known for miles on {day}; the trip counts for nothing",
            f"add the rate of that time to mileage: in shop.md, such as {{from: {day.year}-01-01, rate: 0.70}}",
        )
    per, unit = rate or (ZERO, "mi")
    said = record.unit or unit
    miles = record.distance if said == "mi" else record.distance / KM_PER_MILE
    distance = record.distance if said == unit else miles if unit == "mi" else miles * KM_PER_MILE
    amount = desk.readable(desk.rounded(distance * per), at)
    desk.drives.append(Trip(day, miles, distance, per, unit, amount, record.why or "a trip", at))
    desk.ledger.move(Voucher(day, record.why or "a trip", at), amount, desk.spent(MILEAGE), Account(Book.PRIVATE, "mileage"))


def _rate(desk: BooksDesk, day: date) -> tuple[Decimal, str] | None:
    settings = desk.shop.settings
    if settings.mileage:
        own = [mileage for mileage in settings.mileage if mileage.since <= day]
        latest = max(own, key=lambda mileage: mileage.since, default=None)
        return (latest.rate, latest.unit) if latest else None
    published = _published_rates() if settings.currency == "USD" else []
    return next(((rate, "mi") for first, last, rate in published if first <= day <= last), None)


@cache
def _published_rates() -> list[tuple[date, date, Decimal]]:
    """US business mileage: first day, last day, dollars a mile (data/mileage-us.json names the notices)."""
    return [(date.fromisoformat(row["from"]), date.fromisoformat(row["until"]), Decimal(row["rate"])) for row in table("mileage-us")["rates"]]
