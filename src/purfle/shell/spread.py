"""The year as CSV and as a workbook.

A cell of text that a spreadsheet would take for a formula begins with an apostrophe in CSV, and is written as text in
the workbook.
Invariant: works nothing out; every value was worked out before.
"""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from typing import BinaryIO

from purfle.base.money import rounded, unit
from purfle.books.figures import Year
from purfle.shell.contract import fixed, plain, source

Cell = str | Decimal | int | None
TABLES = ("figures", "builds", "lines", "stock", "collection")
Table = tuple[tuple[str, ...], list[tuple[Cell, ...]]]


def tables(y: Year) -> dict[str, Table]:
    """The year as named tables: heads and rows."""
    return dict(zip(TABLES, (_figures(y), _builds(y), _lines(y), _stock(y), _collection(y)), strict=True))


def _figures(y: Year) -> Table:
    cogs, tax, held = y.cost_of_goods_sold, y.sales_tax, y.inventory
    rows: list[tuple[str, Decimal]] = [
        ("sales", y.sales),
        ("returns", y.returns),
        ("opening inventory", cogs.opening_inventory),
        ("purchases", cogs.purchases),
        ("materials", cogs.materials),
        ("outside work", cogs.outside_work),
        ("other costs", cogs.other_costs),
        ("closing inventory", cogs.closing_inventory),
        ("cost of goods sold", cogs.total),
        ("of which lost", cogs.of_which_lost),
        ("gross profit", y.gross_profit),
        *((f"expense: {e.kind}", e.amount) for e in y.expenses),
        ("show income", y.show_income),
        ("other income", y.other_income),
        ("net profit", y.net_profit),
        ("deposits held", y.deposits_held),
        ("owed by customers", y.owed_by_customers),
        ("payables", y.payables),
        ("sales tax collected", tax.collected),
        ("sales tax remitted", tax.remitted),
        ("sales tax owed", tax.owed),
        ("partner shares owed", y.partner_shares_owed),
        ("withdrawn", y.withdrawn),
        ("inventory: instruments", held.instruments),
        ("inventory: work in progress", held.work_in_progress),
        ("inventory: stock", held.stock),
        ("inventory: on the way", held.on_the_way),
        ("cash in", y.cash.cash_in),
        ("cash out", y.cash.cash_out),
        ("mileage", y.mileage),
    ]
    lines = {f"expense: {e.kind}": e.form_line for e in y.expenses}
    exact = _amounts(y)
    return ("figure", "amount", "currency", "form line"), [(name, exact(value), y.currency, lines.get(str(name))) for name, value in rows]


def _amounts(y: Year) -> Callable[[Decimal], Decimal]:
    """Gives an amount the currency's own decimals."""
    smallest = unit(y.currency)
    return lambda value: rounded(value, smallest)


def _builds(y: Year) -> Table:
    m = _amounts(y)
    heads = (
        "id",
        "kind",
        "state",
        "cost",
        "revenue",
        "returns",
        "fees",
        "share",
        "profit",
        "margin",
        "hours",
        "profit per hour",
        "days held",
        "carried",
        "estimated",
    )
    return heads, [
        (
            b.id,
            b.kind,
            b.state,
            m(b.cost),
            m(b.revenue),
            m(b.returns),
            m(b.fees),
            m(b.share),
            m(b.profit),
            _rounded(b.margin, 4),
            _rounded(b.hours, 2),
            _rounded(b.profit_per_hour, 2),
            b.days_held,
            m(b.carried),
            "yes" if b.estimated else "no",
        )
        for b in y.builds
    ]


def _lines(y: Year) -> Table:
    heads = ("date", "account", "build", "what", "amount", "estimated", "source")
    m = _amounts(y)
    return heads, [(e.date.isoformat(), e.account, e.build, e.what, m(e.amount), "yes" if e.estimated else "no", source(e.source)) for e in y.lines]


def _stock(y: Year) -> Table:
    return ("item", "qty", "unit", "value"), [(s.item, s.qty, s.unit, _amounts(y)(s.value)) for s in y.stock]


def _collection(y: Year) -> Table:
    m = _amounts(y)
    return ("id", "basis", "proceeds", "gain", "gain counted"), [(c.id, m(c.basis), m(c.proceeds), m(c.gain), m(c.gain_counted)) for c in y.collection]


def _rounded(value: Decimal | None, places: int) -> Decimal | None:
    text = fixed(value, places)
    return None if text is None else Decimal(text)


def as_csv(y: Year, table: str) -> str:
    """One table of the year as CSV (RFC 4180), its heads first."""
    heads, rows = tables(y)[table]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows(map(_csv_cell, row) for row in rows)
    return out.getvalue()


def _csv_cell(cell: Cell) -> str:
    if isinstance(cell, str):
        return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
    return plain(cell) or "" if isinstance(cell, Decimal) else "" if cell is None else str(cell)


def as_xlsx(y: Year, target: BinaryIO) -> None:
    """Write the year as a workbook, one sheet a table.

    A workbook's numbers are binary floats; that is the format's own limit, so amounts are handed over once and no sum
    is made from them here.
    """
    import xlsxwriter

    book = xlsxwriter.Workbook(target, {"strings_to_formulas": False, "strings_to_urls": False, "in_memory": True})
    bold = book.add_format({"bold": True})
    # A fixed day keeps the bytes the same for the same year.
    book.set_properties({"title": f"The year {y.year}", "created": _noon(y)})
    for name, (heads, rows) in tables(y).items():
        _sheet(book.add_worksheet(name), heads, rows, bold)
    book.close()


def _noon(y: Year) -> object:
    from datetime import datetime

    return datetime(y.last.year, y.last.month, y.last.day, 12)


def _sheet(page: object, heads: Sequence[str], rows: Iterable[Sequence[Cell]], bold: object) -> None:
    page.freeze_panes(1, 0)  # type: ignore[attr-defined]
    for column, head in enumerate(heads):
        page.write_string(0, column, head, bold)  # type: ignore[attr-defined]
        page.set_column(column, column, 40 if head == "what" else 18)  # type: ignore[attr-defined]
    for number, row in enumerate(rows, 1):
        for column, cell in enumerate(row):
            if isinstance(cell, str):
                page.write_string(number, column, cell)  # type: ignore[attr-defined]
            elif cell is not None:
                page.write_number(number, column, float(cell))  # type: ignore[attr-defined]
