"""Sales of builds, and a partner's share in what they leave.

Sales are price and post charged, less discount, without tax, on the day of the sale. A share is an expense once the
sale is recognised.
Invariant: cost moves only through `BooksDesk.recognise`.
"""

from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books import collection
from purfle.books.charged import Charged, book_fees, book_payout, book_revenue, charged, with_channel
from purfle.books.desk import BooksDesk
from purfle.books.fees import partners_parts
from purfle.books.jobs import Deal, Job
from purfle.books.kinds import SENDING, SHARE
from purfle.books.ledger import PURCHASES, SOLD, Account, Book, Voucher, cash_out
from purfle.events.money import BuildSold
from purfle.notes.records.sales import Sale
from purfle.notes.vocabulary.fields import Record


def build_sold(desk: BooksDesk, event: BuildSold) -> None:
    """A build, or some of its units, was sold."""
    job, sale, day = desk.jobs[event.build], event.record, event.date
    units = units_out(desk, job, sale, sale.units)
    sold = charged(desk, sale, day, job.id)
    deal = job.deals[event.number] = sold.deal()
    deal.units, deal.private = units, job.place == "collection"
    _early(desk, job, sale, day)
    if deal.private:
        _unearned(desk, job, None, f"share: {job.id} is the owner's own when it is sold on {day}", "move it to the shop before it is sold")
        _piece_sold(desk, job, event, deal, sold)
        return
    if units:
        deal.cost = desk.recognise(Voucher(day, "cost of what was sold", event.at), job, units)
    for name in event.bundled:
        if _may_go_along(desk, event, desk.jobs[name], "shop"):
            voucher = Voucher(day, f"sold with {event.build}, which has the price", event.at)
            deal.bundled.append((name, desk.recognise(voucher, desk.jobs[name], 1)))
        _unearned(
            desk,
            desk.jobs[name],
            sale.where("bundled"),
            f"with: {name} is sold along and its price stands on {job.id}",
            "give each a sale of its own with its part of the price",
        )
    _revenue(desk, event, deal, sold)
    _sent_out(desk, event, deal)
    for sent in (job, *(desk.jobs[name] for name, _ in deal.bundled)):
        sold_for(sent, deal)
    share_owed(desk, job, deal, Voucher(day, SOLD, event.at))


def _unearned(desk: BooksDesk, job: Job, at: Place | None, found: str, mend: str) -> None:
    """Tell, at the share where no place is given, of a partner who has nothing of a sale because no price of the build is the shop's."""
    if partners := job.build.sheet.share:
        whole = f"{found}, so nothing is owed to {partners[0].partner}"
        desk.troubles.add(at or partners[0].at, "share-unearned", whole, f"{mend}, or take share: out of {job.id}")


def units_out(desk: BooksDesk, job: Job, record: Record, units: int) -> int:
    """How many of the units that a sale or delivery says go out; more than are left are told."""
    if units > job.left:
        place = job.gone or job.place
        where = "left" if place in ("shop", "collection") else f"left: it was {place}"
        code, found = "units-oversold", f"units: {units} of {job.id} go out and {job.left} {'is' if job.left == 1 else 'are'} {where}"
        desk.troubles.add(
            record.where("units") if record.wrote("units") else record.where("date"),
            code,
            found,
            "take it out where another line has it, or mend the units here or on the build sheet, or the day",
        )
    return min(units, job.left)


def _early(desk: BooksDesk, job: Job, sale: Sale, day: date) -> None:
    acquired = job.build.sheet.acquired
    came = min((d for d in (acquired.date, acquired.paid) if d), default=None) if acquired else None
    came = came or job.came
    if came and day < came:
        desk.troubles.add(sale.where("date"), "sale-before-acquisition", f"date: {job.id} is sold on {day} and came in on {came}", "mend one of the two days")


def _may_go_along(desk: BooksDesk, event: BuildSold, other: Job, place: str) -> bool:
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


def _revenue(desk: BooksDesk, event: BuildSold, deal: Deal, sold: Charged) -> None:
    """What the buyer pays, less what a trade-in and the deposits of all that went out counted for, is paid out."""
    build, day = event.build, event.date
    book_revenue(desk, sold, f"sold{_together(event)}")
    left = sold.gross - _trade_in(desk, event)
    for job in (desk.jobs[build], *(along for name, _ in deal.bundled if not (along := desk.jobs[name]).left)):
        held = min(max(job.deposit, ZERO), max(left, ZERO))
        job.deposit -= held
        left -= held
        desk.ledger.move(Voucher(day, "deposit counted", event.at), held, Account(Book.CUSTOMERS, "deposits", job.id), with_channel(build))
    book_fees(desk, sold)
    book_payout(desk, sold, left)


def _together(event: BuildSold) -> str:
    """What else the price paid for: its cost stands on its own sheet."""
    return f" with {' and '.join(event.bundled)}" if event.bundled else ""


def _trade_in(desk: BooksDesk, event: BuildSold) -> Decimal:
    """What a trade-in counted for: it is the cost of the build it becomes."""
    sale = event.record
    if sale.trade_in is None or event.trade_in is None:
        return ZERO
    value, at = desk.rounded(sale.trade_in.value), sale.trade_in.where("value")
    job, sold = desk.jobs[event.trade_in], with_channel(event.build)
    desk.came(job.id, event.date, sale.trade_in.where("build"), "is taken in trade")
    if job.place == "collection":  # the shop's money bought it for the owner
        desk.ledger.move(Voucher(event.date, "trade-in, kept", at), value, Account(Book.PRIVATE, "withdrawn", job.id), sold)
    desk.charge(Voucher(event.date, f"trade-in for {event.build}", at), value, Account(Book.INVENTORY, "instrument", job.id, PURCHASES), sold)
    return value


def _sent_out(desk: BooksDesk, event: BuildSold, deal: Deal) -> None:
    sale = event.record
    for kind, name in SENDING.items():
        paid = desk.rounded(getattr(sale, name))
        deal.fees += paid
        desk.ledger.move(Voucher(event.date, kind, sale.where(name)), paid, desk.spent(kind, event.build), cash_out(event.build))


# --- the owner's collection -------------------------------------------------------------------------------------------


def _piece_sold(desk: BooksDesk, job: Job, event: BuildSold, deal: Deal, sold: Charged) -> None:
    """A piece of the owner's own: proceeds after fees and post against its basis, in the table apart.

    What the owner takes in trade for it and gives to the shop is the shop's at the value it counted for.
    """
    sale, day = event.record, event.date
    if sale.trade_in is not None and event.trade_in is not None:
        value, owner = desk.rounded(sale.trade_in.value), Account(Book.PRIVATE, "owner", event.trade_in)
        voucher = Voucher(day, f"trade-in for {job.id}", sale.trade_in.where("value"))
        desk.charge(voucher, value, Account(Book.INVENTORY, "instrument", event.trade_in, PURCHASES), owner)
    deal.fees += sum((desk.rounded(getattr(sale, name)) for name in SENDING.values()), ZERO)
    voucher = Voucher(day, "sold from the collection", sale.where("price"), sold.guess)
    collection.proceeds(desk, voucher, job, deal.price + deal.post - deal.fees)
    deal.cost = collection.let_go(desk, Voucher(day, "basis of what was sold", event.at), job, deal.units, "sold")
    for name in event.bundled:
        other = desk.jobs[name]
        if _may_go_along(desk, event, other, "collection"):
            deal.bundled.append((name, collection.let_go(desk, Voucher(day, f"sold with {job.id}", event.at), other, 1, "sold", job.id)))


# --- shares -----------------------------------------------------------------------------------------------------------


def sold_for(job: Job, deal: Deal) -> None:
    """What notes said by now was paid to sell a build lowers the profit of the deal in which it, or some of it, goes out."""
    deal.noted, job.selling = deal.noted + job.selling, ZERO


def share_owed(desk: BooksDesk, job: Job, deal: Deal, deed: Voucher) -> None:
    """Bring the partners' shares of a deal to what they are now: of the price kept, or of a profit above nothing.

    `deed` is what brought the change, SOLD or CAME_BACK.
    """
    shares = job.build.sheet.share
    if not shares:
        return
    kept = deal.price - deal.returns
    profit = deal.price + deal.post - deal.returns - deal.fees - deal.noted - deal.cost - sum((cost for _, cost in deal.bundled), ZERO)
    before = deal.shares or (ZERO,) * len(shares)
    deal.shares = partners_parts(shares, kept, profit, desk.rounded)
    spent = desk.spent(SHARE, job.id)
    guessed = deal.guessed or any(desk.jobs[name].guessed for name in (job.id, *(along for along, _ in deal.bundled)))
    for share, due, posted in zip(shares, deal.shares, before, strict=True):
        owed = Account(Book.SHARES, share.partner, job.id, deed.what)
        said = deed._replace(what=f"share of {share.partner}", estimated=guessed and share.of == "profit", who=share.partner)
        desk.ledger.move(said, due - posted, spent, owed)
        job.to_partners += due - posted
