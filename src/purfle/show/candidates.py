"""What could be in a coming episode: stages not shown yet, looks back, updates.

Invariant: judges nothing but the usual length of a piece; whether it is ready is asked elsewhere.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import ROUND_CEILING, Decimal

from purfle.base.money import ZERO
from purfle.base.names import folded
from purfle.notes.model import Build
from purfle.notes.records.show import Piece
from purfle.progress.model import Progress, StageProgress
from purfle.progress.states import ENDED
from purfle.show.airing import Slot
from purfle.show.promises import shows
from purfle.show.ready import Verdict, is_seen, kind_of, shown_before, verdict, verdict_without_stage
from purfle.show.scene import Scene
from purfle.show.timelapse import together

_REST = timedelta(weeks=8)
"""How long a finished build rests between looks back: common practice, no source."""
_QUIET = timedelta(weeks=3)
"""How long a build in the works may be unseen before an update is worth a minute."""
_HALF = Decimal("0.5")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A piece that could be in some coming episode."""

    build: Build
    stage: StageProgress | None
    """None for a look back or an update."""
    what: Piece
    minutes: Decimal
    position: int
    """The stage's place in the route; -1 without one."""
    leaves: frozenset[int]
    """The places at which nothing is new once it was shown: its own, those of the stages it follows, and -1."""
    keeps: tuple[int, ...]
    """Numbers (in the scene's promises) of the unmet promises that showing it would keep, and no episode on its way keeps."""

    @property
    def name(self) -> str | None:
        """The stage's name; None without one."""
        return self.stage.stage.name if self.stage else None


@dataclass(frozen=True, slots=True)
class Offer:
    """A candidate as it stands for one episode."""

    week: int
    """Which of the episodes, from 0."""
    candidate: Candidate
    verdict: Verdict


def candidates_of(scene: Scene, first: Slot, minutes: Mapping[Piece, Decimal]) -> tuple[Candidate, ...]:
    """Everything that could be shown from the episode of `first` on, by build and stage."""
    return tuple(c for build in scene.shop.builds for c in _of_build(scene, build, first, minutes))


def _of_build(scene: Scene, build: Build, first: Slot, minutes: Mapping[Piece, Decimal]) -> Iterator[Candidate]:
    progress = scene.progress[build.id]
    order, places = scene.orders[build.id], {folded(stage.stage.name): n for n, stage in enumerate(progress.stages)}
    for position, stage in enumerate(progress.stages):
        if is_seen(scene, progress, stage) and not shown_before(scene, build.id, stage, first):
            what, name = kind_of(progress, stage), stage.stage.name
            leaves = frozenset({position, -1, *(places[other] for other in order[folded(name)] if other in places)})
            yield Candidate(build, stage, what, _minutes(scene, build.id, stage, minutes[what]), position, leaves, _keeps(scene, build.id, name, what))
    if filler := _without_stage(scene, build, progress, first):
        yield Candidate(build, None, filler, minutes[filler], -1, frozenset({-1}), _keeps(scene, build.id, None, filler))


def _keeps(scene: Scene, build: str, stage: str | None, what: Piece) -> tuple[int, ...]:
    order, own = scene.orders[build], scene.promises_of(build)
    return tuple(n for n, promise in own if promise.unmet and shows(order, promise.do, stage, what) and not scene.on_its_way(promise))


def _minutes(scene: Scene, build: str, stage: StageProgress, usual: Decimal) -> Decimal:
    """The usual length, or the time its time-lapses run if that is longer, in half minutes."""
    seconds = together(scene.shots_for(build, stage.stage.name)) or ZERO
    return max(usual, (seconds / 60 / _HALF).to_integral_value(ROUND_CEILING) * _HALF)


def _without_stage(scene: Scene, build: Build, progress: Progress, first: Slot) -> Piece | None:
    last = scene.last_on(build.id)
    if last is None or progress.state in ENDED:
        return None
    if progress.closed_on is not None or progress.state in ("finished", "for sale", "kept"):
        return "look back" if first.airs - last >= _REST else None
    return "update" if first.airs - last >= _QUIET else None


def judge(scene: Scene, candidate: Candidate, slot: Slot) -> Verdict:
    """Whether a candidate can be in the episode of `slot`."""
    if candidate.stage is not None:
        return verdict(scene, candidate.build, candidate.stage, slot)
    last = scene.last_on(candidate.build.id)
    assert last is not None, "what has no stage to show is offered because it was on air"
    return verdict_without_stage(scene, candidate.build, slot, f"last on {last.isoformat()}; {scene.progress[candidate.build.id].state}")
