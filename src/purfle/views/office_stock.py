"""The stock page: what lies on the shelf at cost, and what is running low.

Invariant: quantities and values are the books'; what is low is the plan's to say.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.names import folded
from purfle.bench.model import Low
from purfle.books.figures import Line, StockLine, Year
from purfle.notes.records.shop import StockItem
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Figure, Noted, OfficeDesk, Source
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
    last_in: str
    """The day something of it last came in."""
    source: Source | None
    """The note that says so."""


@dataclass(frozen=True, slots=True)
class StockView:
    """The shelf."""

    on: str
    method: str
    rows: tuple[StockRow, ...]
    total: Figure
    low: tuple[str, ...]
    """The items that run low."""
    plot: Plot | None
    noted: tuple[Noted, ...]


def stock_view_of(desk: OfficeDesk, years: Sequence[Year]) -> StockView:
    """The shelf as the newest year (the first) leaves it, and what is low and used up; empty before the first line of the books."""
    held = years[0].stock if years else ()
    short, on_shelf = {folded(item.item): item for item in desk.plan.low}, {folded(line.item) for line in held}
    used_up = [StockLine(item.item, item.left, Decimal(0), item.unit) for name, item in short.items() if name not in on_shelf]
    lines = tuple(sorted((*held, *used_up), key=lambda line: folded(line.item))) if used_up else held
    known = {folded(named.name): named.value for named in desk.shop.settings.stock.items}
    came = _last_in(years)
    rows = tuple(_row(desk, line, known.get(folded(line.item)), short.get(folded(line.item)), came.get(folded(line.item))) for line in lines)
    total = sum((line.value for line in lines), Decimal(0))
    on = years[0].last if years else desk.today
    return StockView(
        desk.write.date(on),
        desk.shop.settings.stock.method,
        rows,
        desk.money(total),
        tuple(row.item for row in rows if row.low),
        _plot(desk, lines),
        desk.noted(row.source for row in rows),
    )


def _last_in(years: Sequence[Year]) -> dict[str, Line]:
    """Item, folded → the last line that put some of it on the shelf."""
    arrived = [line for year in years for line in year.lines if line.book == "inventory" and line.account == "stock" and line.amount > 0]
    return {folded(line.what): line for line in sorted(arrived, key=lambda line: line.date)}


def _row(desk: OfficeDesk, line: StockLine, item: StockItem | None, low: Low | None, came: Line | None) -> StockRow:
    words = "" if low is None else f"{_quantity(desk, low.left)} left, {_quantity(desk, low.low)} is low"
    if low is not None:
        words = f"{words}; more is here on {desk.write.date(low.coming)}" if low.coming else f"order: {words}"
    unit = line.unit or (item.unit if item else None) or NOTHING
    return StockRow(
        item=line.item,
        qty=_quantity(desk, line.qty),
        unit=unit,
        value=desk.money(line.value),
        low=low is not None,
        words=words,
        last_in=desk.write.date(came.date if came else None),
        source=desk.source(came.source) if came else None,
    )


def _quantity(desk: OfficeDesk, qty: Decimal) -> str:
    """As it was noted, a third of a can among it: rounded to hundredths it would be another than in the year's tables."""
    return desk.write.number(qty, 3)


def _plot(desk: OfficeDesk, lines: tuple[StockLine, ...]) -> Plot | None:
    ranked = sorted((line for line in lines if line.value), key=lambda line: (-line.value, line.item))[:_DRAWN]
    if not ranked:
        return None
    rows = [BarRow(line.item, ((line.value, desk.write.plain(line.value), "a"),)) for line in ranked]
    says, currency = "The items in stock worth most at cost, the dearest first.", desk.write.currency
    return bars("shelf", "Where the money on the shelf is", currency, rows, ("item", currency), desk.write.number, says=says)
