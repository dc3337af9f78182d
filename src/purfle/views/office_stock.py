"""The stock page: what lies on the shelf at cost, and what is running low.

Invariant: quantities and values are the books'; only `low:` of shop.md is compared with them.
"""

from dataclasses import dataclass
from decimal import Decimal

from purfle.books.figures import StockLine, Year
from purfle.notes.records.shop import StockItem
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Desk, Figure, Noted, Source
from purfle.views.plots import BarRow, Plot, bars

_DRAWN = 12


@dataclass(frozen=True, slots=True)
class StockRow:
    """One item on the shelf."""

    item: str
    qty: str
    unit: str
    value: Figure
    low: bool
    words: str
    """When to order, in words."""
    source: Source | None


@dataclass(frozen=True, slots=True)
class StockView:
    """The shelf."""

    on: str
    method: str
    rows: tuple[StockRow, ...]
    total: Figure
    low: int
    plot: Plot | None
    noted: tuple[Noted, ...]


def stock_view_of(desk: Desk, year: Year | None) -> StockView:
    """The shelf as the newest year leaves it; empty before the first line of the books."""
    lines = year.stock if year else ()
    known = {named.name.casefold(): named for named in desk.shop.settings.stock.items}
    rows = tuple(_row(desk, line, known) for line in lines)
    total = sum((line.value for line in lines), Decimal(0))
    low = [row for row in rows if row.low]
    return StockView(desk.write.date(year.last if year else desk.today), desk.shop.settings.stock.method, rows, desk.money(total), len(low), _plot(desk, lines), desk.noted(row.source for row in rows))


def _row(desk: Desk, line: StockLine, known: dict) -> StockRow:
    named = known.get(line.item.casefold())
    item: StockItem | None = named.value if named else None
    low = item is not None and item.low is not None and line.qty <= item.low
    words = f"order: {desk.write.number(line.qty)} left, {desk.write.number(item.low)} is low" if low and item else ""
    return StockRow(line.item, desk.write.number(line.qty), line.unit or (item.unit if item else None) or NOTHING, desk.money(line.value), low, words, desk.source(named.at) if named else None)


def _plot(desk: Desk, lines: tuple[StockLine, ...]) -> Plot | None:
    ranked = sorted((line for line in lines if line.value), key=lambda line: (-line.value, line.item))[:_DRAWN]
    if not ranked:
        return None
    rows = [BarRow(line.item, ((line.value, desk.write.plain(line.value), "a"),)) for line in ranked]
    return bars("shelf", "Where the money on the shelf lies", desk.write.currency, rows, ("item", desk.write.currency), says="The dearest items in stock at cost, the dearest first.")
