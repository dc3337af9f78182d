"""What the runs of a forecast came to: on how many of them something was done by the end of each day.

Invariant: holds counts alone; whose they are and what day 0 is, the reader knows.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Spread:
    """Runs by the day on which they were done."""

    runs: int
    first: int
    """The first day on which any run was done."""
    reached: tuple[int, ...]
    """Runs done by the end of that day and of each day after it, within the horizon; those beyond it are in no count."""

    def by(self, day: int) -> int:
        """How many runs were done by the end of a day."""
        if day < self.first or not self.reached:
            return 0
        return self.reached[min(day - self.first, len(self.reached) - 1)]

    def percent(self, day: int) -> int:
        """The part of the runs done by the end of a day, in whole percents, rounded down: 80 is never said of less, and 100 is every run."""
        return 100 * self.by(day) // self.runs

    def day(self, part: Decimal) -> int | None:
        """The first day by which that part of the runs, 0 to 1, is done; None beyond the horizon."""
        needed = max(1, math.ceil(part * self.runs))
        index = bisect_left(self.reached, needed)
        return self.first + index if index < len(self.reached) else None

    def percents(self) -> Iterator[tuple[int, int]]:
        """Day and whole percent (rounded down) of the runs done by its end, where the percent changes."""
        last = 0
        for index, reached in enumerate(self.reached):
            percent = 100 * reached // self.runs
            if percent != last:
                yield self.first + index, percent
                last = percent


@dataclass(frozen=True, slots=True)
class Outcome:
    """What all runs of a plan came to."""

    finished: Mapping[int, Spread]
    """By step: when it was finished, outside work included; steps that can't be placed are not in it."""
    needed: Mapping[int, Spread]
    """By step that waits for a part: when it could have begun had the part been there."""
    done: tuple[Spread, ...]
    """For each due date, when it was done."""
    wholes: tuple[Spread, ...]
    """For each build, when all of it was done and cured."""
