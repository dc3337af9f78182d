"""What a build comes to: the cost and hours it has taken, with those that are still to come.

Invariant: a plan is in none of the books' totals; it is added up here alone.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.books.builds import piece_of
from purfle.books.landed import at_home, cost_at, landed_cost, worth
from purfle.books.model import Books
from purfle.notes.model import Build
from purfle.notes.records.build import Acquired, Part
from purfle.notes.records.sales import Commission
from purfle.progress.model import Progress, StageProgress


def costs_of(books: Books, build: Build) -> tuple[Decimal, Decimal]:
    """Cost of the instrument, and of everything else: so far, on the way and planned. All that a piece of the owner's own cost so far is the instrument's."""
    piece = piece_of(books, build.id) if books.facts[build.id].private else None
    instrument, rest = _so_far(books, build) if piece is None else (piece.basis, ZERO)
    acquired = build.sheet.acquired
    if acquired is not None and not _begun(acquired, books.today):
        instrument += landed_cost(acquired, worth(acquired), books.settings, books.smallest)
    return instrument, rest + planned_parts(build.sheet.parts, books) + gifts_to_come(build.sheet.parts, books)


def _so_far(books: Books, build: Build) -> tuple[Decimal, Decimal]:
    """What the books have of both, on the way included."""
    acquired = build.sheet.acquired
    bought_at = None if acquired is None else cost_at(acquired)
    went_in = [posting for posting in books.of_build.get(build.id, ()) if posting.account.went_in]
    instrument = sum((p.amount for p in went_in if p.account.name == "instrument" or p.source == bought_at), ZERO)
    return instrument, sum((p.amount for p in went_in), ZERO) - instrument


def _begun(record: Acquired | Part, today: date) -> bool:
    """Whether the books have it: paid for or here."""
    if isinstance(record, Part):
        days = (record.arrived, record.paid if record.how == "bought" else None)
    elif record.date is None:
        return False
    else:
        days = (record.arrived or record.date, (record.paid or record.date) if record.how == "bought" else None)
    return any(day is not None and day <= today for day in days)


def planned_parts(parts: Iterable[Part], books: Books) -> Decimal:
    """What the bill of materials still takes: lines that are neither paid nor here, landed; of what is given or a customer's, its way here."""
    coming = ((part, worth(part) if part.how == "bought" else ZERO) for part in parts if not _begun(part, books.today))
    return sum((landed_cost(part, cost, books.settings, books.smallest) for part, cost in coming), ZERO)


def gifts_to_come(parts: Iterable[Part], books: Books) -> Decimal:
    """The values of what is still to be given: cost once it is here, and no money."""
    coming = (part for part in parts if part.how == "gifted" and not _begun(part, books.today))
    return sum((at_home(part, worth(part), books.settings, books.smallest) for part in coming), ZERO)


def hours_of(progress: Progress) -> Decimal:
    """Hours done and still expected; none are once it was sold, delivered or ended, whatever stage is open."""
    return progress.hours if progress.closed_on is not None else progress.hours + sum((still_to_do(stage) for stage in progress.stages), ZERO)


def still_to_do(stage: StageProgress) -> Decimal:
    """Bench hours a stage should still take: its estimate less what this pass has had, nothing once it is finished."""
    return ZERO if stage.finished else max(stage.stage.hours.mean - stage.current.hours, ZERO)


def agreed_price(order: Commission) -> Decimal:
    """What a customer agreed to pay for all units, with what was agreed on top."""
    return (order.price or ZERO) + sum((extra.price for extra in order.extras), ZERO)
