"""Builds that leave the books without a sale: scrapped, lost, given away, taken back, kept; and those that come from the collection.

Invariant: touches the cost a build carries, or the basis of a piece, and nothing else.
"""

from purfle.base.money import ZERO
from purfle.books.collection import let_go
from purfle.books.desk import BooksDesk
from purfle.books.jobs import Job
from purfle.books.ledger import PURCHASES, RECOGNISED, Account, Book, Voucher
from purfle.events.money import BroughtIn, CameToEnd, Kept


def came_to_end(desk: BooksDesk, event: CameToEnd) -> None:
    """What is scrapped or lost is cost of goods sold, told apart; what is given away is withdrawn, as promotion.

    What went into a job that its owner took back is cost of goods sold, and not lost: a deposit kept may pay for it.
    A piece of the collection that is scrapped or lost is a loss in the table apart.
    """
    job, how = desk.jobs[event.build], event.record.how
    if job.place == "collection" and not job.gone:
        let_go(desk, Voucher(event.date, "given away" if how == "given" else how, event.at), job, job.left, how)
    elif job.place == "shop":
        cost, job.held, job.left, job.place = job.held, ZERO, 0, how
        if how == "given":
            desk.withdraw(Voucher(event.date, "given away, as promotion", event.at), cost, job, "given away")
        else:
            to = Account(Book.COGS, how, job.id, lost=how != "taken back")
            desk.ledger.move(Voucher(event.date, how, event.at), cost, to, Account(Book.INVENTORY, how, job.id, RECOGNISED))
    else:
        _no_effect(desk, event, job, how)


def kept(desk: BooksDesk, event: Kept) -> None:
    """Out of the shop, into the owner's collection, at cost."""
    job = desk.jobs[event.build]
    if job.place != "shop":
        _no_effect(desk, event, job, "moved to the collection")
        return
    cost, job.held, job.place = job.held, ZERO, "collection"
    desk.to_owner(Voucher(event.date, "kept", event.at), cost, job)


def brought_in(desk: BooksDesk, event: BroughtIn) -> None:
    """Out of the owner's collection, into the shop, at the lower of basis and stated value."""
    job = desk.jobs[event.build]
    if job.place != "collection" or job.gone:
        _no_effect(desk, event, job, "moved to the shop")
        return
    basis, job.basis, job.place = job.basis, ZERO, "shop"
    value = event.record.value
    amount = basis if value is None else min(basis, desk.rounded(value))
    desk.ledger.move(
        Voucher(event.date, "to the shop", event.at), -basis, Account(Book.COLLECTION, "to the shop", job.id), Account(Book.COLLECTION, "owner", job.id)
    )
    voucher = Voucher(event.date, "from the owner's collection", event.record.where("value"))
    desk.charge(voucher, amount, Account(Book.INVENTORY, "instrument", job.id, PURCHASES), Account(Book.PRIVATE, "owner", job.id))


def _no_effect(desk: BooksDesk, event: CameToEnd | Kept | BroughtIn, job: Job, change: str) -> None:
    place = job.gone or job.place
    where = {"shop": "in the shop", "collection": "in the collection", "given": "given away"}.get(place, place)
    found = f"date: {job.id} is {change} on {event.date} and is {where} by then; no amount moves"
    desk.troubles.add(event.record.where("date"), "change-without-effect", found, "mend the day, or take the line out")
