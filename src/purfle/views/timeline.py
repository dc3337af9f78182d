"""The timeline of builds against days, each cell with a letter and a pattern, and the same facts as a table.

It is drawn twice from the same spans: as strips of two weeks, each as wide as a phone, and as one sheet for a wide
screen or the wall; a page shows one of the two.
Invariant: knows nothing of the plan; every cell comes from a span, and every span stands in the table.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from purfle.base.counts import counted
from purfle.base.groups import grouped
from purfle.views.plots import WIDTH, cut

DAYS = 14
"""Days in one strip."""
_CELL = WIDTH // DAYS
_HEAD, _BOX = 40, 24
_NAME_CHARS, _LABEL_CHARS = 20, 40
"""Room for a name beside its row, and above it."""


@dataclass(frozen=True, slots=True)
class _Form:
    """How a strip is laid out."""

    left: int
    """Room for names left of the days; 0 when they stand above their rows."""
    row: int


_NARROW, _WIDE = _Form(0, 48), _Form(150, 30)

Mark = Literal["bench", "cure", "wait", "due"]
LETTERS: dict[Mark, str] = {"bench": "B", "cure": "C", "wait": "W", "due": "D"}
"""The letter of each mark."""
_SAYS: dict[Mark, str] = {
    "bench": "hands-on work",
    "cure": "no hands needed, only time",
    "wait": "at outside work, for a part, or on hold",
    "due": "due or promised that day",
}


@dataclass(frozen=True, slots=True)
class Span:
    """One build in one condition over some days."""

    build: str
    title: str
    mark: Mark
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
    mark: Mark
    """The mark that fills it: bench before cure before wait; `due` when nothing else stands there."""
    letters: str
    """All the marks' letters."""
    due: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One build's line in a strip."""

    title: str
    y: int
    title_y: int
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
    """Some days of the timeline."""

    id: str
    title: str
    says: str
    width: int
    height: int
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    cell = _CELL
    """The width of a day."""


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
    """Two weeks each, for a narrow screen."""
    sheet: Strip
    """All of these weeks in one, for a wide screen and for paper."""
    spans: tuple[Span, ...]
    """Everything in the strips, by build as listed, then by day."""
    beyond: int
    """How many spans begin after the last strip; they are in the table all the same."""
    key = tuple((LETTERS[mark], mark, says) for mark, says in _SAYS.items())
    """Letter, mark and meaning."""


def timeline(spans: Sequence[Span], days: Sequence[Day], today: date, titles: Sequence[str]) -> Timeline:
    """Strips over `days`, of which each of `titles` has its two weeks."""
    order = {build: n for n, build in enumerate(dict.fromkeys(span.build for span in spans))}
    ranked = tuple(sorted(spans, key=lambda s: (order[s.build], s.first, list(LETTERS).index(s.mark))))
    strips = tuple(_strip(f"strip-{n + 1}", title, days[n * DAYS : (n + 1) * DAYS], ranked, today, _NARROW) for n, title in enumerate(titles))
    sheet = _strip("sheet", "All of it on one sheet", days, ranked, today, _WIDE)
    return Timeline(strips, sheet, ranked, sum(span.first > days[-1].date for span in ranked))


def _strip(id: str, title: str, days: Sequence[Day], spans: Sequence[Span], today: date, form: _Form) -> Strip:
    """A strip with a row for each build that has a span in it, in the order of the spans."""
    inside = (span for span in spans if span.first <= days[-1].date and span.last >= days[0].date)
    by_build = grouped(inside, lambda span: span.build)
    rows = tuple(_row(found, days, _HEAD + n * form.row, form) for n, found in enumerate(by_build.values()))
    columns = tuple(Column(form.left + n * _CELL, day.weekday, day.number, day.open, day.date == today, day.show) for n, day in enumerate(days))
    says = f"{counted(len(rows), 'build')} over {len(days)} days; the same is in words further down, under every step, day by day"
    return Strip(
        id=id,
        title=title,
        says=says,
        width=form.left + len(days) * _CELL,
        height=_HEAD + max(len(rows), 1) * form.row,
        columns=columns,
        rows=rows,
    )


def _row(spans: Sequence[Span], days: Sequence[Day], y: int, form: _Form) -> Row:
    top = y + form.row - _BOX - (4 if not form.left else 3)
    cells = []
    for n, day in enumerate(days):
        there = {span.mark for span in spans if span.first <= day.date <= span.last}
        marks = [mark for mark in LETTERS if mark in there]
        if marks:
            cells.append(Cell(form.left + n * _CELL, top, marks[0], "".join(LETTERS[m] for m in marks), "due" in marks))
    title = cut(spans[0].title, _NAME_CHARS if form.left else _LABEL_CHARS)
    return Row(title, y, y + (20 if form.left else 15), tuple(cells))


def days_of(first: date, count: int) -> tuple[date, ...]:
    """`count` days from `first` on."""
    return tuple(first + timedelta(n) for n in range(count))
