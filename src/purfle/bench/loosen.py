"""Dates that do not press go back behind what has none, for as long as nothing is later for it.

What a date waits for is ordered first, so that it is surely met; but a date a year off is met as well by work that
waits until what is nearly done is done.
Invariant: what it gives is never later, weighted, than what it was given.
"""

from collections.abc import Iterable, Sequence

from purfle.bench.careful import worth
from purfle.bench.place import Laid, done_on, lateness, lay
from purfle.bench.rules import topological
from purfle.bench.steps import Due, Situation


def loosened(situation: Situation, laid: Laid, others: Iterable[Sequence[int]]) -> Laid:
    """The order with as few dates before everything else as need be, and the rest in one of some `others`, where that is better."""
    pressing = sorted(situation.dues, key=lambda due: (_slack(situation, laid, due), due.build, due.stage or ""))
    reached = lateness(situation, laid)
    found = [laid]
    for other in dict.fromkeys(map(tuple, others)):
        fewest, most = 0, len(pressing)
        while fewest < most:
            count = (fewest + most) // 2
            trial = _with(situation, laid, pressing[:count], other)
            if lateness(situation, trial) <= reached:
                most = count
                found.append(trial)
            else:
                fewest = count + 1
    return min(found, key=lambda one: worth(situation, one))


def _slack(situation: Situation, laid: Laid, due: Due) -> int:
    """Days between the day it is done as laid and its date; none where it is late."""
    return max(0, due.day - done_on(due, laid, situation.horizon))


def _with(situation: Situation, laid: Laid, first: Sequence[Due], other: Sequence[int]) -> Laid:
    """What some dates wait for first, as it was laid; then all else in another order."""
    needed = situation.with_before({number for due in first for number in due.steps})
    keys = {number: (1.0, float(place)) for place, number in enumerate(other)}
    keys |= {number: (0.0, float(place)) for place, number in enumerate(laid.order) if number in needed}
    return lay(situation, topological(situation, keys.__getitem__))
