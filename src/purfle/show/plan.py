"""The show plan in one visible list.

Invariant: every figure comes from the phase named on its line.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from purfle.base.trouble import Trouble
from purfle.notes.model import Shop
from purfle.progress.model import Progress
from purfle.show.airing import episode_days, slots
from purfle.show.bulletins import ideas, left_this_week
from purfle.show.faults import faults_of
from purfle.show.history import shown
from purfle.show.income import air_income, show_hours
from purfle.show.lineup import line_up
from purfle.show.model import LineUpEpisode, ShowPlan
from purfle.show.planned import BenchPlan
from purfle.show.promises import promises_of
from purfle.show.ready import Scene, feature
from purfle.show.risks import promise_risks
from purfle.show.run_sheets import run_sheets
from purfle.show.shot_days import lacked, shot_days
from purfle.show.shots import shots_of
from purfle.show.taken import Taken, taken_by_build


def plan_show(
    shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, today: date, weeks: int = 4
) -> tuple[ShowPlan, tuple[Trouble, ...]]:
    """The show plan on `today`, with the line-up of the next `weeks` episodes, and the show's troubles, sorted."""
    taken = taken_by_build(shop, today)
    scene = _scene(shop, events, progress, plan, taken, today)
    (coming,) = slots(shop, today, 1)
    lineup = line_up(scene, weeks)
    scene = replace(scene, shots=lacked(scene.shots, lineup))
    result = ShowPlan(
        airs=coming.airs,
        records=coming.records,
        shots=scene.shots,
        feature=feature(scene, coming),
        promises=scene.promises,
        lineup=lineup,
        run_sheets=run_sheets(scene, lineup),
        bulletins=ideas(scene),
        air_income=air_income(shop, today),
        show_hours=show_hours(shop, today),
        episodes=episode_days(shop, (coming, *lineup), today),
        shot_days=shot_days(scene.shots, plan, today),
        at_risk=promise_risks(scene),
        bulletins_left=left_this_week(shop, today),
    )
    return result, faults_of(shop, progress, scene.promises, taken, today)


def line_up_of(shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, today: date, weeks: int) -> tuple[LineUpEpisode, ...]:
    """The line-up of the next `weeks` episodes alone, chosen together: one week's differs from the first of several."""
    return line_up(_scene(shop, events, progress, plan, taken_by_build(shop, today), today), weeks)


def _scene(
    shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, taken: Mapping[str, tuple[Taken, ...]], today: date
) -> Scene:
    shots = shots_of(shop, events, progress, plan, taken, today)
    return Scene(shop, progress, plan, shots, promises_of(shop, progress, today), shown(shop, today), today)
