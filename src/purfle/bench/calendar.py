"""Bench hours day by day, in quarter hours.

A week's recording and editing hours come off its bench days in proportion, so that no day is lost to the show alone.
Invariant: knows nothing of builds; the same settings and day give the same hours.
"""

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.quantities import days_between
from purfle.notes.records.shop import WEEKDAYS, ClosedDays, ShopSheet

QUARTERS = 4
"""Quarter hours in an hour."""


def quarters(hours: Decimal) -> int:
    """Whole quarter hours that hold these hours."""
    return math.ceil(hours * QUARTERS)


def bench_quarters(settings: ShopSheet, first: date, days: int, noted: Decimal) -> tuple[int, ...]:
    """Quarter hours free on each of `days` days from `first`, the first one less the hours already noted that day."""
    weekly = tuple(math.floor(getattr(settings.bench_hours, day) * QUARTERS) for day in WEEKDAYS)
    show = quarters(settings.show.hours)
    closed = _closed(settings.closed_days)
    free: list[int] = []
    monday = first - timedelta(days=first.weekday())
    skip = first.weekday()
    while len(free) < days + skip:
        start = monday + timedelta(days=len(free))
        week = [0 if start + timedelta(days=i) in closed else weekly[i] for i in range(7)]
        free.extend(_less(week, show))
    free = free[skip : skip + days]
    if free:
        free[0] = max(0, free[0] - quarters(noted))
    return tuple(free)


class _closed:
    """The closed days, asked one by one: a range may be years long."""

    def __init__(self, closed: Iterable[ClosedDays]) -> None:
        self.ranges = [(c.first, c.last or c.first) for c in closed]

    def __contains__(self, day: date) -> bool:
        return any(first <= day <= last for first, last in self.ranges)


def _less(week: Sequence[int], show: int) -> list[int]:
    """A week's quarter hours less the show's, shared in proportion by largest remainders (ties: earlier day)."""
    whole = sum(week)
    left = max(0, whole - show)
    if not whole:
        return list(week)
    shares = [left * day // whole for day in week]
    remainders = [left * day % whole for day in week]
    for index in sorted(range(7), key=lambda i: -remainders[i])[: left - sum(shares)]:
        shares[index] += 1
    return shares


def index_of(today: date, day: date) -> int:
    """The day as its number from today, which is 0; negative before."""
    return days_between(today, day)
