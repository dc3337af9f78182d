"""The workbook's formulas, worked out again from its cells, come to what the workbook keeps and what `year` prints."""

import contextlib
import io
import json
from decimal import Decimal
from typing import Any

import openpyxl
import pytest
from demo_shop import DAY, notes
from openpyxl.workbook import Workbook
from shop_texts import put
from spreadsheet import Refused, worked_out

from purfle.shell.cli import run

YEARS = ("2025", "2026")


@pytest.fixture(scope="module", params=YEARS)
def year(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Workbook, Workbook, dict[str, Any]]:
    """The workbook of a year of the demo with its formulas, the same with their results, and what the command prints; no figure asks for pictures."""
    shop = put(tmp_path_factory.mktemp("demo"), notes())
    ask = ["year", request.param, "--shop", str(shop), "--today", DAY]
    assert run([*ask, "--xlsx", str(shop / "year.xlsx")]) == 0
    with contextlib.redirect_stdout(io.StringIO()) as said:
        assert run([*ask, "--json"]) == 0
    written, shown = (openpyxl.load_workbook(shop / "year.xlsx", data_only=results) for results in (False, True))
    return written, shown, json.loads(said.getvalue())


def formulas(book: Workbook) -> list[Any]:
    return [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]


def test_every_formula_comes_to_the_result_beside_it(year: Any) -> None:
    written, shown, _ = year
    found = formulas(written)
    assert {cell.parent.title for cell in found} == {"year", "builds", "cash", "stock", "mileage", "collection", "balance"}
    for cell in found:
        kept = shown[cell.parent.title][cell.coordinate].value
        assert worked_out(written, cell.parent, cell.value) == Decimal(str(kept)), f"{cell.parent.title}!{cell.coordinate} {cell.value}"


def total(book: Workbook, sheet: str, row: str, column: int) -> Decimal:
    """What the formula in a column of the row of that name comes to."""
    (found,) = [cells[column] for cells in book[sheet].iter_rows() if cells[0].value == row]
    assert found.data_type == "f", f"{sheet}, {row}: no formula"
    return worked_out(book, book[sheet], found.value)


def test_the_totals_are_those_the_command_prints(year: Any) -> None:
    book, _, said = year
    spent = sum(Decimal(amount) for amount in said["expenses"].values())
    rows = [
        ("cost of goods sold", said["cost_of_goods_sold"]["total"]),
        ("gross profit", said["gross_profit"]),
        ("expenses", spent),
        ("net profit", said["net_profit"]),
    ]
    assert [total(book, "year", name, 1) for name, _ in rows] == [Decimal(amount) for _, amount in rows]
    assert [total(book, "cash", "total", n) for n in (1, 2)] == [Decimal(said["cash"]["in"]), Decimal(said["cash"]["out"])]
    assert total(book, "stock", "total", 3) == Decimal(said["inventory"]["stock"])


def test_every_figure_that_notes_are_behind_is_the_sum_of_its_lines(year: Any) -> None:
    """So that an accountant can filter the sheet of lines by a figure and find what makes it up."""
    book, _, said = year
    cost = said["cost_of_goods_sold"]
    figures = {"sales": said["sales"], "show income": said["show_income"], "purchases": cost["purchases"], "closing inventory": cost["closing_inventory"]}
    figures |= {name: cost[name.replace(" ", "_")] for name in ("materials", "outside work")}
    figures |= {f"expense: {kind}": amount for kind, amount in said["expenses"].items()}
    assert {name: total(book, "year", name, 1) for name in figures} == {name: Decimal(amount) for name, amount in figures.items()}


def test_the_goods_sold_come_to_the_same_sale_by_sale(year: Any) -> None:
    book, _, said = year
    rows = book["lines"].iter_rows(min_row=2, values_only=True)
    assert sum((Decimal(str(row[5])) for row in rows if row[6] == "cost of goods sold"), Decimal(0)) == Decimal(said["cost_of_goods_sold"]["total"])


def test_the_builds_and_the_collection_are_those_the_command_prints(year: Any) -> None:
    book, _, said = year
    for column, name in ((3, "revenue"), (7, "cost"), (8, "profit"), (14, "carried")):
        assert total(book, "builds", "total", column) == sum(Decimal(row[name]) for row in said["builds"])
    for column, name in ((1, "basis"), (2, "proceeds"), (3, "gain"), (4, "gain_counted")):
        assert total(book, "collection", "total", column) == sum(Decimal(row[name]) for row in said["collection"])
    assert total(book, "balance", "total", 1) == 0, "the whole adds up"


def sheet(*rows: tuple[object, ...]) -> Any:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    return book, book.active


def test_a_changed_cell_changes_what_the_formulas_come_to() -> None:
    book, cells = sheet((1, 2), ("words", None), ("=SUM(A1:B2)", "=A3-B1+Sheet!A1"))
    assert [worked_out(book, cells, cells[name].value) for name in ("A3", "B3")] == [3, 2]
    cells["A1"] = 5
    assert [worked_out(book, cells, cells[name].value) for name in ("A3", "B3")] == [7, 10]


def test_a_sum_of_what_is_named_alike() -> None:
    book, cells = sheet(("post", 3), ("fees", 5), ("Post", 4), ("post", "=SUMIF(A1:A3,A4,B1:B3)-1"))
    assert worked_out(book, cells, cells["B4"].value) == 6
    cells["A4"] = "p*"
    with pytest.raises(Refused):
        worked_out(book, cells, cells["B4"].value)


@pytest.mark.parametrize(
    "formula", ["=A1*2", "=PRODUCT(A1:B1)", "=SUM(A1:B1,2)", "=SUM(A1)%", "=A1:B1", "=C1", "=A1 B1", "=(A1)", "=", "=A1-", '="a"', "=IF(A1,1,2)", "=A1&B1"]
)
def test_what_is_no_sum_is_refused(formula: str) -> None:
    book, cells = sheet((1, 2, "words"))
    with pytest.raises(Refused):
        worked_out(book, cells, formula)
