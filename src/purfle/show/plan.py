"""The show plan in one visible list.

Invariant: every figure comes from the phase named on its line.
"""

from dataclasses import replace

from purfle.base.trouble import Trouble
from purfle.show.airing import episode_days, slots, unaired
from purfle.show.bulletins import ideas, left_this_week
from purfle.show.faults import faults_of
from purfle.show.income import air_income, show_hours
from purfle.show.lineup import line_up
from purfle.show.model import ShowPlan
from purfle.show.ready import feature
from purfle.show.risks import promise_risks
from purfle.show.run_sheets import run_sheets
from purfle.show.scene import Scene
from purfle.show.shot_days import lacked, shot_days


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
    return result, faults_of(scene)
