"""Money: minor units, rounding and splitting, against published figures."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base.money import minor_units, rounded, split, unit

CENT = D("0.01")


@pytest.mark.parametrize(("currency", "places"), [("USD", 2), ("JPY", 0), ("KRW", 0), ("KWD", 3), ("TND", 3), ("IQD", 3), ("CLF", 4)])
def test_minor_units_are_those_of_iso_4217(currency, places):
    # ISO 4217, list one of 2026-01-01 (CLDR gives IQD 0 digits; ISO's 3 wins).
    assert minor_units()[currency] == places
    assert unit(currency) == D(1).scaleb(-places)


# ISO 4217, list one of 2026-01-01: 165 codes have minor units, and all but these have two.
NOT_TWO = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}  # fmt: skip


def test_every_minor_unit_is_that_of_iso_4217():
    assert len(minor_units()) == 165
    assert {code: places for code, places in minor_units().items() if places != 2} == {code: n for n, codes in NOT_TWO.items() for code in codes.split()}


def test_a_currency_that_iso_does_not_list_counts_in_hundredths_until_it_is_mended():
    assert "XXQ" not in minor_units()
    assert unit("XXQ") == D("0.01")


@pytest.mark.parametrize(("amount", "cents"), [("2.345", "2.35"), ("-2.345", "-2.35"), ("0.005", "0.01"), ("2.344", "2.34"), ("1E+3", "1000.00")])
def test_rounding_is_half_away_from_zero(amount, cents):
    # Rule of the design: once per line, half away from zero. Arithmetic done by hand.
    assert str(rounded(D(amount), CENT)) == cents


# Hamilton's method on the 1790 census, 60 seats: a published worked example of largest remainders.
CENSUS = {
    "VA": (630560, 11), "MA": (475327, 8), "PA": (432879, 7), "NC": (353523, 6), "NY": (331589, 6), "MD": (278514, 5), "CT": (236841, 4), "SC": (206236, 3),
    "NJ": (179570, 3), "NH": (141822, 2), "VT": (85533, 1), "GA": (70835, 1), "KY": (68705, 1), "RI": (68446, 1), "DE": (55540, 1),
}  # fmt: skip


def test_largest_remainders_give_the_seats_of_1790():
    seats = split(D(60), [D(people) for people, _ in CENSUS.values()], D(1))
    assert [int(seat) for seat in seats] == [seat for _, seat in CENSUS.values()]


def test_a_lump_sum_splits_to_the_cent():
    # Exercise on lump-sum purchases: 100,000 over values 1,500, 14,500 and 98,000.
    assert split(D(100000), [D(1500), D(14500), D(98000)], CENT) == (D("1315.79"), D("12719.30"), D("85964.91"))


def test_a_lump_sum_without_remainder():
    # Exercise on lump-sum purchases: 8,200,000 over 3,240,000, 4,320,000 and 3,240,000.
    assert split(D(8200000), [D(3240000), D(4320000), D(3240000)], CENT) == (D(2460000), D(3280000), D(2460000))


def test_equal_remainders_favour_the_first_listed():
    assert split(D(100), [D(1)] * 3, CENT) == (D("33.34"), D("33.33"), D("33.33"))


def test_no_weights_at_all_is_refused():
    with pytest.raises(ValueError):
        split(D(1), [], CENT)


amounts = st.decimals(min_value=-(10**9), max_value=10**9, places=2)
weights = st.lists(st.decimals(min_value=0, max_value=10**6, places=3), min_size=1, max_size=12)


@given(amounts, weights)
def test_shares_sum_to_the_whole_and_stay_within_a_cent_of_their_due(total, parts):
    shares = split(total, parts, CENT)
    assert sum(shares) == total
    whole = sum(parts)
    if whole:
        assert all(abs(share - total * part / whole) < CENT for share, part in zip(shares, parts, strict=True))
