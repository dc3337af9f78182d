"""How likely each day is: the plan run through two thousand times with hours, waits, late parts and rework drawn anew.

The plan's order is held: in every run an earlier step of the order has the first claim on bench hours. Each build,
stage and pass has a random stream of its own, so that another build more or less moves no one else's samples.
Invariant: no chance but the seeded streams; the same situation and order give the same numbers.
"""

from __future__ import annotations

import hashlib
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from purfle.base.quantities import Estimate
from purfle.bench.arrivals import OVERDUE, delay_of
from purfle.bench.calendar import QUARTERS
from purfle.bench.learn import mean
from purfle.bench.place import Laid
from purfle.bench.spread import Spread
from purfle.bench.steps import Due, Situation, Step

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.signedinteger[Any]]
    Moments = Floats | Ints

RUNS = 2000
_HAIR = 1e-9
_FEW = 32
"""Runs looked at before all of them are."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the runs came to."""

    finished: Mapping[int, Spread]
    """By step: when it was finished, outside work included; steps that can't be placed are not in it."""
    needed: Mapping[int, Spread]
    """By step that waits for a part: when it could have begun had the part been there."""
    done: tuple[Spread, ...]
    """For each due date, when it was done."""


def forecast(situation: Situation, laid: Laid, runs: int = RUNS) -> Outcome:
    """Run the order `runs` times."""
    import numpy as np

    bench = _Bench(np, situation.free, runs)
    frees: dict[int, Moments] = {}
    finished: dict[int, Ints] = {}
    needed: dict[int, Spread] = {}
    ends: dict[int, tuple[Ints, Floats]] = {}
    for number in laid.order:
        step = situation.steps[number]
        if laid.placed[number] is None or any(before not in frees for before in step.after):
            continue
        draw = _draw(np, step, runs)
        base: Moments = np.full(runs, step.release, dtype=np.int32)
        for before in step.after:
            base = np.maximum(base, frees[before])
        if step.waiting:
            needed[number] = _spread(np, bench.first_open(_day(np, base), step.closed), situation.horizon)
        for waiting in step.waiting:
            base = np.maximum(base, _arrival(np, step, waiting, runs))
        if draw.quarters is not None:
            late = _late(np, situation.steps, step, ends)
            day = bench.work(_day(np, base), draw.quarters, step.whole, step.closed, late)
            if step.cure_quarters:
                ends[number] = day, bench.position(day)
            base = day
        back = base if draw.wait is None else base + draw.wait
        frees[number] = back if draw.cure is None else back + draw.cure
        finished[number] = np.minimum(_day(np, back), situation.horizon)
    horizon = situation.horizon
    done = tuple(_spread(np, _done(np, due, finished, frees, runs, horizon), horizon) for due in situation.dues)
    return Outcome({n: _spread(np, days, horizon) for n, days in finished.items()}, needed, done)


def _day(np: Any, moment: Moments) -> Ints:
    """The first whole day at or after each moment; whole days as they are."""
    if moment.dtype.kind == "i":
        return moment  # type: ignore[return-value]
    return np.ceil(moment - _HAIR).astype(np.int32)  # type: ignore[no-any-return]


def _done(np: Any, due: Due, finished: dict[int, Ints], frees: dict[int, Moments], runs: int, horizon: int) -> Ints:
    days: Ints = np.full(runs, due.settled)
    for number in due.steps:
        if number not in finished:
            return np.full(runs, horizon)  # type: ignore[no-any-return]
        step_days = np.minimum(_day(np, frees[number]), horizon) if due.with_cure else finished[number]
        days = np.maximum(days, step_days)
    return days


# --- draws -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One step's samples."""

    quarters: Floats | None
    """Quarter hours left; None for a step without hands."""
    wait: Floats | None
    cure: Ints | int | None
    """Days of cure, that of a pass done again included; None without one, as with the wait."""


def stream(np: Any, *names: object) -> Any:
    """A random generator of its own for these names."""
    digest = hashlib.sha256("\0".join(str(name) for name in names).encode()).digest()
    return np.random.Generator(np.random.SFC64(_seeds(np)(digest)))


@cache
def _seeds(np: Any) -> Any:
    """A seed as it is, for a generator: the digest is mixed well enough, and numpy's own mixing takes longer than the draws."""

    class Seed(np.random.bit_generator.ISeedSequence):  # type: ignore[misc]
        def __init__(self, digest: bytes) -> None:
            self.digest = digest

        def generate_state(self, n_words: int, dtype: Any = np.uint32) -> Any:
            return np.frombuffer(self.digest, dtype=dtype)[:n_words].copy()

    return Seed


def _draw(np: Any, step: Step, runs: int) -> _Drawn:
    rng = stream(np, step.build, step.stage, step.pass_number)
    wait: Floats | None = None
    if step.wait is not None:
        wait = three_point(np, rng, step.wait, runs)
        if step.away:
            wait = _still_away(np, rng, step, wait)
    if step.quarters == 0:
        return _Drawn(None, wait, step.cure_days or None)
    quarters = _quarters(np, rng, step, runs, step.done)
    cure: Ints | int | None = step.cure_days or None
    if step.rework > 0:
        again = np.flatnonzero(rng.random(runs, dtype=np.float32) < step.rework)
        quarters[again] += _quarters(np, stream(np, step.build, step.stage, step.pass_number + 1), step, len(again), 0.0)
        if step.cure_days:
            cured: Ints = np.full(runs, cure, dtype=np.int32)
            cured[again] *= 2
            cure = cured
    return _Drawn(quarters, wait, cure)


def _still_away(np: Any, rng: Any, step: Step, waits: Floats) -> Floats:
    """Days of outside work still to come, of the waits that are not over yet.

    Once all are over it is overdue: like a part, it may come any day, and may well not.
    """
    left = _beyond(np, waits, step.away)
    if left.any():
        return left
    assert step.wait is not None
    return 1 + _lateness(np, rng, OVERDUE, delay_of(mean(step.wait)), len(waits))


def _quarters(np: Any, rng: Any, step: Step, runs: int, done: float) -> Floats:
    """Quarter hours still to come of a pass, one at least: three points as given, one figure with the shop's spread, both by the shop's factor.

    Of a pass that is begun only those samples count that are more than what is done.
    """
    if step.hours.low < step.hours.high:
        found = three_point(np, rng, step.hours, runs)
        found *= step.factor * QUARTERS
    else:
        found = np.exp(step.spread * rng.standard_normal(runs))
        found *= float(step.hours.likely) * step.factor * QUARTERS
    if done:
        found = _beyond(np, found, done * QUARTERS)
    return np.maximum(found, 1.0, out=found)  # type: ignore[no-any-return]


def _beyond(np: Any, whole: Floats, gone: float) -> Floats:
    """What is left of the samples that are not over yet; nothing where all of them are."""
    left = whole[whole > gone] - gone
    return np.resize(left, len(whole)) if len(left) else np.zeros(len(whole))  # type: ignore[no-any-return]


def three_point(np: Any, rng: Any, estimate: Estimate, runs: int) -> Floats:
    """Samples of low, likely, high: the beta with mean μ = (low + 4 likely + high) ÷ 6 and variance (μ − low)(high − μ) ÷ 7."""
    low, likely, high = float(estimate.low), float(estimate.likely), float(estimate.high)
    if high <= low:
        return np.full(runs, likely)  # type: ignore[no-any-return]
    span = high - low
    found = rng.beta(1 + 4 * (likely - low) / span, 1 + 4 * (high - likely) / span, runs)
    found *= span
    found += low
    return found  # type: ignore[no-any-return]


def _arrival(np: Any, step: Step, waiting: Any, runs: int) -> Floats:
    rng = stream(np, step.build, "part", waiting.what)
    return waiting.day + _lateness(np, rng, waiting.late, waiting.delay, runs)  # type: ignore[no-any-return]


def _lateness(np: Any, rng: Any, chance: float, delay: float, runs: int) -> Floats:
    """Whole days late by, none with the rest of the chance."""
    late = rng.random(runs) < chance
    return np.where(late, np.ceil(rng.exponential(delay, runs)), 0.0)  # type: ignore[no-any-return]


# --- the bench -------------------------------------------------------------------------------------------------------


def _late(np: Any, steps: Sequence[Step], step: Step, ends: dict[int, tuple[Ints, Floats]]) -> list[tuple[Ints, Floats]]:
    """For cures of hours before this step: the day they end on, and the quarter of that day before which it can't go on."""
    found = [(np.int32(0), np.float64(step.cured))] if step.cured else []
    for before in step.after:
        if steps[before].cure_quarters and before in ends and not steps[before].lag:
            day, position = ends[before]
            found.append((day, position + steps[before].cure_quarters))
    return found


class _Bench:
    """Quarter hours left on each day in each run."""

    def __init__(self, np: Any, free: Sequence[int], runs: int) -> None:
        self.np, self.free, self.runs = np, free, runs
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
        np = self.np
        found = np.full(self.runs, len(self.free))
        missing = np.ones(self.runs, dtype=bool)
        for row in range(self.row_from(int(ready.min())), len(self.days)):
            day = self.days[row]
            if self.gone[row] or _barred(day, closed):
                continue
            now = missing & (ready <= day) & (self.left[day] > _HAIR)
            found[now] = day
            missing &= ~now
            if not missing.any():
                break
        return found  # type: ignore[no-any-return]

    def work(self, ready: Ints, quarters: Floats, whole: bool, closed: Sequence[tuple[int, int]], late: list[tuple[Ints, Floats]]) -> Ints:
        """Give every run its quarter hours from `ready` on; the day it is over.

        This is the inner loop of the forecast: each line is one pass over the runs, and none is there twice.
        """
        np = self.np
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

    def _begun(self, ready: Ints, first: int, latest: int) -> Any:
        """For each row before `latest`, the runs that may work on it, as ones and noughts."""
        np = self.np
        return (ready <= self.day_of[first:latest, None]).astype(np.float32)

    def _room(self, row: int, late: list[tuple[Ints, Floats]]) -> Any:
        """Quarter hours left that day, without those before a cure of hours is over."""
        np, left = self.np, self.rows[row]
        for on, start in late:
            day = self.days[row]
            left = np.where(on == day, np.clip(np.minimum(left, self.free[day] - start), 0.0, None), left)
        return left

    def _ends(self, first: int, last: int, rest: Any) -> Ints:
        """The day each run's work is over: the row after those on which it was still busy in the evening."""
        np = self.np
        rows = np.full(self.runs, first, dtype=np.int32)
        for start in range(first, last, 100):  # a hundred ones fit in the counter's one byte
            rows += self.busy[start : min(start + 100, last)].view(np.int8).sum(axis=0, dtype=np.int8)
        ends = self.day_of[rows]
        ends[rest > 0] = len(self.free)
        return ends  # type: ignore[no-any-return]

    def position(self, ends: Ints) -> Floats:
        """The quarter of its last day at which each run's work is over: what is left of the day then is untouched."""
        np = self.np
        day = np.minimum(ends, len(self.free) - 1)
        return np.asarray(self.free, dtype=np.float64)[day] - self.table[day, np.arange(self.runs)]  # type: ignore[no-any-return]


def _barred(day: int, closed: Sequence[tuple[int, int]]) -> bool:
    return any(first <= day <= last for first, last in closed)


def _spread(np: Any, days: Ints, horizon: int) -> Spread:
    first = int(days.min())
    counts = np.bincount(days - first, minlength=1)[: max(0, horizon - first)]
    return Spread(len(days), first, tuple(np.cumsum(counts).tolist()))
