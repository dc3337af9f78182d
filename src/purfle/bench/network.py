"""The dated steps on the axis of bench time: links, earliest and latest places, and a first order of whole pieces.

The axis is bench time in quarter hours, nights and closed days left out. A step without hands is no interval: it is
folded into the days between those before and after it.
Invariant: knows no solver; every bound follows from the calendar, the route and a lateness that was reached already.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from purfle.bench.place import Laid
from purfle.bench.steps import Due, Situation, Step, first_day


@dataclass(frozen=True, slots=True)
class Link:
    """That something waits for a step's hands, and the days between."""

    before: int
    days: float
    quarters: int = 0
    """A cure within the day."""


class Network:
    """The steps that due dates wait for, and the tables the model is made from."""

    def __init__(self, situation: Situation, laid: Laid) -> None:
        self.situation, self.laid = situation, laid
        self.steps: Sequence[Step] = situation.steps
        self.prefix = tuple(accumulate(situation.free, initial=0))
        """Bench time gone by at the start of each day."""
        self.chosen = dated(situation, laid)
        self.hands = tuple(n for n in self.chosen if self.steps[n].quarters)
        self.frees: dict[int, tuple[Link, ...]] = {}
        """For each step, when what follows it may begin, as links to steps with hands."""
        self.fixed: dict[int, float] = {}
        """For each, the moment before which that is not whatever the order; 0 for one with hands, by which alone it is told."""
        for number in self.chosen:
            self._free(number)
        self.links: Mapping[int, tuple[Link, ...]] = {n: tuple(self._before(n)) for n in self.hands}
        """For each step with hands, the steps with hands before it."""

    def _free(self, number: int) -> None:
        step = self.steps[number]
        if step.quarters:
            self.frees[number], self.fixed[number] = (Link(number, step.lag, 0 if step.lag else step.cure_quarters),), 0.0
        else:
            self.frees[number] = tuple(Link(link.before, link.days + step.lag) for link in self._before(number))
            self.fixed[number] = max((step.begins, *(self.fixed[before] for before in step.after))) + step.lag

    def _before(self, number: int) -> Iterator[Link]:
        for before in self.steps[number].after:
            yield from self.frees[before]

    def until_done(self, due: Due) -> tuple[tuple[Link, ...], int]:
        """The links of a due date to the steps with hands it waits for, and the first day on which it can be done."""
        found: dict[int, Link] = {}
        settled = due.settled
        for number in due.steps:
            cure = 0 if due.with_cure else self.steps[number].cure_days
            settled = max(settled, first_day(self.fixed.get(number, 0.0) - cure))
            for link in self.frees.get(number, ()):
                if link.before not in found or found[link.before].days < link.days - cure:
                    found[link.before] = Link(link.before, link.days - cure)
        return tuple(found.values()), settled

    # --- the axis

    def day_of(self, end: int) -> int:
        """The day on which an interval ending at bench time `end` is over."""
        return bisect_right(self.prefix, end - 1) - 1

    def opens(self, day: int) -> int:
        """The bench time at which a day begins."""
        return self.prefix[min(day, len(self.prefix) - 1)]

    def after(self, end: int, link: Link) -> int:
        """The first bench time at which what waits for an interval ending at `end` may begin."""
        days, day = first_day(link.days), self.day_of(end)
        if days:
            return self.opens(day + days)
        return min(end + link.quarters, self.opens(day + 1)) if link.quarters else end

    def last_before(self, start: int, link: Link) -> int:
        """The latest end after which what waits may still begin at `start`."""
        days = first_day(link.days)
        if not days:
            return start
        day = bisect_right(self.prefix, start) - 1 - days
        return self.opens(day + 1) if day >= 0 else 0

    # --- bounds

    @cached_property
    def earliest(self) -> Mapping[int, int]:
        """The first bench time at which each step with hands could start, were it alone."""
        found: dict[int, int] = {}
        for number in self.hands:
            ends = ((link, found[link.before] + self.steps[link.before].quarters) for link in self.links[number])
            cured = min(self.steps[number].cured, self.opens(1))
            found[number] = max((self.opens(self._first_day(number)), cured, *(self.after(end, link) for link, end in ends)))
        return found

    def _first_day(self, number: int) -> int:
        step = self.steps[number]
        day = max((step.begins, *(first_day(self.fixed[before]) for before in step.after)))
        for first, last in step.closed:
            day = last + 1 if first <= day <= last else day
        return day

    def latest(self, reached: float) -> Mapping[int, int]:
        """The last bench time at which each step may end if no due date is to be later than a weighted lateness allows."""
        last = dict.fromkeys(self.hands, self.prefix[-1])
        for due in self.situation.dues:
            slack = int((reached + 1e-9) / due.weight) if due.weight > 0 else self.situation.horizon
            for link in self.until_done(due)[0]:
                day = due.day + slack - first_day(link.days)
                last[link.before] = min(last[link.before], self.opens(day + 1) if day >= 0 else 0)
        for number in reversed(self.hands):
            for link in self.links[number]:
                last[link.before] = min(last[link.before], self.last_before(last[number] - self.steps[number].quarters, link))
        return last

    # --- a first solution in whole pieces

    @cached_property
    def hint(self) -> Mapping[int, int]:
        """Where each step starts when the laid order is kept and no stage is cut in pieces."""
        starts: dict[int, int] = {}
        gaps: list[tuple[int, int]] = [(0, self.prefix[-1] + sum(self.steps[n].quarters for n in self.hands))]
        for number in self.hands:
            ends = ((link, starts[link.before] + self.steps[link.before].quarters) for link in self.links[number])
            earliest = max((self.earliest[number], *(self.after(end, link) for link, end in ends)))
            starts[number] = self._fitted(gaps, earliest, self.steps[number])
        return starts

    def _fitted(self, gaps: list[tuple[int, int]], earliest: int, step: Step) -> int:
        for index, (first, last) in enumerate(gaps):
            start = self._in_day(max(first, earliest), step)
            if start + step.quarters <= last:
                gaps[index : index + 1] = [gap for gap in ((first, start), (start + step.quarters, last)) if gap[0] < gap[1]]
                return start
        return gaps[-1][1]

    def _in_day(self, start: int, step: Step) -> int:
        """The first start from `start` at which a whole step lies within one day."""
        while step.whole and start < self.prefix[-1]:
            end_of_day = self.opens(self.day_of(start + 1) + 1)
            if start + step.quarters <= end_of_day:
                break
            start = end_of_day
        return start


def dated(situation: Situation, laid: Laid) -> tuple[int, ...]:
    """The steps that a due date waits for, near or far, in the plan's order; without those that can't be placed."""
    wanted = situation.with_before({n for due in situation.dues if all(laid.placed[s] is not None for s in due.steps) for n in due.steps})
    return tuple(n for n in laid.order if n in wanted and laid.placed[n] is not None)
