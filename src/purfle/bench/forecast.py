"""How likely each day is: the plan run through two thousand times with hours, waits, late parts and rework drawn anew.

The plan's order is held: in every run an earlier step of the order has the first claim on bench hours. Each build,
stage and pass has a random stream of its own, so that another build more or less moves no one else's samples.
Invariant: no chance but the seeded streams; the same situation and order give the same numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from purfle.base.times import HAIR
from purfle.bench.capacity import Capacity
from purfle.bench.draws import arrival, draw, draw_again
from purfle.bench.place import Laid
from purfle.bench.spread import Spread
from purfle.bench.steps import Due, Situation, Step

if TYPE_CHECKING:
    from purfle.bench.capacity import Late
    from purfle.bench.draws import Floats, Ints

    Moments = Floats | Ints

RUNS = 2000


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the runs came to."""

    finished: Mapping[int, Spread]
    """By step: when it was finished, outside work included; steps that can't be placed are not in it."""
    needed: Mapping[int, Spread]
    """By step that waits for a part: when it could have begun had the part been there."""
    done: tuple[Spread, ...]
    """For each due date, when it was done."""
    wholes: tuple[Spread, ...]
    """For each build, when all of it was done and cured."""


def forecast(situation: Situation, laid: Laid, runs: int = RUNS) -> Outcome:
    """Run the order `runs` times."""
    import numpy as np

    bench = Capacity(situation.free, runs)
    frees: dict[int, Moments] = {}
    finished: dict[int, Ints] = {}
    needed: dict[int, Spread] = {}
    ends: dict[int, tuple[Ints, Floats]] = {}
    settled: dict[int, Ints] = {}
    for number in laid.order:
        step = situation.steps[number]
        if laid.placed[number] is None or any(before not in frees for before in step.after):
            continue
        drawn = draw(step, runs)
        base: Moments = np.full(runs, step.release, dtype=np.int32)
        for before in step.after:
            base = np.maximum(base, frees[before])
        for which, doubt in enumerate(situation.doubts):
            if number in doubt.before:
                settled[which] = settled[which] if which in settled else _settled(doubt.again, bench)
                base = np.maximum(base, settled[which])
        if step.waiting:
            needed[number] = _spread(bench.first_open(_day(base), step.closed), situation.horizon)
        for waiting in step.waiting:
            base = np.maximum(base, arrival(step, waiting, runs))
        if drawn.quarters is not None:
            late = _late(situation.steps, step, ends)
            day = bench.work(_day(base), drawn.quarters, step.whole, step.closed, late)
            if drawn.again is not None:
                day = np.where(drawn.again > 0, bench.work(day, drawn.again, step.whole, step.closed, []), day)
            if step.cure_quarters:
                ends[number] = day, bench.position(day)
            base = day
        back = base if drawn.wait is None else base + drawn.wait
        frees[number] = back if drawn.cure is None else back + drawn.cure
        finished[number] = np.minimum(_day(back), situation.horizon)
    horizon = situation.horizon
    done, wholes = (tuple(_spread(_done(due, finished, frees, runs, horizon), horizon) for due in dues) for dues in (situation.dues, situation.wholes))
    return Outcome({n: _spread(days, horizon) for n, days in finished.items()}, needed, done, wholes)


def _settled(again: Step, bench: Capacity) -> Ints:
    """The days on which a finished stage is known to be good: at once, or once it was done again and has cured."""
    import numpy as np

    days = np.full(bench.runs, again.release)
    drawn = draw_again(again, bench.runs)
    if drawn.any():
        day = bench.work(days, drawn, again.whole, again.closed, [])
        days = np.where(drawn > 0, day + again.cure_days, days)
    return days


def _day(moment: Moments) -> Ints:
    """The first whole day at or after each moment; whole days as they are."""
    import numpy as np

    if moment.dtype.kind == "i":
        return moment  # type: ignore[return-value]
    return np.ceil(moment - HAIR).astype(np.int32)


def _done(due: Due, finished: dict[int, Ints], frees: dict[int, Moments], runs: int, horizon: int) -> Ints:
    import numpy as np

    days: Ints = np.full(runs, due.settled)
    for number in due.steps:
        if number not in finished:
            return np.full(runs, horizon)
        step_days = np.minimum(_day(frees[number]), horizon) if due.with_cure else finished[number]
        days = np.maximum(days, step_days)
    return days


def _late(steps: Sequence[Step], step: Step, ends: dict[int, tuple[Ints, Floats]]) -> list[Late]:
    """For cures of hours before this step: the day they end on, and the quarter of that day before which it can't go on."""
    import numpy as np

    found: list[Late] = [(np.int32(0), np.float64(step.cured))] if step.cured else []
    for before in step.after:
        if steps[before].cure_quarters and before in ends and not steps[before].lag:
            day, position = ends[before]
            found.append((day, position + steps[before].cure_quarters))
    return found


def _spread(days: Ints, horizon: int) -> Spread:
    import numpy as np

    first = int(days.min())
    counts = np.bincount(days - first, minlength=1)[: max(0, horizon - first)]
    return Spread(len(days), first, tuple(np.cumsum(counts).tolist()))
