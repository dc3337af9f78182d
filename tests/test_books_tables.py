"""The year as CSV and as a workbook, read back by other libraries."""

import csv
import io
import unicodedata
from decimal import Decimal

import openpyxl
import pytest
from books_folder import Kept, d, kept

from purfle.pages.tables import TABLES, csv_of
from purfle.pages.workbook import workbook_of
from purfle.shell import contract_money

SHOP = {
    "heron": "acquired: {date: 2026-01-02, price: 300}\nsale: {date: 2026-05-20, price: 900, fees: 71.40, shipping_paid: 48.20}",
    "2026-02-01": "bought: {item: '=peg()', qty: 4, cost: 20, for: stock}\npaid: {what: '@home', cost: 9, kind: software}\ndrove: {distance: 24, why: '+1'}",
}


def shop() -> Kept:
    return kept(SHOP)


def book_of(kept_: Kept) -> bytes:
    return workbook_of(kept_.year(), kept_.shop.settings)


def cells(name: str, values: bool = True) -> list[tuple[object, ...]]:
    book = openpyxl.load_workbook(io.BytesIO(book_of(shop())), data_only=values)
    return [tuple(row) for row in book[name].iter_rows(values_only=True)]


def test_the_sheets_and_their_heads() -> None:
    book = openpyxl.load_workbook(io.BytesIO(book_of(shop())))
    assert book.sheetnames == ["about", "year", "builds", "cash", "stock", "mileage", "collection", "balance", "lines"]
    for name in TABLES:
        assert cells(name)[0] == tuple(next(csv.reader(io.StringIO(csv_of(shop().year(), name)))))


def test_numbers_are_numbers_and_totals_are_formulas() -> None:
    shown, written = dict(row[:2] for row in cells("year")), dict(row[:2] for row in cells("year", values=False))
    assert isinstance(shown["net profit"], float)
    assert written["cost of goods sold"] == "=SUM(B4:B8)-B9"
    assert Decimal(str(shown["net profit"])) == shop().year().net_profit


def test_the_formulas_recompute_the_totals() -> None:
    # worked out here from the cells, as a spreadsheet would
    b = {n: row[1] for n, row in enumerate(cells("year"), 1)}
    names_ = {row[0]: n for n, row in enumerate(cells("year"), 1)}
    written = {row[0]: row[1] for row in cells("year", values=False)}
    assert b[names_["gross profit"]] == b[2] - b[3] - b[10] and written["gross profit"] == "=B2-B3-B10"  # type: ignore[operator]
    first, last = names_["gross profit"] + 1, names_["expenses"] - 1
    assert written["expenses"] == f"=SUM(B{first}:B{last})"
    assert round(sum(float(str(b[n])) for n in range(first, last + 1)), 2) == round(float(str(b[names_["expenses"]])), 2)
    n = names_["other income"]
    assert written["net profit"] == f"=B{names_['gross profit']}-B{n - 2}+B{n - 1}+B{n}"


def test_text_never_becomes_a_formula() -> None:
    book = openpyxl.load_workbook(io.BytesIO(book_of(shop())))
    assert book["stock"]["A2"].value == "=peg()" and book["stock"]["A2"].data_type == "s"
    assert book["mileage"]["B2"].data_type == "s"
    assert [row[0] for row in csv.reader(io.StringIO(csv_of(shop().year(), "stock")))][1] == "'=peg()"
    assert "'+1" in csv_of(shop().year(), "mileage") and "'@home" in csv_of(shop().year(), "lines")


def test_a_control_in_a_note_is_written_out_in_csv() -> None:
    """RFC 4180, section 2: TEXTDATA begins at %x20, and an escaped field may hold line ends besides."""
    noted = kept({"heron": "", "2026-02-01": 'paid: {what: "lamp\\e]0;owned\\a \\x9b31m, one\\ntwo", cost: 9, kind: software}'})
    text = csv_of(noted.year(), "lines")
    assert {row[4] for row in csv.reader(io.StringIO(text))} == {"what", "lamp\\x1b]0;owned\\x07 \\x9b31m, one\ntwo"}
    assert not {c for c in text if unicodedata.category(c) == "Cc"} - {"\r", "\n"}


def test_each_line_has_its_source() -> None:
    rows = list(csv.DictReader(io.StringIO(csv_of(shop().year(), "lines"))))
    assert rows and all(row["source"].partition(":")[2].isdigit() for row in rows)
    figures = {row["figure"]: row for row in csv.DictReader(io.StringIO(csv_of(shop().year())))}
    assert figures["expense: software"]["source"] == "journal/2026-02-01.md:3"
    assert figures["expense: software"]["tax form line"] == "27b"


@pytest.mark.parametrize("name", ["year", "builds", "cash", "stock", "mileage"])
def test_every_sheet_names_the_notes_behind_its_lines(name: str) -> None:
    rows = [row for row in csv.DictReader(io.StringIO(csv_of(shop().year(), name))) if any(c.isdecimal() for c in row["source"])]
    assert rows and all(place.partition(":")[2].isdigit() for row in rows for place in row["source"].split(" and ")[0].split(", "))


def test_csv_has_the_currencys_decimals() -> None:
    figures = {row[0]: row[1] for row in csv.reader(io.StringIO(csv_of(shop().year())))}
    assert (figures["sales"], figures["closing inventory"]) == ("900.00", "20.00")
    yen = {row[0]: row[1] for row in csv.reader(io.StringIO(csv_of(kept(SHOP | {"heron": "", "2026-02-01": ""}, "name: T\ncurrency: JPY").year())))}
    assert yen["sales"] == "0"


@pytest.mark.parametrize(("currency", "an_hour"), [("JPY", "114"), ("USD", "114.29"), ("KWD", "114.286")])
def test_hours_are_no_amount_and_have_their_own_decimals(currency: str, an_hour: str) -> None:
    """Two and a quarter, a half and three quarters are 3.50 hours in any currency; 400 ÷ 3.5 = 114.2857…, with the decimals of ISO 4217 (by hand)."""
    hours = {f"builds/heron/2026-02-0{n}.md": f"stage: x\nhours: {spent}" for n, spent in enumerate(("2.25", "0.5", "0.75"), 1)}
    noted = kept({"heron": "sale: {date: 2026-03-01, price: 400}", **hours}, f"name: T\ncurrency: {currency}")
    year = noted.year()
    said = contract_money.year(year)
    assert (said["hours"], said["profit_per_hour"], said["builds"][0]["profit_per_hour"]) == ("3.50", an_hour, an_hour)
    assert '"hours worked, no amount",3.50,' in csv_of(year)
    assert (TABLES["builds"](year).heads[11], TABLES["builds"](year).heads[12]) == ("hours", "profit per hour")
    assert f",3.50,{an_hour}," in csv_of(year, "builds")
    sheet = openpyxl.load_workbook(io.BytesIO(workbook_of(year, noted.shop.settings)))["year"]
    (cell,) = [row[1] for row in sheet.iter_rows() if row[0].value == "hours worked, no amount"]
    assert (cell.value, cell.number_format) == (3.5, "0.00")


def test_the_workbook_says_whose_it_is_and_what_each_sheet_holds() -> None:
    noted = kept(SHOP, "name: Fern & Sons\nstock: {method: average}")
    book = openpyxl.load_workbook(io.BytesIO(book_of(noted)))
    about = {row[0]: row[1] for row in book["about"].iter_rows(values_only=True)}
    assert about["business"] == "Fern & Sons" and about["year"] == "2026: 2026-01-01 to 2026-12-31"
    assert "Schedule C" in about["tax form line"], "the form of dollars, where shop.md names none"
    assert about["inventory"] == "at cost, landed; stock leaves at average cost"
    assert [name for name in TABLES if f"sheet “{name}”" not in about] == []
    assert book.active.title == "year"


def test_a_sheet_prints_as_wide_as_a_page_with_its_heads_and_its_owner_on_each() -> None:
    book = openpyxl.load_workbook(io.BytesIO(book_of(kept(SHOP, "name: Fern & Sons"))))
    for name in TABLES:
        sheet = book[name]
        assert (sheet.page_setup.orientation, sheet.print_title_rows) == ("landscape", "$1:$1"), name
        assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.page_setup.fitToHeight == 0, name  # as many pages high as it takes
        assert sheet.oddHeader.left.text == f"Fern && Sons, 2026-01-01 to 2026-12-31, USD: {name}"  # ECMA-376, part 1, 18.3.1.46: && is a plain &
        assert (sheet.oddFooter.right.text, "Not tax advice" in sheet.oddFooter.left.text) == ("&P / &N", True)


def test_an_empty_cell_is_empty_and_a_whole_number_has_no_bare_point() -> None:
    """Under 0.### a spreadsheet shows 4 as "4." (ECMA-376, part 1, 18.8.31: the point of a format always shows)."""
    book = openpyxl.load_workbook(io.BytesIO(book_of(shop())))
    assert [cell.coordinate for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == "" and sheet.title != "about"] == []
    assert (book["stock"]["B2"].value, book["stock"]["B2"].number_format) == (4, "General")
    assert book["mileage"]["C2"].number_format == "0.00"


def test_the_lines_can_be_filtered_by_the_figure_they_count_in() -> None:
    book = openpyxl.load_workbook(io.BytesIO(book_of(shop())))
    assert book["lines"].auto_filter.ref == book["lines"].dimensions
    assert [name for name in TABLES if name != "lines" and book[name].auto_filter.ref] == [], "hidden rows would leave a total behind"


def test_a_figure_named_like_a_pattern_is_a_number() -> None:
    """SUMIF takes *, ? and ~ for a pattern (ECMA-376, part 1, 18.17.7, SUMIF): `what?` would take `whats` in."""
    noted = kept({"2026-02-01": "paid: [{what: a, cost: 9, kind: what?}, {what: b, cost: 4, kind: whats}]"}, "name: T\nexpense_kinds: {what?: 22, whats: 22}")
    written = {row[0]: row[1] for row in openpyxl.load_workbook(io.BytesIO(book_of(noted)))["year"].iter_rows(values_only=True)}
    assert written["expense: what?"] == 9 and written["expense: whats"].startswith("=SUMIF(")


def test_kilometres_are_miles_to_the_hundredth() -> None:
    # 24 km ÷ 1.609344 = 14.9129…; the international mile
    assert contract_money.year(kept({"2026-02-01": "drove: {distance: 24, unit: km}"}).year())["miles"] == "14.91"


def test_the_workbook_is_the_same_for_the_same_year() -> None:
    assert book_of(shop()) == book_of(shop())


def test_trips_are_listed_with_their_rate() -> None:
    row = cells("mileage")[1]
    assert row[2:6] == (24, "mi", float(d("0.725")), float(d("17.40")))


def test_lines_name_whom_the_notes_name_so_that_payments_add_up_by_supplier_and_person() -> None:
    """By hand: the finishes are 39.80 + 18 paid later − 19.90 back; a share without a word goes to the one partner; rent names nobody."""
    notes = {
        "heron": "acquired: {date: 2026-01-02, price: 300, from: a barn sale}\nparts: {part: bridge, cost: 120, paid: 2026-01-05, arrived: 2026-01-20, from: Alder Metal}\n"
        "share: {partner: Wilmet Crane, percent: 10, of: price}\nsale: {date: 2026-03-20, price: 900, buyer: Hannick Dole}",
        "2026-02-01": "bought: [{item: lacquer, qty: 2, cost: 39.80, for: stock, from: Fenwick}, {item: tape, cost: 18, for: shop, paid: 2026-03-01, from: Fenwick}]",
        "2026-02-09": "returned: {item: lacquer, refund: 19.90, to: Fenwick}\npaid: [{what: plating, cost: 45, kind: outside work, build: heron, to: the plating works}, {what: rent, cost: 200, kind: rent}]",
        "2026-03-25": "paid: {what: half, cost: 90, kind: share, build: heron}\nreceived: {what: clips, amount: 12, kind: show income, from: a viewer}",
        "2026-05-01": "lots: {lot: winter, cost: 100, values: {stock: 1}, from: a closing shop}",
    }
    lines = list(csv.DictReader(io.StringIO(csv_of(kept(notes).year(), "lines"))))
    paid: dict[str, Decimal] = {}
    for line in lines:
        if line["book"] == "cash":
            paid[line["to or from"]] = paid.get(line["to or from"], Decimal(0)) - Decimal(line["amount"])
    assert {who: amount for who, amount in paid.items() if who} == {
        "a barn sale": 300,
        "Alder Metal": 120,
        "Fenwick": Decimal("37.90"),
        "the plating works": 45,
        "Wilmet Crane": 90,
        "a viewer": -12,
        "a closing shop": 100,
    }
    assert {line["to or from"] for line in lines if line["what"] == "rent"} == {""}
    assert [line["account"] for line in lines if line["to or from"] == "Wilmet Crane" and Decimal(line["amount"]) == 90 and line["book"] == "expenses"] == [
        "share"
    ]
