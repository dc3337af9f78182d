"""What to ask and what to pay."""

from decimal import Decimal

from books_folder import TODAY, d, kept
from hypothesis import given, settings
from hypothesis import strategies as st

from purfle.books.decisions import against_estimate, break_even, break_even_of, ranked, take_on_next
from purfle.books.fees import exact_fee, fee
from purfle.books.figures import Quote
from purfle.books.quote import asking_price, quote
from purfle.events import stream
from purfle.notes.records.shop import Channel
from purfle.progress import progress_of

CENT, NOTHING = d("0.01"), d("0")
SHOP = "name: T\nlabour_rate: 20\nchannels: {market: {percent: 5, second_percent: 2.9, fixed: 0.30}, fair: {percent: 8}}"


def quoted(sheet: str, **how: object) -> Quote:
    shop = kept({"heron": sheet}, SHOP)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    return quote(shop.shop, shop.books, progress["heron"], shop.shop.build("heron"), **how)  # type: ignore[arg-type]


def test_asking_price_of_a_margin_after_two_percentages_and_a_fixed_part() -> None:
    # cost ÷ (1 − margin − fees), plus the fixed part: (600 + 0.30) ÷ 0.571 = 1,051.3134…, rounded up; algebra
    found = quoted("acquired: {date: 2026-01-01, price: 600}", channel="market", margin=d("35"))
    assert found.asking_price == d("1051.32")
    assert found.margin is not None and found.margin >= d("0.35")


def test_offer_ceiling_counts_labour() -> None:
    # 1,200 − 8 % − 25 % − 180 − 6 × 20 = 504.00; algebra
    found = quoted("for_sale: {asking: 1200, where: [fair]}\nparts: [{part: a, cost: 180}]\nstages: [{stage: x, hours: 6}]", margin=d("25"))
    assert (found.offer_ceiling, found.labour, found.hours) == (d("504.00"), d("120.00"), 6)


def test_an_impossible_target_is_refused_with_the_reason() -> None:
    found = quoted("acquired: {date: 2026-01-01, price: 600}", channel="market", margin=d("92.1"))
    assert found.asking_price is None and found.margin is None
    assert found.refused == "a margin of 92.1 % and fees of 7.9 % leave nothing for the cost at any price"


def test_a_cap_makes_a_target_possible_that_the_percentage_alone_would_not() -> None:
    # 70 % margin and 40 % fees are over the whole, but the fee stops at 50: (100 + 50) ÷ 0.30 = 500; algebra
    capped = Channel(percent=d("40"), cap=d("50"))
    assert asking_price(d("100"), d("70"), capped, CENT).amount == d("500.00")
    assert asking_price(d("100"), d("70"), Channel(percent=d("40")), CENT).amount is None


PERCENT = st.decimals(0, 45, places=1)


@settings(deadline=None)  # a busy machine is no fault of the price
@given(st.decimals(1, 3000, places=2), PERCENT, PERCENT, st.none() | st.decimals(0, 80, places=2), st.decimals(0, 5, places=2))
def test_the_asking_price_is_the_smallest_that_reaches_the_target(
    cost: Decimal, margin: Decimal, percent: Decimal, cap: Decimal | None, fixed: Decimal
) -> None:
    channel = Channel(percent=percent, cap=cap, fixed=fixed)
    found = asking_price(cost, margin, channel, CENT).amount
    assert found is not None

    def reaches(price: Decimal) -> bool:
        most = max(fee(channel, price, NOTHING, NOTHING, CENT), exact_fee(channel, price, NOTHING, NOTHING))
        return price - most - cost >= price * margin / 100

    assert reaches(found)
    assert not any(reaches(found - CENT * n) for n in range(1, 200) if found > CENT * n)


def test_break_even() -> None:
    # OpenStax, Principles of Accounting 2, 3.2: price 100, variable 20, fixed 18,000, target 16,000
    assert break_even(d("100"), d("20"), d("18000")) == 225
    assert break_even(d("100"), d("20"), d("18000"), d("16000")) == 425
    assert break_even(d("20"), d("20"), d("1")) is None


def test_bench_hours_go_first_to_what_leaves_most_an_hour() -> None:
    # OpenStax, Principles of Accounting 2, 10.6: contributions 185, 55, 48 in 1, ½, ¼ h
    rows = ranked([("first", d("185"), d("1")), ("second", d("55"), d("0.5")), ("third", d("48"), d("0.25"))])
    assert [(row.build, row.per_hour) for row in rows] == [("third", 192), ("first", 185), ("second", 110)]


def test_open_builds_are_ranked_by_what_each_hour_still_to_come_leaves() -> None:
    files = {
        "aa": "for_sale: {asking: 500, where: [fair]}\nparts: {part: p, cost: 60}\nstages: [{stage: x, hours: 8}]",  # (500 − 40 − 60) ÷ 8 = 50
        "bb": "commission: {price: 360}\nstages: [{stage: x, hours: [2, 4, 6]}]",  # 360 ÷ 4 = 90
        "cc": "stages: [{stage: x, hours: 1}]",  # no price, no rank
        "dd": "for_sale: {asking: 500}\nsale: {date: 2026-02-01, price: 500}\nstages: [{stage: x, hours: 1}]",  # sold
    }
    shop = kept(files, SHOP)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    assert [(row.build, row.per_hour) for row in take_on_next(shop.shop, shop.books, progress)] == [("bb", 90), ("aa", 50)]


def test_estimate_against_actual() -> None:
    files = {
        "aa": "acquired: {date: 2026-01-02, price: 100}\nstages: [{stage: x, hours: [1, 2, 9]}]\nparts: {part: p, cost: 60}",
        "builds/aa/2026-02-01.md": "stage: x\nhours: 5\nfinished: yes",
    }
    shop = kept(files)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    row = against_estimate(shop.shop, shop.books, progress)[0]
    assert (row.stages, row.hours_estimated, row.hours, row.parts_planned, row.cost) == (1, 3, 5, 60, 100)  # (1 + 4 × 2 + 9) ÷ 6


def test_a_stage_that_is_not_finished_is_compared_with_nothing() -> None:
    files = {"aa": "stages: [{stage: x, hours: 2}]", "builds/aa/2026-02-01.md": "stage: x\nhours: 5"}
    shop = kept(files)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    assert against_estimate(shop.shop, shop.books, progress) == ()


def test_break_even_of_a_year() -> None:
    # OpenStax, Principles of Accounting 2, 3.2: price 100, variable 20, fixed 18,000: 225 units
    files = {
        "aa": "acquired: {date: 2026-01-02, price: 20}\nsale: {date: 2026-02-01, price: 100}",
        "2026-01-05": "paid: [{what: the year's rent, cost: 18000, kind: rent}]",
    }
    found = break_even_of(kept(files).year())
    assert found is not None
    assert (found.sold, found.price, found.variable, found.fixed, found.needed) == (1, 100, 20, 18000, 225)
