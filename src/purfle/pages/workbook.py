"""The tables of a year as a workbook, one sheet each.

Numbers are numbers and text is text: a cell that begins with = never becomes a formula but where the table has one.
A spreadsheet holds numbers to 15 digits; that is its own limit.
Invariant: works nothing out.
"""

import io
from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING

from purfle.base.money import places
from purfle.books.figures import Year
from purfle.pages.tables import FIGURES, NOT_ADVICE, RATIOS, TABLES, Cell, Sum, Table, kinds_of

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet


def workbook_of(year: Year) -> bytes:
    """The year as a workbook in the form of Office Open XML; the same year gives the same bytes."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False})
    book.set_properties({"title": f"The year {year.year}", "comments": NOT_ADVICE, "created": datetime(year.last.year, year.last.month, year.last.day)})
    styles = _styles(book, year.currency)
    for name, table_of in TABLES.items():
        _sheet(book.add_worksheet(name), table_of(year), styles)
    book.close()
    return out.getvalue()


def _styles(book: "Workbook", currency: str) -> "Mapping[str, Format]":
    decimals = places(currency)
    money = "#,##0" + ("." + "0" * decimals if decimals else "")
    return {
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
        "money": book.add_format({"num_format": money}),
        "total": book.add_format({"num_format": money, "bold": True, "top": 1}),
        "ratio": book.add_format({"num_format": "0.0 %"}),
        "plain": book.add_format({"num_format": "0.###"}),
        "date": book.add_format({"num_format": "yyyy-mm-dd", "align": "left"}),
    }


def _sheet(sheet: "Worksheet", table: Table, styles: "Mapping[str, Format]") -> None:
    for column, head in enumerate(table.heads):
        sheet.write_string(0, column, head, styles["head"])
        sheet.set_column(column, column, {"source": 48, "what": 30, "figure": 30, "where every amount ended": 30}.get(head, 14))
    sheet.freeze_panes(1, 1)
    for number, row in enumerate(table.rows, 1):
        for column, (cell, head) in enumerate(zip(row, kinds_of(table, row), strict=True)):
            _write(sheet, number, column, cell, head, styles)


def _write(sheet: "Worksheet", row: int, column: int, cell: Cell | Sum, head: str, styles: "Mapping[str, Format]") -> None:
    if isinstance(cell, Sum):
        sheet.write_formula(row, column, cell.formula, styles["total"], float(cell.value))
    elif isinstance(cell, str):
        sheet.write_string(row, column, cell)
    elif isinstance(cell, date):
        sheet.write_datetime(row, column, datetime(cell.year, cell.month, cell.day), styles["date"])
    elif cell is not None:
        style = "ratio" if head in RATIOS else "plain" if head in FIGURES else "money"
        sheet.write_number(row, column, cell, styles[style])  # a Decimal's own digits are written
