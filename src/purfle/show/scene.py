"""What the show looks at on one day, the same for readiness, line-up, run sheets and troubles.

Invariant: judges nothing and chooses nothing; each table is made once, when it is first asked for.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from purfle.base.groups import grouped
from purfle.notes.model import Shop
from purfle.progress.model import Progress, StageProgress
from purfle.progress.states import stage_is_out
from purfle.show.given import Given, given_parts
from purfle.show.history import Shown, shown
from purfle.show.model import PromiseState, Shot
from purfle.show.planned import BenchPlan
from purfle.show.promises import shows
from purfle.show.route import Order, order_of
from purfle.show.shots import shots_for, shots_of
from purfle.show.taken import Taken, taken_by_build


@dataclass(frozen=True)
class Scene:
    """The notes, the work, the plan, what is in the can and what was on air."""

    shop: Shop
    progress: Mapping[str, Progress]
    plan: BenchPlan
    shots: tuple[Shot, ...]
    taken: Mapping[str, Sequence[Taken]]
    """What is in the can, by build."""
    promises: tuple[PromiseState, ...]
    shown: tuple[Shown, ...]
    today: date

    @cached_property
    def orders(self) -> dict[str, Order]:
        """Build → the order of its stages."""
        return {b.id: order_of(self.shop, b) for b in self.shop.builds}

    def finished(self, stage: StageProgress) -> date | None:
        """The day on which a stage was finished; None while it is not, or its outside work is not back."""
        return None if stage_is_out(stage, self.today) else stage.current.finished

    def shown_of(self, build: str) -> Sequence[Shown]:
        """The pieces that showed a build, in the order they aired."""
        return self._shown_by_build.get(build, ())

    def last_on(self, build: str) -> date | None:
        """The day a build was last on air, or will be by a file; None for one that never was."""
        return max((piece.airs for piece in self.shown_of(build)), default=None)

    def on_its_way(self, promise: PromiseState) -> Shown | None:
        """The piece of an episode with a file, still to air, that keeps a promise about a build."""
        build = promise.build or ""
        coming = (piece for piece in self.shown_of(build) if piece.airs > promise.episode and piece.airs >= self.today)
        return next((piece for piece in coming if shows(self.orders[build], promise.do, piece.stage, piece.what)), None)

    def promises_of(self, build: str) -> Sequence[tuple[int, PromiseState]]:
        """What was promised of a build, each with its number among all promises."""
        return self._promises_by_build.get(build, ())

    @cached_property
    def _promises_by_build(self) -> dict[str | None, list[tuple[int, PromiseState]]]:
        return grouped(enumerate(self.promises), lambda numbered: numbered[1].build)

    @cached_property
    def _shown_by_build(self) -> dict[str, list[Shown]]:
        return grouped(self.shown, lambda piece: piece.build)

    def shots_for(self, build: str | None, stage: str | None) -> tuple[Shot, ...]:
        """The shots that one stage of a build asks for; none for a piece without either."""
        return shots_for(self._shots_by_build.get(build, ()), stage) if build and stage else ()

    @cached_property
    def _shots_by_build(self) -> dict[str, list[Shot]]:
        return grouped(self.shots, lambda shot: shot.build)

    @cached_property
    def given(self) -> tuple[Given, ...]:
        """The given parts, wherever they have been."""
        return given_parts(self.shop)

    @cached_property
    def asked(self) -> Decimal:
        """The likelihood asked for."""
        return asked_of(self.shop)


def asked_of(shop: Shop) -> Decimal:
    """The likelihood that a shop asks for before it features a stage, one percent to 1: what can't be done is never ready."""
    return min(max(shop.settings.show.likelihood / 100, Decimal("0.01")), Decimal(1))


def scene_of(shop: Shop, events: Iterable[object], progress: Mapping[str, Progress], plan: BenchPlan, promises: tuple[PromiseState, ...], today: date) -> Scene:
    """What the show looks at on `today`; of the events it is what was done again that counts."""
    taken = taken_by_build(shop, today)
    shots = shots_of(shop, events, progress, plan, taken, today)
    return Scene(shop, progress, plan, shots, taken, promises, shown(shop, today), today)
