"""Hours, days, lengths and amounts as people write them."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base import measures as m
from purfle.base import quantities as q
from purfle.base.trouble import Wrong


@pytest.mark.parametrize("text", ["2.5", "2:30", "2h30", "2 h 30", "2h30m", "150 min", "2.5 h"])
def test_the_ways_to_write_two_and_a_half_hours(text):
    assert q.hours(text) == D("2.5")


@pytest.mark.parametrize("text", ["2,5", "2:75", "half", "-1", "", "2:3", "1001", "2h75h"])
def test_hours_that_are_none(text):
    with pytest.raises(Wrong) as wrong:
        q.hours(text)
    assert wrong.value.code == "hours-unreadable"


# What YAML's own typing would make of these (measured with PyYAML 6): 90, 450.1, 83, False, an error.
@pytest.mark.parametrize(("text", "value"), [("450.10", "450.10"), ("0123", "123"), ("39", "39"), ("39.80", "39.80")])
def test_amounts_keep_their_digits(text, value):
    assert q.amount(text) == D(value)
    assert str(q.amount("450.10")) == "450.10"


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("39,80", "write 39.80"),
        ("1,450", "write 1450 (or 1.450 if the comma was a decimal point)"),
        ("$39", "write 39; the currency stands in shop.md"),
        ("39 €", "write 39; the currency stands in shop.md"),
        ("1_450", "write 1450; the currency stands in shop.md"),
        ("1e3", "write the whole sum in digits and one point, such as 39.80"),
        ("2 x 10", "write the whole sum in digits and one point, such as 39.80"),
        ("10 each", "write the whole sum in digits and one point, such as 39.80"),
        ("US$ 39.80", "write 39.80; the currency stands in shop.md"),
        ("39.-", "write 39; the currency stands in shop.md"),
        ("1 450 CHF", "write 1450; the currency stands in shop.md"),
        ("1,234,567.80", "write 1234567.80"),
    ],
)
def test_an_amount_that_could_be_two_is_never_guessed(text, mend):
    with pytest.raises(Wrong) as wrong:
        q.amount(text)
    assert (wrong.value.code, wrong.value.mend) == ("amount-unclear", mend)


@pytest.mark.parametrize(
    ("read", "text", "mend"),
    [
        (q.hours, "2,5", "write 2.5"),
        (q.hours, "2½", "write 2.5"),
        (q.hours, "¾", "write 0.75"),
        (q.hours, "2-3", "write how long it took, such as 2.5, 2:30 or 2h30"),
        (q.day, "14.3.2026", "write 2026-03-14"),
        (q.day, "3/14/2026", "write 2026-03-14"),
        (q.day, "5/6/2026", "write 2026-06-05 or 2026-05-06, whichever is meant"),
        (q.day, "45.45.2026", "write year, month and day, such as 2026-03-14"),
        (q.number, "2 x 3", "write digits and at most one point, such as 2.5"),
        (q.number, "1,5 l", "write 1.5"),
        (m.length, "42,5 mm", "write 42.5 mm"),
        (m.length, "34", "write 34 in or 34 mm, whichever is meant"),
    ],
)
def test_a_mend_says_what_was_meant_where_that_is_plain_and_no_other_figure(read, text, mend):
    with pytest.raises(Wrong) as wrong:
        read(text)
    assert wrong.value.mend == mend


def test_a_negative_amount_says_so():
    with pytest.raises(Wrong) as wrong:
        q.amount("-5")
    assert wrong.value.code == "amount-negative"


def test_forty_digits_are_refused():
    with pytest.raises(Wrong):
        q.amount("1" * 40)


@pytest.mark.parametrize(("text", "days", "hours"), [("14 days", 14, 0), ("14", 14, 0), ("2 weeks", 14, 0), ("4 h", 0, 4), ("36 h", 2, 0), ("1 day", 1, 0)])
def test_waits(text, days, hours):
    assert q.wait(text) == q.Wait(days, D(hours))


def test_days_exist_in_the_calendar():
    assert q.day("2024-02-29") == date(2024, 2, 29)
    for text in ("2026-02-30", "2026-2-3", "14.3.2026", "0001-01-01", "2026-13-01"):
        with pytest.raises(Wrong):
            q.day(text)


@pytest.mark.parametrize(
    ("text", "mm"), [("34 in", "863.6"), ("648 mm", "648"), ("25 1/2 in", "647.7"), ('25.5"', "647.7"), ("4.1 cm", "41"), ("3/8 in", "9.525")]
)
def test_lengths_in_millimetres(text, mm):
    # 1 in = 25.4 mm exactly (international inch, 1959).
    assert m.length(text).mm == D(mm)


@pytest.mark.parametrize("text", ["34", "0 in", "-3 mm", "3/0 in", "long", "3 ft"])
def test_lengths_that_are_none(text):
    with pytest.raises(Wrong):
        m.length(text)


@given(st.text(max_size=40))
def test_no_text_raises_anything_but_wrong(text):
    for reader in (q.amount, q.hours, q.wait, q.day, m.length, q.percent, q.yes_or_no, q.number):
        try:
            reader(text)
        except Wrong as wrong:
            assert wrong.found and wrong.mend
