"""The solver's claims against trying every sequence of whole pieces, over small random benches."""

import random
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

import pytest

from purfle.base.times import Estimate
from purfle.bench.improve import improved
from purfle.bench.network import Network
from purfle.bench.order import ordered
from purfle.bench.place import lateness, lay
from purfle.bench.rules import best_rule
from purfle.bench.solve import solve
from purfle.bench.steps import Due, Situation, Step

WEEK = (0, 6, 8, 0, 5, 12, 0)
"""Quarter hours of each day, Monday first."""


def _bench(seed: int) -> Situation:
    """Three dated builds of two or three stages with cures, waits and whole stages."""
    rng = random.Random(seed)
    steps: list[Step] = []
    dues = []
    for build in range(3):
        first, count = len(steps), rng.choice((2, 3, 3))
        for n in range(count):
            quarters = rng.choice((2, 3, 4, 5, 7, 9))
            hours = Estimate(*[Decimal(quarters) / 4] * 3)
            after = (first + n - 1,) if n else ()
            whole = quarters <= 5 and rng.random() < 0.2
            steps.append(
                Step(f"b{build}", f"s{n}", 1, quarters, hours, 0.0, 1.0, 0.3, 0.0, whole, after, rng.choice((0, 0, 2)), cure_days=rng.choice((0, 0, 1, 3)))
            )
        dues.append(Due(f"b{build}", None, tuple(range(first, first + count)), rng.randrange(0, 9), float(rng.choice((1, 2, 3))), rng.random() < 0.5))
    return Situation(date(2026, 3, 2), WEEK * 12, tuple(steps), tuple(dues))


def _sequences(situation: Situation, done: tuple[int, ...] = ()) -> Iterator[tuple[int, ...]]:
    if len(done) == len(situation.steps):
        yield done
    for number, step in enumerate(situation.steps):
        if number not in done and all(a in done for a in step.after):
            yield from _sequences(situation, (*done, number))


def _weighted(situation: Situation, sequence: Sequence[int]) -> float:
    """Weighted lateness when the steps are done one after another, each in one piece, on a day-by-day calendar."""
    quarter_of = [day for day, free in enumerate(situation.free) for _ in range(free)]  # the day of each quarter hour of bench time
    at, ends = 0, {}
    for number in sequence:
        step = situation.steps[number]
        ready = max([step.release] + [ends[a] + situation.steps[a].cure_days for a in step.after])
        at = max(at, next(i for i, day in enumerate(quarter_of) if day >= ready))
        while step.whole and quarter_of[at] != quarter_of[at + step.quarters - 1]:
            at += 1
        at += step.quarters
        ends[number] = quarter_of[at - 1]
    return sum(d.weight * max(0, ends[d.steps[-1]] + (situation.steps[d.steps[-1]].cure_days if d.with_cure else 0) - d.day) for d in situation.dues)


@pytest.mark.parametrize("seed", range(12))
def test_what_is_proved_is_the_best_of_all_sequences(seed: int) -> None:
    situation = _bench(seed)
    least = min(_weighted(situation, sequence) for sequence in _sequences(situation))
    best = best_rule(situation)
    # Given a start that splitting can't have made better than whole pieces allow, the bound is the optimum itself.
    solved = solve(situation, best.laid, max(best.lateness, least))
    assert solved is not None and solved.bound == pytest.approx(least)
    assert ordered(situation).lateness <= least + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_trying_never_makes_it_later(seed: int) -> None:
    situation = _bench(seed)
    best = best_rule(situation)
    assert lateness(situation, lay(situation, improved(situation, best.laid.order))) <= best.lateness


def test_what_takes_no_hands_holds_its_followers_and_its_date_back_by_the_days_it_takes() -> None:
    """By hand, four quarters a day: plating from day 3 for 2 days, then a rest of 4: fit on day 9, quarter 36. A rest of 2 days from day 1: wax, free on day 4 only, quarter 16."""

    def step(stage: str, quarters: int, after: tuple[int, ...], release: int, wait: int | None = None, cure: int = 0) -> Step:
        hours = Estimate(*[Decimal(quarters) / 4] * 3)
        away = None if wait is None else Estimate(*[Decimal(wait)] * 3)
        return Step("heron", stage, 1, quarters, hours, 0.0, 1.0, 0.3, 0.0, False, after, release, wait=away, cure_days=cure)

    steps = (step("plate", 0, (), 3, wait=2), step("rest", 0, (0,), 0, cure=4), step("fit", 4, (1,), 0), step("dry", 0, (), 1, cure=2), step("wax", 4, (3,), 4))
    dues = tuple(
        Due("heron", None, which, 5, 1.0, cured, settled)
        for which, cured, settled in (((0, 1), True, 0), ((1,), False, 0), ((1,), False, 7), ((2, 4), True, 0))
    )
    situation = Situation(date(2026, 3, 2), (4,) * 60, steps, dues)
    network = Network(situation, lay(situation, (0, 1, 2, 3, 4)))
    assert network.earliest == {2: 36, 4: 16}
    assert [network.until_done(due)[1] for due in dues] == [9, 5, 7, 0]
    assert [[link.before for link in network.until_done(due)[0]] for due in dues] == [[], [], [], [2, 4]]
