"""How likely each day is: the plan run through two thousand times with hours, waits, late parts and rework drawn anew.

The plan's order is held: in every run an earlier step of the order has the first claim on bench hours. Each build,
stage and pass has a random stream of its own, so that another build more or less moves no one else's samples.
Invariant: no chance but the seeded streams; the same situation and order give the same numbers.
"""

import numpy as np

from purfle.base.times import HAIR
from purfle.bench.capacity import Capacity, Late
from purfle.bench.draws import Drawn, Floats, Ints, arrival, draw, draw_again
from purfle.bench.place import Laid
from purfle.bench.spread import Outcome, Spread
from purfle.bench.steps import Due, Situation, Step

Moments = Floats | Ints

RUNS = 2000


def forecast(situation: Situation, laid: Laid, runs: int = RUNS) -> Outcome:
    """Run the order `runs` times."""
    told = _Runs(situation, runs)
    for number in laid.order:
        if laid.placed[number] is not None and all(before in told.frees for before in situation.steps[number].after):
            told.run(number)
    return told.outcome()


class _Runs:
    """All runs at once, while the steps of an order are run one by one; an array has one figure for each run."""

    def __init__(self, situation: Situation, runs: int) -> None:
        self.steps, self.situation, self.bench = situation.steps, situation, Capacity(situation.free, runs)
        self.frees: dict[int, Moments] = {}
        """By step: the moments from which what follows may begin."""
        self.finished: dict[int, Ints] = {}
        self.needed: dict[int, Spread] = {}
        self.ends: dict[int, tuple[Ints, Floats]] = {}
        """Of steps with a cure of hours: the day on which the hands are over, and the quarter of it."""
        self.doubts: dict[int, list[int]] = {}
        """By step: the doubts that it waits for."""
        self.settled: dict[int, Ints] = {}
        """By doubt: the days on which the finished stage is known to be good."""
        for which, doubt in enumerate(situation.doubts):
            for number in doubt.before:
                self.doubts.setdefault(number, []).append(which)

    def run(self, number: int) -> None:
        """Run one step, after all that it follows."""
        step, drawn = self.steps[number], draw(self.steps[number], self.bench.runs)
        ready = self._ready(number, step)
        if step.waiting:
            self.needed[number] = self._spread(self.bench.first_open(_day(ready), step.closed))
        for waiting in step.waiting:
            ready = np.maximum(ready, arrival(step, waiting, self.bench.runs))
        over = ready if drawn.quarters is None else self._worked(number, step, drawn, drawn.quarters, _day(ready))
        back = over if drawn.wait is None else over + drawn.wait
        self.frees[number] = back if drawn.cure is None else back + drawn.cure
        self.finished[number] = np.minimum(_day(back), self.situation.horizon)

    def _ready(self, number: int, step: Step) -> Moments:
        """When all that a step follows is free, and no longer in doubt."""
        ready: Moments = np.full(self.bench.runs, step.release, dtype=np.int32)
        for before in step.after:
            ready = np.maximum(ready, self.frees[before])
        for which in self.doubts.get(number, ()):
            if which not in self.settled:
                self.settled[which] = self._settle(self.situation.doubts[which].again)
            ready = np.maximum(ready, self.settled[which])
        return ready

    def _settle(self, again: Step) -> Ints:
        """The days on which a finished stage is known to be good: at once, or once it was done again and has cured."""
        days = np.full(self.bench.runs, again.release)
        drawn = draw_again(again, self.bench.runs)
        if drawn.any():
            day = self.bench.work(days, drawn, again.whole, again.closed, [])
            days = np.where(drawn > 0, day + again.cure_days, days)
        return days

    def _worked(self, number: int, step: Step, drawn: Drawn, quarters: Floats, ready: Ints) -> Ints:
        """The days on which a step's hands are over."""
        day = self.bench.work(ready, quarters, step.whole, step.closed, self._late(step))
        if drawn.again is not None:
            day = np.where(drawn.again > 0, self.bench.work(day, drawn.again, step.whole, step.closed, []), day)
        if step.cure_quarters:
            self.ends[number] = day, self.bench.position(day)
        return day

    def _late(self, step: Step) -> list[Late]:
        """For cures of hours before a step: the day they end on, and the quarter of that day before which it can't go on."""
        found: list[Late] = [(np.int32(0), np.float64(step.cured))] if step.cured else []
        for before in step.after:
            if before in self.ends and not self.steps[before].lag:
                day, position = self.ends[before]
                found.append((day, position + self.steps[before].cure_quarters))
        return found

    def outcome(self) -> Outcome:
        """What the runs came to."""
        done, wholes = (tuple(self._spread(self._done(due)) for due in dues) for dues in (self.situation.dues, self.situation.wholes))
        return Outcome({number: self._spread(days) for number, days in self.finished.items()}, self.needed, done, wholes)

    def _done(self, due: Due) -> Ints:
        """The days on which what a date waits for is done; the horizon where some of it could not be placed."""
        days: Ints = np.full(self.bench.runs, due.settled)
        for number in due.steps:
            if number not in self.finished:
                return np.full(self.bench.runs, self.situation.horizon)
            days = np.maximum(days, _day(self.frees[number]) if due.with_cure else self.finished[number])
        return days

    def _spread(self, days: Ints) -> Spread:
        """The runs by day; those at or beyond the horizon are in no count."""
        first = int(days.min())
        counts = np.bincount(days - first, minlength=1)[: max(0, self.situation.horizon - first)]
        return Spread(len(days), first, tuple(np.cumsum(counts).tolist()))


def _day(moment: Moments) -> Ints:
    """The first whole day at or after each moment; whole days as they are."""
    if moment.dtype.kind == "i":
        return moment  # type: ignore[return-value]
    return np.ceil(moment - HAIR).astype(np.int32)
