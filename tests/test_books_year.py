"""The year: its days, its rows, its lines."""

from datetime import date
from decimal import Decimal

import pytest
from books_folder import d, folder, kept

from purfle.base.packaged import table
from purfle.books import sheet_of, years
from purfle.books.ledger import Book
from purfle.pages.tables import TABLES

BOUGHT = "acquired: {date: 2025-01-02, price: 300}"


def test_a_business_year_may_begin_on_another_day() -> None:
    files = {"2026-04-05": "paid: {what: old, cost: 1, kind: tools}", "2026-04-06": "paid: {what: new, cost: 10, kind: tools}"}
    shop = kept(files, "name: T\nyear_starts: 04-06")
    last, this = shop.year(2025), shop.year(2026)
    assert (last.first, last.last, last.net_profit) == (date(2025, 4, 6), date(2026, 4, 5), -1)
    assert (this.first, this.last, this.net_profit) == (date(2026, 4, 6), date(2026, 12, 31), -10)
    assert years(shop.books) == (2025, 2026)


def test_the_first_and_the_last_day_of_a_year_are_in_it_and_its_months_run_over_two_calendar_years() -> None:
    """From 6 April 2025 to 5 April 2026: thirteen months are touched; 10 and 10 miles of 40 lie in it, at 70 and 72.5 cents (IRS rates of 2025 and 2026)."""
    trips = dict.fromkeys(("2025-04-05", "2025-04-06", "2026-04-05", "2026-04-06"), "drove: {distance: 10}")
    files = {
        **trips,
        "journal/2025-12-31-web.md": "paid: {what: web, cost: 9, kind: software}",
        "journal/2026-01-01-web.md": "paid: {what: web, cost: 5, kind: software}",
    }
    year = kept(files, "name: T\nyear_starts: 04-06").year(2025)
    assert (year.miles, year.mileage) == (20, d("14.25"))
    months = [m.month for m in year.cash.months]
    assert (len(months), months[0], months[8], months[9], months[-1]) == (13, "2025-04", "2025-12", "2026-01", "2026-04")
    assert {m.month: m.cash_out for m in year.cash.months if m.cash_out} == {"2025-12": 9, "2026-01": 5}


def test_standing_costs_come_again_and_a_short_month_takes_its_last_day() -> None:
    settings = "name: T\nstanding: [{what: rent, cost: 210, kind: rent, every: month, from: 2026-01-31, until: 2026-03-31}, {what: web, cost: 5, kind: software, every: year, from: 2024-02-29}]"
    shop = kept({}, settings)
    assert [line.date for line in shop.year().lines if line.account == "rent"] == [date(2026, 1, 31), date(2026, 2, 28), date(2026, 3, 31)]
    assert [(e.kind, e.amount) for e in shop.year().expenses] == [("rent", 630), ("software", 5)]
    assert shop.year().lines[0].source.file == "shop.md"


def test_hours_and_profit_per_hour() -> None:
    files = {
        "heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 400}}",
        "builds/heron/2025-02-01.md": "hours: 6",
        "builds/heron/2026-02-01.md": "hours: 2",
        "2026-02-02": "bench: {for: shop, hours: 2, what: booth filters}",
    }
    shop = kept(files)
    assert (shop.year().hours, shop.year().profit_per_hour) == (4, 25)
    assert (shop.row("heron").hours, shop.row("heron").profit_per_hour) == (8, d("12.5"))  # to date


def test_hours_on_a_piece_of_the_owners_own_earn_no_profit_of_the_shops() -> None:
    """Kept from March on: of 2 + 3 + 5 hours, 2 are the shop's; a profit of 100 is 50 an hour, and the piece has its ten on its own row."""
    files = {
        "heron": "acquired: {date: 2026-01-02, price: 30}\nmoved: {date: 2026-03-01, to: collection}",
        "builds/heron/2026-02-01.md": "hours: 2",
        "builds/heron/2026-03-02.md": "hours: 3",
        "builds/heron/2026-03-03.md": "hours: 5",
        "2026-02-02": "received: {what: ads, amount: 100, kind: show income}",
    }
    shop = kept(files)
    assert (shop.year().hours, shop.year().profit_per_hour, shop.row("heron").hours) == (2, 50, 10)
    only_own = kept({"heron": "kind: collection", "builds/heron/2026-03-02.md": "hours: 3"})
    assert (only_own.year().hours, only_own.year().profit_per_hour, only_own.row("heron").hours) == (0, None, 3)


def test_recording_and_editing_are_hours_and_what_an_episode_earns_is_show_income() -> None:
    year = kept({"journal/episodes/2026-04-03.md": "title: Two\nhours: {filming: 3, editing: 6}\nincome: [{what: ads, amount: 85, date: 2026-05-02}]"}).year()
    assert (year.hours, year.show_income, year.net_profit, year.cash.cash_in) == (9, 85, 85, 85)


def test_hours_of_an_episode_are_of_the_year_it_was_recorded_in_whatever_was_done_since() -> None:
    shop = kept({
        "journal/episodes/2025-04-03.md": "title: Two\nrecorded: 2025-04-01\nhours: {filming: 3, editing: 6}",
        "2026-01-10": "bench: [{for: shop, hours: 2, what: filters}]",
    })  # fmt: skip
    assert (shop.year(2025).hours, shop.year(2026).hours) == (9, 2)


def test_margin_and_markup_have_no_figure_where_nothing_is_below_the_line() -> None:
    row = kept({"heron": BOUGHT}).row("heron")
    assert (row.margin, row.markup, row.profit_per_hour, row.carried) == (None, None, None, 300)


def test_a_year_of_refunds_alone_has_no_margin_and_a_build_to_come_no_days() -> None:
    """A loss of 100 on less than nothing would read as a gain (stated rule)."""
    sale = "sale: {date: 2025-12-20, price: 400, back: {date: 2026-01-10, refund: 400, goods: yes}}"
    row = kept({"heron": f"{BOUGHT.replace('2026', '2025')}\n{sale}"}).row("heron")
    assert (row.profit, row.cost, row.margin, row.markup) == (-100, -300, None, None)
    assert (
        kept({"heron": "acquired: {date: 2027-01-10, price: 50, paid: 2026-12-01}\nparts: {part: p, cost: 5, arrived: 2026-12-01}"}).row("heron").days_held
        is None
    )


def test_margin_as_markup() -> None:
    # margin m is markup m ÷ (1 − m): 20, 25, 40, 50 % are 25, 33.33, 66.67, 100 %; algebra
    for price, margin, markup in (("375", "0.2", "0.25"), ("400", "0.25", "0.3333"), ("500", "0.4", "0.6667"), ("600", "0.5", "1")):
        row = kept({"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: {price}}}"}).row("heron")
        assert (row.margin, round(row.markup or Decimal(0), 4)) == (d(margin), d(markup))


def test_cash_counts_on_the_day_it_moved() -> None:
    months = {
        m.month: (m.cash_in, m.cash_out)
        for m in kept({"2026-03-14": "paid: {what: web, cost: 9, kind: software, paid: 2026-04-02}\nsold: {item: peg, price: 5, paid_out: 2026-05-01}"})
        .year()
        .cash.months
    }
    assert (months["2026-03"], months["2026-04"], months["2026-05"]) == ((0, 0), (0, 9), (5, 0))


def test_miles_are_an_expense_outside_cash_and_kilometres_are_converted() -> None:
    # 1 mi = 1.609344 km by definition: 160.9344 km are 100 mi at 72.5 cents
    year = kept({"2026-03-14": "drove: {distance: 160.9344, unit: km}"}).year()
    assert (year.miles, year.mileage, year.cash.cash_out) == (100, d("72.50"), 0)
    assert [(e.kind, e.form_line) for e in year.expenses] == [("mileage", "9")]


def test_the_shops_own_rates_come_before_the_published_ones() -> None:
    settings = "name: T\ncurrency: EUR\nmileage: [{from: 2025-01-01, rate: 0.30, unit: km}, {from: 2026-07-01, rate: 0.38, unit: km}]"
    year = kept({"2026-06-30": "drove: {distance: 10, unit: km}", "2026-07-01": "drove: {distance: 10, unit: km}"}, settings).year()
    assert year.mileage == d("6.80")


def test_a_distance_without_a_unit_is_in_that_of_its_rate() -> None:
    settings = "name: T\ncurrency: EUR\nmileage: [{from: 2025-01-01, rate: 0.30, unit: km}, {from: 2026-07-01, rate: 0.50}]"
    year = kept({"2026-06-30": "drove: {distance: 160.9344}", "2026-07-01": "drove: {distance: 10}"}, settings).year()
    # 160.9344 km × 0.30 = 48.28032 (they are 100 mi; taken for miles they would come to 77.70); 10 mi × 0.50 = 5
    assert (year.miles, year.mileage) == (110, d("53.28"))
    assert [(trip.distance, trip.unit) for trip in year.trips] == [(d("160.9344"), "km"), (10, "mi")]
    assert [row[2:6] for row in TABLES["mileage"](year).rows[:2]] == [(d("160.9344"), "km", d("0.30"), d("48.28")), (10, "mi", d("0.50"), 5)]
    assert TABLES["mileage"](year).rows[2][2] is None


def test_what_a_piece_once_cost_begins_no_year() -> None:
    piece = "kind: collection\nacquired: {date: 2018-06-01, how: own collection, basis: 500}"
    journal = {"2026-02-01": "bought: {item: peg, qty: 1, cost: 8}"}
    assert years(kept({"kestrel": piece, **journal}).books) == (2026,)
    assert years(kept({"kestrel": f"{piece}\nsale: {{date: 2024-11-11, price: 450}}", **journal}).books) == (2024, 2025, 2026)


def test_the_line_of_other_expenses_is_data_by_year_and_the_owners_own_line_comes_first() -> None:
    paid = "paid: [{what: a, cost: 1, kind: software}, {what: b, cost: 1, kind: rent}]"
    shop = kept({f"{year}-03-01": paid for year in range(2023, 2027)}, "name: T\nexpense_kinds: {rent: 99}")
    # US Schedule C: other expenses (line 48) go to 27a in the forms for 2023 and 2024, to 27b in that for 2025
    assert [[e.form_line for e in shop.year(year).expenses] for year in range(2023, 2027)] == [["99", "27a"]] * 2 + [["99", "27b"]] * 2


# Names and line numbers of the US Internal Revenue Service's e-file schema IRS1040ScheduleC, tax year 2025, final release of 19 February 2026
SCHEDULE_C = {
    "Total gross receipts": ("1", "sales"), "Returns and allowances": ("2", "returns"), "Gross Profit": ("5", "gross_profit"),
    "Other Income": ("6", "other_income,show_income"), "Advertising Expense": ("8", "advertising"), "Car/Truck Expenses": ("9", "mileage"),
    "Commissions and Fees": ("10", "selling fees,share"), "Contract Labor": ("11", "contract labour"),
    "Depreciation and Section 179 Deduction": ("13", "equipment"), "Insurance": ("15", "insurance"), "Other Interest": ("16b", "interest"),
    "Legal and Professional Services": ("17", "professional fees"), "Office Expense": ("18", "office,post,parcel insurance"),
    "Rent on Machinery and Equipment": ("20a", "machine hire"), "Rent on Property": ("20b", "rent"), "Repairs and Maintenance": ("21", "repairs"),
    "Supplies": ("22", "tools,shop supplies,packing"), "Taxes and Licenses": ("23", "licences"), "Travel": ("24a", "travel"), "Utilities": ("25", "utilities"),
    "Line 27b: Use Value of Line 48, TotalOtherExpensesAmt": ("27b", "education,software,filming,bank charges,other"),
    "Net Profit (Loss)": ("31", "net_profit"), "Beginning of year inventory": ("35", "opening_inventory"),
    "Purchases less personal items": ("36", "purchases"), "Materials and supplies": ("38", "materials"), "Other costs": ("39", "other_costs,outside_work"),
    "End of year inventory": ("41", "closing_inventory"), "Cost of goods sold": ("42", "total"),
}  # fmt: skip

# HM Revenue and Customs, SA103F Self-employment (full) for the year to 5 April 2026
SA103F = {
    "Your turnover": ("15", "sales"), "Any other business income not included in box 15": ("16", "other_income,show_income"),
    "Cost of goods bought for resale or goods used": ("17", "share,selling fees,total"), "Wages, salaries and other staff costs": ("19", "contract labour"),
    "Car, van and travel expenses": ("20", "mileage,travel"), "Rent, rates, power and insurance costs": ("21", "rent,utilities,insurance"),
    "Repairs and maintenance of property and equipment": ("22", "repairs,tools"),
    "Phone, fax, stationery and other office costs": ("23", "post,office,software,parcel insurance,packing"),
    "Advertising and business entertainment costs": ("24", "advertising"), "Interest on bank and other loans": ("25", "interest"),
    "Bank, credit card and other financial charges": ("26", "bank charges"), "Accountancy, legal and other professional fees": ("28", "professional fees"),
    "Depreciation and loss or profit on sale of assets": ("29", "equipment"),
    "Other business expenses": ("30", "machine hire,shop supplies,licences,education,filming,other"), "Net profit": ("47", "net_profit"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "published"), [("us-schedule-c", SCHEDULE_C), ("uk-sa103f", SA103F)])
def test_the_lines_of_a_form_are_those_that_are_published(name: str, published: dict[str, tuple[str, str]]) -> None:
    """Which kind of expense is meant by which printed name is the table's own reading; the numbers are the forms'."""
    shipped = table(f"tax_forms/{name}")
    ours = {**{kind: entry["line"] for kind, entry in shipped["kinds"].items()}, **shipped["figures"], **shipped["cost_of_goods_sold"]}
    assert ours == {kind: line for line, kinds in published.values() for kind in kinds.split(",")}


def test_another_countrys_form() -> None:
    year = kept({"2026-05-01": "paid: {what: a, cost: 1, kind: rent}"}, "name: T\ncurrency: GBP\nyear_starts: 04-06\ntax_form: uk-sa103f").year()
    assert year.expenses[0].form_line == "21"


def test_the_years_own_figures_have_lines_too_and_the_owners_come_first() -> None:
    # US Schedule C: cost of goods sold is carried from line 42 (Part III); the other lines named here are the owner's own
    year = kept({}, "name: T\nform_lines: {sales: 1a, closing_inventory: 41x}").year()
    lines = dict(year.form_lines)
    assert (lines["sales"], lines["closing_inventory"], lines["cost_of_goods_sold"]) == ("1a", "41x", "42")


def test_a_country_without_a_shipped_form_has_the_owners_lines_alone() -> None:
    year = kept({}, "name: T\ncurrency: SEK\nform_lines: {net_profit: R11}").year()
    assert year.form_lines == (("net_profit", "R11"),)


def test_a_sheet_has_the_lines_of_all_years_with_their_sources() -> None:
    shop = kept({"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 400}}"})
    sheet = sheet_of(shop.books, "heron")
    assert (sheet.cost, sheet.revenue, sheet.carried) == (300, 400, 0)
    assert [(line.account, line.source.line) for line in sheet.lines if line.book == Book.INVENTORY.value and line.amount > 0] == [("instrument", 3)]


def test_what_is_noted_on_a_build_and_is_no_part_of_its_profit_stands_beside_it() -> None:
    """Sold for 900, cost 300 and a gift of 50, 40 of post: 510; the advert, not yet paid, the gift's income and what an insurer paid are the shop's own (rules 7 and 12)."""
    files = {
        "heron": "acquired: {date: 2026-01-02, price: 300}\nparts: {part: pickup, how: gifted, value: 50, arrived: 2026-01-03}\nsale: {date: 2026-05-20, price: 900, shipping_paid: 40}",
        "2026-06-01": "paid: {what: advert, cost: 20, kind: advertising, build: heron, paid: 2027-03-01}\nreceived: {what: scratched in the post, amount: 80, kind: insurance, build: heron}",
    }
    shop = kept(files)
    for row in (shop.row("heron"), sheet_of(shop.books, "heron")):
        assert (row.profit, row.estimated) == (510, False)
        assert sum(line.amount if line.account == "revenue" else -line.amount for line in row.lines if line.book != "cost of goods sold") == 510
        assert [(line.what, line.amount) for line in row.beside] == [("pickup, given", 50), ("scratched in the post", 80), ("advert", 20)]
    year = shop.year()
    assert (year.net_profit, year.estimated) == (510 + 50 - 20 + 80, True)


def test_what_is_after_today_is_not_in_it() -> None:
    shop = kept({"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 400}}"}, today=date(2026, 5, 19))
    assert (shop.year().sales, shop.row("heron").carried, shop.year().last) == (0, 300, date(2026, 5, 19))


def test_finished_and_in_work_are_told_apart_on_the_last_day_of_each_year() -> None:
    clear = "acquired: {date: 2025-01-02, price: 100}\nstages: [{stage: clear, hours: 1, cure: 14 days}]"
    files = {
        "aa": clear,
        "builds/aa/2025-12-20.md": "stage: clear\nhours: 1\nfinished: yes",
        "bb": "acquired: {date: 2025-01-02, price: 30}\nfor_sale: {asking: 90, since: 2026-02-01}",
    }
    last, this = (kept(files).year(year).inventory for year in (2025, 2026))
    assert (last.work_in_progress, last.instruments) == (130, 0)  # still curing on the last day, and not offered yet
    assert (this.work_in_progress, this.instruments) == (0, 130)


def test_a_stage_done_again_leaves_the_year_before_as_it_was() -> None:
    """Both stages finished in 2025; the second scraped off in February 2026, done again by May and scraped off again in 2027."""
    two = "acquired: {date: 2025-01-02, price: 100}\nstages: [{stage: strip, hours: 1}, {stage: clear, hours: 1, cure: 14 days}]"
    files = {
        "aa": two,
        "builds/aa/2025-11-01.md": "bench: [{stage: strip, hours: 1, finished: yes}, {stage: clear, hours: 1, finished: yes}]",
        "builds/aa/2026-02-01.md": "redo: [clear]",
        "builds/aa/2026-05-01.md": "stage: clear\nhours: 1\nfinished: yes",
        "builds/aa/2027-01-03.md": "redo: [strip]",
    }
    shop = kept(files, today=date(2027, 12, 31))
    assert [shop.year(year).inventory.instruments for year in (2025, 2026, 2027)] == [100, 100, 0]
    assert kept(files, today=date(2026, 3, 1)).year().inventory.work_in_progress == 100


def test_figures_with_an_estimate_in_them_say_so() -> None:
    files = {
        "heron": "acquired: {date: 2026-01-02, price: 280}\nsale: {date: 2026-05-20, price: 900, channel: market}",  # its fee is worked out
        "2026-02-01": "paid: {what: web, cost: 9, kind: software}",
    }
    year = kept(files, "name: T\nchannels: {market: {percent: 9}}").year()
    assert year.estimates == {"expense: selling fees", "expenses", "net profit", "cash out"}
    said = kept({**files, "heron": files["heron"].replace("market}", "market, fees: 81}")}, "name: T\nchannels: {market: {percent: 9}}").year()
    assert (said.estimates, said.net_profit) == (frozenset(), year.net_profit)


def test_what_a_channel_still_owes_and_the_day_it_pays_are_estimates() -> None:
    heron = "acquired: {date: 2026-01-02, price: 280}\nsale: {date: 2026-12-28, price: 900, channel: slow}"
    terms = "name: T\nchannels: {slow: {percent: 9, holds: 10 days}}"
    before, after = (kept({"heron": heron}, terms, day).year(day.year) for day in (date(2026, 12, 31), date(2027, 1, 31)))
    assert (before.owed_by_customers, before.estimates) == (819, {"expense: selling fees", "expenses", "net profit", "owed by customers"})
    assert (after.owed_by_customers, after.estimates) == (0, {"cash in", "cash out"})


def test_a_cost_not_yet_paid_is_an_estimate_whichever_line_says_it() -> None:
    files = {
        "heron": "acquired: {date: 2026-02-01, how: lot}",
        "2026-02-01": "lots: {lot: barn, cost: 100, paid: 2027-02-01, values: {heron: 1, stock: 1}}",
        "2026-02-02": "paid: [{what: plating, cost: 40, kind: outside work, build: heron, paid: 2027-02-01}, {what: web, cost: 9, kind: software, paid: 2027-02-01}]",
    }
    shop = kept(files)
    held = {"closing inventory", "inventory: work in progress", "inventory: stock"}
    bills = {"purchases", "outside work", "expense: software", *held}
    assert shop.year().estimates == {*bills, "cost of goods sold", "gross profit", "expenses", "net profit"}
    assert (shop.row("heron").estimated, shop.year().payables) == (True, 149)
    assert kept(files, today=date(2027, 1, 31)).year(2027).estimates == {"opening inventory", *held}
    assert kept(files, today=date(2027, 2, 1)).year().estimates == set()


def test_a_fee_worked_out_on_a_piece_of_the_collection_is_no_estimate_of_the_shop() -> None:
    piece = "kind: collection\nacquired: {date: 2026-01-02, price: 280}\nsale: {date: 2026-05-20, price: 900, channel: market}"
    year = kept({"heron": piece}, "name: T\nchannels: {market: {percent: 9}}").year()
    assert (year.estimates, year.collection[0].estimated, year.collection[0].gain) == (set(), True, 539)  # 900 − 81 − 280


BLOCK = {
    "heron": """
        acquired:
          how: bought
          date: 2026-01-01
          price: 100
        parts:
          - part: bridge
            cost: 40
            paid: 2026-01-05
            arrived: 2026-01-09
        sale:
          - date: 2026-02-01
            channel: market
            price: 300
            shipping_charged: 20
            shipping_paid: 15
            packing: 4
            insurance: 3
            fees: 31
            tax: 8
            paid_out: 2026-02-09
            trade_in:
              build: plover
              value: 50
            back:
              - date: 2026-03-01
                refund: 22
                fees_back: 2
                tax_back: 1
        """,
    "plover": "",
    "2026-04-01": """
        paid:
          - what: plating
            kind: outside work
            cost: 12
            build: plover
        received:
          - what: deposit
            build: plover
            amount: 70
        bought:
          - item: peg
            qty: 3
            cost: 33
        drove:
          why: fair
          distance: 10
        sold:
          - item: peg
            qty: 1
            price: 9
            shipping_charged: 6
        """,
}


def test_a_line_names_the_very_line_on_which_its_amount_is_written() -> None:
    texts = {path: data.decode().split("\n") for path, data in folder(BLOCK).items()}
    shop = kept(BLOCK, "name: T\nchannels: {market: {percent: 9}}")
    written = {line.what: (abs(line.amount), texts[line.source.file][line.source.line - 1].strip()) for line in shop.year().lines if line.book != "channels"}
    derived = {"cost of what was sold", "peg, cost", "fair"}  # worked out of others: the sale, how many, how far
    plain = {what: text.partition(": ")[2] for what, (_, text) in written.items() if what not in derived and "paid out" not in what}
    assert {what: d(text) for what, text in plain.items()} == {what: written[what][0] for what in plain}
    assert len(plain) > 15
    assert [written[what][1] for what in ("paid out", "peg, cost", "fair")] == ["paid_out: 2026-02-09", "qty: 1", "distance: 10"]
