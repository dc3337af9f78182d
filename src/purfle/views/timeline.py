"""The timeline of builds against days: strips of two weeks, each cell with a letter and a pattern, and the same facts as a table.

A strip is as wide as a phone; side by side on a wide page, and all on one printed sheet.
Invariant: knows nothing of the plan; every cell comes from a span, and every span stands in the table.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from purfle.views.plots import WIDTH

DAYS = 14
"""Days in one strip."""
_CELL = WIDTH // DAYS
_HEAD, _ROW, _BOX = 40, 48, 24

LETTERS = {"bench": "B", "cure": "C", "wait": "W", "due": "D"}
"""The letter of each mark."""
_SAYS = {"bench": "hands at the bench", "cure": "curing, no hands", "wait": "out for work, or waiting for a part", "due": "due, or promised, this day"}


@dataclass(frozen=True, slots=True)
class Span:
    """One build in one condition over some days."""

    build: str
    title: str
    mark: str
    """bench, cure, wait or due."""
    stage: str
    first: date
    last: date
    words: str
    """Hours, or what is waited for."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One box of a row."""

    x: int
    y: int
    mark: str
    """The mark that fills it: bench before cure before wait; `due` when nothing else stands there."""
    letters: str
    """All the marks' letters."""
    due: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One build's line in a strip."""

    build: str
    title: str
    y: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One day at the head of a strip."""

    x: int
    weekday: str
    day: str
    open: bool
    """There are bench hours that day."""
    today: bool
    show: str
    """R for a recording, A for an airing, nothing else."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Two weeks of the timeline."""

    id: str
    title: str
    says: str
    height: int
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    @property
    def width(self) -> int:
        """The view box's width."""
        return WIDTH

    @property
    def cell(self) -> int:
        """The width of a day."""
        return _CELL


@dataclass(frozen=True, slots=True)
class Day:
    """What the head of a column needs to know of its day."""

    date: date
    weekday: str
    number: str
    open: bool
    show: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """Strips and the spans they were drawn from."""

    strips: tuple[Strip, ...]
    spans: tuple[Span, ...]
    """Everything in the strips, by build as listed, then by day."""
    beyond: int
    """How many spans begin after the last strip; they are in the table all the same."""

    @property
    def key(self) -> tuple[tuple[str, str, str], ...]:
        """Letter, mark and meaning."""
        return tuple((LETTERS[mark], mark, says) for mark, says in _SAYS.items())


def timeline(spans: Sequence[Span], days: Sequence[Day], today: date, titles: Sequence[str]) -> Timeline:
    """Strips over `days` (whole strips; the rest is left off), with `titles` naming each strip."""
    order = tuple(dict.fromkeys(span.build for span in spans))
    ranked = tuple(sorted(spans, key=lambda s: (order.index(s.build), s.first, list(LETTERS).index(s.mark))))
    strips = tuple(_strip(f"strip-{n + 1}", title, days[n * DAYS : (n + 1) * DAYS], ranked, order, today) for n, title in enumerate(titles))
    end = days[len(titles) * DAYS - 1].date if titles else today
    return Timeline(strips, ranked, sum(1 for span in ranked if span.first > end))


def _strip(id: str, title: str, days: Sequence[Day], spans: Sequence[Span], order: Sequence[str], today: date) -> Strip:
    shown = [build for build in order if any(s.build == build and s.first <= days[-1].date and s.last >= days[0].date for s in spans)]
    rows = tuple(_row([s for s in spans if s.build == build], days, _HEAD + n * _ROW) for n, build in enumerate(shown))
    columns = tuple(Column(n * _CELL, day.weekday, day.number, day.open, day.date == today, day.show) for n, day in enumerate(days))
    says = f"{len(rows)} builds over {len(days)} days; the table below says the same in words"
    return Strip(id, title, says, _HEAD + max(len(rows), 1) * _ROW, columns, rows)


def _row(spans: Sequence[Span], days: Sequence[Day], y: int) -> Row:
    cells = []
    for n, day in enumerate(days):
        marks = [mark for mark in LETTERS if any(s.mark == mark and s.first <= day.date <= s.last for s in spans)]
        if marks:
            cells.append(Cell(n * _CELL, y + _ROW - _BOX - 4, marks[0], "".join(LETTERS[m] for m in marks), "due" in marks))
    return Row(spans[0].build, spans[0].title, y, tuple(cells))


def days_of(first: date, count: int) -> tuple[date, ...]:
    """`count` days from `first` on."""
    return tuple(first + timedelta(n) for n in range(count))
