"""The JSON that programs rely on, key by key: the sets are written out here as they were agreed, not taken from the code."""

import csv
import json
import re

import pytest
from shop_texts import put

from purfle.shell.cli import run

DAY = "2026-05-20"
FILES = {
    "shop.md": """---
name: Sallow Lane
bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4, saturday: 4, sunday: 4}
show: {weekday: friday, minutes: 14, lead: 3 days}
channels: {fair: {percent: 8}}
labour_rate: 20
stock: {items: {lacquer: {unit: can, low: 2}}}
---
""",
    "builds/heron/build.md": """---
title: Heron
acquired: {date: 2026-01-10, how: bought, price: 280}
due: 2026-05-22
showroom: yes
parts: [{part: bridge, cost: 40, for: assembly, lead: 3 days}]
stages: [{stage: strip, hours: 2, shots: [the old finish]}, {stage: colour, hours: 3, cure: 5 days}, {stage: assembly, hours: 40}]
for_sale: {asking: 900, where: [fair]}
---
""",
    "builds/heron/2026-05-18.md": "---\nbench: [{stage: strip, hours: 2, finished: yes}, {stage: colour, hours: 3, finished: yes}]\n---\n",
    "builds/wren/build.md": """---
title: Wren
showroom: yes
acquired: {date: 2026-01-11, how: bought, price: 100}
stages: [{stage: strip, hours: 2, shots: [the other finish]}]
---
""",
    "builds/plover/build.md": """---
title: Plover
acquired: {date: 2026-01-12, how: bought, price: 50}
sale: {date: 2026-03-01, price: 120, channel: fair}
---
""",
    "builds/own/build.md": """---
title: Own
kind: collection
acquired: {date: 2025-01-12, how: bought, price: 50}
sale: {date: 2026-03-01, price: 80, channel: fair}
---
""",
    "journal/2026-02-01.md": "---\nbought: {item: lacquer, qty: 2, cost: 39.80, for: stock}\n---\n",
    "journal/episodes/2026-04-03.md": "---\ntitle: Blues\naired: yes\nsegments: [{build: heron}]\npromises: [{build: heron, do: assembly, by: 2026-05-29}]\n---\n",
}
CONTRACT = {
    "year": """year from to currency sales returns cost_of_goods_sold gross_profit expenses show_income other_income net_profit hours profit_per_hour
        deposits_held owed_by_customers payables sales_tax partner_shares_owed withdrawn inventory stock cash builds collection
        cost_of_goods_sold.opening_inventory cost_of_goods_sold.purchases cost_of_goods_sold.materials cost_of_goods_sold.outside_work
        cost_of_goods_sold.other_costs cost_of_goods_sold.closing_inventory cost_of_goods_sold.total cost_of_goods_sold.of_which_lost
        sales_tax.collected sales_tax.remitted sales_tax.owed inventory.instruments inventory.work_in_progress inventory.stock inventory.on_the_way
        stock[].item stock[].qty stock[].value cash.in cash.out cash.months[] builds[].id builds[].kind builds[].state builds[].cost builds[].revenue
        builds[].fees builds[].profit builds[].margin builds[].hours builds[].profit_per_hour builds[].days_held builds[].carried
        collection[].id collection[].basis collection[].proceeds collection[].gain collection[].gain_counted""",
    "week": """from to days[].date days[].hours days[].tasks[].build days[].tasks[].stage days[].tasks[].hours curing[].build curing[].stage curing[].until
        film[].build film[].shot film[].by film[].last_chance order[].build order[].part order[].by feature[].build feature[].stage feature[].ready
        feature[].chance feature[].why promises[].episode promises[].build promises[].do promises[].state promises[].due at_risk[].build at_risk[].due
        at_risk[].chance at_risk[].late_by forecast[].build forecast[].stage forecast[].p10 forecast[].p50 forecast[].p80 forecast[].p95""",
    "check": "troubles[].file troubles[].line troubles[].column troubles[].stops troubles[].code troubles[].found troubles[].mend",
    "quote": "cost labour asking_price fees profit margin offer_ceiling",
    "lineup": """episodes[].airs episodes[].minutes episodes[].segments[].build episodes[].segments[].stage episodes[].segments[].minutes
        episodes[].segments[].chance episodes[].segments[].why episodes[].left_out[].build episodes[].left_out[].stage episodes[].left_out[].why""",
    "sheet": "id kind state cost revenue fees profit margin hours profit_per_hour days_held carried lines[].source stages[].stage",
}
"""Command → what programs may ask of its answer; `[]` is a list with something in it."""
SINCE = {
    "year": "estimated tax_that_comes_back partners builds[].estimated builds[].sources[] collection[].estimated lines[].source",
    "week": "curing[].why order[].needed promises[].words promises[].source at_risk[].why forecast[].by[].records dates[].chance not_placed proof"
    " for_sale low[].item low[].qty low[].unit low[].low low[].coming overdue done[].build done[].p80",
    "quote": "build currency channel hours agreed_price refused",
    "lineup": "episodes[].records episodes[].length episodes[].free episodes[].segments[].what episodes[].left_out[].near",
    "sheet": "currency estimated sources[] customer collection on_air stages[].passes stages[].estimate[] stages[].free_on worked_out",
}
"""What came to it since, and is as little taken away."""
DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?")
FIGURES = re.compile(r"(^|\.)(cost|revenue|fees|profit|margin|hours|profit_per_hour|carried|basis|proceeds|gain|value|qty|chance|total|in|out|labour|minutes)$")


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    return put(tmp_path_factory.mktemp("shop"), FILES)


def paths(value, at=""):
    """Every path in an answer, with the values that stand there."""
    if isinstance(value, dict):
        for key, of in value.items():
            yield from paths(of, f"{at}.{key}".lstrip("."))
    elif isinstance(value, list):
        for of in value:
            yield f"{at}[]", of
            yield from paths(of, f"{at}[]")
    if at:
        yield at, value


def asked(shop, capsys, command):
    """What the command answers on a shop with a warning in it, and that it prints JSON alone and the same again."""
    args = [*command.split(), "--shop", str(shop), "--today", DAY, "--json"]
    assert run(args) == 0
    said = capsys.readouterr().out
    assert run(args) == 0 and capsys.readouterr().out == said
    answer = json.loads(said)  # all of it: a word before or after would be no JSON
    assert isinstance(answer["schema"], int) and next(iter(answer)) == "schema" and "\x1b" not in said
    return answer


@pytest.mark.parametrize("command", ["year 2026", "week", "check", "quote heron", "lineup", "sheet heron"])
def test_every_key_of_the_contract_is_there_and_figures_are_decimal_strings(shop, capsys, command):
    found = list(paths(asked(shop, capsys, command)))
    promised = f"{CONTRACT[name := command.split()[0]]} {SINCE.get(name, '')}".split()
    assert set(promised) - {at for at, _ in found} == set()
    for at, value in found:
        assert not isinstance(value, float), at
        if FIGURES.search(at) and value is not None and not isinstance(value, dict | list):
            assert isinstance(value, str) and DECIMAL.fullmatch(value), at


def test_a_readiness_is_one_of_three_words(shop, capsys):
    assert {entry["ready"] for entry in asked(shop, capsys, "week")["feature"]} <= {"yes", "likely", "no"}


def test_an_estimated_piece_of_the_collection_is_marked_on_its_sheet_and_in_the_year(shop, capsys):
    """The channel's fee is not known yet: 80 less 8 % is 73.60, less the basis of 50 a gain of 23.60; by hand."""
    own = asked(shop, capsys, "sheet own")["collection"]
    (in_year,) = asked(shop, capsys, "year 2026")["collection"]
    told = {"basis": "50.00", "proceeds": "73.60", "gain": "23.60", "gain_counted": "23.60", "estimated": True}
    assert own.items() >= told.items() and in_year.items() >= told.items()


def test_a_figure_is_written_in_one_way_however_it_was_typed_or_summed_up(tmp_path, capsys):
    day = "---\nbought: [{item: peg, qty: 1.50, cost: 3, for: stock}, {item: peg, qty: 0.50, cost: 1, for: stock}, {item: glue, qty: 20, cost: 1, for: stock}]\n---\n"
    sheet = "---\ntitle: Heron\npacked: {weight: 3 kg}\nfor_sale: {asking: 950}\n---\n"
    shop = put(tmp_path, {"shop.md": "---\nname: T\n---\n", "journal/2026-01-05.md": day, "builds/heron/build.md": sheet})
    assert [(s["item"], s["qty"]) for s in asked(shop, capsys, "year 2026")["stock"]] == [("glue", "20"), ("peg", "2")]
    assert asked(shop, capsys, "sheet heron")["worked_out"]["parcel"]["insured"] == "950.00"


def test_tax_that_comes_back_is_in_the_json_as_in_the_tables(tmp_path, capsys):
    """By hand: of 300 and a tax of 7 that is reclaimed, 300 is cost and 7 a balance."""
    sheet = "---\ntitle: Heron\nacquired: {date: 2026-01-02, price: 300, tax: 7, tax_reclaimable: yes}\n---\n"
    shop = put(tmp_path, {"shop.md": "---\nname: T\n---\n", "builds/heron/build.md": sheet})
    assert asked(shop, capsys, "year 2026")["tax_that_comes_back"] == "7.00"
    assert run(["year", "2026", "--shop", str(shop), "--today", DAY, "--csv"]) == 0
    assert "reclaimable tax,7.00" in capsys.readouterr().out


def test_the_tables_say_what_each_partner_is_owed(tmp_path, capsys):
    """By hand: 30 % of a price of 500 is 150, 10 % of it 50, 200 in all; 20 was paid to nobody named."""
    shares = "share: [{partner: Ann, percent: 30, of: price}, {partner: Bo, percent: 10, of: price}]"
    sheet = f"---\ntitle: Heron\nacquired: {{date: 2026-01-02, price: 300}}\n{shares}\nsale: {{date: 2026-02-02, price: 500}}\n---\n"
    paid = "---\npaid: [{what: a share, cost: 20, kind: share, build: heron}]\n---\n"
    shop = put(tmp_path, {"shop.md": "---\nname: T\n---\n", "builds/heron/build.md": sheet, "journal/2026-03-02.md": paid})
    assert run(["year", "2026", "--shop", str(shop), "--today", DAY, "--csv"]) == 0
    lines = [row[:2] for row in csv.reader(capsys.readouterr().out.splitlines()) if row and row[0].startswith("partner shares")]
    told = [("", "180.00"), (": to Ann", "150.00"), (": to Bo", "50.00"), (": paid, and not said to whom", "-20.00")]
    assert lines == [[f"partner shares owed{who}", owed] for who, owed in told]
