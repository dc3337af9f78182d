"""The weighted lateness of an order, and nothing else, twenty times as fast as laying it out: for trying thousands of orders.

Invariant: says what `place.lateness` says of the laid order, but that cures of hours are left out and what does not
fit within the horizon is put on its end; whoever uses it lays the order it chose and looks again.
"""

import math
from collections.abc import Callable, Sequence

from purfle.base.times import HAIR
from purfle.bench.steps import Situation, Step, first_day

_NO_END = 10**9
"""Quarter hours of the day after the horizon, on which everything fits."""


def lateness_of(situation: Situation) -> Callable[[Sequence[int]], float]:
    """A function from an order of all steps, each after those it follows, to its weighted lateness."""
    steps = situation.steps
    free = [*situation.free, _NO_END]
    after, quarters = [step.after for step in steps], [step.quarters for step in steps]
    begins, waits = [step.begins for step in steps], [_whole(step.wait_mean) for step in steps]
    lag, last, ceil = [_whole(step.lag) for step in steps], len(free) - 1, math.ceil
    special = [step.whole or bool(step.closed) for step in steps]
    dues = [(due.weight, due.day, due.settled, _last_of(due.steps, after), due.with_cure) for due in situation.dues]
    skips = list(range(1, len(free) + 1))

    def late(order: Sequence[int]) -> float:
        left, skip, frees, ends = free[:], skips[:], [0.0] * len(steps), [0.0] * len(steps)
        for number in order:
            moment: float = begins[number]
            for before in after[number]:
                if frees[before] > moment:
                    moment = frees[before]
            if needed := quarters[number]:
                first = day = moment if type(moment) is int else ceil(moment - HAIR)
                if day > last:
                    first = day = last
                if special[number]:
                    day = _special(steps[number], first, left)
                else:
                    while (room := left[day]) < needed:
                        if room:
                            needed -= room
                            left[day] = 0
                        day = skip[day]
                    left[day] -= needed
                    if day > first and not left[first]:
                        skip[first] = day
                moment = day
            ends[number] = moment + waits[number]
            frees[number] = moment + lag[number]
        return sum(weight * max(0, _done(settled, own, frees if cured else ends) - day) for weight, day, settled, own, cured in dues)

    return late


def _whole(days: float) -> float:
    """Whole days as a whole number, which is faster to reckon with."""
    return int(days) if days == int(days) else days


def _last_of(steps: Sequence[int], after: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """Those of some steps that no other of them follows: what comes before is done before."""
    followed = {before for step in steps for before in after[step]}
    return tuple(step for step in steps if step not in followed)


def _done(settled: int, own: Sequence[int], moments: Sequence[float]) -> int:
    for number in own:
        settled = max(settled, first_day(moments[number]))
    return settled


def _special(step: Step, day: int, left: list[int]) -> int:
    """The day on which a whole step, or one of a build on hold, is over; takes its quarter hours from what is left."""
    needed, end = step.quarters, len(left) - 1
    while day < end:
        if any(first <= day <= last for first, last in step.closed):
            day += 1
            continue
        room = left[day]
        if room >= needed:
            break
        if not step.whole:
            needed -= room
            left[day] = 0
        day += 1
    left[day] -= needed
    return day
