"""Random bench instances with stated seeds: builds of ten stages, some of them dated."""

import random
from datetime import date
from decimal import Decimal

from purfle.base.times import Estimate
from purfle.bench.steps import Due, Situation, Step

TODAY = date(2026, 3, 2)
WEEK = (0, 16, 16, 16, 16, 24, 0)
"""Quarter hours a weekday, Monday first: 22 hours a week."""


def instance(seed: int, builds: int = 20, stages: int = 10, dated: int = 6, tight: float = 0.75) -> Situation:
    """A situation of `builds` builds; the first `dated` have due dates that can't all be met when `tight` is below 1."""
    rng = random.Random(seed)
    steps: list[Step] = []
    dues: list[Due] = []
    for build in range(builds):
        first, cures = len(steps), 0
        for stage in range(stages):
            hours = Decimal(rng.choice((1, 2, 2, 3, 4, 5, 6, 8, 10, 12))) / 2
            cure = rng.choice((2, 3, 7, 14)) if rng.random() < 0.3 else 0
            cures += cure
            estimate = Estimate(hours * Decimal("0.7"), hours, hours * Decimal("1.6"))
            steps.append(
                Step(
                    f"b{build}", f"s{stage}", 1, int(hours * 4), estimate, 0.0, 1.0, 0.35, 0.05, False, (first + stage - 1,) if stage else (), 0, cure_days=cure
                )
            )
        if build < dated:
            work = sum(step.quarters for step in steps[first:])
            due = int(tight * (cures + work * dated * rng.uniform(0.4, 1.0) * 7 / sum(WEEK)))
            dues.append(Due(f"b{build}", None, tuple(range(first, first + stages)), due, rng.choice((1.0, 2.0, 3.0)), True))
    total = sum(step.quarters for step in steps)
    days = int(1.6 * total * 7 / sum(WEEK)) + 120
    return Situation(TODAY, tuple(WEEK[day % 7] for day in range(days)), tuple(steps), tuple(dues))
