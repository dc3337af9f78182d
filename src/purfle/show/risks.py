"""Promises that no episode in time can keep, for a reason that the bench plan does not see: a missed shot, a build that may not be shown, no episode in time.

Each is judged for the last episode that airs in time, or, when that is too late, for the next that work can still be shown in.
Invariant: tells only what the plan's own list of dates at risk does not tell already.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from purfle.base.names import folded
from purfle.progress.model import StageProgress
from purfle.show.airing import Slot, slots
from purfle.show.history import Shown
from purfle.show.model import NO, PromiseRisk, PromiseState
from purfle.show.promises import last_in_time, shows, stage_of, still_to_make
from purfle.show.ready import Scene, Verdict, kind_of, verdict


def promise_risks(scene: Scene) -> tuple[PromiseRisk, ...]:
    """Unmet promises with a day that nothing ready keeps, by day and build."""
    told = {(risk.build, folded(risk.stage or "")) for risk in scene.plan.at_risk}
    wanted = [p for p in scene.promises if p.unmet and p.due and p.build]
    coming = still_to_make(scene.shop, scene.today, max((p.due for p in wanted if p.due), default=scene.today))
    found = {risk for p in wanted for risk in _of(scene, p, coming) if (risk.build, folded(risk.stage)) not in told}
    return tuple(sorted(found, key=lambda risk: (risk.due, risk.build, risk.stage)))


def _of(scene: Scene, promise: PromiseState, coming: Sequence[Slot]) -> Iterator[PromiseRisk]:
    assert promise.build is not None and promise.due is not None
    piece = _written(scene, promise)
    slot = last_in_time(coming, promise.due) if piece is None else next((slot for slot in coming if slot.airs == piece.airs), None)
    if slot is None:  # recorded already
        return
    if piece is None and any(
        _ready(scene, promise, one) for one in slots(scene.shop, scene.today, 2) if one.records == scene.today and one.airs <= promise.due
    ):
        return
    progress = scene.progress[promise.build]
    stage = stage_of(scene.orders[promise.build], progress, promise.do) or promise.do
    answers = [verdict(scene, scene.shop.build(promise.build), keeper, slot) for keeper in _keepers(scene, promise, piece)]
    if answers and all(answer.ready == NO for answer in answers):
        yield PromiseRisk(promise.build, stage, slot.cut_off, _chance(scene, answers[0]), answers[0].why)
    elif not answers and piece is None and progress.stages:
        yield PromiseRisk(promise.build, stage, slot.cut_off, Decimal(0), f"the build leaves out {promise.do}, and no stage of its own follows it")
    elif slot.airs > promise.due >= scene.today:
        why = f"no episode that can show it airs by {promise.due.isoformat()}; the first airs on {slot.airs.isoformat()}"
        yield PromiseRisk(promise.build, stage, slot.cut_off, Decimal(0), why)


def _ready(scene: Scene, promise: PromiseState, slot: Slot) -> bool:
    """Whether something that keeps the promise is ready for an episode."""
    assert promise.build is not None
    build = scene.shop.build(promise.build)
    return any(verdict(scene, build, keeper, slot).ready != NO for keeper in _keepers(scene, promise, None))


def _written(scene: Scene, promise: PromiseState) -> Shown | None:
    """The piece of an episode on its way that keeps the promise."""
    assert promise.build is not None
    order = scene.orders[promise.build]
    coming = (p for p in scene.shown_of(promise.build) if p.airs > promise.episode and p.airs >= scene.today)
    return next((p for p in coming if shows(order, promise.do, p.stage, p.what)), None)


def _keepers(scene: Scene, promise: PromiseState, piece: Shown | None) -> list[StageProgress]:
    """The stages that would keep the promise, in the route's order; of an episode on its way, the one it names."""
    assert promise.build is not None
    progress, order = scene.progress[promise.build], scene.orders[promise.build]
    if piece is not None:
        return [stage for stage in progress.stages if piece.stage and folded(stage.stage.name) == folded(piece.stage)]
    return [stage for stage in progress.stages if shows(order, promise.do, stage.stage.name, kind_of(progress, stage))]


def _chance(scene: Scene, answer: Verdict) -> Decimal:
    """How likely it is kept: that of the bench where this is the reason, else none."""
    return answer.chance if answer.chance < scene.asked else Decimal(0)
