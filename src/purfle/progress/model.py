"""What is known of each build's work on a given day."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.times import Estimate, Wait
from purfle.notes.records.stages import WantedShot
from purfle.progress.warmth import Bent

State = Literal[
    "scrapped", "given away", "lost", "taken back", "kept", "delivered", "sold", "on hold", "for sale", "finished", "curing", "waiting for a part",
    "on the bench", "in the rack",
]  # fmt: skip
"""Of a build; the first that holds."""
PublicState = Literal["in the works", "finished", "for sale", "sold", "delivered"]


@dataclass(frozen=True, slots=True)
class RouteStage:
    """A stage of one build's own route: the shop's route with the build sheet's changes."""

    name: str
    hours: Estimate
    """Bench hours; all zero for a stage without hands."""
    cure: Wait | None
    """Time it needs after each pass before what follows may begin, as warm as the room is on the day of the figures."""
    wait: Estimate | None
    """Days of outside work after its hours, without hands."""
    whole: bool
    follows: tuple[str, ...]
    """Stages that must be finished (and cured) first."""
    needs: tuple[str, ...]
    shots: tuple[WantedShot, ...]
    at: Place
    recoat: str | None
    """The window for the next coat, as the cure table words it: warned about, not planned."""
    coat: str | None
    """The entry of the cure table its cure comes from; None for a cure written as a time."""
    warmth: tuple[Bent, ...] = ()
    """Its cure by day, the first from the beginning, where a rule of thumb for the room's warmth bends it."""
    bent: str | None = None
    """What the rule did to `cure`; None where it is as written."""
    parts_here: date | None = None
    """Of a stage that rests, the day from which the parts it waits for are here, `date.max` while one is not; None where it waits for none."""

    @property
    def rests(self) -> bool:
        """Whether it takes neither hands nor outside work, only time: it begins by itself once what it follows is free."""
        return self.cure is not None and self.wait is None and not self.hours.high

    def cure_on(self, day: date) -> Wait | None:
        """The cure of a pass that was finished on a day."""
        return self._on(day)[0]

    def bent_on(self, day: date) -> str | None:
        """What the warmth of the room did to the cure of a pass that was finished on a day; None where it is as written."""
        return self._on(day)[1]

    def _on(self, day: date) -> tuple[Wait | None, str | None]:
        known = [one for one in self.warmth if one.since is None or one.since <= day]
        return (known[-1].cure, known[-1].words) if known else (self.cure, None)

    @property
    def cure_words(self) -> str:
        """The cure as it is shown, marked where it is bent; empty without one."""
        return _words(self.cure, self.bent)

    def cure_words_on(self, day: date) -> str:
        """The same for a pass that was, or will be, finished on a day."""
        return _words(*self._on(day))


def _words(cure: Wait | None, bent: str | None) -> str:
    return "" if cure is None else str(cure) if bent is None else f"{cure} ({bent})"


class Session(NamedTuple):
    """One entry of work on a stage."""

    date: date
    hours: Decimal
    at: Place


class Pass(NamedTuple):
    """One time through a stage; a stage done again has several."""

    number: int
    """From 1."""
    sessions: tuple[Session, ...] = ()
    finished: date | None = None
    finished_at: Place | None = None
    assumed: bool = False
    """Taken as finished because a later stage was begun."""
    by_itself: bool = False
    """Its time runs from `finished` on, the day what it follows was free, whether or not a note says so: of a stage that rests."""
    since: date | None = None
    """The day of the note that opened it again; None for the first."""

    @property
    def hours(self) -> Decimal:
        """Hours noted in this pass."""
        return sum((s.hours for s in self.sessions), Decimal(0))

    @property
    def begun(self) -> date | None:
        """The first day of work in this pass."""
        return self.sessions[0].date if self.sessions else self.finished


@dataclass(frozen=True, slots=True)
class StageProgress:
    """A stage and what was done of it."""

    stage: RouteStage
    passes: tuple[Pass, ...]
    """In order, at least one; the last is the current pass."""
    free_on: date | None
    """The first day on which what follows may begin, once finished: after cure and wait."""

    @property
    def current(self) -> Pass:
        """The pass it is in."""
        return self.passes[-1]

    @property
    def finished(self) -> bool:
        """Whether the current pass is finished."""
        return self.current.finished is not None

    @property
    def hours(self) -> Decimal:
        """Hours of all passes."""
        return sum((p.hours for p in self.passes), Decimal(0))


@dataclass(frozen=True, slots=True)
class Progress:
    """One build on one day."""

    build: str
    stages: tuple[StageProgress, ...]
    """In the route's order; empty for a build without a route."""
    hours: Decimal
    """All hours noted on it, whatever the stage, warranty work included."""
    hours_after_sale: Decimal
    hours_rework: Decimal
    """Hours of second and later passes."""
    state: State
    public_state: PublicState
    closed_on: date | None
    """The day of the sale, delivery or end that closed the route; None while it is open."""
    since: date | None
    """The day it came in, or its first note."""

    @property
    def finished_stages(self) -> int:
        """How many of its stages are finished."""
        return sum(1 for s in self.stages if s.finished)

    def stage(self, name: str) -> StageProgress | None:
        """A stage by name, case and runs of space ignored; None when the route has none of that name."""
        return next((s for s in self.stages if folded(s.stage.name) == folded(name)), None)
