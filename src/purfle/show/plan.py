"""The show plan in one visible list.

Invariant: every figure comes from the phase named on its line.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from purfle.base.trouble import Trouble
from purfle.notes.model import Shop
from purfle.progress.model import Progress
from purfle.show.airing import episode_days, slots, unaired
from purfle.show.bulletins import ideas, left_this_week
from purfle.show.faults import faults_of
from purfle.show.history import shown
from purfle.show.income import air_income, show_hours
from purfle.show.lineup import line_up
from purfle.show.model import PromiseState, ShowPlan
from purfle.show.planned import BenchPlan
from purfle.show.ready import Scene, feature
from purfle.show.risks import promise_risks
from purfle.show.run_sheets import run_sheets
from purfle.show.shot_days import lacked, shot_days
from purfle.show.shots import shots_of
from purfle.show.taken import taken_by_build


def scene_of(shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, promises: tuple[PromiseState, ...], today: date) -> Scene:
    """What the show looks at on `today`; of the events it is what was done again that counts."""
    taken = taken_by_build(shop, today)
    shots = shots_of(shop, events, progress, plan, taken, today)
    return Scene(shop, progress, plan, shots, taken, promises, shown(shop, today), today)


def plan_show(scene: Scene, weeks: int = 4) -> tuple[ShowPlan, tuple[Trouble, ...]]:
    """The show plan, with the line-up of the next `weeks` episodes, chosen together, and the show's troubles, sorted."""
    shop, today = scene.shop, scene.today
    coming = next(iter(slots(shop, today, 1)), None)
    lineup = line_up(scene, weeks)
    scene = replace(scene, shots=lacked(scene.shots, lineup))
    result = ShowPlan(
        airs=coming.airs if coming else None,
        records=coming.records if coming else None,
        shots=scene.shots,
        feature=feature(scene, coming) if coming else (),
        promises=scene.promises,
        lineup=lineup,
        run_sheets=run_sheets(scene, lineup),
        bulletins=ideas(scene),
        air_income=air_income(shop, today),
        show_hours=show_hours(shop, today),
        episodes=episode_days(shop, (*([coming] if coming else []), *lineup), today),
        shot_days=shot_days(scene.shots, scene.plan, today),
        at_risk=promise_risks(scene),
        unaired=unaired(shop, today),
        bulletins_left=left_this_week(shop, today),
    )
    return result, faults_of(shop, scene.progress, scene.promises, scene.taken, today)
