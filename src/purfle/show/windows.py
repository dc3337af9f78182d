"""When a shot can be taken: a window for each pass.

Invariant: says when, never whether it was taken.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from purfle.base.names import folded
from purfle.notes.records.stages import WantedShot
from purfle.progress.model import Pass, Progress, StageProgress
from purfle.show.planned import Span
from purfle.show.route import Order, reaches

BEGINNING = date.min
"""When a window opens that has been open for as long as there was the build."""


@dataclass(frozen=True, slots=True)
class Window:
    """The days on which a shot can be taken in one pass."""

    number: int
    """The pass, from 1."""
    opens: date | None
    """The first day, or BEGINNING; None while that is to come."""
    closes: date | None
    """The last day; None while that is to come."""
    planned_open: date | None = None
    planned_close: date | None = None

    def holds(self, day: date) -> bool:
        """Whether `day` lies in the window."""
        return self.opens is not None and self.opens <= day and (self.closes is None or day <= self.closes)


def words_of(under: str, shot: WantedShot) -> str:
    """The window in words."""
    if shot.since is None and shot.until is None:
        return f"during {shot.during or under}"
    return " ".join([*([f"after {shot.since}"] if shot.since else []), *([f"until {shot.until}"] if shot.until else [])])


def homes(under: str, shot: WantedShot) -> frozenset[str]:
    """The stages a note may name when it tells of the shot, folded."""
    return frozenset(folded(name) for name in (under, shot.during, shot.since) if name)


def bounded(shot: WantedShot, progress: Progress, order: Order) -> WantedShot:
    """The shot between stages the build has, where it leaves out one of the route that it is tied to; a name of no stage stays."""
    own = [s.stage.name for s in progress.stages]
    since, until = shot.since, shot.until
    if since and folded(since) in order and progress.stage(since) is None:
        since = next((name for name in reversed(own) if reaches(order, since, name)), None)
    if until and folded(until) in order and progress.stage(until) is None:
        until = next((name for name in own if reaches(order, name, until)), None)
    return replace(shot, since=since, until=until)


def windows_of(progress: Progress, under: str, shot: WantedShot, redone: Sequence[date], planned: Mapping[tuple[str, str], Span]) -> tuple[Window, ...]:
    """The windows of a shot, one a pass; none when the build's route lacks the stage it is tied to."""
    if shot.since is None and shot.until is None:
        return _during(progress.stage(shot.during or under), progress.build, planned)
    first, last = (progress.stage(name) if name else None for name in (shot.since, shot.until))
    if (shot.since and first is None) or (shot.until and last is None):
        return ()
    return _between(first, last, progress.build, redone, planned)


def _during(stage: StageProgress | None, build: str, planned: Mapping[tuple[str, str], Span]) -> tuple[Window, ...]:
    if stage is None:
        return ()
    span = planned.get((build, folded(stage.stage.name)))
    before = tuple(Window(p.number, p.begun, p.finished) for p in stage.passes[:-1])
    now = stage.current
    return (*before, Window(now.number, now.begun, now.finished, span.first if span else None, span.last if span else None))


def _between(
    first: StageProgress | None, last: StageProgress | None, build: str, redone: Sequence[date], planned: Mapping[tuple[str, str], Span]
) -> tuple[Window, ...]:
    """Windows from the finish of `first` (None: from the beginning) to the start of `last` (None: to the end)."""
    ends = planned.get((build, folded(last.stage.name))) if last else None
    begins = planned.get((build, folded(first.stage.name))) if first else None
    found = []
    keyed = last or first
    for step in keyed.passes if keyed else ():
        current = keyed is not None and step is keyed.current
        closes = step.begun if last else None
        opens = _opens(first, last, step, closes, redone)
        planned_open = begins.last if begins and current and opens is None else None
        found.append(Window(step.number, opens, closes, planned_open, ends.first if ends and current else None))
    return tuple(found)


def _opens(first: StageProgress | None, last: StageProgress | None, step: Pass, closes: date | None, redone: Sequence[date]) -> date | None:
    if last is None:
        return step.finished
    after = _end_of(last.passes[step.number - 2]) if step.number > 1 else BEGINNING
    again = next((day for day in redone if step.number > 1 and day >= after and (closes is None or day <= closes)), after)
    if first is None:
        return again
    done = [p.finished for p in first.passes if p.finished is not None and (closes is None or p.finished <= closes)]
    if not done or (closes is None and not first.finished):
        return None
    return max(done[-1], again)


def _end_of(step: Pass) -> date:
    days = [step.finished or date.min, *(s.date for s in step.sessions)]
    return max(days)
