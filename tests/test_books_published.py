"""Published worked examples, entered as shop folders and read off the year.

PFA and PMA are OpenStax, Principles of Accounting, volumes 1 (financial) and 2 (managerial).
"""

import pytest
from books_folder import Kept, d, kept

from purfle.books import piece_of

STRINGS = {
    "2026-01-05": "bought: {item: pickup, qty: 150, cost: 3150, for: stock, lot: one}",
    "2026-02-05": "sold: {item: pickup, qty: 120, price: 4320, LOT1}",
    "2026-03-05": "bought: {item: pickup, qty: 225, cost: 6075, for: stock, lot: two}",
    "2026-04-05": "sold: [SOLD2]",
    "2026-05-05": "bought: {item: pickup, qty: 210, cost: 6930, for: stock}",
}


def strings(method: str, first: str = "", second: str = "{item: pickup, qty: 180, price: 7020}", named: bool = False) -> Kept:
    """PFA 10.2: 150 at 21, 120 sold at 36, 225 at 27, 180 sold at 39, 210 at 33."""
    files = {day: text.replace("LOT1", first).replace("SOLD2", second) for day, text in STRINGS.items()}
    if not named:
        files = {day: text.replace(", lot: one", "").replace(", lot: two", "") for day, text in files.items()}
    return kept(files, f"name: T\nstock: {{method: {method}}}")


def assert_margin(shop: Kept, cost: str, left: str, margin: str) -> None:
    year = shop.year()
    assert shop.codes == []
    assert (year.cost_of_goods_sold.total, year.inventory.stock, year.gross_profit) == (d(cost), d(left), d(margin))


def test_first_in_first_out() -> None:
    assert_margin(strings("first in"), "7200", "8955", "4140")  # PFA 10.2–10.3


def test_specific_identification() -> None:
    # PFA 10.2–10.3: the second sale is 20 of the first lot and 160 of the second
    sold = "{item: pickup, qty: 20, price: 780, lot: one}, {item: pickup, qty: 160, price: 6240, lot: two}"
    assert_margin(strings("first in", "lot: one", sold, named=True), "7260", "8895", "4080")


def test_moving_average() -> None:
    # PFA 10.2–10.3 has 7,253 / 8,902 / 4,087 in whole dollars; to the cent 7,252.94 / 8,902.06 / 4,087.06
    assert_margin(strings("average"), "7252.94", "8902.06", "4087.06")


def test_a_small_stock() -> None:
    # PFA 10.1: 50 and then 20 at 7; 18 are left
    shop = kept(
        {
            "2026-01-05": "bought: {item: peg, qty: 50, cost: 350, for: stock}",
            "2026-01-15": "bought: {item: peg, qty: 20, cost: 140, for: stock}",
            "heron": "",
            "2026-01-20": "used: {item: peg, qty: 52, build: heron}",
        }
    )
    assert (shop.row("heron").carried, shop.year().inventory.stock) == (d("364"), d("126"))


def test_a_closing_stock_understated_moves_profit_and_loses_none() -> None:
    # PFA 10.4: 1,500 too little counted at the end of year 1; costs 8,700 and 6,420 instead of 7,200 and 7,920
    files = {
        "2025-01-02": "bought: {item: peg, qty: 151.2, cost: 15120, for: stock}",
        "2025-06-02": "sold: {item: peg, qty: 72, price: 8340}",
        "2026-06-02": "sold: {item: peg, qty: 64.2, price: 9474}",
    }
    true = kept({**files, "2026-06-03": "sold: {item: peg, qty: 15, price: 0}"})
    # what the count missed comes back at nothing; the same goods are sold in the end
    wrong = kept(
        {
            **files,
            "2025-12-31": "counted: {item: peg, qty: 64.2}",
            "2026-01-02": "counted: {item: peg, qty: 79.2}",
            "2026-06-03": "sold: {item: peg, qty: 15, price: 0}",
        }
    )
    assert [true.year(y).net_profit for y in (2025, 2026)] == [1140, 1554]
    assert [true.year(y).cost_of_goods_sold.total for y in (2025, 2026)] == [7200, 7920]
    assert [wrong.year(y).cost_of_goods_sold.total for y in (2025, 2026)] == [8700, 6420]
    assert [wrong.year(y).net_profit for y in (2025, 2026)] == [-360, 3054]


def test_gross_margin() -> None:
    # PFA 6.6: sales 300,000 less discounts 2,000 and returns 4,500, cost 180,000
    shop = kept(
        {
            "heron": "acquired: {date: 2026-01-02, price: 180000}\nsale: {date: 2026-02-02, price: 300000, discount: 2000, back: {date: 2026-03-02, refund: 4500}}"
        }
    )
    assert shop.year().gross_profit == 113500
    assert round(shop.row("heron").margin or 0, 4) == d("0.3867")


def test_job_costs_of_a_month() -> None:
    # PMA 4.5: four jobs, 5,212 in all = unfinished 1,025 + finished 1,725 + sold 2,462. The split of each job is ours.
    done = "stages: [{stage: x, hours: 1}]\nparts: [{part: p, cost: COST, paid: 2026-05-01, arrived: 2026-05-01}]"
    files = {
        "a": done.replace("COST", "1025"),
        "b": done.replace("COST", "1725"),
        "c": done.replace("COST", "1200") + "\nsale: {date: 2026-05-20, price: 2000}",
        "e": done.replace("COST", "1262") + "\nsale: {date: 2026-05-20, price: 2000}",
    }
    files |= {f"builds/{build}/2026-05-10.md": "stage: x\nhours: 1\nfinished: yes" for build in "bce"}
    year = kept(files).year()
    assert (year.inventory.work_in_progress, year.inventory.instruments, year.cost_of_goods_sold.total) == (1025, 1725, 2462)
    assert year.cost_of_goods_sold.purchases == 5212


@pytest.mark.parametrize(
    ("cost", "values", "shares"),
    [
        # a lump sum over appraisals 3,240,000 / 4,320,000 / 3,240,000: a textbook-style exercise
        ("8200000", "3240000 4320000 3240000", "2460000 3280000 2460000"),
        # to the cent: algebra
        ("100000", "1500 14500 98000", "1315.79 12719.30 85964.91"),
        # three equal shares of 100.00, the first listed gains the odd cent: algebra
        ("100", "1 1 1", "33.34 33.33 33.33"),
    ],
)
def test_a_lot_is_split_by_relative_value(cost: str, values: str, shares: str) -> None:
    a, b, c = values.split()
    sheet = "acquired: {date: 2026-01-02, how: lot, lot: winter}"
    shop = kept({"aa": sheet, "bb": sheet, "cc": sheet, "2026-01-02": f"lots: {{lot: winter, cost: {cost}, values: {{aa: {a}, bb: {b}, cc: {c}}}}}"})
    assert shop.codes == []
    assert [shop.row(build).carried for build in ("aa", "bb", "cc")] == [d(s) for s in shares.split()]


def test_a_deposit_is_earned_as_pieces_are_delivered() -> None:
    # PFA 12.2: 600 for 20 pieces in advance, half of them delivered: revenue 300, still owed to the customer 300
    sheet = "kind: commission\nunits: 20\ncommission: {price: 600, delivered: DELIVERED}"
    note = {"builds/tiles/2026-01-05.md": "received: {what: deposit, amount: 600}"}
    before = kept({"tiles": sheet.replace("DELIVERED", "[]"), **note}).year()
    after = kept({"tiles": sheet.replace("DELIVERED", "{date: 2026-02-02, units: 10}"), **note}).year()
    assert (before.deposits_held, before.sales) == (600, 0)
    assert (after.deposits_held, after.sales, after.owed_by_customers) == (300, 300, 0)


def test_landed_cost() -> None:
    # PFA 11.2: 54,000 with tax 5,400 and shipping 1,200 is 60,600
    assert kept({"heron": "acquired: {date: 2026-01-02, price: 54000, tax: 5400, shipping: 1200}"}).row("heron").carried == 60600


def test_cost_of_goods_sold_as_the_us_form_lays_it_out() -> None:
    # Schedule C (Form 1040) Part III, lines 35 to 42; figures computed with its arithmetic
    shop = kept(
        {
            "2025-03-01": "bought: {item: pickup, qty: 150, cost: 3150, for: stock}",
            "2026-02-01": "bought: {item: pickup, qty: 225, cost: 6075, for: stock}",
            "2026-02-02": "bought: [{item: pickup, qty: 210, cost: 6930, for: stock}, {item: sandpaper, qty: 9, cost: 240, for: stock}]",
            "2026-02-03": "withdrawn: {item: pickup, qty: 5}\npaid: {what: crating, cost: 60, kind: other cost}",
            "2026-11-01": "sold: {item: pickup, qty: 295, price: 12000}\ncounted: {item: pickup, qty: 285}",
        },
        "name: T\nstock: {items: {sandpaper: {counted: no}}}",
    )
    cost = shop.year().cost_of_goods_sold
    assert (cost.opening_inventory, cost.purchases, cost.materials, cost.other_costs) == (3150, 13005 - 105, 240, 60)
    line_40 = cost.opening_inventory + cost.purchases + cost.materials + cost.outside_work + cost.other_costs
    assert line_40 == 3150 + 12900 + 240 + 60 == 16350
    assert cost.total == line_40 - cost.closing_inventory
    assert shop.year().withdrawn == 105


@pytest.mark.parametrize(
    ("trips", "amount"),
    [
        # IRS Notices 2020-05, 2022-03, 2023-03 and 2026-10: 57.5, 58.5, 65.5 and 72.5 cents; Announcements 2022-13 and 2026-11: 62.5 and 76 from July
        ({"2023-05-01": "1250"}, "818.75"),
        ({"2022-03-01": "1000", "2022-08-01": "1000"}, "1210.00"),
        ({"2020-05-01": "100", "2020-06-01": "100"}, "115.00"),
        ({"2026-05-01": "24"}, "17.40"),
        ({"2026-06-30": "100", "2026-07-01": "100"}, "148.50"),
    ],
)
def test_miles_at_the_published_rates(trips: dict[str, str], amount: str) -> None:
    shop = kept({day: f"drove: {{distance: {miles}}}" for day, miles in trips.items()})
    assert shop.year(int(min(trips)[:4])).mileage == d(amount)


def test_the_account_of_a_piece_says_what_it_cost_and_brought() -> None:
    """The first of the two below; and a piece that goes into the shop at the lower of basis and value (a stated rule) has no basis left."""
    piece = "kind: collection\nacquired: {date: 2018-06-01, how: own collection, basis: 1000}\n"
    sold = piece_of(kept({"kestrel": f"{piece}sale: {{date: 2026-02-01, price: 600}}"}).books, "kestrel")
    assert sold is not None and [(line.account, line.amount) for line in sold.lines] == [("instrument", 1000), ("proceeds", 600)]
    assert sold.gone is not None and (sold.basis, sold.gone.gain, sold.gone.gain_counted) == (1000, -400, 0)
    moved = piece_of(kept({"kestrel": f"{piece}moved: {{date: 2026-02-01, to: shop, value: 700}}"}).books, "kestrel")
    assert moved is not None and moved.gone is None and [line.amount for line in moved.lines] == [1000, -1000] and moved.basis == 0
    assert piece_of(kept({"heron": "acquired: {date: 2026-01-02, price: 300}"}).books, "heron") is None


def test_the_owners_collection_counts_gains_and_no_losses() -> None:
    # US Internal Revenue Service, questions on Form 1099-K: bought 1,000 and sold 600, bought 500 and sold 900
    shop = kept(
        {
            "aa": "kind: collection\nacquired: {date: 2025-01-02, price: 1000}\nsale: {date: 2026-02-02, price: 600}",
            "bb": "kind: collection\nacquired: {date: 2025-01-02, price: 500}\nsale: {date: 2026-02-02, price: 900}",
        }
    )
    year = shop.year()
    assert [(row.gain, row.gain_counted) for row in year.collection] == [(-400, 0), (400, 400)]
    assert (year.sales, year.net_profit, year.cash.cash_in) == (0, 0, 0)
