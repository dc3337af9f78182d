"""An order of steps laid into the days: each as early as it can be, in the order given.

An earlier step of the order has the first claim on bench hours; a later one fills what it leaves. Work may be split
over days in quarter hours; a whole stage takes one day.
Invariant: decides no order and forecasts nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from purfle.base.times import QUARTERS
from purfle.bench.steps import Due, Situation, Step, first_day


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one step lies."""

    step: int
    days: tuple[tuple[int, int], ...]
    """Day and quarter hours, in time's order; empty for one without hands."""
    ends: float
    """The moment its hands, or its start where it has none, are over; a whole day for bench work."""
    finished: int
    """The day it is finished, outside work included, cure not."""
    free: float
    """The moment what follows may begin."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A whole order laid out."""

    order: tuple[int, ...]
    placed: tuple[Placed | None, ...]
    """By step; None for what did not fit."""
    why: tuple[tuple[int, str], ...]
    """Steps that did not fit, and why."""


class _Days:
    """Quarter hours left on each day, with the next day that has any found fast."""

    def __init__(self, free: Sequence[int]) -> None:
        self.free, self.left = free, list(free)
        self.next = list(range(len(free) + 1))
        # Work that a cure of hours keeps from the day's beginning: (earliest quarter of the day, quarters).
        self.late: dict[int, list[tuple[int, int]]] = {}

    def open_from(self, day: int) -> int:
        """The first day from `day` on with a quarter hour left; the horizon when there is none."""
        last = len(self.free)
        day = min(day, last)
        path = []
        while day < last and self.left[day] == 0:
            path.append(day)
            day = self.next[day] if self.next[day] > day else day + 1
        for passed in path:
            self.next[passed] = day
        return day

    def room(self, day: int, earliest: int) -> int:
        """Quarter hours a step may take that day when it can't begin before quarter `earliest` of it."""
        room = self.left[day]
        if earliest:
            late = self.late.get(day, [])
            for start in {earliest, *(s for s, _ in late if s < earliest)}:
                room = min(room, self.free[day] - start - sum(q for s, q in late if s >= start))
        return max(room, 0)

    def take(self, day: int, amount: int, earliest: int) -> None:
        self.left[day] -= amount
        if earliest:
            self.late.setdefault(day, []).append((earliest, amount))


def lay(situation: Situation, order: Sequence[int]) -> Laid:
    """Lay an order of steps, each after those it waits for, into the days."""
    days = _Days(situation.free)
    placed: list[Placed | None] = [None] * len(situation.steps)
    ends_at: dict[int, int] = {}
    why: dict[int, str] = dict(situation.barred)
    widest = max(situation.free, default=0)
    for number in order:
        step = situation.steps[number]
        reason = why.get(number) or _reason(situation, step, placed, widest)
        if reason is None:
            placed[number] = _place(step, number, days, placed, situation.steps, ends_at)
            reason = None if placed[number] is not None else _no_room(step, len(situation.free))
        if reason is not None:
            why[number] = reason
    return Laid(tuple(order), tuple(placed), tuple(sorted(why.items())))


def _reason(situation: Situation, step: Step, placed: Sequence[Placed | None], widest: int) -> str | None:
    for before in step.after:
        if placed[before] is None:
            return f"it follows {situation.steps[before].stage}, which could not be placed"
    if step.quarters and not widest:
        return "no day has bench hours left: see bench_hours, closed_days and the hours of the show in shop.md"
    if step.whole and step.quarters > widest:
        return f"it is to be done in one day and takes {step.quarters / QUARTERS:g} h; the longest day has {widest / QUARTERS:g} h"
    return None


def _no_room(step: Step, horizon: int) -> str:
    if any(last >= horizon for _, last in step.closed):
        return "the build goes on hold before it could be done and no last day is written"
    return f"no bench hours are left for it within {horizon} days"


def _place(step: Step, number: int, days: _Days, placed: Sequence[Placed | None], steps: Sequence[Step], ends_at: dict[int, int]) -> Placed | None:
    before = [(p, steps[p.step]) for p in (placed[i] for i in step.after) if p is not None]
    moment = max((float(step.begins), *(p.free for p, _ in before)))
    horizon = len(days.free)
    if first_day(moment) >= horizon:
        return None
    if step.quarters == 0:
        return _done(step, number, (), moment)
    earliest: dict[int, int] = {0: step.cured}
    for p, s in before:
        if s.cure_quarters and p.days and not s.lag:
            day = p.days[-1][0]
            earliest[day] = max(earliest.get(day, 0), ends_at[p.step] + s.cure_quarters)
    taken = _taken(step, first_day(moment), days, earliest)
    if taken is None:
        return None
    for day, amount in taken:
        days.take(day, amount, earliest.get(day, 0))
    last = taken[-1][0]
    ends_at[number] = max(days.free[last] - days.left[last], earliest.get(last, 0) + taken[-1][1])
    return _done(step, number, tuple(taken), float(last))


def _taken(step: Step, day: int, days: _Days, earliest: dict[int, int]) -> list[tuple[int, int]] | None:
    """The days and quarter hours a step gets from `day` on; None when the horizon comes first."""
    needed, taken = step.quarters, []
    while (day := days.open_from(_off_hold(step, day))) < len(days.free):
        if _off_hold(step, day) != day:
            continue
        room = days.room(day, earliest.get(day, 0))
        if step.whole and room >= needed:
            return [(day, needed)]
        if not step.whole and room:
            amount = min(room, needed)
            taken.append((day, amount))
            needed -= amount
            if not needed:
                return taken
        day += 1
    return None


def _off_hold(step: Step, day: int) -> int:
    for first, last in step.closed:
        if first <= day <= last:
            day = last + 1
    return day


def _done(step: Step, number: int, taken: tuple[tuple[int, int], ...], moment: float) -> Placed:
    return Placed(number, taken, moment, first_day(moment + step.wait_mean), moment + step.lag)


def done_on(due: Due, laid: Laid, horizon: int) -> int:
    """The day on which what a date waits for is done; the horizon where some of it could not be placed."""
    done = due.settled
    for number in due.steps:
        placed = laid.placed[number]
        if placed is None:
            return horizon
        done = max(done, first_day(placed.free) if due.with_cure else placed.finished)
    return done


def days_late(due: Due, laid: Laid, horizon: int) -> int:
    """Days past a date at which what it waits for is done."""
    return max(0, done_on(due, laid, horizon) - due.day)


def lateness(situation: Situation, laid: Laid) -> float:
    """Weighted days late, summed over every date to be met."""
    return sum(due.weight * days_late(due, laid, situation.horizon) for due in situation.dues)


def finishes(situation: Situation, laid: Laid) -> tuple[float, ...]:
    """The builds' last days, summed by priority, the first priority first."""
    last: dict[str, tuple[float, int]] = {}
    for number, step in enumerate(situation.steps):
        placed = laid.placed[number]
        free = float(situation.horizon) if placed is None else placed.free
        last[step.build] = max(last.get(step.build, (0.0, step.priority)), (free, step.priority))
    sums: dict[int, float] = {}
    for free, priority in last.values():
        sums[priority] = sums.get(priority, 0.0) + free
    return tuple(sums[priority] for priority in sorted(sums))
