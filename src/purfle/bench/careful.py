"""The same work taking longer than expected: what tells two orders apart that are both in time as planned.

An order that meets its dates with nothing to spare meets them about half of the time. So of orders with the same
lateness that one is better which is less late when every stage, wait and part takes its 80 % time.
Invariant: a yardstick between orders and no forecast; every stage being slow at once is rarer than each of them.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from purfle.base.times import Estimate
from purfle.bench.place import Laid, finishes, lateness, lay
from purfle.bench.steps import Situation, Step, Waiting

SLOW = Decimal("0.8416")
"""Standard deviations above the mean at which 80 % of a normal distribution lie."""
_RARELY = 0.2
"""A part later than that seldom comes on its day for the 80 % that are looked at."""


Worth = tuple[float, float, tuple[float, ...]]


def worth(situation: Situation, laid: Laid) -> Worth:
    """What orders are compared by, the least first: weighted lateness, the same when all is slow, the finishes by priority."""
    slow = late_if_slow(situation, laid.order) if situation.dues else 0.0  # without a date no order is late
    return lateness(situation, laid), slow, finishes(situation, laid)


def late_if_slow(situation: Situation, order: Sequence[int]) -> float:
    """The weighted lateness of an order when each step takes its 80 % time."""
    widest = max(situation.free, default=0)
    slow = replace(situation, steps=tuple(_slow(step, widest) for step in situation.steps))
    return lateness(slow, lay(slow, order))


def _slow(step: Step, widest: int) -> Step:
    quarters = math.ceil(step.quarters * _stretch(step)) if step.quarters else 0
    quarters = max(step.quarters, min(quarters, widest)) if step.whole else quarters
    wait = None if step.wait is None else _long(step.wait)
    return replace(step, quarters=quarters, wait=wait, waiting=tuple(_later(w) for w in step.waiting))


def _stretch(step: Step) -> float:
    """80 % hours ÷ expected hours: by three points where there are any, else by the shop's spread."""
    low, likely, high = float(step.hours.low), float(step.hours.likely), float(step.hours.high)
    if low < high:
        return 1 + float(SLOW) * (high - low) / (low + 4 * likely + high)
    return math.exp(float(SLOW) * step.spread)


def _long(wait: Estimate) -> Estimate:
    """A wait without spread, as long as its 80 % time."""
    days = wait.mean + (wait.high - wait.low) / 6 * SLOW
    return Estimate(days, days, days)


def _later(waiting: Waiting) -> Waiting:
    return replace(waiting, day=waiting.day + math.ceil(waiting.delay)) if waiting.late > _RARELY else waiting
