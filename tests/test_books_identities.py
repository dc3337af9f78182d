"""What must hold in any shop: nothing is lost and nothing counted twice, to the cent.

Shops are drawn at random and written as notes; the files are read as any shop's are.
"""

import re
from datetime import date
from decimal import Decimal
from random import Random

from books_folder import Kept, folder, kept
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from purfle.books import keep, years
from purfle.books.figures import Year
from purfle.books.ledger import Book
from purfle.events import stream
from purfle.notes.shop import read_shop
from purfle.progress import progress_of

SHOP = """
name: T
stock: {method: METHOD, items: {sandpaper: {counted: no}, lacquer: {unit: can}}}
channels: {market: {percent: 9.7, fixed: 0.33, on: total, cap: 40, remits_tax: REMITS, holds: 12 days}, fair: {percent: 3, second_percent: 2.9}}
year_starts: STARTS
standing: [{what: rent, cost: 41.17, kind: rent, every: quarter, from: 2025-02-28, until: 2026-09-01}]
"""
money = st.decimals(0, 900, places=2).map(str)
some = st.decimals(1, 900, places=2).map(str)
day = st.dates(date(2025, 3, 1), date(2026, 11, 30)).map(str)
qty = st.sampled_from(["0.5", "1", "2", "0.333"])
ids = st.sampled_from(["aa", "bb", "cc", "dd"])


@st.composite
def sheet(draw: st.DrawFn) -> str:
    kind = draw(st.sampled_from(["resale", "commission", "collection", "batch", "test"]))
    units = draw(st.integers(1, 5)) if kind in ("batch", "commission") else 1
    how = draw(st.sampled_from(["bought", "gift", "own collection", "customer's", "consigned"]))
    price = {
        "bought": f"price: {draw(money)}, shipping: {draw(money)}, tax: {draw(money)}, tax_reclaimable: {draw(st.sampled_from(['yes', 'no']))}, paid: {draw(day)}",
        "gift": f"value: {draw(money)}",
        "own collection": f"basis: {draw(money)}, value: {draw(money)}",
    }.get(how, f"shipping: {draw(money)}")
    lines = [f"kind: {kind}", f"units: {units}", f"acquired: {{date: {draw(day)}, how: {how}, {price}}}"]
    parts = draw(st.lists(st.tuples(money, st.none() | day, st.none() | day, st.sampled_from(["bought", "gifted"])), max_size=3))
    listed = [
        f"{{part: part {n}, how: {how}, {'cost' if how == 'bought' else 'value'}: {cost}"
        + (f", paid: {paid}" if paid else "")
        + (f", arrived: {here}" if here else "")
        + "}"
        for n, (cost, paid, here, how) in enumerate(parts)
    ]
    lines.append(f"parts: [{', '.join(listed)}]")
    if kind == "commission":
        times = draw(st.lists(day, max_size=2))
        lines.append(
            f"commission: {{price: {draw(money)}, tax: {draw(money)}, channel: market, extras: [{{what: x, price: {draw(money)}, date: {draw(day)}}}], delivered: [{', '.join(f'{{date: {t}, units: {draw(st.integers(1, units))}}}' for t in times)}], back: [{draw(back())}]}}"
        )
    else:
        lines.append(f"sale: [{', '.join(draw(st.lists(sale(), max_size=2)))}]")
    if draw(st.booleans()):
        parts = [
            f"{{partner: p{n}, percent: {draw(st.integers(0, 50))}, of: {draw(st.sampled_from(['price', 'profit']))}}}" for n in range(draw(st.integers(1, 2)))
        ]
        lines.append(f"share: [{', '.join(parts)}]")
    lines.append(
        draw(
            st.sampled_from(
                [
                    "",
                    f"ended: {{date: {draw(day)}, how: {draw(st.sampled_from(['scrapped', 'given', 'lost', 'taken back']))}}}",
                    f"moved: [{{date: {draw(day)}, to: collection}}, {{date: {draw(day)}, to: shop, value: {draw(money)}}}]",
                ]
            )
        )
    )
    return "\n".join(lines)


@st.composite
def back(draw: st.DrawFn) -> str:
    return f"{{date: {draw(day)}, refund: {draw(money)}, goods: {draw(st.sampled_from(['yes', 'no']))}, fees_back: {draw(money)}, tax_back: {draw(money)}}}"


@st.composite
def sale(draw: st.DrawFn) -> str:
    extra = draw(
        st.sampled_from(["", f", fees: {draw(money)}", f", paid_out: {draw(day)}", ", with: [cc]", f", trade_in: {{build: dd, value: {draw(money)}}}"])
    )
    return f"{{date: {draw(day)}, price: {draw(some)}, discount: {draw(money)}, channel: {draw(st.sampled_from(['market', 'fair']))}, shipping_charged: {draw(money)}, shipping_paid: {draw(money)}, packing: {draw(money)}, tax: {draw(money)}, back: [{draw(back())}]{extra}}}"


@st.composite
def journal(draw: st.DrawFn) -> str:
    item = draw(st.sampled_from(["lacquer", "peg", "sandpaper"]))
    build = draw(ids)
    line = draw(
        st.sampled_from(
            [
                f"bought: {{item: {item}, qty: {draw(qty)}, cost: {draw(money)}, tax: {draw(money)}, for: {draw(st.sampled_from(['stock', 'shop', 'aa', 'dd']))}, paid: {draw(day)}, arrived: {draw(day)}}}",
                f"bought: {{item: {item}, qty: {draw(qty)}, cost: {draw(money)}, for: stock, currency: EUR, rate: 1.0837}}",
                f"used: {{item: {item}, qty: {draw(qty)}, over: [aa, bb, cc]}}\nbench: {{build: aa, hours: 1.5}}",
                f"used: {{item: {item}, qty: {draw(qty)}, build: {build}}}",
                f"sold: {{item: {item}, qty: {draw(qty)}, price: {draw(some)}, channel: market, tax: {draw(money)}, shipping_paid: {draw(money)}, back: [{draw(back())}]}}",
                f"salvaged: {{item: {item}, qty: {draw(qty)}, value: {draw(money)}, build: {build}}}",
                f"moved: {{part: part 0, from: {build}, to: {draw(st.sampled_from(['stock', 'aa', 'bb']))}}}",
                f"returned: {{item: {item}, qty: {draw(qty)}, refund: {draw(money)}, paid: {draw(day)}}}",
                f"written_off: {{item: {item}, qty: {draw(qty)}}}",
                f"counted: {{item: {item}, qty: {draw(qty)}}}",
                f"withdrawn: {{item: {item}, qty: {draw(qty)}}}",
                f"paid: {{what: x, cost: {draw(money)}, kind: {draw(st.sampled_from(['outside work', 'other cost', 'share', 'sales tax', 'supplier', 'rent', 'post']))}, build: {build}, paid: {draw(day)}}}",
                f"received: {{what: x, amount: {draw(money)}, kind: {draw(st.sampled_from(['deposit', 'instalment', 'balance', 'show income', 'other income', 'reclaimed tax', 'insurance']))}, build: {build}, refunded: {draw(money)}}}",
                f"lots: {{lot: l, cost: {draw(money)}, shipping: {draw(money)}, item: peg, values: {{aa: {draw(money)}, stock: {draw(some)}, collection: {draw(money)}, shop: {draw(money)}, cc: 3}}, paid: {draw(day)}}}",
                f"drove: {{distance: {draw(qty)}, unit: km}}",
            ]
        )
    )
    return line


@st.composite
def shops(draw: st.DrawFn) -> tuple[dict[str, str], str]:
    files = {name: draw(sheet()) for name in ("aa", "bb", "cc", "dd")}
    for number, note in enumerate(draw(st.lists(journal(), max_size=14))):
        files[f"journal/{draw(day)}-{number}.md"] = note
    settings_text = SHOP.replace("METHOD", draw(st.sampled_from(["first in", "average"]))).replace("REMITS", draw(st.sampled_from(["yes", "no"])))
    return files, settings_text.replace("STARTS", draw(st.sampled_from(["01-01", "04-06", "10-01"])))


def of_year(shop: Kept) -> list[Year]:
    return [shop.year(year) for year in years(shop.books)]


TODAYS = st.dates(date(2025, 2, 1), date(2027, 2, 1))
many = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


@many
@given(shops(), TODAYS)
def test_every_amount_ends_in_exactly_one_place(drawn: tuple[dict[str, str], str], today: date) -> None:
    shop = kept(*drawn, today)
    assert not {"key-misspelt", "amount-unclear", "yaml-broken", "key-misplaced", "choice-unknown", "mapping-expected"} & set(shop.codes)
    assert sum(p.amount for p in shop.books.postings) == 0
    for year in of_year(shop):
        assert sum(line.amount for line in year.balance) == 0


@many
@given(shops(), TODAYS)
def test_opening_and_additions_less_closing_is_cost_of_goods_sold(drawn: tuple[dict[str, str], str], today: date) -> None:
    closing = Decimal(0)
    for year in of_year(kept(*drawn, today)):
        cost, held = year.cost_of_goods_sold, year.inventory
        assert cost.opening_inventory == closing, "this year's opening is last year's closing"
        closing = cost.closing_inventory
        additions = cost.purchases + cost.materials + cost.outside_work + cost.other_costs
        assert cost.opening_inventory + additions - closing == cost.total
        assert closing == held.instruments + held.work_in_progress + held.stock + held.on_the_way
        assert held.stock == sum(line.value for line in year.stock)
        assert held.instruments + held.work_in_progress == sum(row.carried for row in year.builds)


@many
@given(shops(), TODAYS)
def test_what_each_build_carries_is_what_the_ledger_says(drawn: tuple[dict[str, str], str], today: date) -> None:
    shop = kept(*drawn, today)
    for id, facts in shop.books.facts.items():
        carried = sum(p.amount for p in shop.books.postings if p.account.build == id and p.account.book is Book.INVENTORY and p.account.name != "on the way")
        assert carried == facts.carried >= 0


@many
@given(shops())
def test_the_builds_and_the_other_sales_come_to_the_year(drawn: tuple[dict[str, str], str]) -> None:
    for year in of_year(kept(*drawn)):
        own = [line for line in year.lines if line.build is None]
        other = sum(line.amount for line in own if line.book == Book.SALES.value) - sum(line.amount for line in own if line.book == Book.RETURNS.value)
        selling = sum(e.amount for e in year.expenses if e.kind in ("selling fees", "post", "packing", "parcel insurance", "share"))
        own_selling = sum(
            line.amount for line in own if line.book == Book.EXPENSES.value and line.account in ("selling fees", "post", "packing", "parcel insurance", "share")
        )
        no_build = sum(line.amount for line in own if line.book == Book.COGS.value)
        builds = sum(row.profit for row in year.builds)
        assert builds + other - no_build - own_selling == year.gross_profit - selling
        assert year.net_profit == year.gross_profit - sum(e.amount for e in year.expenses) + year.show_income + year.other_income


def came_to(year: Year) -> dict[str, object]:
    """What a year came to, without what is to date and without money that a later line may say has moved earlier."""
    rows = [(row.id, row.cost, row.revenue, row.returns, row.fees, row.share, row.carried) for row in year.builds]
    return {
        "profit": (year.sales, year.returns, year.gross_profit, year.show_income, year.other_income, year.net_profit),
        "goods": year.cost_of_goods_sold,
        "expenses": [(line.kind, line.amount) for line in year.expenses],
        "held": (year.withdrawn, year.inventory, [(line.item, line.qty, line.value) for line in year.stock]),
        "builds": [row for row in rows if any(row[1:])],
        "collection": [(row.id, row.basis, row.proceeds) for row in year.collection],
    }


@many
@given(shops())
def test_what_a_year_came_to_on_its_last_day_no_later_day_changes(drawn: tuple[dict[str, str], str]) -> None:
    later = kept(*drawn)
    for number in years(later.books)[:-1]:
        year = later.year(number)
        assert came_to(kept(*drawn, year.last).year(number)) == came_to(year)


AMOUNTS = re.compile(
    r"\b(price|cost|shipping|tax|value|basis|refund|refunded|fees|fees_back|tax_back|discount|shipping_charged|shipping_paid|packing|amount|fixed|cap): ([0-9.]+)"
)


def times(text: str, by: Decimal) -> str:
    return AMOUNTS.sub(lambda found: f"{found[1]}: {Decimal(found[2]) * by:.3f}".rstrip("0").rstrip("."), text)


@many
@given(shops(), TODAYS, st.sampled_from([("JPY", Decimal(100)), ("KWD", Decimal("0.1"))]))
def test_a_shop_in_yen_or_dinars_has_the_books_of_one_in_dollars(drawn: tuple[dict[str, str], str], today: date, other: tuple[str, Decimal]) -> None:
    """Whole yen and thousandths of a dinar are rounded as cents are (ISO 4217: 0, 3 and 2 decimals), so every amount is so many times the same."""
    files, shop = {name: note.replace("EUR", "TND") for name, note in drawn[0].items()}, drawn[1]  # foreign money with as many decimals as any
    currency, by = other
    here = kept(files, shop, today)
    there = kept({name: times(note, by) for name, note in files.items()}, f"{times(shop, by)}currency: {currency}", today)
    assert "amount-unclear" not in there.codes
    assert [p._replace(amount=p.amount * by, source=None) for p in here.books.postings if p.account.name != "mileage"] == [
        p._replace(source=None) for p in there.books.postings if p.account.name != "mileage"
    ]


@many
@given(shops())
def test_cash_of_the_months_is_the_cash_of_the_ledger(drawn: tuple[dict[str, str], str]) -> None:
    shop = kept(*drawn)
    total = Decimal(0)
    for year in of_year(shop):
        assert sum(m.cash_in for m in year.cash.months) == year.cash.cash_in
        total += year.cash.cash_in - year.cash.cash_out
    assert total == sum(p.amount for p in shop.books.postings if p.account.book is Book.CASH)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(shops(), st.randoms(use_true_random=False))
def test_the_order_of_files_changes_nothing(drawn: tuple[dict[str, str], str], random: Random) -> None:
    shop = kept(*drawn)
    files = list(folder(*drawn).items())
    random.shuffle(files)
    read, _ = read_shop(dict(files), (), shop.books.today)
    events = stream(read, shop.books.today)
    books, _ = keep(read, events, progress_of(read, events, shop.books.today)[0], shop.books.today)
    assert books.postings == shop.books.postings


BUYS = st.builds("bought: {{item: lacquer, qty: {}, cost: {}, for: stock}}".format, st.integers(1, 3), some)
USES = st.builds("used: {{item: lacquer, qty: 0.{}, build: {}}}".format, st.integers(1, 9), ids)


@many
@given(shops(), st.lists(BUYS, min_size=3, max_size=5), st.lists(st.one_of(USES, journal()), min_size=3, max_size=8), st.randoms(use_true_random=False))
def test_what_the_notes_of_a_day_are_called_moves_no_cent(drawn: tuple[dict[str, str], str], buys: list[str], others: list[str], random: Random) -> None:
    """All is bought on one day and the rest noted on the next, in notes called by numbers and then by the same numbers in another order."""
    sheets, notes = {name: sheet for name, sheet in drawn[0].items() if "/" not in name}, [*buys, *others]
    days = ["2025-11-04"] * len(buys) + ["2025-11-05"] * len(others)
    one, other = (
        kept({**sheets, **{f"journal/{day}-{n:02}.md": note for n, day, note in zip(names, days, notes, strict=True)}}, drawn[1])
        for names in (range(len(notes)), random.sample(range(len(notes)), len(notes)))
    )
    assert [came_to(year) for year in of_year(one)] == [came_to(year) for year in of_year(other)]


@many
@given(shops())
def test_every_line_says_where_it_comes_from(drawn: tuple[dict[str, str], str]) -> None:
    shop = kept(*drawn)
    known = folder(*drawn)
    for posting in shop.books.postings:
        lines = known[posting.source.file].decode().split("\n")
        assert 1 <= posting.source.line <= len(lines)
