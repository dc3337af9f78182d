"""Money troubles, each at its line and column."""

import pytest
from books_folder import d, folder, kept

BOUGHT = "acquired: {date: 2026-01-02, price: 300}"
STOCK = "bought: {item: peg, qty: 2, cost: 8, for: stock, lot: spring}"
ORDER = "kind: commission\ncommission: {price: 900}"


@pytest.mark.parametrize(
    ("code", "files"),
    [
        ("stock-below-nothing", {"2026-02-01": STOCK, "2026-02-02": "used: {item: peg, qty: §3, for: shop}"}),
        ("stock-below-nothing", {"2026-02-01": STOCK, "2026-02-02": "sold: {item: peg, qty: §3, price: 9}"}),
        ("stock-below-nothing", {"2026-02-01": STOCK, "2026-02-02": "written_off: {item: peg, qty: 2, lot: §autumn}"}),
        ("stock-below-nothing", {"2026-02-01": STOCK, "2026-02-02": "returned: {item: peg, qty: §2.5, refund: 1}"}),
        ("qty-zero", {"2026-02-01": "bought: {item: peg, qty: §0, cost: 8, for: stock}"}),
        ("refund-above-price", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 900, back: {{date: 2026-06-01, refund: §901}}}}"}),
        ("refund-before-sale", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 900, back: {{date: §2026-05-01, refund: 9}}}}"}),
        ("sale-before-acquisition", {"heron": f"{BOUGHT}\nsale: {{date: §2026-01-01, price: 900}}"}),
        (
            "build-in-two-lots",
            {
                "heron": "acquired: {date: 2026-02-01, how: lot}",
                "2026-02-01": "lots: [{lot: a, cost: 5, values: {heron: 1}}, {lot: b, cost: 6, values: {§heron: 1}}]",
            },
        ),
        ("lot-with-price", {"heron": "acquired: {date: 2026-02-01, how: lot, price: §5}", "2026-02-01": "lots: {lot: a, cost: 5, values: {heron: 1}}"}),
        ("lot-unknown", {"heron": "acquired: {date: 2026-02-01, how: lot, lot: §winter}"}),
        ("price-not-paid", {"heron": "acquired: {date: 2026-02-01, how: consigned, price: §5}"}),
        ("money-undated", {"heron": "acquired: §{price: 5}"}),
        ("share-above-100", {"heron": "share: {partner: p, percent: §101}"}),
        ("share-above-100", {"heron": "share: [{partner: p, percent: 60}, {partner: q, percent: 100, of: price}, {partner: r, percent: §40.1}]"}),
        ("rate-zero", {"2026-02-01": "bought: {item: peg, cost: 8, for: stock, currency: EUR, rate: §0}"}),
        ("rate-missing", {"2026-02-01": "bought: {item: peg, cost: 8, for: stock, currency: §EUR}"}),
        ("currency-unknown", {"2026-02-01": "bought: {item: peg, cost: 8, for: stock, currency: §EUX, rate: 1}"}),
        ("amount-negative", {"2026-02-01": "bought: {item: peg, cost: §-8, for: stock}"}),
        ("amount-unclear", {"2026-02-01": f"paid: {{what: web, cost: §{'9' * 40}, kind: software}}"}),
        ("cost-in-two-homes", {"heron": "parts: {part: Bridge, cost: 120, paid: 2026-01-03}", "2026-02-01": "bought: §{item: bridge, cost: 120, for: heron}"}),
        ("cost-in-two-homes", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 900, trade_in: {{build: §plover, value: 200}}}}", "plover": BOUGHT}),
        ("units-oversold", {"heron": f"units: 2\n{BOUGHT}\nsale: {{date: 2026-05-20, units: §3, price: 9}}"}),
        ("units-oversold", {"heron": f"{BOUGHT}\nsale: [{{date: 2026-05-20, price: 9}}, {{date: §2026-05-21, price: 9}}]"}),
        ("units-oversold", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9, back: {{date: 2026-06-01, refund: 9, goods: yes, units: §2}}}}"}),
        ("discount-above-price", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9, discount: §10}}"}),
        ("salvage-above-cost", {"heron": BOUGHT, "2026-02-01": "salvaged: {item: peg, qty: 1, value: §301, build: heron}"}),
        ("move-above-cost", {"heron": BOUGHT, "wren": "", "2026-02-01": "moved: {part: bridge, from: heron, to: wren, cost: §301}"}),
        ("refund-above-cost", {"heron": BOUGHT, "builds/heron/2026-02-01.md": "returned: {item: bridge, refund: §301}"}),
        ("deposit-overdrawn", {"plover": ORDER, "2026-02-02": "received: {what: off, refunded: §20, build: plover}"}),
        (
            "deposit-left",
            {"plover": f"{ORDER}\nended: {{date: 2026-04-01, how: taken back}}", "2026-02-02": "received: {what: deposit, amount: §20, build: plover}"},
        ),
        ("deposit-left", {"plover": "commission: {price: 90, delivered: 2026-04-01}", "2026-02-02": "received: {what: deposit, amount: §150, build: plover}"}),
        ("mileage-rate-missing", {"2019-02-02": "drove: {distance: §20}"}),
        ("amount-too-large", {"2026-02-01": "bought: {item: peg, cost: 999999999999, for: stock, currency: EUR, rate: §999999999999}"}),
        ("trade-in-unknown", {"heron": "acquired: {date: 2026-02-01, how: §trade-in}"}),
        ("commission-unpriced", {"heron": "commission: §{delivered: {date: 2026-02-01}}"}),
        (
            "fees-back-above-fees",
            {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9, fees: 1, shipping_paid: 5, back: {{date: 2026-06-01, refund: 9, fees_back: §2}}}}"},
        ),
        ("fees-back-above-fees", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9, fees: 1, back: {{date: 2026-06-01, refund: 9, fees_back: §2}}}}"}),
        (
            "units-oversold",
            {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9, with: §[wren]}}", "wren": f"{BOUGHT}\nended: {{date: 2026-05-01, how: lost}}"},
        ),
        (
            "part-left-planned",
            {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9}}\nparts: [{{part: a, cost: 3, arrived: 2026-02-01}}, §{{part: b, cost: 3}}]"},
        ),
        ("part-left-planned", {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9}}\nparts: [§{{part: a, cost: 3, paid: 2026-02-01}}]"}),
        (
            "part-left-planned",
            {"heron": f"{BOUGHT}\nended: {{date: 2026-05-20, how: scrapped}}\nparts: [{{part: a, cost: 3}}, §{{part: b, cost: 3, paid: 2026-02-01}}]"},
        ),
        (
            "part-left-planned",
            {"heron": f"{BOUGHT}\nsale: {{date: 2026-05-20, price: 9}}\nparts: [{{part: a, how: gifted}}, §{{part: b, how: gifted, value: 3}}]"},
        ),
        ("change-without-effect", {"heron": f"{BOUGHT}\nmoved: {{date: §2026-02-02, to: shop}}"}),
    ],
)
def test_a_trouble_stands_at_its_line(code: str, files: dict[str, str]) -> None:
    settings = "name: T\nstock: {items: {peg: {unit: piece}}}"
    marked = next((path, text.decode()) for path, text in folder(files).items() if "§" in text.decode())
    line = next((n, text.index("§") + 1) for n, text in enumerate(marked[1].split("\n"), 1) if "§" in text)
    troubles = [t for t in kept({path: text.replace("§", "") for path, text in files.items()}, settings).troubles if t.code == code]
    assert [(t.place.file, t.place.line, t.place.column) for t in troubles] == [(marked[0], *line)]
    assert troubles[0].found and troubles[0].mend


@pytest.mark.parametrize(
    "files",
    [
        {
            "2026-02-01": "bought: {item: peg, cost: 39 80, for: stock}\nused: {item: peg}\nsold: {item: peg}\npaid: {what: x}\ndrove: {distance: far}\nlots: {lot: a}\nreturned: {item: peg}\nwritten_off: {qty: 1}\ncounted: {qty: 1}\nreceived: {amount: 3}"
        },
        {
            "heron": "acquired: {price: 1,450}\nsale: {price: 9}\nparts: {cost: 3}\nshare: {partner: p}\nended: {how: lost}\nmoved: {to: shop}\ncommission: {extras: {what: x}, delivered: {units: 2}}\nfor_sale: {since: 2026-01-01}"
        },
        {"heron": "sale: {date: 2026-01-01, price: 9, trade_in: {build: heron}, back: {refund: 3}}"},
        {"journal/episodes/2026-02-01.md": "title: x\nincome: {what: ads}"},
    ],
)
def test_a_line_that_could_not_be_read_counts_for_nothing(files: dict[str, str]) -> None:
    shop = kept(files, "name: T\nmileage: {from: 2026-01-01}\nstanding: {what: rent}\nhanded_in: {net_profit: 3}")
    assert "key-missing" in shop.codes
    assert sum(line.amount for line in shop.year().balance) == 0


def test_a_line_in_a_later_note_whose_day_lies_in_a_closed_year_is_told() -> None:
    files = {"2026-02-01": "bought: {item: peg, cost: 8, for: stock, paid: 2025-12-20}"}
    assert "closed-year-changed" in kept(files, "name: T\nclosed: 2025").codes
    assert kept(files).codes == []


def test_a_closed_year_is_compared_with_the_figures_it_was_handed_in_with() -> None:
    files = {"2025-02-01": "bought: {item: peg, cost: 8, for: stock}\npaid: {what: web, cost: 9, kind: software}"}
    settings = "name: T\nclosed: 2025\nhanded_in: {{year: 2025, net_profit: {}, closing_inventory: {}}}"
    assert kept(files, settings.format("-9", "8")).codes == []
    changed = kept(files, settings.format("-9.50", "7"))
    assert [(t.code, t.place.line) for t in changed.troubles] == [("closed-year-changed", 4)] * 2
    assert "the notes now come to -9" in changed.troubles[0].found


@pytest.mark.parametrize(
    ("now", "found"),
    [
        ("paid: {what: web, cost: 9, kind: software}", []),
        (
            "paid: {what: web, cost: 9, kind: tools}",
            ["Software: 2025 was handed in with 9 and the notes now come to 0", "tools: 2025 was handed in with 0 and the notes now come to 9.00"],
        ),
        (
            "paid: {what: web, cost: 9, kind: software}\nreceived: {what: the insurer, amount: 4, kind: insurance}",
            ["other_income: 2025 was handed in with 0 and the notes now come to 4.00"],
        ),
    ],
)
def test_what_moves_from_one_figure_of_a_closed_year_to_another_is_told(now: str, found: list[str]) -> None:
    kept_then = "handed_in: {year: 2025, other_income: 0, Expenses: {Software: 9}}"
    shop = kept({"2025-02-01": now, "2025-01-05": "bought: {item: peg, cost: 8, for: stock}"}, f"name: T\nclosed: 2025\n{kept_then}")
    assert sorted(t.found for t in shop.troubles if t.code == "closed-year-changed") == found


def test_an_unknown_currency_is_told_and_stops_nothing_else_from_being_told() -> None:
    shop = kept({"heron": "acquired: {date: 2026-01-02, price: -3}"}, "name: T\ncurrency: XXZ")
    assert shop.codes == ["amount-negative", "currency-unknown"]


def test_an_amount_too_fine_is_told_as_it_will_be_rounded() -> None:
    # Half away from zero, the commercial rule (DIN 1333): 39.8050 is 39.81, where half to even would give 39.80
    shop = kept({"heron": "acquired: {date: 2026-01-02, price: 39.8050}"})
    assert "it is rounded to 39.81" in shop.troubles[0].found
    assert shop.row("heron").carried == d("39.81")


@pytest.mark.parametrize(
    ("part", "told"),
    [
        ("cost: 30, shipping: 5.50, tax: 1.5", "the 37.00 are in no figure"),
        ("cost: 30, shipping: 5, currency: EUR, rate: 1.10, paid: 2026-02-01", "the 38.50 stay in the inventory, as on the way"),
    ],
)
def test_what_a_part_left_behind_cost_is_told_as_the_books_have_it(part: str, told: str) -> None:
    """By hand: 30 + 5.50 + 1.50; 35 at 1.10."""
    shop = kept({"heron": f"acquired: {{date: 2026-01-02, price: 9}}\nsale: {{date: 2026-05-20, price: 9}}\nparts: {{part: bridge, {part}}}"})
    assert [t.found for t in shop.troubles if t.code == "part-left-planned"] == [f"heron is sold and its bridge is not here yet; {told}"]
    assert shop.year().inventory.on_the_way == (d("38.50") if "paid" in part else 0)
