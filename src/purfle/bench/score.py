"""How good past forecasts were: what the plan would have said on each past recording day, against what happened.

The days are those of `then`, which sees sheets as they are written now, and the page says so.
Invariant: a forecast is never shown the notes of a later day; only the scoring is.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from purfle.base.memo import Memo
from purfle.bench.attended import attendance
from purfle.bench.rules import best_rule
from purfle.bench.shelf import Move
from purfle.bench.then import Then, then_of
from purfle.notes.model import Shop
from purfle.notes.records.shop import WEEKDAYS
from purfle.notes.same import of_day
from purfle.progress.model import Progress

WEEKS = 26
"""How many recording days back are looked at."""
RUNS = 500
ENOUGH = 30
"""Fewer forecasts than this say little, and the page says that."""


@dataclass(frozen=True, slots=True)
class PastForecast:
    """One past forecast: that a stage would be finished by the next recording day."""

    on: date
    build: str
    stage: str
    chance: float
    came: bool


@dataclass(frozen=True, slots=True)
class Tenth:
    """The forecasts of one tenth of likelihood."""

    low: int
    """In percent; the last tenth holds 90 to 100."""
    count: int
    said: float
    """Mean likelihood forecast."""
    came: float
    """Part of them that came true."""


@dataclass(frozen=True, slots=True)
class Score:
    """The Brier score of past forecasts, 0 best, with Murphy's three parts: score = reliability − resolution + uncertainty + rest."""

    count: int
    score: float
    reliability: float
    """How far what was said is from what came; 0 best."""
    resolution: float
    """How far the forecasts tell cases apart; large is good."""
    uncertainty: float
    """What cannot be helped: the spread of the outcomes."""
    rest: float
    """What grouping by tenths leaves over; 0 where all forecasts of a tenth were alike."""
    table: tuple[Tenth, ...]
    little: bool
    """Too few forecasts to judge by."""


@dataclass(frozen=True, slots=True)
class Past:
    """How the forecasts of the last recording days did."""

    days: tuple[date, ...]
    """The recording days with notes before them, oldest first; on all but the last something was forecast."""
    score: Score | None
    """None for no forecasts."""
    given: Decimal
    """Bench hours that shop.md gives over those days."""
    noted: Decimal
    """Bench hours that the notes of them hold."""


def past_of(shop: Shop, moves: Sequence[Move], events: Sequence[object], progress: Mapping[str, Progress], today: date) -> Past:
    """The last recording days with their score."""
    days = _days(shop, today)
    given, noted = attendance(shop, days[0], days[-1]) if len(days) > 1 else (Decimal(0), Decimal(0))
    said = past(shop, moves, events, progress, today)
    return Past(tuple(days), scored((one.chance, one.came) for one in said), given, noted)


def _days(shop: Shop, today: date) -> list[date]:
    """The last recording days up to today with notes before them, oldest first."""
    show = shop.settings.show
    weekday = (WEEKDAYS.index(show.weekday) - show.lead.days) % 7
    last = today - timedelta(days=(today.weekday() - weekday) % 7)
    first = min((note.date for note in shop.notes), default=today)
    return [day for back in range(WEEKS, -1, -1) if (day := last - timedelta(weeks=back)) >= first]


def past(shop: Shop, moves: Sequence[Move], events: Sequence[object], progress: Mapping[str, Progress], today: date) -> tuple[PastForecast, ...]:
    """What would have been said on each of the last recording days, and whether it came."""
    then = then_of(shop, moves, events, today)
    return tuple(said for on, by in pairwise(_days(shop, today)) for said in _said(then, progress, on, by))


def _said(then: Then, now: Mapping[str, Progress], on: date, by: date) -> Iterator[PastForecast]:
    """Forecasts of one day for every stage that had a chance, or could have been worked on at once, of the builds there were."""
    for build, stage, number, chance in of_day(_FORECASTS, then.shop, on, lambda: tuple(_forecast(then, on, by)), by):
        yield PastForecast(on, build, stage, chance, _came(now[build], stage, number, by))


_FORECASTS = Memo()
"""What was forecast on a day."""


def _forecast(then: Then, on: date, by: date) -> Iterator[tuple[str, str, int, float]]:
    """Build, stage, pass and the chance of being finished by a day, as forecast on a day from the notes up to it."""
    from purfle.bench.forecast import forecast  # with numpy: only here is it needed

    situation, told = then.situation(on)
    outcome = forecast(situation, best_rule(situation).laid, RUNS)
    for number, step in enumerate(situation.steps):
        if not step.quarters and step.wait is None:
            continue  # what only rests is finished by itself: a forecast of it is one of what it follows, said twice
        spread = outcome.finished.get(number)
        chance = 0.0 if spread is None else spread.percent((by - on).days) / 100
        if spread is not None and not _finished(told[step.build], step.stage) and (chance > 0 or not step.after):
            yield step.build, step.stage, step.pass_number, chance


def _finished(progress: Progress, stage: str) -> bool:
    """Whether a stage was finished by then: one whose outside work was awaited is no forecast of its finish."""
    told = progress.stage(stage)
    return told is not None and told.finished


def _came(progress: Progress, stage: str, number: int, by: date) -> bool:
    told = progress.stage(stage)
    return told is not None and any(p.number == number and p.finished is not None and p.finished <= by for p in told.passes)


def scored(said: Iterable[tuple[float, bool]]) -> Score | None:
    """The Brier score and its parts (Murphy 1973, by tenths); None for no forecasts."""
    pairs = list(said)
    if not pairs:
        return None
    count = len(pairs)
    base = sum(came for _, came in pairs) / count
    score = math.fsum((chance - came) ** 2 for chance, came in pairs) / count
    table = tuple(_tenths(pairs))
    reliability = math.fsum(t.count * (t.said - t.came) ** 2 for t in table) / count
    resolution = math.fsum(t.count * (t.came - base) ** 2 for t in table) / count
    uncertainty = base * (1 - base)
    return Score(count, score, reliability, resolution, uncertainty, score - reliability + resolution - uncertainty, table, count < ENOUGH)


def _tenths(pairs: Sequence[tuple[float, bool]]) -> Iterator[Tenth]:
    for tenth in range(10):
        own = [(chance, came) for chance, came in pairs if min(int(chance * 10 + 1e-9), 9) == tenth]
        if own:
            yield Tenth(tenth * 10, len(own), math.fsum(c for c, _ in own) / len(own), sum(came for _, came in own) / len(own))
