"""What to take on next, how the estimates did, and how many sales cover the shop.

Invariant: ranks and works out nothing; the books' decisions are only worded here.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from purfle.books.decisions import BreakEven, Contribution, Estimated, against_estimate, break_even_of, take_on_next
from purfle.books.figures import Year
from purfle.sheets import sending_of
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Figure, OfficeDesk
from purfle.views.plots import BarRow, Plot, Table, bars

_DRAWN = 24
"""Builds in the drawing of the estimates; the table has all."""


@dataclass(frozen=True, slots=True)
class BreakEvenView:
    """How many sales cover the expenses that no sale brings."""

    sold: str
    price: Figure
    variable: Figure
    left: Figure
    fixed: Figure
    needed: str
    """Empty when no number of sales is enough."""


@dataclass(frozen=True, slots=True)
class Decisions:
    """The two comparisons of builds; None for one that has nothing to compare."""

    next: Plot | None
    estimates: Plot | None


def decisions_of(desk: OfficeDesk) -> Decisions:
    """Open builds by what they leave for a bench hour, and every build's estimates against its hours."""
    ranked = take_on_next(desk.shop, desk.found.books, desk.progress, sending_of(desk.shop))
    return Decisions(_next(desk, ranked), _estimates(desk, against_estimate(desk.shop, desk.progress)))


def break_even_view(desk: OfficeDesk, year: Year) -> BreakEvenView | None:
    """The break-even of a year; None for a year without a sale."""
    found: BreakEven | None = break_even_of(year)
    if found is None:
        return None
    needed = "" if found.needed is None else desk.write.number(Decimal(found.needed))
    return BreakEvenView(
        desk.write.number(Decimal(found.sold)),
        desk.money(found.price),
        desk.money(found.variable),
        desk.money(found.price - found.variable),
        desk.money(found.fixed),
        needed,
    )


def _next(desk: OfficeDesk, ranked: Sequence[Contribution]) -> Plot | None:
    if all(row.per_hour is None for row in ranked):
        return None
    drawn = [BarRow(desk.build(row.build).words, ((row.per_hour, desk.write.plain(row.per_hour), "a"),)) for row in ranked if row.per_hour is not None]
    rows = tuple(
        (desk.build(r.build).words, desk.write.plain(r.amount), desk.write.hours(r.hours), NOTHING if r.per_hour is None else desk.write.plain(r.per_hour))
        for r in ranked
    )
    says = "What each open build with a price leaves after the fees, post, shares and costs still to come, per bench hour it still takes; the most first."
    plot = bars("next", "What to take on next", f"{desk.write.currency} per bench hour", drawn, (), desk.write.number, says=says)
    return replace(plot, table=Table(("build", "leaves", "hours to come", "per hour"), rows, tuple(desk.build(row.build).href for row in ranked)))


def _estimates(desk: OfficeDesk, compared: Sequence[Estimated]) -> Plot | None:
    if not compared:
        return None
    write = desk.write
    latest = {row.build for row in sorted(compared, key=lambda row: desk.progress[row.build].since or date.min, reverse=True)[:_DRAWN]}
    drawn = [
        BarRow(desk.build(r.build).words, ((r.hours_estimated, write.hours(r.hours_estimated), "b"), (r.hours, write.hours(r.hours), "a")))
        for r in compared
        if r.build in latest
    ]
    rows = tuple(
        (
            desk.build(r.build).words,
            str(r.stages),
            write.hours(r.hours_estimated),
            write.hours(r.hours),
            write.percent(r.hours / r.hours_estimated if r.hours_estimated else None),
        )
        for r in compared
    )
    says = "Hours estimated and hours noted on finished stages, rework included."
    units = "hours of finished stages" + (f"; the drawing has the {_DRAWN} builds that moved last, the table all" if len(compared) > _DRAWN else "")
    plot = bars("estimates", "Estimate against actual", units, drawn, (), desk.write.number, (("b", "estimate"), ("a", "noted")), says)
    heads = ("build", "stages", "estimate", "noted", "of the estimate")
    return replace(plot, table=Table(heads, rows, tuple(desk.build(row.build).href for row in compared)))
