"""The bench plan's values, named as the JSON contract names them."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from operator import itemgetter
from typing import Final, Literal

from purfle.progress.states import Rest


@dataclass(frozen=True, slots=True)
class Task:
    """Hours planned for one stage on one day; none for one that is only sent out."""

    build: str
    stage: str
    hours: Decimal


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One day of the plan."""

    date: date
    hours: Decimal
    """Bench hours there are that day, less the show's and what is already noted."""
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Curing:
    """A stage that is curing or out for work today."""

    build: str
    stage: str
    until: date
    """The day it is cured, or expected back; a cure that is to come after its outside work is not counted in."""
    why: Rest
    """cure, or wait while outside work has it."""
    recoat: str | None
    """The window for the next coat, where the cure table gives one; the product's data sheet is the authority."""
    bent: str | None
    """What a rule of thumb for the room's warmth did to the cure; None where it is as written."""


PART: Final = "part"
"""Why a lag is one, beside WAIT and CURE of `progress`."""


@dataclass(frozen=True, slots=True)
class Lag:
    """A time without hands, as planned."""

    build: str
    stage: str
    why: Rest | Literal["part"]
    """WAIT, for outside work; CURE; or PART, for one that is not here."""
    first: date
    until: date
    """The day it is over; the same as the first for one that is over at once."""
    what: str = ""
    """The part."""
    ordered: bool = True
    """Whether the part is."""


@dataclass(frozen=True, slots=True)
class Order:
    """A part or stock item to order so that it is here before its stage's early date."""

    build: str
    part: str
    by: date
    needed: date
    late: bool
    """The day to order is already past."""


@dataclass(frozen=True, slots=True)
class Overdue:
    """A part that should have come, or outside work that should be back, and is not said to be here."""

    build: str
    stage: str
    """The stage that waits for the part, or that is out."""
    part: str | None
    """None for outside work."""
    expected: date
    """The day it should have been here, for outside work at the latest."""


@dataclass(frozen=True, slots=True)
class Low:
    """A stock item of which no more is left than shop.md calls low."""

    item: str
    left: Decimal
    unit: str | None
    low: Decimal
    coming: date | None
    """The first day on which some that is bought already will be here."""


EARLY = Decimal("0.1")
"""The likelihood of the early date by which what a stage needs must be here."""
SURE = Decimal("0.8")
"""The likelihood at which a date is told as kept."""
LIKELIHOODS = (EARLY, Decimal("0.5"), SURE, Decimal("0.95"))
"""How likely a stage is finished by each of a forecast's four days."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a stage will be finished: days by likelihood; None beyond the horizon."""

    build: str
    stage: str
    p10: date | None
    p50: date | None
    p80: date | None
    p95: date | None


@dataclass(frozen=True, slots=True)
class Whole:
    """When all of a build will be done, its last cure over: days by likelihood; None beyond the horizon."""

    build: str
    p10: date | None
    p50: date | None
    p80: date | None
    p95: date | None


@dataclass(frozen=True, slots=True)
class AtRisk:
    """A due date or promise, and how likely it is to be met."""

    build: str
    due: date
    chance: Decimal
    """Likelihood of meeting it, 0 to 1, in whole percents."""
    late_by: int | None
    """Days late at the 80 % date; None where that lies beyond the plan."""
    stage: str | None
    """The promised stage; None for the build's own due date."""


@dataclass(frozen=True, slots=True)
class Unplaced:
    """What the plan could not place, and why."""

    build: str
    stage: str | None
    """None for a build that has none."""
    why: str


@dataclass(frozen=True, slots=True)
class Learned:
    """What the shop's finished stages say about its estimates."""

    stage: str
    factor: Decimal
    """Actual ÷ estimated hours, pooled toward the shop's mean."""
    finished: int
    rework: Decimal
    """Chance that a pass is done again, 0 to 1."""


Chances = Sequence[tuple[date, int]]
"""Day and the percent of runs in which a stage is finished by its end, where the percent changes; by day."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do, when, and how sure it is."""

    today: date
    days: tuple[PlanDay, ...]
    """From today on, as far as the plan reaches."""
    curing: tuple[Curing, ...]
    order: tuple[Order, ...]
    forecast: tuple[Forecast, ...]
    unplaced: tuple[Unplaced, ...]
    learned: tuple[Learned, ...]
    proof: str
    """One sentence: proved best, or how far from proved, or which list rule."""
    chances: Mapping[tuple[str, str], Chances]
    """By build and stage; read through `chance`."""
    lags: tuple[Lag, ...] = ()
    """Times without hands to come, in the order of the plan; what is out or curing today is under `curing`."""
    overdue: tuple[Overdue, ...] = ()
    """What stages wait for and should be here by now, the longest expected first."""
    low: tuple[Low, ...] = ()
    """What runs low on the shelf, in the order of shop.md."""
    dates: tuple[AtRisk, ...] = ()
    """Every due date and promised day, at risk or not, with its likelihood."""
    wholes: tuple[Whole, ...] = ()
    """Each build that can be done within the plan."""

    @property
    def at_risk(self) -> tuple[AtRisk, ...]:
        """The dates that are not sure to be met."""
        return tuple(one for one in self.dates if one.chance < SURE)

    @property
    def week_end(self) -> date:
        """The last of the seven days that begin today."""
        return self.today + timedelta(days=6)

    def chance(self, build: str, stage: str, day: date) -> Decimal:
        """Likelihood (0 to 1, whole percents) that the stage is finished by the end of `day`; 0 when it is not in the plan."""
        known = self.chances.get((build, stage), ())
        reached = bisect_right(known, day, key=itemgetter(0))
        return Decimal(known[reached - 1][1] if reached else 0) / 100
