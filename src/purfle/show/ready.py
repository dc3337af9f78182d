"""Whether a stage can be featured in a coming episode: yes, likely or no, and why.

Ready means: the stage is finished by the end of the day before recording with the asked likelihood, the build may be
shown, its shots are in the can or can be taken by then, and it was not shown before. `yes` is for what is finished
and filmed already, `likely` for what is not and will be with the asked likelihood, `no` for the rest.
Invariant: chooses nothing; the line-up chooses.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.notes.model import Build
from purfle.notes.records.show import Piece
from purfle.progress.model import Progress, StageProgress
from purfle.show.airing import Slot
from purfle.show.consent import bar
from purfle.show.history import Shown
from purfle.show.model import IN_THE_CAN, LIKELY, MISSED, NO, NOT_YET, YES, Readiness, Ready, Shot
from purfle.show.route import Order, reaches
from purfle.show.scene import Scene

_CERTAIN = Decimal(1)


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer for one stage and one episode."""

    ready: Ready
    chance: Decimal
    why: str
    shots: tuple[str, ...] = ()
    """Still to be taken before recording."""
    unsure: bool = False
    """It is not ready for no other reason than that the bench may not finish it in time."""


def verdict(scene: Scene, build: Build, stage: StageProgress, slot: Slot) -> Verdict:
    """Whether a build's stage can be featured in the episode of `slot`."""
    barred = bar(build, scene.progress[build.id], slot.airs)
    return Verdict(NO, _chance_of(scene, build.id, stage, slot.cut_off), barred) if barred else were_it_shown(scene, build, stage, slot)


def verdict_without_stage(scene: Scene, build: Build, slot: Slot, why: str) -> Verdict:
    """Whether a piece about no stage of a build can be in the episode of `slot`; `why` is told when nothing bars it."""
    barred = bar(build, scene.progress[build.id], slot.airs)
    return Verdict(NO, Decimal(0), barred) if barred else Verdict(YES, Decimal(1), why)


def were_it_shown(scene: Scene, build: Build, stage: StageProgress, slot: Slot) -> Verdict:
    """The same, as if the build might be shown."""
    chance = _chance_of(scene, build.id, stage, slot.cut_off)
    if before := shown_before(scene, build.id, stage, slot):
        return Verdict(NO, chance, _told_before(before, stage.stage.name, scene.today))
    if after := _planned_later(scene, build.id, stage, slot):
        return Verdict(NO, chance, f"the file of the episode of {after.isoformat()} names it")
    if why := _too_unsure(scene, build.id, stage, chance, slot):
        return Verdict(NO, chance, why, unsure=True)
    return _by_shots(scene, build.id, stage, chance, slot)


def _chance_of(scene: Scene, build: str, stage: StageProgress, day: date) -> Decimal:
    """Likelihood, 0 to 1, that the stage is finished by the end of `day`."""
    finished = scene.finished(stage)
    if finished is not None:
        return _CERTAIN if finished <= day else Decimal(0)
    return scene.plan.chance(build, stage.stage.name, day) if day >= scene.today else Decimal(0)


def shown_before(scene: Scene, build: str, stage: StageProgress, slot: Slot) -> Shown | None:
    """A piece of an episode before the slot's that showed this pass of the stage, or one that follows it."""
    since = _from_when(stage, scene.today)
    before = (p for p in scene.shown_of(build) if p.airs < slot.airs and p.recorded >= since)
    return next((p for p in before if _passes(scene.orders[build], p, stage.stage.name)), None)


def _passes(order: Order, piece: Shown, stage: str) -> bool:
    """Whether a piece showed the stage or a later one; a reveal without a stage shows the whole route."""
    return reaches(order, piece.stage, stage) if piece.stage else piece.what == "reveal"


def _told_before(piece: Shown, stage: str, today: date) -> str:
    later = piece.stage is not None and folded(piece.stage) != folded(stage)
    subject = f"its {piece.stage} {'was' if piece.airs <= today else 'is'} " if later else ""
    return f"{subject}shown in the episode of {piece.airs.isoformat()}"


def _planned_later(scene: Scene, build: str, stage: StageProgress, slot: Slot) -> date | None:
    name = folded(stage.stage.name)
    return next((p.airs for p in scene.shown_of(build) if p.airs > slot.airs and p.stage and folded(p.stage) == name), None)


def _from_when(stage: StageProgress, today: date) -> date:
    """The first day of recording that can show this pass: any for the first, else the day it was begun; today while it is not."""
    return date.min if len(stage.passes) < 2 else stage.current.begun or today


def _too_unsure(scene: Scene, build: str, stage: StageProgress, chance: Decimal, slot: Slot) -> str | None:
    if chance >= scene.asked:
        return None
    finished = scene.finished(stage)
    if finished is not None:
        return f"finished on {finished.isoformat()}, after the day before recording"
    progress = scene.progress[build]
    if progress.closed_on is not None:
        return "it has left the bench without it"
    if progress.state == "on hold":
        return "it is on hold"
    return f"{percent(chance)} likely to be finished by {slot.cut_off.isoformat()}; you ask for {percent(scene.asked)}"


def percent(chance: Decimal) -> str:
    """A likelihood as people read it, `85 %`."""
    return f"{(chance * 100).quantize(Decimal(1)):f} %"


def _by_shots(scene: Scene, build: str, stage: StageProgress, chance: Decimal, slot: Slot) -> Verdict:
    wanted = scene.shots_for(build, stage.stage.name)
    for shot in wanted:
        if why := _out_of_reach(scene, shot, slot):
            return Verdict(NO, chance, why)
    to_take = tuple(shot.shot for shot in wanted if shot.status != IN_THE_CAN)
    finished = scene.finished(stage)
    why = f"finished on {finished.isoformat()}" if finished else f"{percent(chance)} likely to be finished by {slot.cut_off.isoformat()}"
    if to_take:
        return Verdict(LIKELY, chance, f"{why}; film {listed_shots(to_take)} by then", to_take)
    return Verdict(YES if finished else LIKELY, chance, why)


def listed_shots(shots: tuple[str, ...]) -> str:
    """Names of shots in a row."""
    return ", ".join(f"“{shot}”" for shot in shots)


def _out_of_reach(scene: Scene, shot: Shot, slot: Slot) -> str | None:
    """Why a shot can't be had by the day before recording; None when it can."""
    if shot.status == MISSED:
        return f"the shot “{shot.shot}” was missed"
    if shot.status == NOT_YET and not (shot.opens is not None and shot.opens <= slot.cut_off) and not _opened_by(scene, shot, slot):
        return f"the shot “{shot.shot}” can't be taken by {slot.cut_off.isoformat()}"
    if shot.status not in (IN_THE_CAN, MISSED) and slot.cut_off < scene.today:
        return f"the shot “{shot.shot}” is not in the can and the recording is today"
    return None


def _opened_by(scene: Scene, shot: Shot, slot: Slot) -> bool:
    stage = scene.progress[shot.build].stage(shot.stage)
    return stage is not None and _chance_of(scene, shot.build, stage, slot.cut_off) >= scene.asked


def feature(scene: Scene, slot: Slot) -> tuple[Readiness, ...]:
    """For each build, the stage to feature in the episode of `slot` and the next one on its way; ready ones first."""
    rows = [row for build in scene.shop.builds for row in _rows(scene, build, slot)]
    return tuple(sorted(rows, key=lambda r: ((YES, LIKELY, NO).index(r.ready), -r.chance, r.build)))


def _rows(scene: Scene, build: Build, slot: Slot) -> Iterator[Readiness]:
    progress = scene.progress[build.id]
    if not progress.stages:
        return
    judged = [(stage, verdict(scene, build, stage, slot)) for stage in progress.stages if is_seen(scene, progress, stage)]
    ready = [pair for pair in judged if pair[1].ready != NO]
    coming = [pair for pair in judged if scene.finished(pair[0]) is None and pair[1].ready == NO]
    if progress.closed_on is not None and not ready:
        return
    chosen = [*ready[-1:], *coming[:1]] or judged[-1:]
    for stage, answer in chosen:
        yield Readiness(build.id, stage.stage.name, answer.ready, answer.chance, answer.why)


def is_seen(scene: Scene, progress: Progress, stage: StageProgress) -> bool:
    """Whether there is anything to see of a stage: of one that only rests there is, when it asks for a shot, was promised or is the last; once the work is over, of none that was not finished."""
    if progress.closed_on is not None and not stage.finished:
        return False
    if not stage.stage.rests or stage.stage.shots or kind_of(progress, stage) == "reveal":
        return True
    return any(folded(promise.do) == folded(stage.stage.name) for _, promise in scene.promises_of(progress.build))


def kind_of(progress: Progress, stage: StageProgress) -> Piece:
    """reveal for the last stage of the route, else progress."""
    return "reveal" if folded(stage.stage.name) == folded(progress.stages[-1].stage.name) else "progress"
