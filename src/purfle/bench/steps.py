"""The values the plan is computed on: steps, dates to be met, quarter hours a day.

Days are numbers from today, which is 0; bench time is in quarter hours.
Invariant: holds no name of the solver's or of numpy's, and nothing of money.
"""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from purfle.base.times import Estimate, whole
from purfle.progress.routes import beyond
from purfle.progress.states import expected_in


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something that has to come before a step can begin."""

    what: str
    day: int
    """The day it is expected."""
    late: float
    """Chance that it is later than that."""
    delay: float
    """Days it is late by, on average, when it is late."""
    lead: int
    """Days from order to arrival."""
    ordered: bool
    overdue: int = 0
    """Days since the one on which it should have been here."""


@dataclass(frozen=True, slots=True)
class Step:
    """A stage still to be done, or the rest of one."""

    build: str
    stage: str
    pass_number: int
    quarters: int
    """Expected quarter hours left; 0 for one without hands."""
    hours: Estimate
    """Bench hours of the whole pass as estimated."""
    done: float
    """Hours already noted in this pass."""
    factor: float
    """What the shop's habit makes of the estimate."""
    spread: float
    """Standard deviation of the log of actual ÷ estimated, for an estimate of one figure."""
    rework: float
    """Chance that the pass is done again."""
    whole: bool
    after: tuple[int, ...]
    """Numbers of the steps that must be finished and cured first."""
    release: int
    """The first day it may begin, parts apart: cures of what is finished, holds."""
    off: float = 0.0
    """Standard deviation of the log of what the hours of all steps may be off in common."""
    own_off: float = 0.0
    """The same of those of this stage, in every build."""
    cured: int = 0
    """Quarter hours of today before which it may not begin, should it begin today: a cure of hours of what was finished today."""
    waiting: tuple[Waiting, ...] = ()
    cure_days: int = 0
    cure_quarters: int = 0
    """A cure within the day."""
    wait: Estimate | None = None
    """Days of outside work after its hours."""
    away: int = 0
    """Days that outside work has already taken."""
    closed: tuple[tuple[int, int], ...] = ()
    """Days, first to last, on which the build is on hold."""
    priority: int = 3

    @property
    def wait_mean(self) -> float:
        """Expected days of outside work still to come."""
        if self.wait is None:
            return 0.0
        whole = float(self.wait.mean)
        return max(whole - self.away, expected_in(self.late)) if self.away else whole

    @property
    def late(self) -> int:
        """Days since the last one on which outside work should have been back; 0 while it is not overdue."""
        return 0 if self.wait is None else max(0, self.away - math.ceil(self.wait.high))

    @property
    def lag(self) -> float:
        """Expected days from its last hands to what follows."""
        return self.wait_mean + self.cure_days

    @property
    def begins(self) -> int:
        """The first day it may begin, what it waits for included, as expected."""
        return max((self.release, *(w.day for w in self.waiting)))


@dataclass(frozen=True, slots=True)
class Doubt:
    """A finished stage that may have to be done again: nobody has worked on what follows it, which is when a fault shows."""

    again: Step
    """The pass that would come, its chance as `rework`; free to begin once the finished one has cured."""
    before: tuple[int, ...]
    """Numbers of the steps that would wait for it."""


@dataclass(frozen=True, slots=True)
class Due:
    """A date to be met."""

    build: str
    stage: str | None
    """The promised stage; None for the whole build."""
    steps: tuple[int, ...]
    """The steps that must be finished."""
    day: int
    """The last day that is in time; may be past."""
    weight: float
    """What a day late weighs."""
    with_cure: bool
    """Whether the last cure must be over too."""
    settled: int = 0
    """The day from which what is already finished lets it be done."""


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything the plan starts from."""

    today: date
    free: tuple[int, ...]
    """Quarter hours free on each day, as far as the plan looks."""
    steps: tuple[Step, ...]
    dues: tuple[Due, ...]
    barred: Mapping[int, str] = field(default_factory=dict)
    """Steps that can't be placed, and why."""
    doubts: tuple[Doubt, ...] = ()
    """Finished stages that the forecast may find to be done again; the plan itself has no room for them."""
    wholes: tuple[Due, ...] = ()
    """Each build that has work left or still cures, as a whole; by its own date where it has one."""

    @property
    def horizon(self) -> int:
        """How many days the plan looks ahead."""
        return len(self.free)

    def on(self, day: int) -> date:
        """The date of a day."""
        return self.today + timedelta(days=day)

    def with_before(self, numbers: Collection[int]) -> frozenset[int]:
        """Some steps with all that they wait for, near or far."""
        return beyond(numbers, lambda one: self.steps[one].after).union(numbers)

    def followers(self) -> tuple[tuple[int, ...], ...]:
        """For each step, the steps that wait for it."""
        return followers_of(self.steps)


def followers_of(steps: Sequence[Step]) -> tuple[tuple[int, ...], ...]:
    """For each of some steps, those that wait for it."""
    found: list[list[int]] = [[] for _ in steps]
    for number, step in enumerate(steps):
        for before in step.after:
            found[before].append(number)
    return tuple(map(tuple, found))


def first_day(moment: float) -> int:
    """The first whole day at or after a moment."""
    return whole(moment)
