"""Drawings: their lengths stand in the proportion of their figures, and their tables say the same."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from office_shop import office

from purfle.views.amounts import Writer
from purfle.views.plots import BarRow, RangeRow, bars, nice, ranges
from purfle.views.timeline import DAYS, Day, Span, days_of, timeline

TODAY = date(2026, 3, 4)
NUMBER = Writer("en_US", "USD").number
FIGURES = st.lists(st.decimals(-(10**6), 10**6, places=2), min_size=1, max_size=8)


def drawn(values):
    return bars("p", "title", "USD", [BarRow(f"row {n}", ((v, str(v), "a"),)) for n, v in enumerate(values)], ("row", "USD"), NUMBER)


@given(FIGURES)
def test_bars_are_as_long_as_their_figures(values):
    plot = drawn(values)
    most = max(abs(v) for v in values)
    longest = max(Decimal(bar.width) for bar in plot.bars)
    for value, bar in zip(values, plot.bars, strict=True):
        assert abs(Decimal(bar.width) * most - longest * abs(value)) <= Decimal("0.21") * most


@given(FIGURES)
def test_bars_end_at_the_line_for_nothing(values):
    plot = drawn(values)
    for value, bar in zip(values, plot.bars, strict=True):
        near = Decimal(bar.x) if value >= 0 else Decimal(bar.x) + Decimal(bar.width)
        assert abs(near - Decimal(plot.zero)) <= Decimal("0.11")


@given(FIGURES)
def test_the_table_has_every_figure_as_it_is_drawn(values):
    plot = drawn(values)
    assert [row[1] for row in plot.table.rows] == [bar.words for bar in plot.bars] == [str(v) for v in values]


@given(st.decimals("0.0001", 10**9, places=4))
def test_ticks_are_few_and_round(reach):
    step = nice(reach)
    assert 1 <= reach / step <= 5
    assert step.normalize().as_tuple().digits in ((1,), (2,), (5,))


def test_year_plots_show_the_books_figures():
    """By hand from the notes. Teal: 120 + 15 and a third of the cans' 36; two cans are left. In January 135, 36 and 60 of rent went out.

    In February 640 and 30 came in; 30 for Garganey, 60 of rent, the advert of 12.50 and the fee of 32.30 (5 % of 640 and 0.30) went out.
    """
    money = office().money[0]
    assert [bar.words for bar in money.tied_up.bars] == [row[1] for row in money.tied_up.table.rows] == ["0.00", "147.00", "24.00", "0.00"]
    assert money.cash.table.rows == (("Jan 2026", "0.00", "231.00"), ("Feb 2026", "670.00", "134.80"), ("Mar 2026", "0.00", "0.00"))
    assert [cell for row in money.cash.table.rows for cell in row[1:]] == [bar.words for bar in money.cash.bars]


def test_ranges_keep_the_order_of_their_days():
    days = tuple(TODAY + timedelta(n) for n in (3, 7, 9, 20))
    plot = ranges("f", "title", [RangeRow("fit", days, ("a", "b", "c", "d"))], TODAY, [(TODAY, "now")], ("stage", "10%", "50%", "80%", "95%"))
    line = plot.ranges[0]
    assert Decimal(line.x1) < Decimal(line.middle) < Decimal(line.promised) < Decimal(line.x2)
    assert plot.table.rows == (("fit", "a", "b", "c", "d"),)


def test_a_day_beyond_the_horizon_is_open_ended():
    plot = ranges("f", "title", [RangeRow("fit", (TODAY, TODAY, None, None), ("a", "b", "c", "d"))], TODAY, [], ("stage", "10%", "50%", "80%", "95%"))
    assert plot.ranges[0].open_ended


def strip_days(count):
    return tuple(Day(day, "We", str(day.day), True, "") for day in days_of(TODAY, count))


SPANS = st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from(("bench", "cure", "wait", "due")), st.integers(0, 40), st.integers(0, 20)), max_size=12)


@given(SPANS)
def test_timeline_cells_are_the_days_of_the_spans(found):
    spans = [Span(b, b, mark, "s", TODAY + timedelta(first), TODAY + timedelta(first + more), "") for b, mark, first, more in found]
    drawn = timeline(spans, strip_days(3 * DAYS), TODAY, ("one", "two", "three"))
    letters = {"B": "bench", "C": "cure", "W": "wait", "D": "due"}
    cells = {
        (row.title, n * DAYS + cell.x * DAYS // strip.width, letters[x])
        for n, strip in enumerate(drawn.strips)
        for row in strip.rows
        for cell in row.cells
        for x in cell.letters
    }
    days = {(b, day, mark) for b, mark, first, more in found for day in range(first, first + more + 1) if day < 3 * DAYS}
    sheet = {
        (row.title, (cell.x - drawn.sheet.columns[0].x) // drawn.sheet.cell, letters[x]) for row in drawn.sheet.rows for cell in row.cells for x in cell.letters
    }
    assert cells == days == sheet
    assert len(drawn.spans) == len(spans)


@pytest.mark.parametrize("mark", ["bench", "cure", "wait", "due"])
def test_timeline_reads_without_colour(mark):
    drawn = timeline([Span("a", "A", mark, "s", TODAY, TODAY, "")], strip_days(DAYS), TODAY, ("one",))
    assert drawn.strips[0].rows[0].cells[0].letters == mark[0].upper()


def test_an_axis_of_nothing_has_nothing_but_its_zero():
    drawn = bars("none", "Nothing", "USD", [BarRow("a", ((Decimal(0), "0.00", "a"),))], ("where", "USD"), NUMBER)
    assert [tick.words for tick in drawn.ticks] == ["0"]


@pytest.mark.parametrize(("locale", "third"), [("en_US", "1.5k"), ("de_DE", "1,5k")])
def test_an_axis_is_written_as_the_shops_numbers_are(locale, third):
    """1,500 is the third step of 500 from 0. In German a point groups thousands and a comma marks decimals (Duden)."""
    plot = bars("p", "title", "EUR", [BarRow("a", ((Decimal(1600), "1600", "a"),))], ("row", "EUR"), Writer(locale, "EUR").number)
    assert [tick.words for tick in plot.ticks][2:4] == ["1k", third]


def test_a_long_label_is_cut_in_the_drawing_and_whole_in_the_table():
    name = "The Extraordinarily Long-Named Baritone Conversion No. 17"
    drawn = bars("long", "Long", "h", [BarRow(name, ((Decimal(2), "2 h", "a"),))], ("build", "h"), NUMBER)
    assert drawn.labels[0].words == "The Extraordinarily Long-Named Baritone…" and drawn.table.rows[0][0] == name
