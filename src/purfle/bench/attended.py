"""Whether the bench hours in shop.md are hours that are worked: the plan believes them, and so do its dates.

Invariant: changes no figure of the plan; a shop with a short history is told nothing, nor is one whose builds were curing or waiting.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.memo import Memo
from purfle.base.times import QUARTERS
from purfle.base.trouble import Trouble, Troubles
from purfle.bench.calendar import bench_quarters
from purfle.bench.rules import best_rule
from purfle.bench.shelf import Move
from purfle.bench.then import Then, then_of
from purfle.events.work import hours_of, lines_of
from purfle.notes.model import Shop
from purfle.notes.same import of_day

WEEKS = 8
DAYS = 7
PART = Decimal("0.5")
"""Less than this part of the hours noted is told; common practice, no source."""


def attendance_troubles(shop: Shop, moves: Sequence[Move], events: Sequence[object], today: date) -> tuple[Trouble, ...]:
    """Warn when the notes of the last weeks hold less than half of the bench hours that shop.md gives and that there was work for."""
    first = today - timedelta(weeks=WEEKS)
    begun = next(
        (note.date for note in shop.notes if any(line.hours for line in lines_of(note))), today
    )  # what was bought, owed or finished before may be noted far back
    if begun > first:
        return ()
    given, noted = attendance(shop, first, today)
    if noted >= PART * given:
        return ()  # there was never work for more hours than there were, and to look back takes a while
    then = then_of(shop, moves, events, today)
    there_was = sum((_work(then, first + timedelta(weeks=week)) for week in range(WEEKS)), Decimal(0))
    if noted >= PART * there_was:
        return ()
    troubles = Troubles()
    found = f"the notes of the last {WEEKS} weeks hold {noted:.1f} bench hours and there was work for {there_was:.1f}, so the plan's dates will come too early"
    troubles.add(shop.settings.where("bench_hours"), "bench-hours-unused", found, "write the hours you do work, or note those that are missing")
    return tuple(troubles.found)


def _work(then: Then, first: date) -> Decimal:
    """Bench hours of a week that a plan made as it began had work for: what cures, waits or is on hold fills none."""
    return of_day(_WORK, then.shop, first, lambda: _worked_out(then, first))


_WORK = Memo()
"""The work of a week by its first day."""


def _worked_out(then: Then, first: date) -> Decimal:
    situation, _ = then.situation(first)
    placed = (one for one in best_rule(situation).laid.placed if one is not None)
    planned = Decimal(sum(taken for one in placed for day, taken in one.days if day < DAYS)) / QUARTERS
    return planned + hours_of(then.shop.notes_on(first))  # what is done by then the plan has no more


def attendance(shop: Shop, first: date, until: date) -> tuple[Decimal, Decimal]:
    """Bench hours that shop.md gives from a day until before another, and those that the notes hold."""
    given = Decimal(sum(bench_quarters(shop, first, (until - first).days, Decimal(0)))) / QUARTERS
    return given, hours_of(note for note in shop.notes if first <= note.date < until)
