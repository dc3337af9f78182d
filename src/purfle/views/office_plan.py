"""The plan page: builds against days, what could not be placed, dates by likelihood, and what the shop has learned.

Invariant: every span is read off the plan, the notes or the route; nothing is scheduled here.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.groups import grouped
from purfle.bench.model import PART, Curing, Forecast, Lag, Learned, Plan, Whole
from purfle.notes.model import Build
from purfle.progress.routes import waits_for
from purfle.progress.states import CURE, WAIT, is_here
from purfle.show.scene import asked_of
from purfle.views.office_desk import Link, OfficeDesk, Reason
from purfle.views.office_dues import due_days
from purfle.views.office_week import OrderRow, RiskRow, date_rows, order_rows
from purfle.views.timeline import DAYS, Day, Mark, Span, Timeline, days_of, timeline

STRIPS = 3
"""Two weeks each: as much as one printed sheet holds."""


@dataclass(frozen=True, slots=True)
class SpanRow:
    """A span of the timeline in words."""

    build: Link
    mark: str
    stage: str
    days: str
    words: str


@dataclass(frozen=True, slots=True)
class WholeRow:
    """When all of a build is done, by likelihood."""

    build: Link
    p10: str
    p50: str
    p80: str
    p95: str


@dataclass(frozen=True, slots=True)
class SoonChance:
    """How likely a stage is finished before one recording."""

    words: str
    enough: bool
    """As likely as the shop asks before it features a stage."""


@dataclass(frozen=True, slots=True)
class SoonRow:
    """How likely a stage is finished before each coming recording."""

    build: Link
    stage: str
    chances: tuple[SoonChance, ...]


@dataclass(frozen=True, slots=True)
class LearnedRow:
    """What finished stages say about the estimates."""

    stage: str
    words: str
    finished: str
    rework: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """The bench plan."""

    days: str
    timeline: Timeline
    spans: tuple[SpanRow, ...]
    wholes: tuple[WholeRow, ...]
    recordings: tuple[str, ...]
    """The coming recording days."""
    soon: tuple[SoonRow, ...]
    """Stages that may be finished before one of them."""
    order: tuple[OrderRow, ...]
    dates: tuple[RiskRow, ...]
    """Every due date and promised day."""
    unplaced: tuple[Reason, ...]
    """What the plan could not place."""
    learned: tuple[LearnedRow, ...]
    bent: tuple[str, ...]
    """Cures of open builds that the room's warmth bends, and how."""
    proof: str


def plan_view_of(desk: OfficeDesk) -> PlanView:
    """The plan as drawn and as told."""
    plan, write, recordings = desk.plan, desk.write, desk.show.recordings
    days = days_of(desk.today, DAYS * STRIPS)
    drawn = timeline(
        tuple(_spans(desk)),
        tuple(_day(desk, day) for day in days),
        desk.today,
        tuple(write.shorts(days[n], days[n + DAYS - 1]) for n in range(0, DAYS * STRIPS, DAYS)),
    )
    return PlanView(
        days=write.dates(days[0], days[-1]),
        timeline=drawn,
        spans=tuple(SpanRow(desk.build(s.build), s.mark, s.stage, write.shorts(s.first, s.last), s.words) for s in drawn.spans),
        wholes=tuple(WholeRow(desk.build(one.build), *forecast_words(desk, one)) for one in plan.wholes),
        recordings=tuple(write.short(on) for on in recordings),
        soon=tuple(_soon(desk, recordings)),
        order=order_rows(desk, plan.order),
        dates=date_rows(desk, plan.dates),
        unplaced=tuple(Reason(desk.build(u.build), u.stage or "", desk.told(u.why)) for u in plan.unplaced),
        learned=tuple(_learned(desk, item) for item in plan.learned),
        bent=_bent(desk),
        proof=plan.proof,
    )


def _bent(desk: OfficeDesk) -> tuple[str, ...]:
    known = [s.stage for told in desk.progress.values() if told.closed_on is None for s in told.stages]
    return tuple(sorted({f"{stage.coat}: {stage.cure_words}" for stage in known if stage.bent is not None}))


def _soon(desk: OfficeDesk, recordings: Sequence[date]) -> Iterator[SoonRow]:
    """A stage counts for a recording when it is finished by the end of the day before."""
    asked = asked_of(desk.shop)
    for f in desk.plan.forecast:
        chances = [desk.plan.chance(f.build, f.stage, on - timedelta(1)) for on in recordings]
        if any(chances):
            yield SoonRow(desk.build(f.build), f.stage, tuple(SoonChance(desk.write.percent(chance), chance >= asked) for chance in chances))


def _day(desk: OfficeDesk, on: date) -> Day:
    planned, episodes = next((day for day in desk.plan.days if day.date == on), None), desk.show.episodes
    mark = ("R" if any(on == e.records for e in episodes) else "") + ("A" if any(on == e.airs for e in episodes) else "")
    return Day(on, desk.write.weekday(on), str(on.day), planned is not None and (planned.hours > 0 or any(task.hours for task in planned.tasks)), mark)


def _spans(desk: OfficeDesk) -> Iterator[Span]:
    runs, lags = _runs(desk.plan), grouped(desk.plan.lags, lambda lag: lag.build)
    curing, dues = grouped(desk.plan.curing, lambda curing: curing.build), grouped(due_days(desk), lambda due: due.build)
    for build in desk.shop.builds:
        for stage, days in runs.get(build.id, {}).items():
            yield from _bench(desk, build.id, stage, days)
        yield from (_lag(desk, lag) for lag in lags.get(build.id, ()) if lag.first < lag.until)
        yield from (_now(desk, c) for c in curing.get(build.id, ()) if c.until > desk.today)
        if desk.progress[build.id].closed_on is None:
            yield from _held(desk, build)
            yield from _loose(desk, build)
        for due in dues.get(build.id, ()):
            yield _span(desk, build.id, "due", due.stage, due.day, due.day, "promised on air" if due.stage else "the whole build")


def _span(desk: OfficeDesk, build: str, mark: Mark, stage: str, first: date, last: date, words: str) -> Span:
    return Span(build, desk.titles[build], mark, stage, first, last, words)


def _runs(plan: Plan) -> dict[str, dict[str, list[tuple[date, Decimal]]]]:
    """Build → stage → the days it is worked on, with hours."""
    runs: dict[str, dict[str, list[tuple[date, Decimal]]]] = {}
    for day in plan.days:
        for task in day.tasks:
            if task.hours:
                runs.setdefault(task.build, {}).setdefault(task.stage, []).append((day.date, task.hours))
    return runs


def _bench(desk: OfficeDesk, build: str, stage: str, days: list[tuple[date, Decimal]]) -> Iterator[Span]:
    """One span for each run of days without a gap."""
    start = 0
    for n in range(1, len(days) + 1):
        if n == len(days) or days[n][0] - days[n - 1][0] > timedelta(1):
            hours = sum((h for _, h in days[start:n]), Decimal(0))
            yield _span(desk, build, "bench", stage, days[start][0], days[n - 1][0], desk.write.hours(hours))
            start = n


def _now(desk: OfficeDesk, curing: Curing) -> Span:
    """What cures or is out for work today."""
    words = f"curing now{f', {curing.bent}' if curing.bent else ''}" if curing.why == CURE else "at outside work"
    return _span(desk, curing.build, "cure" if curing.why == CURE else "wait", curing.stage, desk.today, curing.until - timedelta(1), words)


def _lag(desk: OfficeDesk, lag: Lag) -> Span:
    """A cure, outside work or a part on its way, without the day on which it is over; of a cure that day is told, for its own days count from the work before it."""
    stage = desk.progress[lag.build].stage(lag.stage)
    words = {
        WAIT: "at outside work, the expected time",
        CURE: f"{stage.stage.cure_words}, free on {desk.write.short(lag.until)}" if stage is not None else "",
        PART: f"for {lag.what}" + ("" if lag.ordered else ", not ordered yet"),
    }
    return _span(desk, lag.build, "cure" if lag.why == CURE else "wait", lag.stage, lag.first, lag.until - timedelta(1), words[lag.why])


def _held(desk: OfficeDesk, build: Build) -> Iterator[Span]:
    for hold in build.sheet.hold:
        last = hold.until or desk.today + timedelta(DAYS * STRIPS - 1)
        if hold.since <= last and desk.today <= last:
            words = "on hold" if hold.until else "on hold, with no last day given"
            yield _span(desk, build.id, "wait", "", max(desk.today, hold.since), last, f"{words}: {hold.why}" if hold.why else words)


def _loose(desk: OfficeDesk, build: Build) -> Iterator[Span]:
    """Parts on their way that no stage waits for, so that the plan does not."""
    stages = desk.progress[build.id].stages
    for part in build.sheet.parts:
        if not is_here(part, desk.today) and part.eta is not None and part.eta > desk.today and not any(waits_for(s.stage, part) for s in stages):
            yield _span(desk, build.id, "wait", part.stage or "", desk.today, part.eta - timedelta(1), f"for {part.part}")


def forecast_words(desk: OfficeDesk, forecast: Forecast | Whole) -> tuple[str, str, str, str]:
    """The four days as written; a day beyond the horizon says so."""
    first, half, promised, late = (
        desk.write.near(day, desk.today) if day else "beyond the plan" for day in (forecast.p10, forecast.p50, forecast.p80, forecast.p95)
    )
    return first, half, promised, late


def _learned(desk: OfficeDesk, item: Learned) -> LearnedRow:
    factor = desk.write.number(item.factor, 1)
    words = "as estimated" if factor == desk.write.number(Decimal(1), 1) else f"{factor} × estimate"
    return LearnedRow(item.stage, words, str(item.finished), desk.write.percent(item.rework))
