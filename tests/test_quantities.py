"""Hours, days, lengths and amounts as people write them."""

from datetime import date
from decimal import Decimal as D
from time import process_time

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from purfle.base import measures as m
from purfle.base import quantities as q
from purfle.base import times as t
from purfle.base.trouble import Wrong


@pytest.mark.parametrize("text", ["2.5", "2:30", "2h30", "2 h 30", "2h30m", "150 min", "2.5 h"])
def test_the_ways_to_write_two_and_a_half_hours(text):
    assert t.hours(text) == D("2.5")


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("2.30", "write 2:30 or 2.3, whichever is meant"),
        ("2,30", "write 2:30 or 2.3, whichever is meant"),
        ("0.45", "write 0:45 or 0.45 h, whichever is meant"),
    ],
)
def test_hours_that_may_be_minutes_behind_a_point_are_asked_about(text, mend):
    with pytest.raises(Wrong) as told:
        t.hours(text)
    assert (told.value.code, told.value.mend) == ("hours-unreadable", mend)
    clock, parts = mend.removeprefix("write ").removesuffix(", whichever is meant").split(" or ")
    assert t.hours(clock) == D(clock.split(":")[0]) + D(clock.split(":")[1]) / 60  # both can be written as they are offered
    assert t.hours(parts) == D(text.replace(",", "."))


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("4 min", "write 4"),
        ("3:30", "write 3.5"),
        ("0:14", "write 14 for as many minutes, or 0.23 for as many seconds"),  # 14 / 60 = 0.2333…
    ],
)
def test_minutes_are_a_plain_figure(text, mend):
    """Hours and minutes are written as minutes and seconds are; of a piece of seconds alone it is not plain which was meant."""
    with pytest.raises(Wrong) as told:
        t.minutes(text)
    assert told.value.mend == mend


@pytest.mark.parametrize("text", ["2.5", "2.50", "0.25", "1.75", "0.33", "0.67", "0.08", "2.00", "2.3"])
def test_parts_of_an_hour_in_hundredths_are_read(text):
    assert t.hours(text) == D(text)


@pytest.mark.parametrize("text", ["2,5", "2:75", "half", "-1", "", "2:3", "1001", "2h75h"])
def test_hours_that_are_none(text):
    with pytest.raises(Wrong) as wrong:
        t.hours(text)
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
        ("1,450", "write 1450 (or 1.45 if the comma was a decimal point)"),
        ("1,455", "write 1455"),  # 1.455 would be asked about again
        ("$39", "write 39; the currency stands in shop.md"),
        ("178 kr", "write 178; the currency stands in shop.md"),
        ("178,50 kr.", "write 178.50; the currency stands in shop.md"),
        ("kr. 178", "write 178; the currency stands in shop.md"),
        ("3 pcs", "write the whole sum in digits and one point, such as 39.80"),
        ("+60", "write 60"),
        ("60;", "write 60"),
        ("39 €", "write 39, or what it came to in the shop's own currency if that is not EUR"),
        ("EUR 39,80", "write 39.80, or what it came to in the shop's own currency if that is not EUR"),
        ("40 pounds", "write 40, or what it came to in the shop's own currency if that is not GBP"),
        ("1_450", "write 1450"),
        ("1e3", "write the whole sum in digits and one point, such as 39.80"),
        ("2 x 10", "write the whole sum in digits and one point, such as 39.80"),
        ("10 each", "write the whole sum in digits and one point, such as 39.80"),
        ("US$ 39.80", "write 39.80, or what it came to in the shop's own currency if that is not USD"),
        ("39.-", "write 39"),
        ("1 450 CHF", "write 1450, or what it came to in the shop's own currency if that is not CHF"),
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
        (t.hours, "2,5", "write 2.5"),
        (t.hours, "2½", "write 2.5"),
        (t.hours, "2 + 1,5", "write 3.5"),
        (t.hours, "2 + x", "write how long it took, such as 2.5, 2:30 or 2h30"),
        (t.hours, "¾", "write 0.75"),
        (t.hours, "2-3", "write how long it took, such as 2.5, 2:30 or 2h30"),
        (t.day, "14.3.2026", "write 2026-03-14"),
        (t.clock, "11", "write 11:00"),
        (t.clock, "9 h", "write 9:00"),
        (t.clock, "2:30 pm", "write 14:30"),
        (t.clock, "12 am", "write 0:00"),
        (t.clock, "12:15 p.m.", "write 12:15"),
        (t.clock, "13 pm", "write it as 14:30"),
        (t.clock, "25", "write it as 14:30"),
        (q.distance, "12 km", "write 12 here, and unit: km beside it"),
        (q.distance, "24,5 miles", "write 24.5 here, and unit: mi beside it"),
        (q.distance, "12 km and back", "write 12 if it is counted in km, else as many as it is of the unit it is counted in"),
        (t.day, "3/14/2026", "write 2026-03-14"),
        (t.day, "5/6/2026", "write 2026-06-05 or 2026-05-06, whichever is meant"),
        (t.day, "45.45.2026", "write year, month and day, such as 2026-03-14"),
        (q.number, "2 x 3", "write digits and at most one point, such as 2.5"),
        (q.number, "1,5 l", "write 1.5 if it is counted in l, else as many as it is of the unit it is counted in"),
        *((t.wait, text, "write 14 days, 2 weeks or 4 h") for text in ("2 x 24 h", "2x24h", "2 × 3 days")),  # never 1 day, which would cut it short
        *(
            (read, text, "nothing here can be below zero: write 5 if the sign was not meant")
            for read in (q.number, q.celsius, q.percent)
            for text in ("-5", "−5")
        ),
        *((q.number, text, "write digits and at most one point, such as 2.5") for text in ("twenty-two", "two hundred", "fourteen")),  # never 2, 2 or 4
        (q.number, "half a dozen", "write digits and at most one point, such as 2.5"),
        (t.days, "half a day", "write 14 days or 2 weeks"),  # never 12 h: this reader takes no hours
        (q.number, "a bit", "write digits and at most one point, such as 2.5"),
        (t.day, "March 14", "write it with its year in front, such as 2026-03-14"),
        (t.day, "2026-03-14 to 2026-03-20", "write one day; where there may be several, {from: 2026-03-14, until: 2026-03-20}"),
        (t.day, "29 February", "write it with its year in front, such as 2028-02-29"),  # 2028 is a leap year, 2026 is none
        (t.day, "14.03.26", "write 2026-03-14 or 2014-03-26, whichever is meant"),
        (t.day, "26-03-14", "write 2026-03-14 or 2014-03-26, whichever is meant"),  # with dashes the year's own place is the first, as ISO 8601 has it
        (t.day, "mid June", "write year, month and day, such as 2026-03-14"),
        (q.amount, "$.50", "write 0.50; the currency stands in shop.md"),
        (q.amount, "free", "write 0 if it cost nothing"),
        (q.percent, ".5", "write 0.5"),
        (q.number, "24 mi", "write 24 if it is counted in mi, else as many as it is of the unit it is counted in"),
        (q.celsius, "68 F", "write 20, which is as warm in Celsius"),
        (q.celsius, "14 F", "write it in degrees Celsius; none below zero is read"),  # never -10, which would be refused in its turn
        (q.amount, "9" * 16, "write the figure that was meant, at most 15 digits"),  # never the same again
        (m.weight, "6.3", "write 6.3 kg or 6.3 lb, whichever is meant"),
        (m.length, "10-14 in", "write one length, 10 in or 14 in; where there may be several, [10 in, 14 in]"),
        (m.length, "42,5 mm", "write 42.5 mm"),
        (m.length, "34", "write 34 in or 34 mm, whichever is meant"),
    ],
)
def test_a_mend_says_what_was_meant_where_that_is_plain_and_no_other_figure(read, text, mend):
    with pytest.raises(Wrong) as wrong:
        read(text)
    assert wrong.value.mend == mend


# What a builder writes for a figure, and the figure that it is.
@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        *(
            (t.hours, text, D("2.5"))
            for text in ("2 1/2 h", "2½ h", "2,5 h", "2:30h", "2'30", "2 h, 30 min", "2 hours and 30 minutes", "9:00-11:30", "8.45–11.15")
        ),
        *((t.hours, text, D("2.5")) for text in ("9-11:30", "9:30-12", "9.30 to 12")),
        *((t.hours, text, D(1)) for text in ("9:00-10:00", "11:30-12:30")),  # sixty minutes are an hour, and none is left over
        *((t.hours, text, D("0.5")) for text in ("half an hour", "1/2 h", "½ hour", "30'", ".5")),
        *((t.hours, text, D("1.5")) for text in ("an hour and a half", "about 1.5", "1.5 hrs.")),
        *((t.hours, text, D(1)) for text in ("an hour", "one hour", "1h.")),
        *((q.number, text, D("0.5")) for text in ("half a can", "1/2", "½ can", ".5", "0,5", "half")),
        *((q.number, text, D("1.5")) for text in ("1½", "1 1/2 cans", "1,5", "１.５", "١.٥")),  # full-width and Arabic-Indic figures (Unicode, Nd)
        (t.hours, "２ h", D(2)),
        (t.day, "２０２６-03-14", date(2026, 3, 14)),
        *(
            (t.wait, text, t.Wait(14))
            for text in ("two weeks", "a fortnight", "14 days.", "14 days at 20 C", "1-2 weeks", "10–14 days", "1 week and 7 days", "13,5 days")
        ),
        *((t.wait, text, t.Wait(0, D("0.5"))) for text in ("30 min", "half an hour")),
        *((t.wait, text, t.Wait(1)) for text in ("overnight", "about 24 h", "a day")),
        *((t.wait, text, t.Wait(18)) for text in ("two and a half weeks", "2 and 1/2 weeks", "two weeks and a half")),  # 2.5 × 7 = 17.5
        *((t.wait, text, t.Wait(0, D("2.5"))) for text in ("two and a half hours", "two hours and a half")),
        (t.wait, "a week or two", t.Wait(14)),
        (t.wait, "2 weeks and a day", t.Wait(15)),
        (t.days, "a week and a half", D(11)),
        *((t.hours, text, D("2.5")) for text in ("two and a half hours", "2 and a half", "2 hours and a half")),
        (t.hours, "an hour and a quarter", D("1.25")),
        *((t.hours, text, D("0.75")) for text in ("three quarters of an hour", "three-quarters of an hour")),
        *((t.wait, text, t.Wait(3)) for text in ("about 49 h", "2 days and an hour")),  # 2 × 24 = 48 hours, and one more begins a third day
        (t.wait, "1 month", t.Wait(30)),
        (t.days, "two weeks", D(14)),
        *(
            (t.day, text, date(2026, 3, 14))
            for text in (
                "3/14/26",
                "14 March 2026",
                "Mar 14, 2026",
                "Sat 14th of March 2026",
                "14-Mar-2026",
                "20260314",
                "2026–03–14",
                "2026-03-14T10:00",
                "2026 3 14",
            )
        ),
        *((m.length, text, m.Length(D("25.5"), "in")) for text in ("25½ in", "25,5 in", "25.5 in.", "25.5''", "2 ft 1 1/2 in", "25.5 in (long)")),
        *((m.length, text, m.Length(D(648), "mm")) for text in ("648 millimetres", "0.648 m", "648 mm.")),
        *((q.percent, text, D(50)) for text in ("half", "1/2", "50 percent")),
        (q.celsius, "about 20 C", D(20)),
        (m.weight, "6,3 kg", m.Weight(D("6.3"), "kg")),
        (m.weight, "14 lbs 6", m.Weight(D("14.375"), "lb")),
        (q.amount, "$45/h", D(45)),
        *((read, "72.5 cents a mile", D("0.725")) for read in (q.number, q.amount)),
        (q.amount, "50 ct", D("0.50")),
        *((t.day, text, date(2026, 6, 30)) for text in ("2026-06-31", "2026-30-06")),
        *((q.amount, text, D("1450")) for text in ("1'450", "~1450", "1450 dollars", "1.450,00", "1’450.-")),
    ],
)
def test_a_mend_followed_to_the_letter_gives_what_was_meant(read, text, value):
    with pytest.raises(Wrong) as wrong:
        read(text)
    mend = wrong.value.mend.removeprefix("write a day that exists, such as ").removeprefix("write ").removesuffix("; the currency stands in shop.md")
    assert read(mend) == value


@pytest.mark.parametrize("text", ["20", "20 C", "20 °C", "20C", "20 degrees Celsius"])
def test_degrees_celsius(text):
    assert q.celsius(text) == 20


@pytest.mark.parametrize(("text", "days"), [("7", 7), ("7 days", 7), ("1 week", 7), ("1.5 weeks", "10.5"), ("2.5", "2.5")])
def test_days_that_something_is_away(text, days):
    assert t.days(text) == D(days)


def test_a_negative_amount_says_so():
    with pytest.raises(Wrong) as wrong:
        q.amount("-5")
    assert wrong.value.code == "amount-negative"


@pytest.mark.parametrize("text", ["1" * 40, "1" * 16, "0." + "1" * 16])
def test_more_than_fifteen_digits_are_refused(text):
    with pytest.raises(Wrong):
        q.amount(text)


@pytest.mark.parametrize("text", ["1" * 15, "0." + "1" * 15])
def test_fifteen_digits_are_kept(text):
    assert str(q.amount(text)) == text


def test_an_amount_that_ends_in_its_point_is_no_plain_number():
    with pytest.raises(Wrong) as wrong:
        q.amount("39.")
    assert wrong.value.found == "amount “39.” is not a plain number"


@pytest.mark.parametrize(
    ("text", "days", "hours"),
    [
        ("14 days", 14, 0),
        ("14", 14, 0),
        ("2 weeks", 14, 0),
        ("4 h", 0, 4),
        ("36 h", 2, 0),
        ("1 day", 1, 0),
        ("23.5 h", 0, "23.5"),
        ("24 h", 1, 0),
        ("49 h", 3, 0),
    ],
)
def test_waits(text, days, hours):
    assert t.wait(text) == t.Wait(days, D(hours))


def test_days_exist_in_the_calendar():
    assert t.day("2024-02-29") == date(2024, 2, 29)
    assert (t.day("1900-01-01"), t.day("2199-12-31")) == (date(1900, 1, 1), date(2199, 12, 31))
    for text in ("1899-12-31", "2200-01-01", "2026-02-30", "2026-2-3", "14.3.2026", "0001-01-01", "2026-13-01"):
        with pytest.raises(Wrong):
            t.day(text)


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


@pytest.mark.parametrize("text", ["-25.5 in", "\u22123 mm", "0 in"])
def test_a_length_below_nothing_is_told_as_that(text):
    with pytest.raises(Wrong, match="is not more than 0"):
        m.length(text)


@pytest.mark.parametrize(("text", "said"), [("25 1/3 in", "25.333 in"), ("1 11/16 in", "1.6875 in"), ("3/64 in", "0.046875 in"), ("34 in", "34 in")])
def test_a_fraction_without_an_end_is_said_to_the_thousandth(text, said):
    # Long division: 1/3 = 0.333…, 11/16 = 0.6875, 3/64 = 0.046875.
    assert str(m.length(text)) == said


READERS = (q.amount, t.hours, t.wait, t.days, q.celsius, t.day, m.length, m.weight, q.percent, q.yes_or_no, q.number)


@pytest.mark.parametrize("text", ["1" + " " * 30_000 + "x", "1" * 30_000, "1/" + "1" * 30_000 + " in", "1'" * 15_000, "1 1/" + "2" * 30_000 + " in"])
def test_a_very_long_text_is_refused_in_little_time(text):
    """In less than the square of its letters would take; and no figure of it is longer than Python converts (4,300 digits)."""
    began = process_time()
    for reader in READERS:
        with pytest.raises(Wrong):
            reader(text)
    assert process_time() - began < 3


FIGURES = st.integers(0, 10**40).map(str) | st.sampled_from(["½", "1/2", "0.25", "1,450", "half", "an", "two"])
UNITS = st.sampled_from(["", "h", "min", "'", "days", "weeks", "years", "in", "mm", "m", "ft", '"', "lb", "oz", "kg", "F", "°C", "%", "$", "of a can"])
BETWEEN = st.sampled_from(["", " ", "/", "-", "–", ":", ".", ",", " to ", " and "])
MEASURES = st.lists(st.tuples(FIGURES, BETWEEN, UNITS, BETWEEN).map("".join), min_size=1, max_size=3).map("".join)


@given(st.text(max_size=40) | MEASURES)
@example("9" * 40 + " 1/2")
@example("9" * 40 + " F")
def test_no_text_raises_anything_but_wrong(text):
    for reader in READERS:
        try:
            reader(text)
        except Wrong as wrong:
            assert wrong.found and wrong.mend


@pytest.mark.parametrize(("text", "value"), [*((text, True) for text in ("yes", "True", "ON", "y")), *((text, False) for text in ("no", "False", "OFF", "n"))])
def test_yes_and_no(text, value):
    assert q.yes_or_no(text) is value


@pytest.mark.parametrize("text", ["", "maybe", "1", "0", "yes and no"])
def test_what_is_neither_yes_nor_no(text):
    with pytest.raises(Wrong):
        q.yes_or_no(text)
