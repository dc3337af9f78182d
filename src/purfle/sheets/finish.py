"""The finish schedule: coats, and from when what follows them can be done.

Cures are the route's own, which the plan uses too; windows for the next coat are read in `recoat`.
Invariant: the product's data sheet is the authority; nothing here permits anything.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

from purfle.base.names import folded
from purfle.notes.records.shop import CureSheet, ShopSheet
from purfle.progress.model import Progress, StageProgress
from purfle.progress.routes import before
from purfle.sheets.recoat import Moment, Times, Work, coats_noted, cure_table, of_pass, window_of


@dataclass(frozen=True, slots=True)
class CoatRow:
    """A stage that leaves something to cure."""

    stage: str
    coat: str
    """The entry of the cure table; empty for a cure written as a time."""
    cure: str
    window: str
    """As the cure table words it."""
    coats: int
    """Coats noted with their time, else days of work on it, in the pass it is in."""
    finished: date | None
    expected: bool
    """The day is the plan's, not yet noted."""
    free: date | None
    """The first day on which it can be worked on."""
    warm: str
    """The warmth the figures hold for; empty when not given."""
    sheet: str
    """Where the product's data sheet is kept; empty when not given."""
    until: datetime | None
    """While the stage is not finished and its last coat's time is noted: when the first part of the window closes."""
    again: datetime | None
    """And when the next coat may go on after that."""


@dataclass(frozen=True, slots=True)
class NextRow:
    """A stage that waits for a coat: from when it can be begun, as far as coats and cures go."""

    stage: str
    does: str
    """What it is to a finisher: sand, buff, assemble or string; empty for other work."""
    opens: date | None
    """None while a coat before it has no day yet."""
    expected: bool
    begun: date | None


@dataclass(frozen=True, slots=True)
class Schedule:
    """Coats and what follows them, in the route's order."""

    coats: tuple[CoatRow, ...]
    follow: tuple[NextRow, ...]


_DOES = (
    ("buff", ("buff", "rub", "polish", "gloss")),
    ("sand", ("sand", "level", "flat", "scuff")),
    ("string", ("string", "setup", "set-up", "set up")),
    ("assemble", ("assembl", "wiring", "hardware", "fit", "mount", "line")),
)
"""Words in a stage's name that say what is done to the finish there; the shop's own words are shown beside it."""


def schedule_of(settings: ShopSheet, progress: Progress, work: Work, expected: Mapping[str, date]) -> Schedule | None:
    """The schedule of one build; None when no stage of its route cures.

    `work` is what is noted of it, `expected` is the plan's likely last day of each stage that is not finished, by name.
    """
    table = cure_table(settings)
    coated = [stage for stage in progress.stages if stage.stage.cure is not None]
    if not coated:
        return None
    times = coats_noted(work)
    done = {stage.stage.name: _done(stage, expected) for stage in progress.stages}
    coats = tuple(_coat(stage, table.get(stage.stage.coat or ""), times, done[stage.stage.name]) for stage in coated)
    needed = before([stage.stage for stage in progress.stages])
    under = {stage.stage.name: [done[coat.stage.name] for coat in coated if coat.stage.name in needed[stage.stage.name]] for stage in progress.stages}
    bare = (stage for stage in progress.stages if stage.stage.cure is None)
    return Schedule(coats, tuple(_next(stage, under[stage.stage.name]) for stage in bare if under[stage.stage.name]))


class _Done(NamedTuple):
    """When the work on a stage ends."""

    day: date | None
    """The last day of work."""
    free: date | None
    """The first day on which what follows can be done."""
    expected: bool
    """Both are only the plan's."""


def _done(stage: StageProgress, expected: Mapping[str, date]) -> _Done:
    if stage.finished:
        return _Done(stage.current.finished, stage.free_on, False)
    day = expected.get(stage.stage.name)
    cure = None if day is None else stage.stage.cure_on(day)
    return _Done(day, None if day is None else day + timedelta(days=0 if cure is None else cure.days), True)


def _coat(stage: StageProgress, entry: CureSheet | None, times: Times, done: _Done) -> CoatRow:
    noted = of_pass(stage, times)
    exact = sum(1 for moment in noted if moment.time is not None)
    until, again = _next_coat(stage, noted)
    return CoatRow(
        stage=stage.stage.name,
        coat=stage.stage.coat or "",
        cure=stage.stage.cure_words if done.day is None else stage.stage.cure_words_on(done.day),
        window=stage.stage.recoat or "",
        coats=exact or len({session.date for session in stage.current.sessions}),
        finished=done.day,
        expected=done.expected and done.day is not None,
        free=done.free,
        warm=(entry.at_temperature if entry else None) or "",
        sheet=(entry.sheet if entry else None) or "",
        until=until,
        again=again,
    )


def _next_coat(stage: StageProgress, noted: Sequence[Moment]) -> tuple[datetime | None, datetime | None]:
    """Until when, and from when again, the next coat of an open stage may go on."""
    last = noted[-1] if noted and not stage.finished else None
    allowed = window_of(stage)
    if last is None or last.time is None or allowed is None:
        return None, None
    at = datetime.combine(last.date, last.time)
    within, after = (None if hours is None else at + timedelta(hours=min(hours, 10_000)) for hours in (allowed.within, allowed.after))
    return within, after


def _next(stage: StageProgress, coats: Sequence[_Done]) -> NextRow:
    """A stage that waits for some coats, at least one."""
    free = [coat.free for coat in coats if coat.free is not None]
    name = folded(stage.stage.name)
    does = next((word for word, starts in _DOES if any(start in name for start in starts)), "")
    return NextRow(stage.stage.name, does, max(free) if len(free) == len(coats) else None, any(coat.expected for coat in coats), stage.current.begun)
