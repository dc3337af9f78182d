"""Measure the bench plan: the solver on dated builds, and the forecast against drawing the same samples in bulk.

    python benchmarks/plan.py

Processor seconds, so that other work on the machine counts little; the instances are those of `bench_instances.py`.
"""

import statistics
import time
from collections.abc import Callable, Sequence

import numpy as np
from bench_instances import instance

from purfle.bench.forecast import RUNS, forecast
from purfle.bench.order import ordered
from purfle.bench.place import lateness
from purfle.bench.rules import best_rule, every_rule
from purfle.bench.steps import Situation


def main() -> None:
    """Print every measurement."""
    solved("20 builds × 10 stages, 6 dated", [instance(seed) for seed in range(20)])
    solved("30 builds × 10 stages, 12 dated", [instance(100 + seed, 30, 10, 12) for seed in range(10)])
    forecasts()


def solved(what: str, situations: Sequence[Situation]) -> None:
    """Order every situation and compare with the list rules."""
    seconds, proved, ours, rules = [], 0, 0.0, 0.0
    for situation in situations:
        began = time.process_time()
        found = ordered(situation)
        seconds.append(time.process_time() - began)
        assert all(found.lateness <= rule.lateness + 1e-9 for rule in every_rule(situation))
        assert found.lateness == lateness(situation, found.laid)
        proved += found.proof.startswith("Proved best")
        ours, rules = ours + found.lateness, rules + best_rule(situation).lateness
    worth = f"lateness {ours / rules:.2f} of the best rule's"
    print(f"{what}: proved {proved} of {len(situations)}; seconds median {statistics.median(seconds):.2f}, worst {max(seconds):.2f}; {worth}")


def forecasts() -> None:
    """Forecast 200 stages; the yardstick draws as many betas and chances of rework and adds them up, all at once."""
    situation = instance(0)
    laid = best_rule(situation).laid
    ours = min(timed(lambda: forecast(situation, laid)) for _ in range(5))
    bulk = min(timed(lambda: in_bulk(len(situation.steps))) for _ in range(5))
    print(f"forecast of {RUNS} runs over {len(situation.steps)} stages: {ours:.3f} s; the same samples in bulk {bulk:.3f} s; {ours / bulk:.1f} times")


def in_bulk(stages: int) -> None:
    """Draw and accumulate."""
    rng = np.random.default_rng(1)
    hours = 1 + 5 * rng.beta(2.33, 3.67, size=(stages, RUNS))
    again = rng.random((stages, RUNS)) < 0.05
    np.cumsum(hours * (1 + again), axis=0)


def timed(work: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    began = time.process_time()
    work()
    return time.process_time() - began


if __name__ == "__main__":
    main()
