"""The year for an accountant as tables, whose totals are formulas over their own cells; and each as CSV. The workbook is in `workbook`.

Text is text: in CSV a cell that begins with =, +, - or @ is kept by an apostrophe from becoming a formula, and a control is written out.
Invariant: works nothing out beyond the sums a table shows of its own rows.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.money import places, rounded
from purfle.base.place import Place
from purfle.books.figures import BuildRow, Line, Year

Cell = str | Decimal | int | date | None
NOT_ADVICE = "Worked out from the shop's notes. Not tax advice: ask a licensed preparer."


HOURS = "hours worked, no amount"
"""The one figure in the year's column of amounts that is none."""


@dataclass(frozen=True, slots=True)
class Sum:
    """A cell that is worked out from others of its table, with what it comes to."""

    formula: str
    value: Decimal


@dataclass(frozen=True, slots=True)
class Table:
    """A table: heads and rows."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell | Sum, ...], ...]


def _source(place: Place) -> str:
    return f"{place.file}:{place.line}" if place.file else ""


# --- the year ----------------------------------------------------------------------------------------------------------


def _year(year: Year) -> Table:
    """The year as a statement; column B holds amounts, and every total is a formula over it."""
    cost, form, first = year.cost_of_goods_sold, dict(year.form_lines), 2
    rows: list[tuple[Cell | Sum, ...]] = [
        ("sales", year.sales, form.get("sales"), _behind(year.lines, "sales")),
        ("returns", year.returns, form.get("returns"), _behind(year.lines, "returns")),
        ("opening inventory", cost.opening_inventory, form.get("opening_inventory"), "last year's closing inventory"),
        ("purchases", cost.purchases, form.get("purchases"), _behind(year.lines, "inventory", flows=("purchases", "withdrawn"))),
        ("materials", cost.materials, form.get("materials"), _behind(year.lines, "inventory", flows=("materials",))),
        ("outside work", cost.outside_work, form.get("outside_work"), _behind(year.lines, "inventory", flows=("outside work",))),
        ("other costs", cost.other_costs, form.get("other_costs"), _behind(year.lines, "inventory", flows=("other costs",))),
        ("closing inventory", cost.closing_inventory, form.get("closing_inventory"), "sheets builds and stock"),
        ("cost of goods sold", Sum("=SUM(B4:B8)-B9", cost.total), form.get("cost_of_goods_sold"), _behind(year.lines, "cost of goods sold")),
        ("of which lost", cost.of_which_lost, None, _behind(year.lines, "cost of goods sold", "lost")),
        ("gross profit", Sum("=B2-B3-B10", year.gross_profit), form.get("gross_profit"), ""),
    ]
    start = len(rows) + first
    rows += [(f"expense: {e.kind}", e.amount, e.form_line, _behind(year.lines, "expenses", e.kind)) for e in year.expenses]
    spent = sum((e.amount for e in year.expenses), Decimal(0))
    total = f"=SUM(B{start}:B{len(rows) + first - 1})" if year.expenses else "=0"
    rows += [
        ("expenses", Sum(total, spent), None, ""),
        ("show income", year.show_income, form.get("show_income"), _behind(year.lines, "show income")),
        ("other income", year.other_income, form.get("other_income"), _behind(year.lines, "other income")),
    ]
    last = len(rows) + first - 1
    rows.append(("net profit", Sum(f"=B12-B{last - 2}+B{last - 1}+B{last}", year.net_profit), form.get("net_profit"), NOT_ADVICE))
    marked = ((*row, "estimated" if row[0] in year.estimates else "") for row in (*rows, *_beside(year)))
    return Table(("figure", f"amount in {year.currency}", "tax form line", "source", "estimated"), tuple(marked))


def _beside(year: Year) -> Iterable[tuple[Cell, ...]]:
    tax, held = year.sales_tax, year.inventory
    figures: Mapping[str, Decimal] = {
        HOURS: year.hours,
        "deposits held": year.deposits_held,
        "owed by customers": year.owed_by_customers,
        "payables": year.payables,
        "sales tax collected": tax.collected,
        "sales tax remitted": tax.remitted,
        "sales tax owed": tax.owed,
        "reclaimable tax": year.tax_reclaimable,
        "partner shares owed": year.partner_shares_owed,
        **{f"partner shares owed: {partner.words}": partner.owed for partner in year.partners},
        "withdrawn": year.withdrawn,
        "inventory: instruments": held.instruments,
        "inventory: work in progress": held.work_in_progress,
        "inventory: stock": held.stock,
        "inventory: on the way": held.on_the_way,
    }
    return [(name, value, None, "") for name, value in figures.items()]


def _behind(lines: Iterable[Line], book: str, account: str | None = None, flows: Sequence[str] = ()) -> str:
    """The notes behind a figure: each file and line once, the first six of many (the sheet of lines has all)."""
    return _sources(line.source for line in lines if line.book == book and account in (None, line.account) and (not flows or line.flow in flows))


def _sources(places: Iterable[Place]) -> str:
    found = list(dict.fromkeys(map(_source, places)))
    more = f" and {len(found) - 6} more" if len(found) > 6 else ""
    return ", ".join(found[:6]) + more


# --- the other tables --------------------------------------------------------------------------------------------------


def _letter(column: int) -> str:
    """What a spreadsheet calls a column, of the first 26."""
    return chr(ord("A") + column)


def _total(rows: Sequence[tuple[Cell, ...]], column: int) -> Sum:
    letter = _letter(column)
    value = sum((amount for row in rows if isinstance(amount := row[column], Decimal)), Decimal(0))
    return Sum(f"=SUM({letter}2:{letter}{len(rows) + 1})" if rows else "=0", value)


def _with_totals(rows: Sequence[tuple[Cell, ...]], columns: Iterable[int], width: int) -> tuple[tuple[Cell | Sum, ...], ...]:
    """The rows and one of totals under them."""
    summed = set(columns)
    return (*rows, tuple("total" if n == 0 else _total(rows, n) if n in summed else None for n in range(width)))


_OF_BUILDS: dict[str, Callable[[BuildRow], Cell]] = {
    "build": lambda b: b.id,
    "kind": lambda b: b.kind,
    "state": lambda b: b.state,
    "revenue": lambda b: b.revenue,
    "returns": lambda b: b.returns,
    "fees": lambda b: b.fees,
    "share": lambda b: b.share,
    "cost": lambda b: b.cost,
    "profit": lambda b: b.profit,
    "margin": lambda b: b.margin,
    "markup": lambda b: b.markup,
    "hours": lambda b: b.hours,
    "profit per hour": lambda b: b.profit_per_hour,
    "days held": lambda b: b.days_held,
    "carried": lambda b: b.carried,
    "estimated": lambda b: "estimated" if b.estimated else "",
    "source": lambda b: ", ".join(dict.fromkeys(_source(line.source) for line in b.lines)),
}
"""Head → what stands under it."""
_COLUMN = {head: column for column, head in enumerate(_OF_BUILDS)}


def _builds(year: Year) -> Table:
    rows = [tuple(cell(build) for cell in _OF_BUILDS.values()) for build in year.builds]
    summed = [_COLUMN[head] for head in ("revenue", "returns", "fees", "share", "cost", "profit", "carried")]
    totalled = _with_totals(rows, summed, len(_OF_BUILDS))
    at = _COLUMN["profit"]
    return Table(tuple(_OF_BUILDS), tuple((*row[:at], _profit(number, row[at]), *row[at + 1 :]) for number, row in enumerate(totalled, 2)))


def _profit(number: int, profit: Cell | Sum) -> Cell | Sum:
    """A build's profit as a formula over its own row; the total of all is a sum already."""
    cells = [f"{_letter(_COLUMN[head])}{number}" for head in ("revenue", "returns", "fees", "share", "cost")]
    return Sum(f"={'-'.join(cells)}", profit) if isinstance(profit, Decimal) else profit


def _cash(year: Year) -> Table:
    months = [(m.month, m.cash_in, m.cash_out) for m in year.cash.months]
    moved: dict[str, list[Place]] = {}
    for line in year.lines:
        if line.book == "cash":
            moved.setdefault(f"{line.date.year}-{line.date.month:02}", []).append(line.source)
    rows = [(*row, Sum(f"=B{n}-C{n}", row[1] - row[2]), _sources(moved.get(row[0], ()))) for n, row in enumerate(months, 2)]
    total = ("total", _total(months, 1), _total(months, 2), Sum(f"=B{len(rows) + 2}-C{len(rows) + 2}", year.cash.cash_in - year.cash.cash_out), "")
    return Table(("month", "in", "out", "left", "source"), (*rows, total))


def _stock(year: Year) -> Table:
    return Table(
        ("item", "quantity", "unit", "value", "source"),
        _with_totals([(s.item, s.qty, s.unit, s.value, _sources(s.sources)) for s in year.stock], (3,), 5),
    )


def _mileage(year: Year) -> Table:
    rows = [(t.date, t.why, t.distance, t.unit, t.rate, t.amount, _source(t.source)) for t in year.trips]
    totals = (2, 5) if len({t.unit for t in year.trips}) < 2 else (5,)  # miles and kilometres make no sum
    return Table(("date", "why", "distance", "unit", "rate", "amount", "source"), _with_totals(rows, totals, 7))


def _collection(year: Year) -> Table:
    rows = [(c.id, c.basis, c.proceeds, c.gain, c.gain_counted, "estimated" if c.estimated else "") for c in year.collection]
    return Table(("piece", "basis", "proceeds", "gain", "gain counted", "estimated"), _with_totals(rows, (1, 2, 3, 4), 6))


def _balance(year: Year) -> Table:
    return Table(("where every amount ended", "amount"), _with_totals([(b.what, b.amount) for b in year.balance], (1,), 2))


def _lines(year: Year) -> Table:
    heads = ("date", "book", "account", "build", "what", "amount", "estimated", "source")
    rows = [(e.date, e.book, e.account, e.build, e.what, e.amount, "estimated" if e.estimated else "", _source(e.source)) for e in year.lines]
    return Table(heads, tuple(rows))


TABLES: dict[str, Callable[[Year], Table]] = {
    "year": _year,
    "builds": _builds,
    "cash": _cash,
    "stock": _stock,
    "mileage": _mileage,
    "collection": _collection,
    "balance": _balance,
    "lines": _lines,
}
"""The tables of a year by name, in their order."""


# --- CSV ---------------------------------------------------------------------------------------------------------------


def csv_of(year: Year, name: str = "year") -> str:
    """One table as CSV (RFC 4180): amounts with the currency's decimals. Raises KeyError for a name that is no table's."""
    table = TABLES[name](year)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(table.heads)
    writer.writerows([_text(cell, head, year.currency) for cell, head in zip(row, kinds_of(table, row), strict=True)] for row in table.rows)
    return out.getvalue()


def shown_of(year: Year, name: str) -> tuple[tuple[str, ...], list[tuple[str, ...]], frozenset[int]]:
    """One table to read in a terminal: heads, rows as CSV has them, and the columns that hold figures. Raises KeyError for a name that is no table's."""
    table = TABLES[name](year)
    rows = [tuple(_text(cell, head, year.currency).removeprefix("'") for cell, head in zip(row, kinds_of(table, row), strict=True)) for row in table.rows]
    figures = {n for row in table.rows for n, cell in enumerate(row) if isinstance(cell, Decimal | Sum)}
    return table.heads, rows, frozenset(figures)


def kinds_of(table: Table, row: Sequence[Cell | Sum]) -> tuple[str, ...]:
    """The heads a row's cells count under: those of the table, but that its hours are no amount."""
    return ("figure", "hours", *table.heads[2:]) if row[0] == HOURS else table.heads


RATIOS = ("margin", "markup")
FIGURES = ("hours", "distance", "quantity", "rate", "days held")
"""Heads of figures that are no amounts; under any other head, a figure is one."""
_PLACES = {"margin": 4, "markup": 4, "hours": 2, "distance": 2}
_EXACT = frozenset(FIGURES) - _PLACES.keys()
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
"""What RFC 4180 has in no field and a terminal would obey; a tab and a line's end are left."""


def _text(cell: Cell | Sum, head: str, currency: str) -> str:
    value = cell.value if isinstance(cell, Sum) else cell
    if isinstance(value, str):
        plain = _CONTROLS.sub(lambda control: f"\\x{ord(control[0]):02x}", value)
        return "'" + plain if value[:1] in ("=", "+", "-", "@", "\t", "\r") else plain
    if isinstance(value, Decimal) and head not in _EXACT:
        return f"{rounded(value, _smallest(head, currency)):f}"
    return f"{value:f}" if isinstance(value, Decimal) else "" if value is None else str(value)


def _smallest(head: str, currency: str) -> Decimal:
    return Decimal(1).scaleb(-_PLACES.get(head, places(currency)))
