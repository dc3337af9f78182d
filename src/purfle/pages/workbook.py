"""The tables of a year as a workbook, one sheet each, after a sheet that says whose they are and how they are meant.

Numbers are numbers and text is text: a cell that begins with = never becomes a formula but where the table has one.
A spreadsheet holds numbers to 15 digits; that is its own limit.
Invariant: works nothing out.
"""

import io
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING

from purfle.base.money import places
from purfle.books.figures import Year
from purfle.books.taxforms import form_title
from purfle.notes.records.shop import ShopSheet
from purfle.pages.table_cells import NOT_ADVICE, Cell, Formula, Sum, Table
from purfle.pages.tables import TABLES, heads_of, kind_of

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

ABOUT = "about"
"""The sheet before the tables."""
_SHEETS = {
    "year": "the year's figures; each one that notes are behind is the sum of its lines",
    "builds": "build by build: what the year brought and took; hours and days held are to date, carried is the cost still held",
    "cash": "money in and out by month, on the day it was paid",
    "stock": "the shelf on the last day, at cost",
    "mileage": "every trip with its rate: an expense outside cash",
    "collection": "the owner's own pieces, apart from the shop's figures; a loss is shown and not counted",
    "balance": "where every amount of all years so far ended: what is owed has a minus; in all it is 0",
    "lines": "every amount with the line of the notes it comes from; one with a minus takes from what its book is named after; “figure of the year” is the row of “year” it counts in; “to or from” is whom the note names",
}


_VALUED = {"first in": "first in, first out", "average": "at average cost"}


def workbook_of(year: Year, shop: ShopSheet) -> bytes:
    """The year of a shop as a workbook in the form of Office Open XML; the same year gives the same bytes."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties(
        {"title": f"{shop.name}: the year {year.year}", "comments": NOT_ADVICE, "created": datetime(year.last.year, year.last.month, year.last.day)}
    )
    styles = _styles(book, year.currency)
    about = book.add_worksheet(ABOUT)
    for number, (name, words) in enumerate(_about(year, shop)):
        about.write_string(number, 0, name, styles["text"])
        about.write_string(number, 1, words, styles["text"])
    about.set_column(0, 0, 20)
    about.set_column(1, 1, 80)
    _print(about, f"{shop.name}, {year.year}", wide=False)
    for name, table_of in TABLES.items():
        sheet = book.add_worksheet(name)
        _sheet(sheet, table_of(year), styles)
        _print(sheet, f"{shop.name}, {year.first} to {year.last}, {year.currency}: {name}", wide=True)
    book.get_worksheet_by_name("year").activate()
    book.close()
    return out.getvalue()


def _about(year: Year, shop: ShopSheet) -> Iterable[tuple[str, str]]:
    yield "business", shop.name
    yield "year", f"{year.year}: {year.first} to {year.last}"
    yield "currency", year.currency
    yield "inventory", f"at cost, landed; stock leaves {_VALUED[shop.stock.method]}"
    yield "sales", "on the day of the sale or delivery, without sales tax, before returns; a deposit is a balance until then"
    if title := form_title(shop):
        yield "tax form line", f"of {title}, or the shop's own; check it against this year's form"
    yield "own labour", "is hours, and no cost"
    yield "estimated", "worked out, and not yet on a bill"
    yield "sources", "file:line of the shop's notes"
    yield "", NOT_ADVICE
    yield from ((f"sheet “{name}”", words) for name, words in _SHEETS.items())


def _styles(book: "Workbook", currency: str) -> "Mapping[str, Format]":
    decimals = places(currency)
    money = "#,##0" + ("." + "0" * decimals if decimals else "")
    looks: Mapping[str, Mapping[str, object]] = {
        "head": {"bold": True, "bottom": 1, "text_wrap": True},
        "text": {"text_wrap": True},
        "money": {"num_format": money},
        "total": {"num_format": money, "bold": True, "top": 1},
        "ratio": {"num_format": "0.0 %"},
        "hundredths": {"num_format": "0.00"},
        "exact": {},
        "date": {"num_format": "yyyy-mm-dd", "align": "left"},
    }
    return {name: book.add_format({"valign": "top", **look}) for name, look in looks.items()}


def _print(sheet: "Worksheet", head: str, wide: bool) -> None:
    """As wide as a page, its heads on every page, and said above whose it is; the paper is the printer's own."""
    if wide:
        sheet.set_landscape()
        sheet.repeat_rows(0)
    sheet.fit_to_pages(1, 0)
    sheet.set_header(f"&L{head.replace('&', '&&')[:_HEADER]}")
    sheet.set_footer(f"&L{NOT_ADVICE}&R&P / &N")


_HEADER = 240
"""Characters of a header that a spreadsheet takes are 255 (ECMA-376, part 1, 18.3.1.46, as the programs hold it)."""


def _sheet(sheet: "Worksheet", table: Table, styles: "Mapping[str, Format]") -> None:
    for column, head in enumerate(table.heads):
        sheet.write_string(0, column, head, styles["head"])
        sheet.set_column(column, column, _WIDTHS.get(head, 14))
    sheet.freeze_panes(1, 1)
    if not any(isinstance(cell, Formula) for row in table.rows for cell in row):  # sorting or hiding rows would leave a sum behind
        sheet.autofilter(0, 0, len(table.rows), len(table.heads) - 1)
    if "tax form line" in table.heads:
        sheet.ignore_errors({"number_stored_as_text": f"C2:C{len(table.rows) + 1}"})  # it is a name: 1, 20b
    for number, row in enumerate(table.rows, 1):
        for column, (cell, head) in enumerate(zip(row, heads_of(table, row), strict=True)):
            _write(sheet, number, column, cell, head, styles)


_WIDTHS = {"source": 48, "what": 30, "figure": 30, "figure of the year": 22, "to or from": 22, "where every amount ended": 30}


def _write(sheet: "Worksheet", row: int, column: int, cell: Cell | Formula, head: str, styles: "Mapping[str, Format]") -> None:
    if isinstance(cell, Formula):
        sheet.write_formula(row, column, cell.formula, styles["total" if isinstance(cell, Sum) else "money"], float(cell.value))
    elif isinstance(cell, str):
        if cell:
            sheet.write_string(row, column, cell, styles["text"])
    elif isinstance(cell, date):
        sheet.write_datetime(row, column, datetime(cell.year, cell.month, cell.day), styles["date"])
    elif cell is not None:
        sheet.write_number(row, column, cell, styles[kind_of(head)])  # a Decimal's own digits are written
