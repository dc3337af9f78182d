"""Builds that leave the books without a sale: scrapped, lost, given away, kept; and those that come from the collection.

Invariant: touches the cost a build carries and nothing else.
"""

from purfle.base.money import ZERO
from purfle.books.desk import Desk, Job
from purfle.books.ledger import PURCHASES, RECOGNISED, WITHDRAWN, Account, Book
from purfle.events.money import CameToEnd, ChangedHands


def came_to_end(desk: Desk, event: CameToEnd) -> None:
    """What is scrapped or lost is cost of goods sold, told apart; what is given away is withdrawn, as promotion."""
    job, how = desk.jobs[event.build], event.record.how
    if job.place != "shop":
        _no_effect(desk, event, job, how)
        return
    cost, job.held, job.left, job.place = job.held, ZERO, 0, how
    if how == "given":
        what, to, origin = "given away, as promotion", Account(Book.PRIVATE, "withdrawn", job.id), Account(Book.INVENTORY, "given away", job.id, WITHDRAWN)
    else:
        what, to, origin = how, Account(Book.COGS, how, job.id, lost=True), Account(Book.INVENTORY, how, job.id, RECOGNISED)
    desk.ledger.move(event.date, what, event.at, cost, to, origin)


def changed_hands(desk: Desk, event: ChangedHands) -> None:
    """Out of the shop at cost; into it at the lower of basis and stated value."""
    job = desk.jobs[event.build]
    if event.record.to == "collection" and job.place == "shop":
        _kept(desk, event, job)
    elif event.record.to == "shop" and job.place == "collection":
        _brought_in(desk, event, job)
    else:
        _no_effect(desk, event, job, f"moved to the {event.record.to}")


def _no_effect(desk: Desk, event: CameToEnd | ChangedHands, job: Job, change: str) -> None:
    where = "in the shop" if job.place == "shop" else {"collection": "in the collection", "given": "given away"}.get(job.place, job.place)
    found = f"date: {job.id} is {change} on {event.date} and is {where} by then; no amount moves"
    desk.troubles.add(event.record.where("date"), "change-without-effect", found, "mend the day, or take the line out")


def _kept(desk: Desk, event: ChangedHands, job: Job) -> None:
    cost, job.held, job.place = job.held, ZERO, "collection"
    job.basis += cost
    desk.ledger.move(event.date, "kept", event.at, cost, Account(Book.PRIVATE, "withdrawn", job.id), Account(Book.INVENTORY, "kept", job.id, WITHDRAWN))
    desk.ledger.move(event.date, "kept", event.at, cost, Account(Book.COLLECTION, "kept", job.id), Account(Book.COLLECTION, "owner", job.id))


def _brought_in(desk: Desk, event: ChangedHands, job: Job) -> None:
    basis, job.basis, job.place = job.basis, ZERO, "shop"
    job.left = max(job.build.sheet.units, 1)
    value = event.record.value
    amount = basis if value is None else min(basis, desk.rounded(value))
    desk.ledger.move(event.date, "to the shop", event.at, -basis, Account(Book.COLLECTION, "to the shop", job.id), Account(Book.COLLECTION, "owner", job.id))
    desk.charge(job.id, event.date, "instrument", PURCHASES, amount, "from the owner's collection", event.at, Account(Book.PRIVATE, "owner", job.id))
