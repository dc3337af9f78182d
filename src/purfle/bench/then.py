"""The bench as it stood on earlier days, by the notes up to them.

Notes are dated, so the shop can be seen as it was on any day. Sheets are not: an estimate, a part's day of arrival or
a due date that was changed since is seen as it is written now.
Invariant: what it gives of a day is never shown the notes of a later one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from purfle.bench.gather import gather
from purfle.bench.learn import Habits, Lesson, lessons_of, pooled
from purfle.bench.shelf import Move, shelf_on
from purfle.bench.steps import Situation
from purfle.notes.model import Build, Shop
from purfle.progress.earlier import Earlier
from purfle.progress.model import Progress, StageProgress


@dataclass(frozen=True, slots=True)
class Then:
    """The shop as it can be seen on any earlier day."""

    shop: Shop
    earlier: Earlier
    moves: Sequence[Move]
    _lessons: dict[str, tuple[tuple[StageProgress, ...], tuple[Lesson, ...]]] = field(default_factory=dict)
    """By build, its stages as they were last seen and what they teach: most are what they were the week before."""

    def situation(self, day: date) -> tuple[Situation, dict[str, Progress]]:
        """What the plan of that day started from, and how far each build had come; without promises, which are the show's."""
        told = self.earlier.on(day)
        return gather(self._shop_on(day), shelf_on(self.moves, day), told, self._habits(told.values()), (), day), told

    def _shop_on(self, day: date) -> Shop:
        """The shop without the holds and the hours of episodes that came later."""
        builds = tuple(_held_by(build, day) for build in self.shop.builds)
        return replace(self.shop, builds=builds, episodes=tuple(e for e in self.shop.episodes if self.shop.recorded_on(e) <= day))

    def _habits(self, told: Iterable[Progress]) -> Habits:
        """What those builds taught by then."""
        return pooled(lesson for build in told for lesson in self._of(build))

    def _of(self, build: Progress) -> tuple[Lesson, ...]:
        known = self._lessons.get(build.build)
        if known is None or known[0] is not build.stages:
            known = self._lessons[build.build] = build.stages, tuple(lessons_of(build.stages))
        return known[1]


def then_of(shop: Shop, moves: Sequence[Move], events: Iterable[object], today: date) -> Then:
    """The days up to `today`, by the events up to it and all moves of the shelf."""
    return Then(shop, Earlier(shop, events, today), moves)


def _held_by(build: Build, day: date) -> Build:
    """A build with the holds it had been put on by a day."""
    known = tuple(hold for hold in build.sheet.hold if hold.since <= day)
    return build if len(known) == len(build.sheet.hold) else replace(build, sheet=replace(build.sheet, hold=known))
