"""How the plan's forecasts did: the score, its parts, and what was said against what came, as a plot and as a table.

Invariant: scores nothing; words and places what `bench.score` worked out.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from purfle.base.counts import counted
from purfle.bench.score import ENOUGH, Past, Score, Tenth
from purfle.views.office_desk import OfficeDesk

WIDTH, _LEFT, _TOP, _SIDE = 336, 44, 30, 268
"""The drawing's view box is as wide as a phone; the square of the plot lies within it."""
_FAR = 0.1
"""How far what was said may be from what came before advice is given; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Dot:
    """The forecasts of one tenth in the plot."""

    x: int
    y: int
    words: str
    """How many they are."""
    words_x: int
    anchor: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A percent on both axes."""

    x: int
    y: int
    words: str


@dataclass(frozen=True, slots=True)
class TenthRow:
    """The forecasts of one tenth in words."""

    range: str
    count: str
    said: str
    came: str


@dataclass(frozen=True, slots=True)
class Part:
    """A figure of the score with what it means."""

    name: str
    figure: str
    says: str


@dataclass(frozen=True, slots=True)
class HonestyView:
    """The page on how the forecasts did."""

    days: str
    """The days looked at, in words; empty when there are none."""
    day: str
    """What such a day is called: one of a shop that makes no show is no recording day."""
    count: str
    little: str
    """That there is little or nothing to judge by; empty when there is enough."""
    marks: tuple[Mark, ...]
    parts: tuple[Part, ...] = ()
    advice: tuple[str, ...] = ()
    rows: tuple[TenthRow, ...] = ()
    dots: tuple[Dot, ...] = ()
    width, height = WIDTH, _TOP + _SIDE + 44
    """Of the view box."""
    left, right = _LEFT, _LEFT + _SIDE
    top, foot = _TOP, _TOP + _SIDE
    """The edges of the square; at its top all came true, at its foot nothing."""


def honesty_of(desk: OfficeDesk, past: Past) -> HonestyView:
    """The page's view."""
    score, day = past.score, "recording day" if desk.shop.makes_show else "weekly check day"
    marks = tuple(Mark(_x(n / 100), _y(n / 100), desk.write.percent(Decimal(n) / 100)) for n in range(0, 101, 20))
    days = f"{desk.write.dates(past.days[0], past.days[-1])}, {counted(len(past.days), day)}" if past.days else ""
    if score is None:
        little = f"There is nothing to go by yet: on no past {day} was a stage under way whose end could be forecast."
        return HonestyView(days, day, "0", little, marks)
    little = f"Fewer than {ENOUGH} forecasts are little to go by: these figures will still move a good deal." if score.little else ""
    rows = tuple(TenthRow(desk.told(f"{t.low} to {t.low + 10} %"), str(t.count), _percent(desk, t.said), _percent(desk, t.came)) for t in score.table)
    return HonestyView(
        days=days,
        day=day,
        count=str(score.count),
        little=little,
        marks=marks,
        parts=tuple(_parts(desk, score)),
        advice=tuple(_advice(desk, past, score, day)),
        rows=rows,
        dots=tuple(map(_dot, score.table)),
    )


def _parts(desk: OfficeDesk, score: Score) -> Iterator[Part]:
    yield Part("Brier score", _figure(score.score), desk.told("0 is perfect; always saying 50 % gives 0.25"))
    yield Part("reliability", _figure(score.reliability), "how far the chances given were from what came true; 0 is best")
    yield Part("resolution", _figure(score.resolution), "how well likely and unlikely were told apart; the larger the better, at most the uncertainty")
    yield Part("uncertainty", _figure(score.uncertainty), "how mixed the outcomes were, which no forecast can change")
    if abs(score.rest) >= 0.0005:
        yield Part("rest", _figure(score.rest), "left over from grouping by tenths")


def _advice(desk: OfficeDesk, past: Past, score: Score, day: str) -> Iterator[str]:
    said = sum(t.count * t.said for t in score.table) / score.count
    came = sum(t.count * t.came for t in score.table) / score.count
    if said - came > _FAR:
        yield f"The plan was too hopeful: on average it said {_percent(desk, said)}, and {_percent(desk, came)} came true by the next {day}."
    elif came - said > _FAR:
        yield f"The plan was too cautious: on average it said {_percent(desk, said)}, and {_percent(desk, came)} came true by the next {day}."
    else:
        yield f"On average the plan said {_percent(desk, said)}, and {_percent(desk, came)} came true by the next {day}."
    if said - came > _FAR and past.noted < past.given * Decimal("0.8"):
        hours = f"{desk.write.hours(past.given)} of bench hours, and the notes hold {desk.write.hours(past.noted)}"
        yield f"In those weeks shop.md gave {hours}. Lower bench_hours to the hours you really work, or note the ones that are missing; the coming dates will be truer at once."
    if said - came > _FAR:
        yield "A forecast assumes that you work in the plan's order. Working on other stages first, which may be quite right, makes it miss; tell the plan with a priority, a due date or a hold on the build sheet."
    elif came - said > _FAR:
        yield "More got done than the plan allowed for: raise bench_hours in shop.md, or check that you note all your hours."


def _dot(tenth: Tenth) -> Dot:
    x, y = _x(tenth.said), _y(tenth.came)
    beside_the_axis = x < _LEFT + 12
    return Dot(x, y, str(tenth.count), _LEFT + 4 if beside_the_axis else x, "start" if beside_the_axis else "middle")


def _x(part: float) -> int:
    return _LEFT + round(part * _SIDE)


def _y(part: float) -> int:
    return _TOP + _SIDE - round(part * _SIDE)


def _percent(desk: OfficeDesk, part: float) -> str:
    return desk.write.percent(Decimal(part))


def _figure(value: float) -> str:
    return f"{Decimal(value).quantize(Decimal('0.001'), ROUND_HALF_UP):f}".replace("-0.000", "0.000")
