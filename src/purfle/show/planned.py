"""What the show asks of the bench plan: the days planned for a stage, and how likely it is done by a day.

The plan is taken by its shape, since bench and show never import each other.
Invariant: plans nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

from purfle.base.names import folded


class PlannedTask(Protocol):
    """Hours planned for one stage on one day."""

    @property
    def build(self) -> str:
        """The build's id."""

    @property
    def stage(self) -> str:
        """The stage's name."""


class PlannedDay(Protocol):
    """One day of the plan."""

    @property
    def date(self) -> date:
        """The day."""

    @property
    def tasks(self) -> Sequence[PlannedTask]:
        """What is planned for it."""


class DateAtRisk(Protocol):
    """A due date or promised stage that may not be met."""

    @property
    def build(self) -> str:
        """The build's id."""

    @property
    def stage(self) -> str | None:
        """The promised stage; None for the build's own due date."""


class BenchPlan(Protocol):
    """The bench plan, as far as the show reads it."""

    @property
    def days(self) -> Sequence[PlannedDay]:
        """From today on."""

    @property
    def at_risk(self) -> Sequence[DateAtRisk]:
        """The dates that the bench may not meet."""

    def chance(self, build: str, stage: str, day: date) -> Decimal:
        """Likelihood, 0 to 1, that the stage is finished by the end of `day`."""


@dataclass(frozen=True, slots=True)
class Span:
    """The first and the last day planned for a stage."""

    first: date
    last: date


def spans(plan: BenchPlan) -> dict[tuple[str, str], Span]:
    """Build and folded stage → its planned days."""
    found: dict[tuple[str, str], Span] = {}
    for day in plan.days:
        for task in day.tasks:
            key = (task.build, folded(task.stage))
            found[key] = Span(found[key].first if key in found else day.date, day.date)
    return found
