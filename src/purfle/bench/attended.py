"""Whether the bench hours in shop.md are hours that are worked: the plan believes them, and so do its dates.

Invariant: changes no figure of the plan; a shop with a short history is told nothing.
"""

from datetime import date, timedelta
from decimal import Decimal

from purfle.base.trouble import Troubles
from purfle.bench.calendar import QUARTERS, bench_quarters
from purfle.events.work import lines_of
from purfle.notes.model import Shop

WEEKS = 8
PART = Decimal("0.5")
"""Less than this part of the hours noted is told; common practice, no source."""


def tell_attendance(shop: Shop, today: date, troubles: Troubles) -> None:
    """Warn when the notes of the last weeks hold less than half of the bench hours that shop.md gives."""
    first = today - timedelta(weeks=WEEKS)
    begun = next(
        (note.date for note in shop.notes if any(line.hours for line in lines_of(note))), today
    )  # what was bought, owed or finished before may be noted far back
    if begun > first:
        return
    given, noted = attendance(shop, first, today)
    if noted < PART * given:
        found = f"the notes of the last {WEEKS} weeks hold {noted.quantize(Decimal('0.1'))} of {given.quantize(Decimal('0.1'))} bench hours, so the plan's dates will come too early"
        troubles.add(shop.settings.where("bench_hours"), "bench-hours-unused", found, "write the hours you do work, or note those that are missing")


def attendance(shop: Shop, first: date, until: date) -> tuple[Decimal, Decimal]:
    """Bench hours that shop.md gives from a day until before another, and those that the notes hold."""
    given = Decimal(sum(bench_quarters(shop, first, (until - first).days, Decimal(0)))) / QUARTERS
    noted = sum((line.hours or Decimal(0) for note in shop.notes if first <= note.date < until for line in lines_of(note)), Decimal(0))
    return given, noted
