"""Published figures, entered as a folder on disk and read off the command's JSON."""

import json
import re
import textwrap
from pathlib import Path
from typing import Any

import pytest
from books_folder import folder
from shop_texts import put
from test_books_published import STRINGS

from purfle.shell.cli import run

DAY = "2026-12-31"


@pytest.fixture
def asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Writes a shop folder and asks a command about it."""

    def ask(files: dict[str, str], *command: str, shop: str = "name: T") -> dict[str, Any]:
        status = run([command[0], "--shop", str(put(tmp_path, folder(files, shop))), "--today", DAY, "--json", *command[1:]])
        said = capsys.readouterr()
        assert status == 0, said.out + said.err
        return dict(json.loads(said.out))

    return ask


def strings() -> dict[str, str]:
    plain = {day: text.replace(", lot: one", "").replace(", lot: two", "").replace("LOT1", "") for day, text in STRINGS.items()}
    return {day: text.replace("SOLD2", "{item: pickup, qty: 180, price: 7020}") for day, text in plain.items()}


@pytest.mark.parametrize(
    ("method", "cost", "left", "margin"),
    [
        # OpenStax, Principles of Accounting 1, 10.2–10.3
        ("first in", "7200.00", "8955.00", "4140.00"),
        ("average", "7252.94", "8902.06", "4087.06"),
    ],
)
def test_cost_of_goods_sold(asked: Any, method: str, cost: str, left: str, margin: str) -> None:
    year = asked(strings(), "year", "2026", shop=f"name: T\nstock: {{method: {method}}}")
    assert (year["cost_of_goods_sold"]["total"], year["inventory"]["stock"], year["gross_profit"]) == (cost, left, margin)
    assert year["stock"] == [{"item": "pickup", "qty": "285", "unit": None, "value": left}]


def test_sales_tax(asked: Any) -> None:
    # OpenStax, Principles of Accounting 1, 12.2: 18,000 at 6 % is 19,080 of cash, 1,080 owed, 18,000 of revenue
    year = asked({"heron": "sale: {date: 2026-02-02, price: 18000, tax: 1080}"}, "year")
    assert (year["cash"]["in"], year["sales_tax"]["owed"], year["sales"]) == ("19080.00", "1080.00", "18000.00")


def test_a_lot_to_the_cent(asked: Any) -> None:
    sheet = "acquired: {date: 2026-01-02, how: lot, lot: winter}"
    files = {"aa": sheet, "bb": sheet, "cc": sheet, "2026-01-02": "lots: {lot: winter, cost: 100000, values: {aa: 1500, bb: 14500, cc: 98000}}"}
    assert asked(files, "sheet", "cc")["carried"] == "85964.91"  # 100,000 × 98,000 ÷ 114,000; algebra


def test_asking_price_and_offer_ceiling(asked: Any) -> None:
    settings = "name: T\nlabour_rate: 20\nchannels: {market: {percent: 5, second_percent: 2.9, fixed: 0.30}, fair: {percent: 8}}"
    files = {
        "heron": "acquired: {date: 2026-01-01, price: 600}",
        "plover": "for_sale: {asking: 1200, where: [fair]}\nparts: [{part: a, cost: 180}]\nstages: [{stage: x, hours: 6}]",
    }
    # (600 + 0.30) ÷ (1 − 0.35 − 0.079), rounded up; 1,200 − 8 % − 25 % − 180 − 6 × 20; algebra
    assert asked(files, "quote", "heron", "--channel", "market", "--margin", "35", shop=settings)["asking_price"] == "1051.32"
    assert asked(files, "quote", "plover", "--margin", "25", shop=settings)["offer_ceiling"] == "504.00"


def test_a_sheet_tells_what_stands_beside_the_profit(asked: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = {
        "heron": "acquired: {date: 2026-01-02, price: 300}\nended: {date: 2026-02-01, how: lost}",
        "2026-03-01": "received: {what: the insurer, amount: 250, kind: insurance, build: heron}",
    }
    said = asked(files, "sheet", "heron")
    assert (said["profit"], [(line["what"], line["amount"], line["source"]) for line in said["beside"]]) == (
        "-300.00",
        [("the insurer", "250.00", "journal/2026-03-01.md:2")],
    )
    assert run(["sheet", "--shop", str(tmp_path), "--today", DAY, "heron"]) == 0
    assert "not part of its profit" in (text := capsys.readouterr().out) and "250.00" in text
    assert run(["compile", "--shop", str(tmp_path), "--today", DAY]) == 0
    page = (tmp_path / "out/office/builds/heron.html").read_text()
    assert "$250.00" in page.split("not part of its profit", 1)[1].split("</table>", 1)[0]


def test_the_sum_of_a_sheet_says_what_is_paid_and_on_its_way(asked: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By hand: 300 are here; 40 + 2.50 are paid and not. Once they came all of it is held, and the line is gone."""
    bare = {"wren": "", "heron": "acquired: {date: 2026-01-02, price: 300}\nparts: {part: bridge, cost: 40, shipping: 2.50, paid: 2026-01-05}"}
    for files, held in ((bare, "300.00\npaid and on the way 42.50\n"), ({"heron": bare["heron"].replace("}", ", arrived: 2026-01-08}", 2)}, "342.50\nrevenue")):
        asked(files, "sheet", "heron")
        assert run(["sheet", "--shop", str(tmp_path), "--today", DAY, "heron"]) == 0
        assert f"cost still held {held}" in re.sub(" +", " ", capsys.readouterr().out)
    assert run(["sheet", "--shop", str(tmp_path), "--today", DAY, "wren"]) == 0
    assert "No cost noted yet." in (said := capsys.readouterr().out) and "account" not in said


def test_what_to_take_on_next(asked: Any) -> None:
    # OpenStax, Principles of Accounting 2, 10.6: contributions 185, 55, 48 in 1, ½, ¼ h; the rent of a place to sell and a part still to come are taken off
    files = {
        "first": "for_sale: {asking: 185}\nstages: [{stage: x, hours: 1}]",
        "second": "for_sale: {asking: 75, where: [fair]}\nparts: [{part: p, cost: 14}]\nstages: [{stage: x, hours: 0.5}]",  # 75 − 8 % − 14 = 55
        "third": "commission: {price: 48}\nstages: [{stage: x, hours: 0.25}]",
        "unpriced": "stages: [{stage: x, hours: 1}]",
        "done": "for_sale: {asking: 60}",
        "sent": "kind: batch\nunits: 2\nfor_sale: {asking: 100}\nshare: {partner: p, percent: 50, of: profit}\npacked: {weight: 2 kg}\nparts: {part: q, how: gifted, value: 10}\nstages: [{stage: x, hours: 1}]",
        # two at 100 less 9 and 2 × 0.50 to send each; half of 180 less the gift of 10 is the partner's: 180 − 85
    }
    said = asked(files, "quote", shop="name: T\nchannels: {fair: {percent: 8}}\nshipping: {fixed: 9, rate: 0.50}")
    assert said["currency"] == "USD"
    assert [tuple(row.values()) for row in said["next"]] == [
        ("done", "60.00", "0.00", None),
        ("third", "48.00", "0.25", "192.00"),
        ("first", "185.00", "1.00", "185.00"),
        ("second", "55.00", "0.50", "110.00"),
        ("sent", "95.00", "1.00", "95.00"),
    ]


def test_what_to_take_on_next_in_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "shop.md").write_text("---\nname: T\n---\n")
    ask = ["quote", "--shop", str(tmp_path), "--today", DAY]
    assert run(ask) == 0 and "No open build has a price" in capsys.readouterr().out
    (tmp_path / "builds/heron").mkdir(parents=True)
    (tmp_path / "builds/heron/build.md").write_text("---\ntitle: Heron\nfor_sale: {asking: 1850}\nstages: [{stage: x, hours: 10}]\n---\n")
    assert run(ask) == 0
    assert capsys.readouterr().out.splitlines()[-1].split() == ["heron", "1", "850.00", "10", "185.00"]
    assert run([*ask, "--resale", "1200"]) == 2 and "need the ID" in capsys.readouterr().err


def test_one_table_of_the_year_in_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path, folder({"2026-02-01": 'paid: [{what: =lamp, cost: 27.50, kind: tools}, {what: "\'59 catalogue", cost: 5, kind: tools}]'}))
    where = ["--shop", str(tmp_path), "--today", DAY]
    assert run(["year", *where, "--table", "lines"]) == 0
    said = capsys.readouterr().out
    assert "=lamp" in said and "'=lamp" not in said and "journal/2026-02-01.md:2" in said
    assert " '59 catalogue" in said  # the owner's own apostrophe, unlike one that keeps a cell of CSV from being a formula
    assert run(["year", *where, "--table", "lines", "--json"]) == 2


def test_a_year_that_is_over_says_how_to_close_it_and_what_it_says_is_no_trouble(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paid = {"2025-02-01": "paid: [{what: file, cost: 15, kind: tools}, {what: lamp, cost: 12.50, kind: '2: lamps'}]\nbought: {item: peg, cost: 8, for: stock}"}
    kinds = "expense_kinds: {'2: lamps': 22}"
    where = ["--shop", str(tmp_path), "--today", DAY]

    def said(shop: str, *command: str) -> str:
        put(tmp_path, folder(paid, shop))
        run([command[0], *where, *command[1:]])
        return capsys.readouterr().out

    printed = textwrap.dedent(said(f"name: T\n{kinds}", "year", "2025").partition("of other years:\n")[2])
    assert printed.splitlines() == [
        "closed: 2025",
        "handed_in:",
        "  - year: 2025",
        "    net_profit: -27.50",
        "    closing_inventory: 8.00",
        "    expenses:",
        '      "2: lamps": 12.50',
        "      tools: 15.00",
    ]
    assert said(f"name: T\n{kinds}\n{printed}", "check").strip() == "No troubles."
    assert "handed_in" not in said(f"name: T\n{kinds}\n{printed}", "year", "2025")
    assert printed in textwrap.dedent(said(f"name: T\n{kinds}\nclosed: 2025", "year", "2025").partition("of other years:\n")[2])
    assert "closed-year-changed" in said(f"name: T\n{kinds}\n{printed.replace('8.00', '9.00')}", "check")


COMMISSION = "kind: commission\ncommission: {customer: Odile Marrick, price: 900, tax: 54, delivered: [{date: 2026-06-10}]}"
DEPOSITS = {
    "2026-03-01": "received: [{build: heron, what: deposit, amount: 200, kind: deposit}]",
    "2026-04-01": "received: [{build: heron, what: more, amount: 300, refunded: 50, kind: instalment}]",
}


@pytest.mark.parametrize(
    ("price", "held", "owed"),
    [
        # 200 + 300 − 50 = 450 came in; 900 + 54 tax are earned at delivery: 504 are owed. At a price of 300: 450 − 354 = 96 are held.
        ("900", "0.00", "504.00"),
        ("300", "96.00", "0.00"),
    ],
)
def test_what_the_customer_of_a_commission_paid(asked: Any, price: str, held: str, owed: str) -> None:
    sheet = asked({"heron": COMMISSION.replace("900", price), **DEPOSITS}, "sheet", "heron")
    paid = sheet["customer"]
    assert (paid["held"], paid["owed"]) == (held, owed)
    amounts = [(line["what"], line["amount"]) for line in paid["lines"]]
    assert amounts == [("deposit", "200.00"), ("more", "300.00"), ("more, paid back", "-50.00"), ("delivered", f"-{price}.00"), ("tax", "-54.00")]
    assert paid["lines"][0]["source"].startswith("journal/2026-03-01.md:")


def test_what_a_customer_owes_for_work_agreed_after_the_delivery_goes_by_its_words(asked: Any) -> None:
    # 900 and 54 tax at delivery, then 35 more: 989 owed.
    late = COMMISSION.replace("tax: 54", "tax: 54, extras: [{what: strap pin, price: 35, date: 2026-06-20}]")
    paid = asked({"heron": late}, "sheet", "heron")["customer"]
    assert paid["owed"] == "989.00"
    assert [(line["what"], line["amount"]) for line in paid["lines"]] == [("delivered", "-900.00"), ("tax", "-54.00"), ("strap pin", "-35.00")]


def test_a_build_that_no_customer_paid_for_has_none(asked: Any) -> None:
    assert asked({"heron": "acquired: {date: 2026-01-02, how: bought, price: 20}"}, "sheet", "heron")["customer"] is None


@pytest.mark.parametrize(("balance", "says"), [("504", "settled"), ("500", "4.00 owed by them"), ("", "504.00 owed by them")])
def test_the_terminal_says_what_is_left_of_a_customers_money(tmp_path: Path, capsys: pytest.CaptureFixture[str], balance: str, says: str) -> None:
    last = {"2026-06-11": f"received: [{{build: heron, what: the rest, amount: {balance}, kind: balance}}]"} if balance else {}
    put(tmp_path, folder({"heron": COMMISSION, **DEPOSITS, **last}, "name: T"))
    assert run(["sheet", "heron", "--shop", str(tmp_path), "--today", DAY]) == 0
    said = capsys.readouterr().out
    assert f"The customer's money: {says}" in said
    assert "more, paid back" in said


def test_the_terminals_builds_add_up_across_the_row_and_tax_that_comes_back_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By hand: 900 less 100 paid back is 800; less 300 and 60 it leaves 440, 55 % of the 800. Of the tax of 7 nothing is cost."""
    sheet = "acquired: {date: 2026-01-02, price: 300, tax: 7, tax_reclaimable: yes}"
    sale = "sale: {date: 2026-05-20, price: 900, fees: 60, channel: web, back: {date: 2026-06-01, refund: 100}}"
    put(tmp_path, folder({"heron": f"{sheet}\n{sale}"}, "name: T\nchannels: {web: {percent: 5}}"))
    assert run(["year", "2026", "--shop", str(tmp_path), "--today", DAY]) == 0
    said = capsys.readouterr().out
    assert re.search(r"^build +state +net revenue +cost +fees, share +profit +margin", said, re.MULTILINE)
    assert re.search(r"^heron +sold +800\.00 +300\.00 +60\.00 +440\.00 +55 %", said, re.MULTILINE)
    assert re.search(r"^reclaimable tax +7\.00", said, re.MULTILINE)
