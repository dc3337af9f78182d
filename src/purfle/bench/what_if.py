"""What moves if: a job comes in between, a part comes late, a day is lost.

Each is a changed situation, planned and forecast anew; what is told is the difference.
Invariant: changes no note and no plan; the same question gets the same answer.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.times import quarters
from purfle.bench.calendar import index_of
from purfle.bench.gather import Promised, situation_of
from purfle.bench.model import SURE
from purfle.bench.plan import Computed, computed
from purfle.bench.said import Said
from purfle.bench.spread import Spread
from purfle.bench.steps import Due, Situation, Step
from purfle.notes.model import Shop
from purfle.progress.model import Progress


@dataclass(frozen=True, slots=True)
class JobAdded:
    """A job of so many hours that is done before anything else."""

    hours: Decimal


@dataclass(frozen=True, slots=True)
class PartLate:
    """A part that comes so many days later than expected."""

    build: str
    part: str
    days: int


@dataclass(frozen=True, slots=True)
class DayLost:
    """A day without bench work."""

    day: date


Change = JobAdded | PartLate | DayLost


@dataclass(frozen=True, slots=True)
class Moved:
    """What a change does to one build, or to one promised stage of it."""

    build: str
    stage: str | None
    """The promised stage; None for the whole build."""
    due: date | None
    before: date | None
    """The day it is done by with 80 % likelihood as things are; None beyond the plan."""
    after: date | None
    """The same once changed."""
    chance_before: Decimal | None
    """Likelihood of meeting the due date, in whole percents; None without one."""
    chance_after: Decimal | None


def what_if(
    shop: Shop, progress: Mapping[str, Progress], promised: Sequence[Promised], today: date, changes: Sequence[Change], said: Said = ()
) -> tuple[Moved, ...]:
    """The builds and promises that the changes together move, dated ones first; empty when nothing moves. `said` as for the plan."""
    longer = sum(quarters(change.hours) for change in changes if isinstance(change, JobAdded))
    now, then = (situation_of(shop, progress, promised, today, more) for more in (0, longer))
    for change in sorted(changes, key=lambda change: isinstance(change, JobAdded)):  # a job finds no room on a day that is lost
        then = changed(then, change)
    moves = _moves(computed(now, said), computed(then, said))
    return tuple(move for move in moves if (move.before, move.chance_before) != (move.after, move.chance_after))


def awaited(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[tuple[str, str], ...]:
    """Build and name of every part and stock item that a stage waits for, each once, in the plan's order."""
    steps = situation_of(shop, progress, (), today).steps
    return tuple(dict.fromkeys((step.build, waiting.what) for step in steps for waiting in step.waiting))


def changed(situation: Situation, change: Change) -> Situation:
    """The situation after the change; itself where the change touches nothing in it."""
    if isinstance(change, JobAdded):
        return replace(situation, free=_taken(situation.free, quarters(change.hours)))
    if isinstance(change, DayLost):
        day = index_of(situation.today, change.day)
        return replace(situation, free=tuple(0 if i == day else free for i, free in enumerate(situation.free)))
    return replace(situation, steps=tuple(_later(step, change) if step.build == change.build else step for step in situation.steps))


def _taken(free: Sequence[int], needed: int) -> tuple[int, ...]:
    left = []
    for day in free:
        taken = min(day, needed)
        needed -= taken
        left.append(day - taken)
    return tuple(left)


def _later(step: Step, change: PartLate) -> Step:
    waiting = tuple(replace(w, day=w.day + change.days) if folded(w.what) == folded(change.part) else w for w in step.waiting)
    return replace(step, waiting=waiting)


def _moves(before: Computed, after: Computed) -> Iterator[Moved]:
    """What a change does to each date to be met, and to when all of each build without one is done and cured."""
    now = before.situation
    for due, was, will in zip(now.dues, before.outcome.done, after.outcome.done, strict=True):
        yield Moved(due.build, due.stage, now.on(due.day), _sure(now, was), _sure(now, will), _chance(was, due), _chance(will, due))
    dated = {due.build for due in now.dues if due.stage is None}
    for whole, was, will in zip(now.wholes, before.outcome.wholes, after.outcome.wholes, strict=True):
        if whole.build not in dated:
            yield Moved(whole.build, None, None, _sure(now, was), _sure(now, will), None, None)


def _sure(situation: Situation, spread: Spread) -> date | None:
    day = spread.day(SURE)
    return None if day is None else situation.on(day)


def _chance(spread: Spread, due: Due) -> Decimal:
    return Decimal(spread.percent(due.day)) / 100
