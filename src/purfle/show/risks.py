"""Promises that no episode in time can keep, for a reason that the bench plan does not see: a missed shot, a build that may not be shown, no episode in time.

Each is judged for the last episode that airs in time, or, when that is too late, for the next that work can still be shown in.
Invariant: tells only what the plan's own list of dates at risk does not tell already.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.progress.model import StageProgress
from purfle.show.airing import Slot, slots
from purfle.show.history import Shown
from purfle.show.model import NO, PromiseRisk, PromiseState
from purfle.show.promises import last_in_time, shows, stage_of, still_to_make
from purfle.show.ready import Verdict, kind_of, verdict
from purfle.show.scene import Scene


class _Due(NamedTuple):
    """An unmet promise about a build, with the last day on which an episode keeps it in time."""

    promise: PromiseState
    build: str
    day: date


def promise_risks(scene: Scene) -> tuple[PromiseRisk, ...]:
    """Unmet promises with a day that nothing ready keeps, by day and build."""
    told = {(risk.build, folded(risk.stage or "")) for risk in scene.plan.at_risk}
    wanted = [_Due(p, p.build, p.due) for p in scene.promises if p.unmet and p.due and p.build]
    coming = still_to_make(scene.shop, scene.today, max((due.day for due in wanted), default=scene.today))
    found = {risk for due in wanted if (risk := _risk(scene, due, coming)) and (risk.build, folded(risk.stage)) not in told}
    return tuple(sorted(found, key=lambda risk: (risk.due, risk.build, risk.stage)))


def _risk(scene: Scene, due: _Due, coming: Sequence[Slot]) -> PromiseRisk | None:
    piece = scene.on_its_way(due.promise)
    slot = last_in_time(coming, due.day) if piece is None else next((slot for slot in coming if slot.airs == piece.airs), None)
    if slot is None or (piece is None and _kept_today(scene, due)):  # recorded already, or just now
        return None
    why, chance = _why(scene, due, piece, slot)
    stage = stage_of(scene.orders[due.build], scene.progress[due.build], due.promise.do) or due.promise.do
    return PromiseRisk(due.build, stage, slot.cut_off, chance, why) if why else None


def _why(scene: Scene, due: _Due, piece: Shown | None, slot: Slot) -> tuple[str, Decimal]:
    """Why the episode of a slot will not keep the promise in time, and how likely it does all the same; no words where it may."""
    answers = [verdict(scene, scene.shop.build(due.build), keeper, slot) for keeper in _keepers(scene, due, piece)]
    if answers and all(answer.ready == NO for answer in answers):
        return answers[0].why, _chance(scene, answers[0])
    if not answers and piece is None and scene.progress[due.build].stages:
        return f"the build leaves out {due.promise.do}, and no stage of its own follows it", Decimal(0)
    if slot.airs > due.day >= scene.today:
        return f"no episode that can show it airs by {due.day.isoformat()}; the first airs on {slot.airs.isoformat()}", Decimal(0)
    return "", Decimal(0)


def _kept_today(scene: Scene, due: _Due) -> bool:
    """Whether something that keeps the promise is ready for an episode in time that is recorded today."""
    build, keepers = scene.shop.build(due.build), _keepers(scene, due, None)
    today = [slot for slot in slots(scene.shop, scene.today, 2) if slot.records == scene.today and slot.airs <= due.day]
    return any(verdict(scene, build, keeper, slot).ready != NO for slot in today for keeper in keepers)


def _keepers(scene: Scene, due: _Due, piece: Shown | None) -> list[StageProgress]:
    """The stages that would keep the promise, in the route's order; of an episode on its way, the one it names."""
    progress, order = scene.progress[due.build], scene.orders[due.build]
    if piece is not None:
        return [stage for stage in progress.stages if piece.stage and folded(stage.stage.name) == folded(piece.stage)]
    return [stage for stage in progress.stages if shows(order, due.promise.do, stage.stage.name, kind_of(progress, stage))]


def _chance(scene: Scene, answer: Verdict) -> Decimal:
    """How likely it is kept: that of the bench where this is the reason, else none."""
    return answer.chance if answer.chance < scene.asked else Decimal(0)
