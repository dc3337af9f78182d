"""Chances against closed forms, and the streams that keep one build's samples apart from another's."""

import math
import random
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest
from shop_texts import TODAY, fenced, settings, shop_of, told
from test_bench_plan import NETWORK

from purfle.base.times import Estimate
from purfle.bench import moves_of, plan_bench
from purfle.bench.draws import draw, stream, three_point
from purfle.bench.forecast import RUNS, Outcome, forecast
from purfle.bench.gather import situation_of
from purfle.bench.learn import Lesson, lessons_of, pooled, usual
from purfle.bench.model import Plan
from purfle.bench.place import lay
from purfle.bench.rules import best_rule
from purfle.bench.spread import Spread
from purfle.bench.steps import Doubt, Situation, Step
from purfle.notes.records.shop import WEEKDAYS

ALWAYS = tuple([96] * 400)
"""Days of 24 bench hours: the bench never holds anything up."""


def _step(stage: str, after: tuple[int, ...] = (), **more: object) -> Step:
    plain = Step("net", stage, 1, 0, Estimate(*map(Decimal, (0, 0, 0))), 0.0, 1.0, 0.0, 0.0, False, after, 0)
    return replace(plain, **more)  # type: ignore[arg-type]


def _wait(low: str, likely: str, high: str) -> Estimate:
    return Estimate(Decimal(low), Decimal(likely), Decimal(high))


def _run(*steps: Step, runs: int = RUNS, free: tuple[int, ...] = ALWAYS) -> Outcome:
    situation = Situation(TODAY, free, steps, ())
    return forecast(situation, lay(situation, range(len(steps))), runs)


def _plan(files: dict[str, str]) -> Plan:
    shop = shop_of(files)
    return plan_bench(shop, moves_of(shop), told(shop)[0], (), TODAY)


# --- outside work ---------------------------------------------------------------------------------------------------


def _away(days: int) -> Spread:
    return _run(_step("plating", wait=_wait("7", "10", "18"), away=days), runs=20_000).finished[0]


def test_outside_work_that_is_not_back_yet_takes_as_long_as_the_waits_that_are_not_over() -> None:
    """P(back in two days more | not back in ten), of the beta on 7 to 18 with its shape by 10: drawn by the standard library, four standard errors."""
    rng, shape = random.Random(1), (1 + 4 * 3 / 11, 1 + 4 * 8 / 11)
    waits = [wait for wait in (7 + 11 * rng.betavariate(*shape) for _ in range(200_000)) if wait > 10]
    expected = sum(wait <= 12 for wait in waits) / len(waits)
    assert abs(_part(_away(10), 2) - expected) < 4 * math.sqrt(expected * (1 - expected) / 10_000)


def test_a_stage_that_is_begun_takes_as_long_as_the_samples_that_are_more_than_what_is_done() -> None:
    """P(half an hour more | not done in 2.5 h) of 1, 2 and 4 hours, on a bench of a quarter hour a day: drawn by the standard library."""
    step = _step("carve", quarters=1, hours=_wait("1", "2", "4"), done=2.5)
    rng, shape = random.Random(2), (1 + 4 * 1 / 3, 1 + 4 * 2 / 3)
    hours = [hours for hours in (1 + 3 * rng.betavariate(*shape) for _ in range(200_000)) if hours > 2.5]
    expected = sum(hour <= 3 for hour in hours) / len(hours)
    chance = _part(_run(step, runs=20_000, free=tuple([1] * 40)).finished[0], 1)
    assert abs(chance - expected) < 4 * math.sqrt(expected * (1 - expected) / 5_000)


def test_overdue_outside_work_may_come_any_day_and_may_well_not() -> None:
    """Half of it tomorrow, by the rule for overdue parts (a guess of the trade, no source)."""
    assert 0.45 < _part(_away(25), 1) < 0.55 and _part(_away(25), 30) > 0.99


# --- the draws -------------------------------------------------------------------------------------------------------


def test_three_points_have_the_beta_s_mean_and_variance() -> None:
    """Mean (a + 4m + b) ÷ 6 and the exact beta's variance (μ − a)(b − μ) ÷ 7, within four standard errors."""
    runs = 20_000
    sample = three_point(stream("x"), _wait("4", "5", "12"), runs)
    mean, variance = 6.0, (6 - 4) * (12 - 6) / 7
    assert abs(sample.mean() - mean) < 4 * math.sqrt(variance / runs)
    assert sample.var() == pytest.approx(variance, rel=0.05)
    assert sample.min() >= 4 and sample.max() <= 12


def test_one_figure_spreads_lognormally() -> None:
    """Median 10, 90 % quantile 20: σ = ln 2 ÷ 1.281552 = 0.540866, mean 11.5751 (computed)."""
    hours = Estimate(Decimal(10), Decimal(10), Decimal(10))
    outcome = _run(_step("carve", quarters=40, hours=hours, spread=0.540866), runs=20_000, free=tuple([4] * 400))
    spread = outcome.finished[0]
    assert spread.day(Decimal("0.5")) in (9, 10) and spread.day(Decimal("0.9")) in (19, 20)  # an hour a day: the n-th hour ends on day n − 1
    assert _mean(spread) + 1 == pytest.approx(11.5751 + 0.5, abs=4 * 11.5751 * math.sqrt(math.exp(0.540866**2) - 1) / math.sqrt(20_000) + 0.1)


# --- sums and maxima -------------------------------------------------------------------------------------------------


def _chance(outcome: Outcome, step: int, day: int) -> float:
    return _part(outcome.finished[step], day)


def _part(spread: Spread, day: int) -> float:
    """The part of the runs done by the end of a day."""
    return spread.by(day) / spread.runs


def _mean(spread: Spread) -> float:
    counts = [b - a for a, b in pairwise((0, *spread.reached))]
    return sum((spread.first + i) * count for i, count in enumerate(counts)) / spread.runs


def _normal(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def test_a_sum_of_many_waits_is_nearly_normal() -> None:
    """Thirty waits of 1, 2, 3 days: mean 60, variance 30 × 1 ÷ 7; the chance of 62 days by the central limit theorem."""
    steps = [_step(f"s{n}", (n - 1,) if n else (), wait=_wait("1", "2", "3")) for n in range(30)]
    runs = 8000
    expected = _normal((62 - 60) / math.sqrt(30 / 7))
    assert abs(_chance(_run(*steps, runs=runs), 29, 62) - expected) < 4 * math.sqrt(expected * (1 - expected) / runs)


def test_the_larger_of_two_paths_is_later_than_either() -> None:
    """The larger of two like normals has mean μ + σ ÷ √π (half of E|X − Y|, which is σ√2 × √(2 ÷ π)), here of two chains of ten waits."""
    chain = [_step(f"{side}{n}", (10 * k + n - 1,) if n else (), wait=_wait("0", "3", "6")) for k, side in enumerate("ab") for n in range(10)]
    join = _step("join", (9, 19), wait=_wait("0", "0", "0"))
    runs = 8000
    sigma = math.sqrt(10 * 9 / 7)
    mean = _mean(_run(*chain, join, runs=runs).finished[20]) - 0.5  # a moment is told as the day that holds it: half a day on average
    spread = sigma * math.sqrt(1 - 1 / math.pi)
    assert abs(mean - (30 + sigma / math.sqrt(math.pi))) < 4 * spread / math.sqrt(runs) + 0.02


# --- published networks, read through the plan -----------------------------------------------------------------------


def _beta(rng: random.Random, low: float, likely: float, high: float) -> float:
    span = high - low
    return low + span * rng.betavariate(1 + 4 * (likely - low) / span, 1 + 4 * (high - likely) / span)


def _longest(rng: random.Random) -> float:
    """The book's network, walked by hand with the standard library's beta."""
    t = {name: _beta(rng, *points) for name, points in POINTS.items()}
    c, d, e = t["A"] + t["C"], t["A"] + t["D"], t["A"] + t["E"]
    i = max(t["B"], e) + t["H"] + t["I"]
    return max(c + t["F"], d + t["G"], i) + t["J"]


POINTS = {
    "A": (4, 5, 12), "B": (1, 1.5, 5), "C": (2, 3, 4), "D": (3, 4, 11), "E": (2, 3, 4),
    "F": (1.5, 2, 2.5), "G": (1.5, 3, 4.5), "H": (2.5, 3.5, 7.5), "I": (1.5, 2, 2.5), "J": (1, 2, 3),
}  # fmt: skip


def test_a_published_network_keeps_its_chance() -> None:
    """Anderson, Sweeney, Williams, ch. 9: P(≤ 20) = 0.9655, a normal approximation on the critical path alone.

    Merging paths and the betas' own variances make it less; by how much, the standard library's beta says, walking the
    network another way. The two simulations agree within four standard errors and a percent lost in rounding down.
    """
    rng, runs = random.Random(1), 20_000
    expected = sum(_longest(rng) <= 20 for _ in range(runs)) / runs
    plan = _plan({"shop.md": settings(), "builds/net/build.md": fenced("title: Net", *NETWORK.split("\n"))})
    chance = float(plan.chance("net", "J", TODAY + timedelta(days=20)))
    assert abs(chance - expected) < 4 * math.sqrt(expected * (1 - expected) * (1 / RUNS + 1 / runs)) + 0.01
    assert 0.9655 - 0.05 < chance < 0.9655


def test_a_published_path_keeps_its_chance() -> None:
    """Taylor, Introduction to Management Science: 5/8/17, 3/5/7, 4/6/8, 3/4/5; 24 expected, variance 5, P(≤ 28) = 0.9632 (normal).

    With the exact betas' variances the normal gives 0.951, and their skew less; the exact sum is found by convolution.
    """
    points = ((5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5))
    stages = ", ".join(f"{{stage: s{n}, wait: {list(p)}}}" for n, p in enumerate(points))
    plan = _plan({"shop.md": settings(), "builds/net/build.md": fenced("title: Net", f"stages: [{stages}]")})
    chance, expected = float(plan.chance("net", "s3", TODAY + timedelta(days=28))), _convolved(points, 28)
    assert abs(chance - expected) < 4 * math.sqrt(expected * (1 - expected) / RUNS) + 0.01
    assert 0.9632 - 0.05 < chance < 0.9632


def _convolved(points: tuple[tuple[int, int, int], ...], most: float) -> float:
    """The chance that a sum of betas is at most `most`, by convolving their densities on a grid of hundredths."""
    density = np.ones(1)
    for low, likely, high in points:
        x = (np.arange(low * 100, high * 100) + 0.5) / 100
        own = (x - low) ** (4 * (likely - low) / (high - low)) * (high - x) ** (4 * (high - likely) / (high - low))
        density = np.convolve(density, own / own.sum())
    start = sum(low for low, _, _ in points) + 0.5 * len(points) / 100
    return float(density[start + np.arange(len(density)) / 100 <= most].sum())


def test_a_whole_stage_that_is_done_again_takes_two_sittings() -> None:
    """Two hours twice, on days of three: the second on the second day. On days of four, both on the first."""
    two = Estimate(*map(Decimal, (2, 2, 2)))
    spray = _step("spray", quarters=8, hours=two, rework=1.0, whole=True)

    def last(step: Step, hours: int) -> Spread:
        return _run(step, free=(4 * hours,) * 30).finished[0]

    assert [(last(spray, hours).first, last(spray, hours).by(1)) for hours in (3, 4)] == [(1, RUNS), (0, RUNS)]
    for hours in (3, 2):  # with and without an hour left over that day
        sometimes = last(replace(spray, rework=0.3), hours)
        assert sometimes.by(1) == RUNS and abs(_part(sometimes, 0) - 0.7) < 4 * math.sqrt(0.7 * 0.3 / RUNS)


# --- manners ---------------------------------------------------------------------------------------------------------

WEEK = "bench_hours: {tuesday: 4, thursday: 4, saturday: 6}"
ROUTE = "stages: [{stage: strip, hours: [1, 2, 4]}, {stage: clear, hours: 3, cure: 7 days}, {stage: fit, hours: [2, 3, 6]}]"


@pytest.mark.parametrize(("rework", "whole", "quarters", "again", "cure"), [(0.0, False, 4, None, 14), (1.0, False, 8, None, 28), (1.0, True, 4, 4, 28)])
def test_a_pass_that_is_done_again_takes_its_hours_and_its_cure_twice(rework: float, whole: bool, quarters: int, again: int | None, cure: int) -> None:
    """An hour is four quarters; without spread each run is the same. What is not to be split has its second sitting told apart."""
    drawn = draw(_step("clear", quarters=4, hours=_wait("1", "1", "1"), rework=rework, whole=whole, cure_days=14), 50)
    assert drawn.quarters is not None and set(drawn.quarters) == {quarters}
    assert again is None if drawn.again is None else set(drawn.again) == {again}
    assert set(np.broadcast_to(drawn.cure, 50)) == {cure}


def test_runs_without_spread_are_the_plan() -> None:
    """Two ways of laying hours into days, one in whole quarters and one across runs, must agree where nothing varies."""
    shop = shop_of({"shop.md": settings(WEEK)} | {f"builds/b{n}/build.md": fenced(f"title: B{n}", _certain(n)) for n in range(4)})
    progress, _ = told(shop)
    situation = situation_of(shop, progress, (), TODAY)
    sure = Situation(TODAY, situation.free, tuple(_sure(s) for s in situation.steps), ())
    laid = best_rule(sure).laid
    outcome = forecast(sure, laid, 3)
    assert {n: (s.first, s.reached) for n, s in outcome.finished.items()} == {p.step: (p.finished, (3,)) for p in laid.placed if p}


def _certain(number: int) -> str:
    return f"stages: [{{stage: a, hours: {number + 1}}}, {{stage: b, hours: 2.5, cure: 3 days}}, {{stage: c, hours: 1, cure: 2 h}}, {{stage: d, hours: 3, whole: yes}}, {{stage: e, wait: 2}}]"


def _sure(step: Step) -> Step:
    return replace(step, spread=0.0, rework=0.0, off=0.0, own_off=0.0)


def test_another_build_moves_no_one_s_samples() -> None:
    """A build that takes no bench hours, out for plating, changes no other build's forecast."""
    files = {"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", ROUTE)}
    alone = _plan(files)
    files["builds/avocet/build.md"] = fenced("title: Avocet", "stages: [{stage: plating, wait: [2, 5, 9]}]")
    both = _plan(files)
    assert [f for f in both.forecast if f.build == "wren"] == list(alone.forecast)
    assert {key: days for key, days in both.chances.items() if key[0] == "wren"} == alone.chances


def test_likelihoods_rise_and_are_whole_percents() -> None:
    plan = _plan({"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", ROUTE)})
    for f in plan.forecast:
        assert f.p10 <= f.p50 <= f.p80 <= f.p95
    for steps in plan.chances.values():
        assert all(isinstance(p, int) for _, p in steps) and [p for _, p in steps] == sorted(p for _, p in steps)
    fit = next(f for f in plan.forecast if f.stage == "fit")
    assert plan.chance("wren", "fit", fit.p80) >= Decimal("0.80") > plan.chance("wren", "fit", fit.p80 - timedelta(days=1))


def test_a_date_is_at_risk_when_its_80_percent_day_is_past_it() -> None:
    files = {"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", ROUTE, "due: 2026-03-10")}
    plan = _plan(files)
    fit = next(f for f in plan.forecast if f.stage == "fit")
    assert [(r.build, r.due, r.late_by) for r in plan.at_risk] == [("wren", date(2026, 3, 10), (fit.p80 - date(2026, 3, 10)).days)]
    files["builds/wren/build.md"] = fenced("title: Wren", ROUTE, f"due: {fit.p80}")
    assert _plan(files).at_risk == ()


def test_a_finished_stage_may_still_have_to_be_done_again() -> None:
    """One pass in four: an hour today and 14 days of cure, so what follows is done today in three runs of four (± 4 standard errors of 2,000) and else on day 14."""
    hour = _wait("1", "1", "1")
    again = _step("clear", quarters=4, hours=hour, pass_number=2, rework=0.25, cure_days=14)
    situation = Situation(TODAY, ALWAYS, (_step("fit", quarters=4, hours=hour),), (), doubts=(Doubt(again, (0,)),))
    fit = forecast(situation, lay(situation, (0,))).finished[0]
    assert _part(fit, 0) == _part(fit, 13) == pytest.approx(0.75, abs=4 * math.sqrt(0.25 * 0.75 / RUNS))
    assert _part(fit, 14) == 1


def test_a_stage_is_in_doubt_until_what_follows_it_is_begun() -> None:
    """Six of clear are finished, one of them was done again; on all but the last build fit was begun."""
    files = _finished([2.0] * 6)
    files["builds/b0/2026-02-11.md"] = fenced("bench: [{stage: clear, hours: 2, finished: yes}]", "redo: clear")
    for n in range(5):
        files[f"builds/b{n}/2026-02-12.md"] = fenced("stage: fit", "hours: 0.25")
    shop = shop_of(files)
    progress, _ = told(shop)
    situation = situation_of(shop, progress, (), TODAY)
    (doubt,) = situation.doubts
    assert (doubt.again.build, doubt.again.stage, doubt.again.pass_number) == ("b5", "clear", 2)
    assert [(situation.steps[n].build, situation.steps[n].stage) for n in doubt.before] == [("b5", "fit")]


def test_a_rest_that_runs_by_itself_takes_no_doubt_away() -> None:
    """Clear was done again on one build of seven; on the last it hangs since the day it was sprayed, and nobody has touched it: again it would cure 3 days and hang 14."""
    files = _finished([2.0] * 6)
    files["builds/b0/2026-02-11.md"] = fenced("bench: [{stage: clear, hours: 2, finished: yes}]", "redo: clear")
    files["builds/b6/build.md"] = fenced(
        "title: B6", "stages: [{stage: clear, hours: 2, cure: 3 days}, {stage: hang, cure: 14 days}, {stage: rub out, hours: 1}]"
    )
    files[f"builds/b6/{TODAY - timedelta(days=5)}.md"] = fenced("bench: [{stage: clear, hours: 2, finished: yes}]")
    shop = shop_of(files)
    progress, _ = told(shop)
    situation = situation_of(shop, progress, (), TODAY)
    (doubt,) = [doubt for doubt in situation.doubts if doubt.again.build == "b6"]
    assert (doubt.again.stage, doubt.again.release, doubt.again.cure_days) == ("clear", 0, 3 + 14)
    assert [situation.steps[n].stage for n in doubt.before] == ["rub out"]


# --- learning --------------------------------------------------------------------------------------------------------


def _finished(hours: list[float], estimate: float = 2) -> dict[str, str]:
    files = {"shop.md": settings(WEEK, f"routes: {{r: [{{stage: clear, hours: {estimate}}}, {{stage: fit, hours: 1}}]}}")}
    for n, spent in enumerate(hours):
        files[f"builds/b{n}/build.md"] = fenced(f"title: B{n}", "route: r")
        files[f"builds/b{n}/2026-02-10.md"] = fenced("stage: clear", f"hours: {spent}", "finished: yes")
    return files


def test_estimates_learn_from_finished_stages() -> None:
    assert _plan(_finished([])).learned == ()
    one, many = (_plan(_finished([4.0] * n)).learned[0] for n in (1, 10))
    assert 1 < one.factor < many.factor < 2  # actual is twice the estimate; few lean on "as estimated"
    assert many.finished == 10 and many.factor > Decimal("1.9")


def test_rework_is_learned() -> None:
    files = _finished([2.0] * 6)
    files["builds/b0/2026-02-11.md"] = fenced("redo: clear", "stage: clear", "hours: 1")
    learned = {one.stage: one for one in _plan(files).learned}
    assert 0 < learned["clear"].rework < Decimal("0.2")


def test_many_builds_do_not_even_out_what_all_estimates_are_off() -> None:
    """Forty builds of four hours, an hour a day, in a new shop: a pass spreads by 0.35, all of them by as much again, and a stage's by 0.35 ÷ √4.

    Of the sum, on the log scale, √(0.35² ÷ 40 + 0.35² + 0.175²) = 0.3952; the 95 % day is e^(1.645 × 0.3952) = 1.92 times the middle one, where
    hours that had nothing in common would make it 1.10 times. Within 4 %: the runs are two thousand.
    """
    files = {"shop.md": settings(", ".join(f"{day}: 1" for day in WEEKDAYS).join(("bench_hours: {", "}")))}
    files |= {f"builds/b{n:02}/build.md": fenced(f"title: B{n}", "stages: [{stage: work, hours: 4}]") for n in range(40)}
    last = max(_plan(files).wholes, key=lambda one: one.p50 or TODAY)
    assert last.p50 and last.p95 and abs(((last.p95 - TODAY).days + 1) / ((last.p50 - TODAY).days + 1) - 1.92) < 0.08


def test_what_a_stage_teaches_leans_on_the_shop_and_the_shop_on_as_estimated() -> None:
    """Reckoned by hand: a stage leans on the shop with the weight of four (*common practice, no source*), the shop on "as estimated" with that of one.

    Four finished at twice their estimate, one of them done again. Shop: 2 to the power of 4 ÷ (4 + 1), rework 1 ÷ 8,
    variance ((0.2 ln 2)² × 4 + 0.35² × 4) ÷ 8 = 0.070859. Stage: the power (4 + 4 × 0.8) ÷ 8, rework (1 + 4 × 1 ÷ 8) ÷ 8,
    variance ((0.1 ln 2)² × 4 + 0.070859 × 4) ÷ 8 = 0.037832.
    """
    habits = pooled([Lesson("clear", again, math.log(2)) for again in (True, False, False, False)])
    shop, clear = habits.of("never finished"), habits.of("Clear")
    assert (shop.factor, shop.rework, shop.spread) == pytest.approx((2**0.8, 0.125, math.sqrt(0.070859)), rel=1e-5)
    assert (clear.factor, clear.rework, clear.spread) == pytest.approx((2**0.9, 0.1875, math.sqrt(0.037832)), rel=1e-5)
    assert (clear.finished, shop.finished) == (4, 4)
    # what a mean may be off: its variance by four finished and its weight; of a stage, the shop's by the half that leans on it
    assert (shop.off, clear.off) == pytest.approx((math.sqrt(0.070859 / 5), math.sqrt(0.070859 / 5) / 2), rel=1e-5)
    assert (shop.own_off, clear.own_off) == pytest.approx((math.sqrt(0.070859 / 4), math.sqrt(0.037832 / 8)), rel=1e-5)


def test_hours_that_come_as_estimated_teach_that_they_do() -> None:
    """By hand: of [1, 2, 5] μ = 14 ÷ 6, variance (8 ÷ 6)(16 ÷ 6) ÷ 7 = 0.507937, geometric mean 2.333333 ÷ 1.045607 = 2.231558.

    Twenty thousand draws of the beta distribution by numpy have the logarithm of 2.2242 as their mean (the root is an approximation) and teach no hurry.
    """
    assert usual(Estimate(Decimal(1), Decimal(2), Decimal(5))) == pytest.approx(2.231558, rel=1e-6)
    assert usual(Estimate(Decimal(3), Decimal(3), Decimal(3))) == 3
    drawn = 1 + 4 * np.random.default_rng(5).beta(2, 4, 20000)
    habits = pooled(Lesson("clear", False, math.log(hours / usual(Estimate(Decimal(1), Decimal(2), Decimal(5))))) for hours in drawn)
    assert habits.of("clear").factor == pytest.approx(1, abs=0.006)  # set against the mean it would be 0.953


def test_a_stage_finished_without_hours_or_estimate_teaches_its_rework_alone() -> None:
    files = _finished([2.0])
    files["builds/b0/build.md"] = fenced("title: B0", "stages: [{stage: clear, hours: 2}, {stage: rest, hours: 0}, {stage: fit, hours: 1}]")
    files["builds/b0/2026-02-11.md"] = fenced("bench: [{stage: rest, hours: 1, finished: yes}, {stage: fit, finished: yes}]")
    taught = lessons_of(told(shop_of(files))[0]["b0"].stages)
    assert [(one.stage, one.again, one.ratio) for one in taught] == [("clear", False, 0.0), ("rest", False, None), ("fit", False, None)]


def test_learned_hours_stretch_the_plan() -> None:
    files = _finished([4.0] * 40)
    files["builds/next/build.md"] = fenced("title: Next", "route: r", "priority: 1")
    plan = _plan(files)
    assert sum(t.hours for day in plan.days for t in day.tasks if (t.build, t.stage) == ("next", "clear")) > Decimal("3.5")
