"""The year for an accountant as tables, whose totals are formulas over cells; and each as CSV. The workbook is in `workbook`.

Text is text: in CSV a cell that begins with =, +, - or @ is kept by an apostrophe from becoming a formula, and a control is written out.
Invariant: works nothing out beyond the sums that tables show of their rows.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from purfle.base.groups import grouped
from purfle.base.money import places, rounded
from purfle.books.figures import BuildRow, Year
from purfle.books.ledger import Book
from purfle.pages.table_cells import HOURS, Cell, Formula, Sum, Table, source_of, sources
from purfle.pages.table_year import figure_of, year_table


def _letter(column: int) -> str:
    """What a spreadsheet calls a column, of the first 26."""
    return chr(ord("A") + column)


def _total(rows: Sequence[tuple[Cell, ...]], column: int) -> Sum:
    letter = _letter(column)
    value = sum((amount for row in rows if isinstance(amount := row[column], Decimal)), Decimal(0))
    return Sum(f"=SUM({letter}2:{letter}{len(rows) + 1})" if rows else "=0", value)


def _totalled(heads: Iterable[str], rows: Sequence[tuple[Cell, ...]], *summed: str) -> Table:
    """A table with a row of totals under the columns of some heads."""
    named = tuple(heads)
    totals = ("total", *(_total(rows, n) if head in summed else None for n, head in enumerate(named[1:], 1)))
    return Table(named, (*rows, totals))


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
    "source": lambda b: ", ".join(dict.fromkeys(source_of(line.source) for line in b.lines)),
}
"""Head → what stands under it."""
_COLUMN = {head: column for column, head in enumerate(_OF_BUILDS)}


def _builds(year: Year) -> Table:
    rows = [tuple(cell(build) for cell in _OF_BUILDS.values()) for build in year.builds]
    table = _totalled(_OF_BUILDS, rows, *_PROFIT, "profit", "carried")
    at = _COLUMN["profit"]
    return replace(table, rows=tuple((*row[:at], _profit(number, row[at]), *row[at + 1 :]) for number, row in enumerate(table.rows, 2)))


_PROFIT = ("revenue", "returns", "fees", "share", "cost")
"""What a profit is worked out from: the first less the others."""


def _profit(number: int, profit: Cell | Formula) -> Cell | Formula:
    """A build's profit as a formula over its own row; the total of all is a sum already."""
    cells = [f"{_letter(_COLUMN[head])}{number}" for head in _PROFIT]
    return Formula(f"={'-'.join(cells)}", profit) if isinstance(profit, Decimal) else profit


def _cash(year: Year) -> Table:
    months = [(m.month, m.cash_in, m.cash_out) for m in year.cash.months]
    moved = grouped((line for line in year.lines if line.book == Book.CASH.value), lambda line: f"{line.date.year}-{line.date.month:02}")
    rows = [(*row, Formula(f"=B{n}-C{n}", row[1] - row[2]), sources(line.source for line in moved.get(row[0], ()))) for n, row in enumerate(months, 2)]
    total = ("total", _total(months, 1), _total(months, 2), Sum(f"=B{len(rows) + 2}-C{len(rows) + 2}", year.cash.cash_in - year.cash.cash_out), "")
    return Table(("month", "in", "out", "left", "source"), (*rows, total))


def _stock(year: Year) -> Table:
    rows = [(s.item, s.qty, s.unit, s.value, sources(s.sources)) for s in year.stock]
    return _totalled(("item", "quantity", "unit", "value", "source"), rows, "value")


def _mileage(year: Year) -> Table:
    rows = [(t.date, t.why, t.distance, t.unit, t.rate, t.amount, source_of(t.source)) for t in year.trips]
    far = ["distance"] if len({t.unit for t in year.trips}) < 2 else []  # miles and kilometres make no sum
    return _totalled(("date", "why", "distance", "unit", "rate", "amount", "source"), rows, *far, "amount")


def _collection(year: Year) -> Table:
    behind = {c.id: sources(line.source for line in year.lines if line.book == Book.COLLECTION.value and line.build == c.id) for c in year.collection}
    rows = [(c.id, c.basis, c.proceeds, c.gain, c.gain_counted, "estimated" if c.estimated else "", behind[c.id]) for c in year.collection]
    summed = ("basis", "proceeds", "gain", "gain counted")
    return _totalled(("piece", *summed, "estimated", "source"), rows, *summed)


def _balance(year: Year) -> Table:
    return _totalled(("where every amount ended", "amount"), [(b.what, b.amount) for b in year.balance], "amount")


def _lines(year: Year) -> Table:
    heads = ("date", "book", "account", "build", "what", "amount", "figure of the year", "estimated", "to or from", "source")
    rows = (
        (e.date, e.book, e.account, e.build, e.what, e.amount, figure_of(e), "estimated" if e.estimated else "", e.who, source_of(e.source)) for e in year.lines
    )
    return Table(heads, tuple(rows))


TABLES: dict[str, Callable[[Year], Table]] = {
    "year": year_table,
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
    writer.writerows([_guarded(cell, head, year.currency) for cell, head in zip(row, heads_of(table, row), strict=True)] for row in table.rows)
    return out.getvalue()


def shown_of(year: Year, name: str) -> tuple[tuple[str, ...], list[tuple[str, ...]], frozenset[int]]:
    """One table to read in a terminal: heads, rows as CSV has them, and the columns that hold figures. Raises KeyError for a name that is no table's."""
    table = TABLES[name](year)
    rows = [tuple(_text(cell, head, year.currency) for cell, head in zip(row, heads_of(table, row), strict=True)) for row in table.rows]
    figures = {n for row in table.rows for n, cell in enumerate(row) if isinstance(cell, Decimal | Formula)}
    return table.heads, rows, frozenset(figures)


def heads_of(table: Table, row: Sequence[Cell | Formula]) -> tuple[str, ...]:
    """The heads a row's cells count under: those of the table, but that its hours are no amount."""
    return ("figure", "hours", *table.heads[2:]) if row[0] == HOURS else table.heads


_KINDS = {
    "margin": "ratio",
    "markup": "ratio",
    "hours": "hundredths",
    "distance": "hundredths",
    "quantity": "exact",
    "rate": "exact",
    "days held": "exact",
}
_PLACES = {"ratio": 4, "hundredths": 2}


def kind_of(head: str) -> str:
    """What a figure under a head is: a ratio, rounded to hundredths, exact, or money as under most."""
    return _KINDS.get(head, "money")


_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
"""What RFC 4180 has in no field and a terminal would obey; a tab and a line's end are left."""


def _guarded(cell: Cell | Formula, head: str, currency: str) -> str:
    begins_a_formula = isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r")
    return ("'" if begins_a_formula else "") + _text(cell, head, currency)


def _text(cell: Cell | Formula, head: str, currency: str) -> str:
    value = cell.value if isinstance(cell, Formula) else cell
    if isinstance(value, str):
        return _CONTROLS.sub(lambda control: f"\\x{ord(control[0]):02x}", value)
    if not isinstance(value, Decimal):
        return "" if value is None else str(value)
    kind = kind_of(head)
    if kind == "exact":
        return f"{value.normalize() if head == 'quantity' else value:f}"  # one figure, however it was typed or summed up; a rate stands as it is written
    return f"{rounded(value, Decimal(1).scaleb(-_PLACES.get(kind, places(currency)))):f}"
