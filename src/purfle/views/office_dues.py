"""Due dates and promised days that are still to come: the same on the week's page, in the timeline and in the calendar file.

Invariant: what has left the shop is due no more; what was promised on air is, until it is kept or taken back.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from purfle.show.model import PromiseState
from purfle.views.office_desk import OfficeDesk
from purfle.views.office_show_promises import spoken


@dataclass(frozen=True, slots=True)
class DueDay:
    """A day by which something is to be done or shown."""

    build: str | None
    """None for a promise in words."""
    stage: str
    """What was promised; empty for the build's own due date."""
    day: date
    words: str


def due_days(desk: OfficeDesk) -> tuple[DueDay, ...]:
    """Every such day from today on, by day; of promises to show the same, the first day alone."""
    found = [*_builds(desk), *(_promised(desk, p, p.due) for p in desk.show.unmet if p.due is not None and p.due >= desk.today)]
    first: dict[tuple[str | None, str, str], DueDay] = {}
    for due in sorted(found, key=lambda due: (due.day, due.build or "", due.stage, due.words)):
        first.setdefault((due.build, due.stage, "" if due.build else due.words), due)
    return tuple(first.values())


def _builds(desk: OfficeDesk) -> Iterator[DueDay]:
    for build in desk.shop.builds:
        due = build.sheet.due
        if due is not None and due >= desk.today and desk.progress[build.id].closed_on is None:
            yield DueDay(build.id, "", due, f"{desk.titles[build.id]} is due")


def _promised(desk: OfficeDesk, promise: PromiseState, day: date) -> DueDay:
    if promise.build is None:
        return DueDay(None, promise.do, day, f"{spoken(promise)} due, promised on air")
    return DueDay(promise.build, promise.do, day, f"{desk.titles[promise.build]}: {promise.do} due, promised on air")
