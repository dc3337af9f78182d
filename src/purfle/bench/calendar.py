"""Bench hours day by day, in quarter hours.

A week's recording and editing hours come off its bench days in proportion, so that no day is lost to the show alone;
where an episode's file says what it takes, they come off on its own days instead.
Invariant: knows nothing of builds; the same settings and day give the same hours.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from purfle.base.shares import largest_remainders
from purfle.base.times import QUARTERS, quarters
from purfle.notes.model import Shop
from purfle.notes.records.shop import WEEKDAYS, ShopSheet

_LONGEST_EDIT = 28
"""Days over which editing is spread at most."""


def bench_quarters(shop: Shop, first: date, days: int, noted: Decimal) -> tuple[int, ...]:
    """Quarter hours free on each of `days` days from `first`, the first one less the hours already noted that day."""
    own = tuple(_own_hours(shop))
    weeks = {episode.recorded - timedelta(days=episode.recorded.weekday()) for episode in own}
    show = quarters(shop.settings.show.hours)
    free: list[int] = []
    monday = first - timedelta(days=first.weekday())
    skip = first.weekday()
    while len(free) < days + skip:
        start = monday + timedelta(days=len(free))
        week = [_open(shop.settings, start + timedelta(days=i)) for i in range(7)]
        free.extend(week if start in weeks else _less(week, show))
    free = free[skip : skip + days]
    for taken, of in _on_own_days(shop.settings, own).items():
        if 0 <= (at := index_of(first, taken)) < days:
            free[at] = max(0, free[at] - of)
    if free:
        free[0] = max(0, free[0] - quarters(noted))
    return tuple(free)


def _open(settings: ShopSheet, day: date) -> int:
    """Quarter hours of a day by shop.md alone."""
    return 0 if settings.closed_on(day) else math.floor(getattr(settings.bench_hours, WEEKDAYS[day.weekday()]) * QUARTERS)


class _OwnHours(NamedTuple):
    """An episode whose file says what it takes."""

    recorded: date
    airs: date
    filming: int
    """Quarter hours, like the next."""
    editing: int


def _own_hours(shop: Shop) -> Iterator[_OwnHours]:
    for episode in shop.episodes:
        if (hours := episode.sheet.hours) is not None:
            yield _OwnHours(shop.recorded_on(episode), episode.date, quarters(hours.filming or Decimal(0)), quarters(hours.editing or Decimal(0)))


def _on_own_days(settings: ShopSheet, own: Iterable[_OwnHours]) -> dict[date, int]:
    """Quarter hours taken day by day: filming on the day of recording, editing from then until the day before airing."""
    taken: dict[date, int] = {}
    for recorded, airs, filming, editing in own:
        taken[recorded] = taken.get(recorded, 0) + filming
        until = [recorded + timedelta(days=n) for n in range(max(1, min(index_of(recorded, airs), _LONGEST_EDIT)))]
        room = [max(0, _open(settings, day) - taken.get(day, 0)) for day in until]
        for day, left, kept in zip(until, room, _less(room, editing), strict=True):
            taken[day] = taken.get(day, 0) + left - kept
    return taken


def _less(week: Sequence[int], show: int) -> list[int]:
    """Some days' quarter hours less the show's, shared in proportion by largest remainders (ties: earlier day)."""
    whole = sum(week)
    return largest_remainders(max(0, whole - show), week) if whole else list(week)


def index_of(today: date, day: date) -> int:
    """The day as its number from today, which is 0; negative before."""
    return (day - today).days
