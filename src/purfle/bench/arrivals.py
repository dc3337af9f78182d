"""What a stage waits for and when it is expected: parts of the bill of materials, and stock that has run out.

Invariant: knows what was said up to the day asked for; a later arrival is not looked at.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.times import Wait
from purfle.bench.calendar import index_of
from purfle.bench.shelf import Shelf
from purfle.bench.steps import Waiting
from purfle.notes.records.build import BuildSheet, Part
from purfle.notes.records.shop import ShopSheet, StockItem
from purfle.progress.model import RouteStage
from purfle.progress.routes import waits_for
from purfle.progress.states import expected_in, is_here

LEAD = 10
"""Days a part takes to come where no lead is written; a guess, told as such in the reference."""
LATE = 0.2
"""Chance that a part is late where the supplier's is not written; a guess."""
OVERDUE = 0.5
"""Chance that what should have come already does not come the next day either, at least; a guess."""


def delay_of(days: float) -> float:
    """Days that what usually takes, or has taken, so many is late by, on average, when it is late: a quarter as many, two at least; a guess."""
    return max(2.0, days / 4)


@dataclass(frozen=True, slots=True)
class Supply:
    """What the shop's settings say of suppliers and stock, and what is on the shelf."""

    suppliers: Mapping[str, tuple[Wait | None, float]]
    """Folded name → lead and chance of being late."""
    items: Mapping[str, StockItem]
    shelf: Shelf
    today: date


def supply_of(settings: ShopSheet, shelf: Shelf, today: date) -> Supply:
    """The shop's supply on a day."""
    suppliers = {folded(s.name): (s.value.lead, LATE if s.value.late is None else float(s.value.late) / 100) for s in settings.suppliers}
    return Supply(suppliers, {folded(item.name): item.value for item in settings.stock.items}, shelf, today)


def waiting_of(sheet: BuildSheet, stage: RouteStage, supply: Supply, begun: bool) -> Iterator[Waiting | str]:
    """Each thing the stage waits for; words instead where nobody knows when it comes.

    A stage that is begun has the stock it needs, for it may be that which used it up; its parts can still be missing.
    """
    parts = [part for part in sheet.parts if waits_for(stage, part)]
    for part in parts:
        if not is_here(part, supply.today):
            yield part_waiting(part, supply)
    named = {folded(part.part) for part in sheet.parts}
    for need in () if begun else stage.needs:
        if folded(need) not in named and (waiting := _stock_waiting(need, supply)) is not None:
            yield waiting


def part_waiting(part: Part, supply: Supply) -> Waiting | str:
    """When a part that is not here is expected."""
    today = supply.today
    lead, late = _lead(part.lead, part.origin, supply)
    placed = part.ordered or part.paid  # what is paid was ordered by then
    ordered = placed is not None and placed <= today
    if part.eta is not None:
        day = index_of(today, part.eta)
    elif ordered and placed is not None:
        day = index_of(today, placed) + lead
    elif part.how == "bought":
        day = lead
    else:
        return f"it waits for {part.part} ({part.how}) and no day is known; write its eta"
    delay = delay_of(lead)
    if day < 0 or (day == 0 and part.eta is None):
        # Overdue: it may come any day, and may well not; the longer it has not come, the longer it is still expected to take.
        return Waiting(part.part, expected_in(-day), max(late, OVERDUE), delay_of(max(lead, -day)), lead, True, -day)
    return Waiting(part.part, day, late, delay, lead, ordered or part.eta is not None or part.how != "bought")


def _lead(written: Wait | None, origin: str | None, supply: Supply) -> tuple[int, float]:
    usual, late = supply.suppliers.get(folded(origin or ""), (None, LATE))
    lead = written or usual
    return (LEAD if lead is None else max(lead.days, 1)), late


def _stock_waiting(need: str, supply: Supply) -> Waiting | None:
    item = supply.items.get(folded(need))
    if (item is not None and not item.counted) or supply.shelf.held.get(folded(need), Decimal(0)) > 0:
        return None
    lead, late = _lead(None, item.supplier if item is not None else None, supply)
    coming = supply.shelf.coming.get(folded(need))
    return Waiting(need, lead if coming is None else index_of(supply.today, coming), late, delay_of(lead), lead, coming is not None)
