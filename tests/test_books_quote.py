"""What to ask and what to pay."""

from decimal import Decimal

import pytest
from books_folder import TODAY, d, kept
from hypothesis import given, settings
from hypothesis import strategies as st

from purfle.base.money import rounded
from purfle.books.asking import Terms, asking_price, offer_ceiling
from purfle.books.decisions import against_estimate, break_even, break_even_of, ranked, take_on_next
from purfle.books.fees import exact_fee, fee
from purfle.books.figures import Quote
from purfle.books.quote import quote
from purfle.events import stream
from purfle.notes.records.sales import Share
from purfle.notes.records.shop import Channel
from purfle.progress import progress_of

CENT, NOTHING = d("0.01"), d("0")
SHOP = "name: T\nlabour_rate: 20\nchannels: {market: {percent: 5, second_percent: 2.9, fixed: 0.30}, fair: {percent: 8}}"


def quoted(sheet: str, notes: dict[str, str] | None = None, **how: object) -> Quote:
    shop = kept({"heron": sheet, **(notes or {})}, SHOP)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    return quote(shop.shop, shop.books, progress["heron"], shop.shop.build("heron"), **how)  # type: ignore[arg-type]


def test_asking_price_of_a_margin_after_two_percentages_and_a_fixed_part() -> None:
    # cost ÷ (1 − margin − fees), plus the fixed part: (600 + 0.30) ÷ 0.571 = 1,051.3134…, rounded up; algebra
    found = quoted("acquired: {date: 2026-01-01, price: 600}", channel="market", margin=d("35"))
    assert found.asking_price == d("1051.32")
    assert found.margin is not None and found.margin >= d("0.35")


@pytest.mark.parametrize(
    ("acquired", "cost"),
    [
        ("date: 2027-02-01, price: 100, shipping: 10, tax: 8", "118"),  # not here yet: price, post and tax
        ("date: 2027-02-01, price: 100, shipping: 10, tax: 8, tax_reclaimable: yes", "110"),
        ("date: 2027-02-01, price: 100, shipping: 10, currency: EUR, rate: 1.5", "165"),  # 110 × 1.5
        ("date: 2027-02-01, price: 100, paid: 2026-12-01", "100"),  # paid ahead: once, not twice
        ("date: 2026-12-01, arrived: 2027-02-01, price: 100", "100"),  # on its way
        ("date: 2027-02-01, how: gift, value: 90, shipping: 5", "95"),
        ("date: 2027-02-01, how: own collection, basis: 90, value: 60", "60"),  # the lower
    ],
)
def test_an_instrument_that_is_still_to_come_costs_what_it_will_cost_once_here(acquired: str, cost: str) -> None:
    """Landed cost as the books will have it (stated rules); what is the instrument's is no part of what else the ceiling leaves room for."""
    found = quoted(f"acquired: {{{acquired}}}", margin=d("0"), resale=d("1000"))
    assert (found.cost, found.offer_ceiling) == (d(cost), 1000)


def test_what_was_spent_besides_the_instrument_is_cost_and_lowers_what_may_be_offered_for_it() -> None:
    """100 for it, 70 for a part that is here, 9 for one that is paid for and on its way: 179; of a resale of 1,000 with no margin 921 are left (a sum)."""
    parts = "parts: [{part: a, cost: 70, paid: 2026-02-01, arrived: 2026-02-01}, {part: b, cost: 9, paid: 2026-02-01, arrived: 2027-02-01}]"
    found = quoted(f"acquired: {{date: 2026-01-01, price: 100}}\n{parts}", margin=d("0"), resale=d("1000"))
    assert (found.cost, found.offer_ceiling) == (179, 921)


def test_a_gifted_part_that_is_still_to_come_is_cost_as_the_books_will_have_it() -> None:
    assert quoted("parts: [{part: a, how: gifted, value: 50}, {part: b, cost: 20, currency: EUR, rate: 2}, {part: c, how: customer's, shipping: 8}]").cost == 98


def test_what_a_partner_takes_is_no_profit() -> None:
    # (p − 40 % of p − 100) ÷ p = 0.35 at 400; (p − 100) × 60 % ÷ p = 0.35 at 240; algebra
    bought = "acquired: {date: 2026-01-01, price: 100}\n"
    of_price, of_profit = (quoted(f"{bought}share: {{partner: p, percent: 40, of: {what}}}", margin=d("35")) for what in ("price", "profit"))
    assert (of_price.asking_price, of_price.share, of_price.profit) == (400, 160, 140)
    assert (of_profit.asking_price, of_profit.share, of_profit.profit) == (240, 56, 84)
    # 1,000 − 400 − 350 − 100 for parts; 1,000 − 100 − 350 ÷ 0.6
    parts = "for_sale: {asking: 1000}\nparts: [{part: a, cost: 100}]\n"
    assert quoted(f"{parts}share: {{partner: p, percent: 40, of: price}}", margin=d("35")).offer_ceiling == 150
    assert quoted(f"{parts}share: {{partner: p, percent: 40, of: profit}}", margin=d("35")).offer_ceiling == d("316.66")


def test_a_second_partner_has_a_part_of_what_the_first_leaves() -> None:
    # ((p − 40 % of p − 100) × 50 % ÷ p) = 0.20 at 500: 200 are the first's, 100 the second's; of the profit both: (p − 100) × (1 − 30 % − 20 %) ÷ p; algebra
    bought, shares = "acquired: {date: 2026-01-01, price: 100}\n", "share: [{partner: p, percent: 40, of: price}, {partner: q, percent: 50, of: profit}]"
    found = quoted(f"{bought}{shares}", margin=d("20"))
    assert (found.asking_price, found.share, found.profit, found.margin) == (500, 300, 100, d("0.2"))
    both = quoted(f"{bought}share: [{{partner: p, percent: 30}}, {{partner: q, percent: 20}}]", margin=d("30"))
    assert (both.asking_price, both.share, both.profit) == (250, 75, 75)
    # 1,000 − 100 for parts − 400 of the price, and for 200 left twice that: 100
    parts = "for_sale: {asking: 1000}\nparts: [{part: a, cost: 100}]\n"
    assert quoted(f"{parts}{shares}", margin=d("20")).offer_ceiling == 100
    assert (
        quoted(f"{bought}{shares}", margin=d("31")).refused
        == "a margin of 31 %, a share of 40 % of the price and a share of 50 % of the profit leave nothing for the cost at any price"
    )


def test_a_share_that_leaves_too_little_is_refused() -> None:
    found = quoted("acquired: {date: 2026-01-01, price: 100}\nshare: {partner: p, percent: 70, of: price}", margin=d("35"))
    assert found.refused == "a margin of 35 % and a share of 70 % of the price leave nothing for the cost at any price"


def test_offer_ceiling_counts_labour() -> None:
    # 1,200 − 8 % − 25 % − 180 − 6 × 20 = 504.00; algebra
    found = quoted("for_sale: {asking: 1200, where: [fair]}\nparts: [{part: a, cost: 180}]\nstages: [{stage: x, hours: 6}]", margin=d("25"))
    assert (found.offer_ceiling, found.labour, found.hours) == (d("504.00"), d("120.00"), 6)


def test_labour_of_what_was_sold_unfinished_is_the_hours_it_took() -> None:
    # 1.5 h noted of 6 and 4 at 20 an hour: 30; asked before the sale 1.5 + 4.5 + 4 = 10 h, 200; by hand
    notes = {"builds/heron/2026-02-01.md": "stage: x\nhours: 1.5"}
    sheet = "acquired: {date: 2026-01-01, price: 100}\nstages: [{stage: x, hours: 6}, {stage: y, hours: 4}]\n"
    assert [(q.hours, q.labour) for q in (quoted(sheet, notes), quoted(sheet + "sale: {date: 2026-03-01, price: 200}", notes))] == [
        (d("10"), d("200.00")),
        (d("1.5"), d("30.00")),
    ]


def test_without_any_cost_there_is_nothing_to_reckon_a_price_from() -> None:
    found = quoted("acquired: {date: 2026-01-01, how: customer's}\nstages: [{stage: x, hours: 6}]", channel="market")
    assert (found.asking_price, found.fees, found.profit, found.margin, found.profit_per_hour) == (None, None, None, None, None)
    assert found.refused == "no cost is written or expected, so there is nothing to work a price out from"


def test_a_commission_is_reckoned_at_the_price_agreed() -> None:
    # (600 + 40) for two: 320 each, less 8 % = 25.60, less 70 ÷ 2 = 35 for parts: 259.40, of 320 = 81.0625 %, over 6 ÷ 2 = 3 hours; by hand
    order = "kind: commission\nunits: 2\ncommission: {price: 600, extras: [{what: nut, price: 40}], channel: fair}\nstages: [{stage: x, hours: 6}]\n"
    found = quoted(order + "parts: [{part: a, cost: 70}]", margin=d("50"))
    assert (found.channel, found.agreed_price, found.fees, found.profit) == ("fair", 320, d("25.60"), d("259.40"))
    assert (found.margin, found.profit_per_hour and rounded(found.profit_per_hour, CENT)) == (d("0.810625"), d("86.47"))
    assert found.asking_price == d("83.34")  # 35 ÷ 0.42, rounded up
    free = quoted(order)
    assert (free.asking_price, free.agreed_price, free.margin) == (None, 320, d("0.92"))


def test_an_impossible_target_is_refused_with_the_reason() -> None:
    found = quoted("acquired: {date: 2026-01-01, price: 600}", channel="market", margin=d("92.1"))
    assert found.asking_price is None and found.margin is None
    assert found.refused == "a margin of 92.1 % and fees of 7.9 % leave nothing for the cost at any price"
    alone = quoted("acquired: {date: 2026-01-01, price: 600}", margin=d("100"))
    assert alone.refused == "a margin of 100 % leaves nothing for the cost at any price"


def test_a_cap_makes_a_target_possible_that_the_percentage_alone_would_not() -> None:
    # 70 % margin and 40 % fees are over the whole, but the fee stops at 50: (100 + 50) ÷ 0.30 = 500; algebra
    capped = Channel(percent=d("40"), cap=d("50"))
    assert asking_price(d("100"), Terms(d("70"), capped, CENT)).amount == d("500.00")
    assert asking_price(d("100"), Terms(d("70"), Channel(percent=d("40")), CENT)).amount is None


def test_a_cap_makes_a_target_possible_of_which_the_percentage_alone_leaves_nothing() -> None:
    # 60 % margin and 40 % fees are the whole, but the fee stops at 50: (10 + 50) ÷ 0.40 = 150; algebra
    assert asking_price(d("10"), Terms(d("60"), Channel(percent=d("40"), cap=d("50")), CENT)).amount == d("150.00")


def test_a_partner_has_a_part_of_what_the_channel_and_the_cost_leave() -> None:
    # 200 less 10 % is 180, less 100 is 80; half of it each (sums)
    terms = Terms(NOTHING, Channel(percent=d("10")), CENT, (Share(partner="p", percent=d("50"), of="profit"),))
    assert terms.at(d("200"), d("100")) == (20, 40, 40)


def test_the_least_price_is_one_unit() -> None:
    assert asking_price(NOTHING, Terms(NOTHING, None, CENT)).amount == CENT


def test_who_has_all_of_the_profit_leaves_nothing_to_offer() -> None:
    """Of 900 with parts for 180 the margin wanted can't be left at any offer; without one wanted, 900 − 180 may be paid (sums)."""
    partner = (Share(partner="p", percent=d("100"), of="profit"),)
    assert offer_ceiling(d("900"), d("180"), NOTHING, Terms(d("25"), None, CENT, partner)) == 0
    assert offer_ceiling(d("900"), d("180"), NOTHING, Terms(NOTHING, None, CENT, partner)) == 720


PERCENT = st.decimals(0, 45, places=1)


@settings(deadline=None)  # a busy machine is no fault of the price
@given(
    st.decimals(1, 3000, places=2),
    PERCENT,
    PERCENT,
    st.none() | st.decimals(0, 80, places=2),
    st.decimals(0, 5, places=2),
    st.decimals(0, 9, places=1),
    st.sampled_from(["price", "profit"]),
    st.none() | st.decimals(0, 9, places=1),
)
def test_the_asking_price_is_the_smallest_that_reaches_the_target(
    cost: Decimal, margin: Decimal, percent: Decimal, cap: Decimal | None, fixed: Decimal, part: Decimal, of: str, second: Decimal | None
) -> None:
    channel, shares = Channel(percent=percent, cap=cap, fixed=fixed), [Share(partner="p", percent=part, of=of)]
    if second is not None:  # a second partner, of the profit that the first leaves, or shares
        shares.append(Share(partner="q", percent=second, of="profit"))
    found = asking_price(cost, Terms(margin, channel, CENT, tuple(shares))).amount
    assert found is not None

    def reaches(price: Decimal) -> bool:
        most = max(fee(channel, price, NOTHING, NOTHING, CENT), exact_fee(channel, price, NOTHING, NOTHING))
        left = price - most - cost
        taken = max(price if of == "price" else left, NOTHING) * part / 100
        first = max(taken, rounded(taken, CENT))
        more = max(left - first if of == "price" else left, NOTHING) * (second or NOTHING) / 100
        return left - first - max(more, rounded(more, CENT)) >= price * margin / 100

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
    assert [(row.build, row.per_hour) for row in take_on_next(shop.shop, shop.books, progress, {})] == [("bb", 90), ("aa", 50)]


def test_what_is_left_to_earn_is_of_all_units_left_with_extras_fees_and_shares() -> None:
    files = {
        "aa": "kind: batch\nunits: 6\nsale: {date: 2026-02-01, price: 100}\nfor_sale: {asking: 100, where: [fair]}\nparts: {part: p, cost: 60}\nstages: [{stage: x, hours: 4}]",
        # five units at 100 less 8 %, less 60
        "bb": "kind: commission\nunits: 2\ncommission: {price: 300, channel: fair, extras: [{what: y, price: 50}], delivered: {date: 2026-02-01}}\nstages: [{stage: x, hours: 1}]",
        # 350, half of it earned; 175 less 8 %
        "cc": "for_sale: {asking: 200}\nshare: {partner: p, percent: 40, of: profit}\nacquired: {date: 2026-01-01, price: 50}\nparts: {part: p, cost: 50}\nstages: [{stage: x, hours: 1}]",
        # 200 − 50 still to come − 40 % of the profit of 100
    }
    shop = kept(files, SHOP)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    assert {row.build: row.amount for row in take_on_next(shop.shop, shop.books, progress, {})} == {"aa": 400, "bb": 161, "cc": 110}


def test_a_piece_of_the_owners_own_is_priced_by_its_basis_and_ranked_with_nothing_of_the_shops() -> None:
    """Rule 10: (500 + 15 + 5 still to come) ÷ 0.65 = 800; one that was kept cost the owner what it had cost, and its ceiling is 1,300 × 0.65 − 5 − 4 × 20 (algebra)."""
    parts = "parts: [{part: nut, cost: 15, paid: 2026-02-01, arrived: 2026-02-01}, {part: pegs, cost: 5}]\nfor_sale: {asking: 1300}\nstages: [{stage: x, hours: 4}]\n"
    kept_one = f"{parts}acquired: {{date: 2026-01-05, price: 500}}\nmoved: {{date: 2026-02-02, to: collection}}"
    for sheet in (f"{parts}kind: collection\nacquired: {{date: 2020-01-05, price: 500}}", kept_one):
        found = quoted(sheet, margin=d("35"))
        assert (found.cost, found.asking_price, found.offer_ceiling) == (520, 800, 760)
        shop = kept({"heron": sheet}, SHOP)
        progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
        assert take_on_next(shop.shop, shop.books, progress, {}) == ()


def test_estimate_against_actual() -> None:
    files = {
        "aa": "acquired: {date: 2026-01-02, price: 100}\nstages: [{stage: x, hours: [1, 2, 9]}]\nparts: {part: p, cost: 60}",
        "builds/aa/2026-02-01.md": "stage: x\nhours: 5\nfinished: yes",
    }
    shop = kept(files)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    row = against_estimate(shop.shop, progress)[0]
    assert (row.stages, row.hours_estimated, row.hours) == (1, 3, 5)  # (1 + 4 × 2 + 9) ÷ 6


def test_a_stage_that_is_not_finished_is_compared_with_nothing() -> None:
    files = {"aa": "stages: [{stage: x, hours: 2}]", "builds/aa/2026-02-01.md": "stage: x\nhours: 5"}
    shop = kept(files)
    progress, _ = progress_of(shop.shop, stream(shop.shop, TODAY), TODAY)
    assert against_estimate(shop.shop, progress) == ()


def test_break_even_of_a_year() -> None:
    # OpenStax, Principles of Accounting 2, 3.2: price 100, variable 20, fixed 18,000: 225 units
    files = {
        "aa": "acquired: {date: 2026-01-02, price: 20}\nsale: {date: 2026-02-01, price: 100}",
        "2026-01-05": "paid: [{what: the year's rent, cost: 18000, kind: rent}]",
    }
    found = break_even_of(kept(files).year())
    assert found is not None
    assert (found.sold, found.price, found.variable, found.fixed, found.needed) == (1, 100, 20, 18000, 225)
