"""What each run of a forecast draws: hours, waits, lateness and rework, each step from random streams of its own.

All samples are arrays with one figure a run.
Invariant: no chance but the seeded streams; a stream is named by build, stage and pass, so that no build moves another's samples.
"""

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from purfle.base.names import folded
from purfle.base.times import QUARTERS, Estimate
from purfle.bench.arrivals import OVERDUE, delay_of
from purfle.bench.learn import mean
from purfle.bench.steps import Step, Waiting
from purfle.progress.states import expected_in

Floats = NDArray[np.float64]
Ints = NDArray[np.signedinteger[Any]]


@dataclass(frozen=True, slots=True)
class Drawn:
    """One step's samples."""

    quarters: Floats | None
    """Quarter hours left; None for a step without hands."""
    again: Floats | None
    """Quarter hours of the pass done again, for a step that is not to be split: a sitting of its own. None where `quarters` holds them, or none may come."""
    wait: Floats | None
    cure: Ints | int | None
    """Days of cure, that of a pass done again included; None without one, as with the wait."""


def stream(*names: object) -> np.random.Generator:
    """A random generator of its own for these names."""
    digest = hashlib.sha256("\0".join(str(name) for name in names).encode()).digest()
    return np.random.Generator(np.random.SFC64(_Seed(digest)))  # type: ignore[arg-type]  # its stubs name one seed sequence, it takes any


class _Seed(np.random.bit_generator.ISeedSequence):
    """A seed as it is, for a generator: the digest is mixed well enough, and numpy's own mixing takes longer than the draws."""

    def __init__(self, digest: bytes) -> None:
        self.digest = digest

    def generate_state(self, n_words: int, dtype: Any = np.uint32) -> Any:
        return np.frombuffer(self.digest, dtype=dtype)[:n_words].copy()


def draw(step: Step, runs: int) -> Drawn:
    """A step's samples; of a pass that is done again, those of the next pass come to them."""
    rng = stream(step.build, step.stage, step.pass_number)
    wait: Floats | None = None
    if step.wait is not None:
        wait = three_point(rng, step.wait, runs)
        if step.away:
            wait = _still_away(rng, step, wait)
    if step.quarters == 0:
        return Drawn(None, None, wait, step.cure_days or None)
    off = _off(step, runs)
    quarters = _quarters(rng, step, off, step.done)
    cure: Ints | int | None = step.cure_days or None
    sitting: Floats | None = None
    if step.rework > 0:
        again = np.flatnonzero(rng.random(runs, dtype=np.float32) < step.rework)
        sitting = np.zeros(runs) if step.whole else None
        (quarters if sitting is None else sitting)[again] += _quarters(stream(step.build, step.stage, step.pass_number + 1), step, off[again], 0.0)
        if step.cure_days:
            cured: Ints = np.full(runs, cure, dtype=np.int32)
            cured[again] *= 2
            cure = cured
    return Drawn(quarters, sitting, wait, cure)


def draw_again(again: Step, runs: int) -> Floats:
    """Quarter hours of a pass that may have to come after a finished one; nothing in the runs in which it does not."""
    found = np.zeros(runs)
    comes = np.flatnonzero(stream(again.build, again.stage, again.pass_number - 1).random(runs) < again.rework)
    found[comes] = _quarters(stream(again.build, again.stage, again.pass_number), again, _off(again, runs)[comes], 0.0)
    return found


def _still_away(rng: np.random.Generator, step: Step, waits: Floats) -> Floats:
    """Days of outside work still to come, of the waits that are not over yet.

    Once all are over it is overdue: like a part, it may come any day, and may well not, the longer the later.
    """
    left = _beyond(waits, step.away)
    if left.any():
        return left
    assert step.wait is not None
    return expected_in(step.late) + _lateness(rng, OVERDUE, delay_of(max(mean(step.wait), step.late)), len(waits))


def _off(step: Step, runs: int) -> Floats:
    """What the estimates are off in each run: all of the shop's, and those of this stage in every build. With few stages finished nobody knows, and more builds even nothing out."""
    return np.exp(step.off * _common("", runs) + step.own_off * _common(folded(step.stage), runs))


@lru_cache(maxsize=256)
def _common(stage: str, runs: int) -> Floats:
    """The draws that all builds share, of a stage or, without its name, of all of them."""
    return stream("the shop's estimates", stage).standard_normal(runs)


def _quarters(rng: np.random.Generator, step: Step, off: Floats, done: float) -> Floats:
    """Quarter hours still to come of a pass, one at least: three points as given, one figure with the shop's spread, both by the shop's factor, and `off`.

    Of a pass that is begun only those samples count that are more than what is done.
    """
    if step.hours.low < step.hours.high:
        found = three_point(rng, step.hours, len(off))
        found *= step.factor * QUARTERS
    else:
        found = np.exp(step.spread * rng.standard_normal(len(off)))
        found *= float(step.hours.likely) * step.factor * QUARTERS
    found *= off
    if done:
        found = _beyond(found, done * QUARTERS)
    return np.maximum(found, 1.0, out=found)


def _beyond(whole: Floats, gone: float) -> Floats:
    """What is left of the samples that are not over yet; nothing where all of them are."""
    left = whole[whole > gone] - gone
    return np.resize(left, len(whole)) if len(left) else np.zeros(len(whole))


def three_point(rng: np.random.Generator, estimate: Estimate, runs: int) -> Floats:
    """Samples of low, likely, high: the beta with mean μ = (low + 4 likely + high) ÷ 6 and variance (μ − low)(high − μ) ÷ 7."""
    low, likely, high = float(estimate.low), float(estimate.likely), float(estimate.high)
    if high <= low:
        return np.full(runs, likely)
    span = high - low
    found = rng.beta(1 + 4 * (likely - low) / span, 1 + 4 * (high - likely) / span, runs)
    found *= span
    found += low
    return found


def arrival(step: Step, waiting: Waiting, runs: int) -> Floats:
    """The days on which a part that is waited for comes."""
    rng = stream(step.build, "part", waiting.what)
    return waiting.day + _lateness(rng, waiting.late, waiting.delay, runs)


def _lateness(rng: np.random.Generator, chance: float, delay: float, runs: int) -> Floats:
    """Whole days late by, none with the rest of the chance."""
    late = rng.random(runs) < chance
    return np.where(late, np.ceil(rng.exponential(delay, runs)), 0.0)
