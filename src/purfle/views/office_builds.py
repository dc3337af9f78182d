"""The list of builds by state, and what of the books belongs to a build's cost.

Invariant: a build's lines are the books' own; only which of them are cost is told apart here, by how they flow.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from purfle.books.figures import BuildRow as Sums
from purfle.books.figures import CustomerAccount, Line, OwnersPiece, Quote
from purfle.books.ledger import ON_THE_WAY, RECOGNISED, WITHDRAWN
from purfle.notes.model import Build
from purfle.progress.model import Progress, State
from purfle.progress.on_sale import on_sale
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Figure, Link, OfficeDesk
from purfle.views.office_ledger import total_of

_OUT = (RECOGNISED, WITHDRAWN)
"""How cost leaves a build at a sale, an end or a move, and comes back with goods."""


@dataclass(frozen=True, slots=True)
class JobCosts:
    """What the books say of one build, over all years."""

    sums: Sums
    quote: Quote | None
    """None for a build that is not for the shop to price."""
    customer: CustomerAccount | None
    """None where no customer paid or owes anything."""
    piece: OwnersPiece | None
    """None for what never was the owner's own."""


@dataclass(frozen=True, slots=True)
class BuildRow:
    """A build in the list."""

    link: Link
    kind: str
    state: str
    for_sale: str
    """How long it has been for sale; empty when it is not, or its sheet does not say since when."""
    progress: str
    """`6 of 9`, or nothing for a build without a route."""
    next: str
    """The next stage that is not finished."""
    due: str
    hours: str
    cost: Figure


@dataclass(frozen=True, slots=True)
class BuildGroup:
    """Builds in like states."""

    name: str
    rows: tuple[BuildRow, ...]


_GROUPS: tuple[tuple[str, tuple[State, ...]], ...] = (
    ("On the bench", ("on the bench",)),
    ("Curing, or waiting for a part", ("curing", "waiting for a part")),
    ("In the rack", ("in the rack",)),
    ("On hold", ("on hold",)),
    ("Finished, and for sale", ("finished", "for sale")),
    ("Sold, delivered or taken back", ("sold", "delivered", "taken back")),
    ("Kept, given away, lost or scrapped", ("kept", "given away", "lost", "scrapped")),
)


def groups_of(desk: OfficeDesk, costs: Mapping[str, JobCosts]) -> tuple[BuildGroup, ...]:
    """All builds by state, in the order in which they ask for hands; states with none are left out."""
    days = {one.build: one.words for one in on_sale(desk.shop, desk.progress, desk.today)}
    rows = [_list_row(desk, build, costs[build.id].sums.lines, days.get(build.id, "")) for build in desk.shop.builds]
    groups = [BuildGroup(name, tuple(row for row in rows if row.state in states)) for name, states in _GROUPS]
    return tuple(group for group in groups if group.rows)


def _list_row(desk: OfficeDesk, build: Build, lines: Sequence[Line], for_sale: str) -> BuildRow:
    known = desk.progress[build.id]
    done = f"{known.finished_stages} of {len(known.stages)}" if known.stages else NOTHING
    return BuildRow(
        link=desk.build(build.id),
        kind=build.sheet.kind,
        state=known.state,
        for_sale=for_sale,
        progress=done,
        next=upcoming(known) or NOTHING,
        due=desk.write.date(build.sheet.due),
        hours=desk.write.hours(known.hours),
        cost=total_of(desk, costs_of(lines)),
    )


def upcoming(known: Progress) -> str:
    """The first stage of its route that is not finished; empty when there is none, or when the work is over."""
    return next((s.stage.name for s in known.stages if not s.finished), "") if known.closed_on is None else ""


def costs_of(lines: Sequence[Line]) -> list[Line]:
    """What went into a build, less what was taken off it; not what is on its way, nor what left with a sale."""
    return [line for line in lines if line.book == "inventory" and line.account != ON_THE_WAY and line.flow not in _OUT]
