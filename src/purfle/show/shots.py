"""Wanted shots: in the can, wanted, last chance, missed or not yet, one line for each pass.

A shot is taken during a stage, or after one stage until another starts; the day the stage is finished, or the other
starts, is its last chance, and after it is missed. A stage done again opens the window again: the shot is wanted anew.
`last chance` is said when that day falls within the next seven days.
Invariant: days to come are the bench plan's; nothing is planned here.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from purfle.base.groups import grouped
from purfle.base.names import folded
from purfle.events.work import Redone
from purfle.notes.model import Build, Shop
from purfle.notes.records.stages import WantedShot
from purfle.progress.model import Progress
from purfle.show.model import IN_THE_CAN, LAST_CHANCE, MISSED, NOT_YET, WANTED, Shot, ShotStatus
from purfle.show.planned import BenchPlan, Span, spans
from purfle.show.route import order_of
from purfle.show.taken import Taken
from purfle.show.timelapse import together
from purfle.show.windows import Window, bounded, homes, windows_of, words_of

SOON = timedelta(days=6)
"""Today and the six days after it are the coming week."""


def shots_of(
    shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, taken: Mapping[str, Sequence[Taken]], today: date
) -> tuple[Shot, ...]:
    """Every wanted shot of every build, in the order of builds, stages and passes."""
    redone = grouped((event for event in events if isinstance(event, Redone)), lambda event: event.build)
    planned = spans(plan)
    found: list[Shot] = []
    for build in shop.builds:
        own = progress[build.id]
        if any(s.stage.shots for s in own.stages):
            wanted = tuple(_wanted(own, shop, build))
            found += _of_build(own, wanted, taken.get(build.id, ()), sorted(event.date for event in redone.get(build.id, ())), planned, today)
    return tuple(found)


def _wanted(progress: Progress, shop: Shop, build: Build) -> Iterator[tuple[str, WantedShot]]:
    """Each shot with the stage that asks for it. Where the build leaves out the stage it is tied to, the next that follows ends its window, the last before it opens it."""
    names = {folded(s.stage.name) for s in progress.stages}
    for stage in progress.stages:
        for shot in stage.stage.shots:
            missing = [name for name in (shot.since, shot.until) if name and folded(name) not in names]
            yield stage.stage.name, bounded(shot, progress, order_of(shop, build)) if missing else shot


def _of_build(
    progress: Progress,
    wanted: Sequence[tuple[str, WantedShot]],
    taken: Sequence[Taken],
    redone: Sequence[date],
    planned: Mapping[tuple[str, str], Span],
    today: date,
) -> Iterator[Shot]:
    for under, shot in wanted:
        windows = windows_of(progress, under, shot, redone, planned)
        here = _in_the_can([t for t in taken if _is_for(t, under, shot, wanted)], windows)
        for window in windows:
            if made := _shot(progress, under, shot, window, here.get(window.number, ()), today):
                yield made


def _is_for(taken: Taken, under: str, shot: WantedShot, wanted: Sequence[tuple[str, WantedShot]]) -> bool:
    """Whether something taken is this shot; where several stages want one of that name, its own stage decides."""
    if not taken.shows(shot.shot):
        return False
    at_home = [pair for pair in wanted if taken.shows(pair[1].shot) and homes(*pair) & set(taken.stages)]
    return not at_home or (under, shot) in at_home


def _in_the_can(taken: Sequence[Taken], windows: Sequence[Window]) -> dict[int, list[Taken]]:
    """Pass → the takes made in it, by day. What was taken outside every window goes to the pass that was open last."""
    found: dict[int, list[Taken]] = {}
    for item in taken if windows else ():
        inside = [w.number for w in windows if w.holds(item.date)]
        before = [w.number for w in windows if w.opens and w.opens <= item.date]
        fitting = inside or before[-1:] or [windows[0].number]
        number = next((n for n in fitting if n not in found), fitting[-1])
        found.setdefault(number, []).append(item)
    return found


def _shot(progress: Progress, under: str, shot: WantedShot, window: Window, takes: Sequence[Taken], today: date) -> Shot | None:
    closed = progress.closed_on if progress.closed_on is not None and progress.closed_on <= today else None
    if not takes and closed and window.opens is None:
        return None
    status, by = (IN_THE_CAN, None) if takes else _status(window, closed, today)
    stage = shot.during or shot.since or under
    opens = window.opens or window.planned_open
    day = takes[0].date if takes else None
    return Shot(progress.build, stage, shot.shot, status, by, day, window.number, under, words_of(under, shot), opens, together(takes))


def _status(window: Window, closed: date | None, today: date) -> tuple[ShotStatus, date | None]:
    if window.closes is not None:
        return (LAST_CHANCE, window.closes) if window.closes == today and closed is None else (MISSED, window.closes)
    if closed is not None:
        return MISSED, closed
    by = window.planned_close
    if by is not None and by <= today + SOON:
        return LAST_CHANCE, by
    if (window.opens is not None and window.opens <= today) or (window.planned_open is not None and window.planned_open <= today + SOON):
        return WANTED, by
    return NOT_YET, by


def shots_for(shots: Iterable[Shot], stage: str) -> tuple[Shot, ...]:
    """The shots of one build that a stage asks for, in its current pass: those under it and those taken during it."""
    mine = [s for s in shots if folded(stage) in (folded(s.under), folded(s.stage))]
    latest = {(folded(s.under), folded(s.shot)): s for s in mine}
    return tuple(latest.values())
