"""The bench hours left on each day, in all runs of a forecast at once.

A row is a day with bench hours, a column a run; a run that has taken quarter hours of a day leaves the fewer to later steps.
Invariant: draws nothing; the same calls give the same days.
"""

from bisect import bisect_left
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from purfle.base.times import HAIR
from purfle.bench.draws import Floats, Ints

Quarters = NDArray[np.float32]
Late = tuple[Ints | np.int32, Floats | np.float64]
"""A day, and the quarter of it before which work can't go on; in each run, or the same in all."""

_FEW = 32
"""Runs looked at before all of them are."""


class Capacity:
    """Quarter hours left on each day in each run."""

    def __init__(self, free: Sequence[int], runs: int) -> None:
        self.free, self.runs = free, runs
        self.table = np.repeat(np.array(free, dtype=np.float32)[:, None], runs, axis=1)
        self.left = list(self.table)
        self.days = [day for day, quarters in enumerate(free) if quarters]
        """The days with bench hours; each is a row."""
        self.rows = [self.left[day] for day in self.days]
        self.row_of = [bisect_left(self.days, day) for day in range(len(free) + 1)]
        self.gone = [False] * len(self.days)
        """Rows with nothing left in any run."""
        self.busy = np.empty((len(self.days), runs), dtype=bool)
        """By row, the runs still at the step of the moment in the evening."""
        self.taken = np.empty(runs, dtype=np.float32)
        self.day_of = np.array([*self.days, len(free)], dtype=np.int32)
        self.widest = max(free, default=0)

    def first_open(self, ready: Ints, closed: Sequence[tuple[int, int]]) -> Ints:
        """The first day from `ready` on with any quarter hour left."""
        found = np.full(self.runs, len(self.free))
        missing = np.ones(self.runs, dtype=bool)
        for row in range(self.row_from(int(ready.min())), len(self.days)):
            day = self.days[row]
            if self.gone[row] or _barred(day, closed):
                continue
            now = missing & (ready <= day) & (self.left[day] > HAIR)
            found[now] = day
            missing &= ~now
            if not missing.any():
                break
        return found

    def work(self, ready: Ints, quarters: Floats, whole: bool, closed: Sequence[tuple[int, int]], late: list[Late]) -> Ints:
        """Give every run its quarter hours from `ready` on; the day it is over.

        This is the inner loop of the forecast: each line is one pass over the runs, and none is there twice.
        """
        rest = (np.minimum(quarters, self.widest) if whole else quarters).astype(np.float32)
        first, latest = self.row_from(int(ready.min())), self.row_from(int(ready.max()))
        while first < latest and self.gone[first]:
            first += 1
        begun, taken = self._begun(ready, first, latest), self.taken
        row = first
        for row in range(first, len(self.days)):
            left = self.rows[row]
            if not self.gone[row] and not (closed and _barred(self.days[row], closed)):
                room = self._room(row, late) if late else left
                if row < latest:
                    room = np.multiply(room, begun[row - first], out=taken)
                take = np.where(room >= rest, rest, 0.0) if whole else np.minimum(room, rest, out=taken)
                np.subtract(left, take, out=left)
                np.subtract(rest, take, out=rest)
                if row >= latest and not left[:_FEW].any() and not left.any():
                    self.gone[row] = True
            busy = np.greater(rest, 0.0, out=self.busy[row])
            if row >= latest and not busy.any():
                break
        return self._ends(first, row, rest)

    def row_from(self, day: int) -> int:
        """The row of the first day from `day` on that has bench hours."""
        return self.row_of[min(day, len(self.free))]

    def _begun(self, ready: Ints, first: int, latest: int) -> Quarters:
        """For each row before `latest`, the runs that may work on it, as ones and noughts."""
        return (ready <= self.day_of[first:latest, None]).astype(np.float32)

    def _room(self, row: int, late: list[Late]) -> Quarters:
        """Quarter hours left that day, without those before a cure of hours is over."""
        left: Quarters = self.rows[row]
        for on, start in late:
            day = self.days[row]
            left = np.where(on == day, np.clip(np.minimum(left, self.free[day] - start), 0.0, None), left)
        return left

    def _ends(self, first: int, last: int, rest: Quarters) -> Ints:
        """The day each run's work is over: the row after those on which it was still busy in the evening."""
        rows = np.full(self.runs, first, dtype=np.int32)
        for start in range(first, last, 100):  # a hundred ones fit in the counter's one byte
            rows += self.busy[start : min(start + 100, last)].view(np.int8).sum(axis=0, dtype=np.int8)
        ends = self.day_of[rows]
        ends[rest > 0] = len(self.free)
        return ends

    def position(self, ends: Ints) -> Floats:
        """The quarter of its last day at which each run's work is over: what is left of the day then is untouched."""
        day = np.minimum(ends, len(self.free) - 1)
        return np.asarray(self.free, dtype=np.float64)[day] - self.table[day, np.arange(self.runs)]


def _barred(day: int, closed: Sequence[tuple[int, int]]) -> bool:
    return any(first <= day <= last for first, last in closed)
