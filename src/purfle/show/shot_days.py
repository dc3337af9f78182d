"""What there is to film, day by day.

A shot stands on each day on which it can be taken and its stage, or for one between two stages its build, is on the
bench, on its last day, and on that before the recording of an episode that lacks it. Invariant: plans nothing; days are the bench plan's.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from purfle.base.names import folded
from purfle.show.model import LAST_CHANCE, NOT_YET, WANTED, LineUpEpisode, Shot, ShotDay
from purfle.show.planned import BenchPlan, PlannedDay
from purfle.show.shots import shots_for

DAYS = 14
_TO_TAKE = (LAST_CHANCE, WANTED, NOT_YET)


def shot_days(shots: Iterable[Shot], plan: BenchPlan, today: date) -> tuple[ShotDay, ...]:
    """The next fourteen days on which there is something to film, from today on."""
    waiting = [s for s in shots if s.status in _TO_TAKE and s.opens is not None]
    planned = {day.date: day for day in plan.days}
    days = (today + timedelta(days=n) for n in range(DAYS))
    found = (ShotDay(day, tuple(_of_day(waiting, planned.get(day), day))) for day in days)
    return tuple(day for day in found if day.shots)


def lacked(shots: Iterable[Shot], lineup: Iterable[LineUpEpisode]) -> tuple[Shot, ...]:
    """The shots, with the day by which the first coming episode that lacks one must have it."""
    found = tuple(shots)
    before: dict[Shot, date] = {}
    for episode, segment in ((e, s) for e in lineup for s in e.segments if s.shots):
        own = shots_for((s for s in found if s.build == segment.build), segment.stage or "")  # another stage may want one of the same name
        before |= {shot: before.get(shot, episode.records - timedelta(days=1)) for shot in own if shot.shot in segment.shots}
    return tuple(replace(s, before=before.get(s)) if s.status in _TO_TAKE else s for s in found)


def _of_day(waiting: Iterable[Shot], planned: PlannedDay | None, day: date) -> list[Shot]:
    here = [s for s in waiting if _open_on(s, day) and (day in (s.by, s.before) or _on_the_bench(s, planned))]
    return sorted(here, key=lambda s: (s.by != day, s.build, s.by or date.max, s.shot))


def _open_on(shot: Shot, day: date) -> bool:
    return shot.opens is not None and shot.opens <= day and (shot.by is None or day <= shot.by)


def _on_the_bench(shot: Shot, planned: PlannedDay | None) -> bool:
    tasks = [task for task in planned.tasks if task.build == shot.build] if planned else []
    if not shot.window.startswith("during"):
        return bool(tasks)
    return any(folded(task.stage) == folded(shot.stage) for task in tasks)
