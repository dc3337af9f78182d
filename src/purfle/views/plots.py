"""Plots as values: the geometry of bars, ranges and a timeline, each with the table it was drawn from.

Lengths are in units of the drawing's own view box, which is made for the width of a phone and grows with the page.
Everything is exact arithmetic; coordinates are rounded to a tenth only when they become text.
Invariant: knows nothing of builds, money or SVG's words; a plot never holds a figure that its table does not show.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

WIDTH = 336
"""Width of every view box: a phone of 360 less its margins."""
_LABEL, _BAR, _GAP, _AXIS = 22, 18, 12, 22
_VALUE_ROOM = 96
_LABEL_CHARS = 40
"""As much of a label as the view box has room for; the table has the whole of it."""


@dataclass(frozen=True, slots=True)
class Table:
    """The same facts in words and figures."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    hrefs: tuple[str, ...]
    """Where each row's label leads; empty texts lead nowhere."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A rectangle with the figure it stands for."""

    x: str
    y: str
    width: str
    height: str
    mark: str
    """`a` is filled, `b` is hatched, `c` is dotted."""
    words: str
    """The figure as written, set beside it."""
    words_x: str
    words_y: str


@dataclass(frozen=True, slots=True)
class Words:
    """Text at a place of the drawing."""

    x: str
    y: str
    words: str


@dataclass(frozen=True, slots=True)
class Range:
    """A span from P10 to P95 on one line, with the P50 and P80 days marked."""

    x1: str
    x2: str
    y: int
    middle: str
    promised: str
    open_ended: bool
    """The far end lies beyond what was simulated."""

    @property
    def top(self) -> int:
        """Where the post of the 80 % day begins."""
        return self.y - 8


@dataclass(frozen=True, slots=True)
class Plot:
    """A drawing with its title, units and table."""

    id: str
    """Unique in its page; begins the ids of its patterns."""
    title: str
    units: str
    says: str
    """What is to be seen, in a sentence, for someone who can't see it."""
    height: int
    labels: tuple[Words, ...]
    ticks: tuple[Words, ...]
    zero: str
    """Where the line for nothing (or for today) stands."""
    table: Table
    bars: tuple[Bar, ...] = ()
    key: tuple[tuple[str, str], ...] = ()
    """Mark and meaning, when there is more than one mark."""
    ranges: tuple[Range, ...] = ()
    width = WIDTH

    @property
    def foot(self) -> int:
        """Where the axis line stands."""
        return self.height - _AXIS


@dataclass(frozen=True, slots=True)
class BarRow:
    """One label with the figures that stand under it."""

    label: str
    values: tuple[tuple[Decimal, str, str], ...]
    """Figure, the figure as written, mark."""
    href: str = ""
    """Where its label leads, in the table."""


def place(value: Decimal) -> str:
    """A coordinate as text, to a tenth."""
    text = f"{value.quantize(Decimal('0.1')):f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def cut(text: str, most: int) -> str:
    """A text of at most that many characters, its end marked where it was longer."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def nice(reach: Decimal) -> Decimal:
    """The step of 1, 2 or 5 times a power of ten that divides `reach` (above nothing) into 2 to 5 steps."""
    power = Decimal(1).scaleb(reach.adjusted())
    return next(step for step in (power / 5, power / 2, power, power * 2) if reach / step <= 5)


@dataclass(frozen=True, slots=True)
class _Scale:
    """From figures to places along the axis."""

    low: Decimal
    high: Decimal
    start: Decimal
    length: Decimal

    def at(self, value: Decimal) -> Decimal:
        return self.start + (value - self.low) * self.length / (self.high - self.low)


def _scale_of(values: Sequence[Decimal]) -> tuple[_Scale, Decimal]:
    low, high = min([*values, Decimal(0)]), max([*values, Decimal(0)])
    step = nice(max(high, -low, Decimal("0.0001")))
    bottom = (low / step).to_integral_value(ROUND_FLOOR) * step
    top = max((high / step).to_integral_value(ROUND_CEILING) * step, bottom + step)
    return _Scale(bottom, top, Decimal(4), Decimal(WIDTH - _VALUE_ROOM)), step


def bars(
    id: str,
    title: str,
    units: str,
    rows: Sequence[BarRow],
    head: tuple[str, ...],
    number: Callable[[Decimal], str],
    key: tuple[tuple[str, str], ...] = (),
    says: str = "",
) -> Plot:
    """Lying bars, one label a row and one bar a figure; `number` writes the axis, and the table has the label and the figures as written."""
    scale, step = _scale_of([value for row in rows for value, _, _ in row.values])
    drawn: list[Bar] = []
    labels: list[Words] = []
    y = 0
    for row in rows:
        labels.append(Words("10", str(y + 16), cut(row.label, _LABEL_CHARS)))
        y += _LABEL
        for value, words, mark in row.values:
            drawn.append(_bar(scale, value, words, mark, y))
            y += _BAR
        y += _GAP
    reached = any(value for row in rows for value, _, _ in row.values)
    marks = [scale.low + step * n for n in range(int((scale.high - scale.low) / step) + 1)] if reached else [scale.low]
    ticks = tuple(Words(place(scale.at(mark)), str(y + 18), _short(mark, number)) for mark in marks[:: 2 if len(marks) > 6 else 1])
    table = Table(head, tuple((row.label, *(words for _, words, _ in row.values)) for row in rows), tuple(row.href for row in rows))
    return Plot(
        id=id,
        title=title,
        units=units,
        says=says,
        height=y + _AXIS,
        bars=tuple(drawn),
        labels=tuple(labels),
        ticks=ticks,
        zero=place(scale.at(Decimal(0))),
        key=key,
        table=table,
    )


def _bar(scale: _Scale, value: Decimal, words: str, mark: str, y: int) -> Bar:
    zero, end = scale.at(Decimal(0)), scale.at(value)
    left, right = min(zero, end), max(zero, end)
    return Bar(
        x=place(left), y=str(y + 1), width=place(right - left), height=str(_BAR - 4), mark=mark, words=words, words_x=place(right + 5), words_y=str(y + 13)
    )


def _short(value: Decimal, number: Callable[[Decimal], str]) -> str:
    """A round figure for the axis: 1500 is 1.5k, or 1,5k where the shop's numbers are written so."""
    for size, letter in ((Decimal(1_000_000), "M"), (Decimal(1_000), "k")):
        if abs(value) >= size:
            return f"{number(value / size)}{letter}"
    return number(value)


@dataclass(frozen=True, slots=True)
class RangeRow:
    """One label with four days of rising likelihood; None lies beyond the horizon."""

    label: str
    days: tuple[date | None, date | None, date | None, date | None]
    words: tuple[str, str, str, str]
    href: str = ""


def ranges(id: str, title: str, rows: Sequence[RangeRow], today: date, tick_words: Sequence[tuple[date, str]], head: tuple[str, ...], says: str = "") -> Plot:
    """Days of 10, 50, 80 and 95 % likelihood on one axis from today; the table, under `head`, has the four days as written."""
    last = max((day for row in rows for day in row.days if day), default=today)
    scale = _Scale(Decimal(0), Decimal(max((last - today).days, 7)), Decimal(8), Decimal(WIDTH - 16))
    drawn: list[Range] = []
    labels: list[Words] = []
    for index, row in enumerate(rows):
        top = index * (_LABEL + _BAR + _GAP)
        labels.append(Words("14", str(top + 16), cut(row.label, _LABEL_CHARS)))
        if row.days[0] is not None:
            drawn.append(_range(scale, row, today, top + _LABEL + _BAR // 2))
    y = len(rows) * (_LABEL + _BAR + _GAP)
    ticks = tuple(Words(place(scale.at(Decimal((day - today).days))), str(y + 18), words) for day, words in tick_words if (day - today).days <= scale.high)
    table = Table(head, tuple((row.label, *row.words) for row in rows), tuple(row.href for row in rows))
    return Plot(
        id=id,
        title=title,
        units="days",
        says=says,
        height=y + _AXIS,
        ranges=tuple(drawn),
        labels=tuple(labels),
        ticks=ticks,
        zero=place(scale.at(Decimal(0))),
        table=table,
    )


def _range(scale: _Scale, row: RangeRow, today: date, y: int) -> Range:
    beyond = scale.start + scale.length
    at = [beyond if day is None else scale.at(Decimal(max((day - today).days, 0))) for day in row.days]
    return Range(place(at[0]), place(at[3]), y, place(at[1]), place(at[2]), row.days[3] is None)


def weeks_from(today: date, days: int) -> tuple[date, ...]:
    """Days for ticks: today and every seventh day after, at most five of them, spread further when the reach is long."""
    step = 7 * max(1, -(-days // 28))
    return tuple(today + timedelta(n) for n in range(0, days + 1, step))
