"""What the shop's own finished stages say about its estimates.

Actual over estimated hours, on the log scale, stage by stage; where there are few the figure leans on the shop's mean,
and the shop's mean on "as estimated". It says as well how far a mean may still be off, as that of so many stages and the
leaning's: spread ÷ √(finished + weight).
Invariant: looks at finished stages alone; what was only taken as finished, or rested by itself, teaches nothing.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.base.times import Estimate
from purfle.bench.model import Learned
from purfle.progress.model import Progress, StageProgress

LEAN = 4
"""How many finished stages the shop's mean weighs against a stage's own; common practice of shrinkage, no source."""
TRUST = 1
"""How many finished stages "as estimated" weighs against the shop's mean: a new shop's estimates may be off by as much as a single stage, σ = 0.35.

Of software projects 60 to 80 % take longer than estimated, by 30 to 40 % on average (Moløkken and Jørgensen, A Review of
Surveys on Software Effort Estimation, 2003). A lognormal of which 70 % are above 1 and whose mean is 1.35 has σ = 0.41, each
project's own scatter included. Its median of 1.24 is left out: such small tasks as a stage are not told too low as a rule
(Halkjelsvik and Jørgensen, From Origami to Software Development, 2012).
"""
SPREAD = 0.35
"""Standard deviation, on the log scale, of hours around a single figure before the shop has shown its own; practice."""


@dataclass(frozen=True, slots=True)
class Habit:
    """How one stage turns out against what was estimated."""

    factor: float
    """Actual ÷ estimated hours."""
    spread: float
    """Standard deviation of its logarithm."""
    rework: float
    """Chance that a finished pass is done again."""
    finished: int
    off: float
    """Standard deviation, on the log scale, of what its factor may be off together with every other stage's."""
    own_off: float
    """The same of what it may be off by itself, in every build alike."""


@dataclass(frozen=True, slots=True)
class Habits:
    """Habits by stage name, and the shop's own for stages never finished."""

    by_stage: Mapping[str, Habit]
    shop: Habit

    def of(self, stage: str) -> Habit:
        """The habit of a stage."""
        return self.by_stage.get(folded(stage), self.shop)


def mean(estimate: Estimate) -> float:
    """The expected value of an estimate, for reckoning with floats."""
    return float(estimate.mean)


def usual(estimate: Estimate) -> float:
    """The geometric mean of hours that come as estimated, about μ ÷ √(1 + variance ÷ μ²): what logarithms of actual hours are set against.

    Three points mean that there are long days; against their mean, hours that come just as estimated would teach that they are quicker.
    The root is that of a lognormal with this mean and variance.
    """
    centre = mean(estimate)
    return centre / math.sqrt(1 + _variance(estimate) / centre**2) if centre > 0 else 0.0


def _variance(estimate: Estimate) -> float:
    """(μ − low)(high − μ) ÷ 7, as the forecast draws three points; nothing for one figure."""
    centre = mean(estimate)
    return (centre - float(estimate.low)) * (float(estimate.high) - centre) / 7


def vague(estimate: Estimate) -> float:
    """How much of what estimates are off as a whole an estimate shares, up to 1: all of it as one figure, as three points by their spread.

    Whoever writes a narrow range knows the job; the relative deviation is set against the one before a shop has shown its own.
    """
    if estimate.low >= estimate.high:
        return 1.0
    return min(1.0, math.sqrt(_variance(estimate)) / mean(estimate) / SPREAD)


class Lesson(NamedTuple):
    """What one finished pass teaches."""

    stage: str
    """Folded name."""
    again: bool
    """Whether it was done again."""
    ratio: float | None
    """Logarithm of actual ÷ usual hours of the estimate; None where either is nothing."""


def lessons_of(stages: Iterable[StageProgress]) -> Iterator[Lesson]:
    """What the finished passes of one build teach."""
    for stage in stages:
        for number, one in enumerate(stage.passes, 1):
            if one.finished is not None and not one.assumed and not one.by_itself:
                hours, expected = one.hours, usual(stage.stage.hours)
                ratio = math.log(float(hours) / expected) if hours > 0 and expected > 0 else None
                yield Lesson(folded(stage.stage.name), number < len(stage.passes), ratio)


def habits_of(progress: Iterable[Progress]) -> Habits:
    """What every finished pass of every build teaches."""
    return pooled(lesson for build in progress for lesson in lessons_of(build.stages))


def pooled(lessons: Iterable[Lesson]) -> Habits:
    """The habits that all these lessons together make."""
    ratios: defaultdict[str, list[float]] = defaultdict(list)
    done: defaultdict[str, int] = defaultdict(int)
    redone: defaultdict[str, int] = defaultdict(int)
    for stage, again, ratio in lessons:
        done[stage] += 1
        redone[stage] += again
        if ratio is not None:
            ratios[stage].append(ratio)
    return _pooled(ratios, done, redone)


def _pooled(ratios: Mapping[str, list[float]], done: Mapping[str, int], redone: Mapping[str, int]) -> Habits:
    every = [r for name in sorted(ratios) for r in ratios[name]]
    count = len(every)
    shop_mean = math.fsum(every) / (count + TRUST)
    shop_spread = _spread([r - shop_mean for r in every], SPREAD)
    finished = sum(done.values())
    shop_rework = sum(redone.values()) / (finished + LEAN)
    off = shop_spread / math.sqrt(count + TRUST)
    shop = Habit(math.exp(shop_mean), shop_spread, shop_rework, count, off, shop_spread / math.sqrt(LEAN))

    def habit(name: str) -> Habit:
        own = ratios.get(name, [])
        centre = (math.fsum(own) + LEAN * shop_mean) / (len(own) + LEAN)
        rework = (redone.get(name, 0) + LEAN * shop_rework) / (done[name] + LEAN)
        weight, spread = len(own) + LEAN, _spread([r - centre for r in own], shop_spread)
        return Habit(math.exp(centre), spread, rework, len(own), off * LEAN / weight, spread / math.sqrt(weight))

    return Habits({name: habit(name) for name in sorted(done)}, shop)


def _spread(errors: list[float], otherwise: float) -> float:
    return math.sqrt((math.fsum(e * e for e in errors) + LEAN * otherwise**2) / (len(errors) + LEAN))


def learned(habits: Habits, names: Mapping[str, str]) -> tuple[Learned, ...]:
    """The habits to show, by stage as the routes spell it (`names`: folded → as written)."""
    cent = Decimal("0.01")
    return tuple(
        Learned(names.get(name, name), Decimal(habit.factor).quantize(cent), habit.finished, Decimal(habit.rework).quantize(cent))
        for name, habit in habits.by_stage.items()
        if habit.finished
    )
