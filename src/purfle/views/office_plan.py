"""The plan page: builds against days, what could not be placed, dates by likelihood, and what the shop has learned.

Invariant: every span is read off the plan, the notes or the route; nothing is scheduled here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from math import ceil

from purfle.bench.learn import mean
from purfle.bench.model import Forecast, Learned, Plan, Task
from purfle.progress.model import Progress, StageProgress
from purfle.show.model import ShowPlan
from purfle.views.office_desk import Desk, Link, plain
from purfle.views.office_week import OrderRow, RiskRow, date_rows
from purfle.views.plots import RangeRow
from purfle.views.timeline import DAYS, Day, Span, Timeline, days_of, timeline

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
class ForecastRow:
    """When a build's last stage is done, by likelihood."""

    build: Link
    stage: str
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
class UnplacedRow:
    """What the plan could not place."""

    build: Link
    stage: str
    why: str


@dataclass(frozen=True, slots=True)
class LearnedRow:
    """What finished stages say about the estimates."""

    stage: str
    words: str
    factor: str
    finished: str
    rework: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """The bench plan."""

    days: str
    timeline: Timeline
    spans: tuple[SpanRow, ...]
    forecast: tuple[ForecastRow, ...]
    recordings: tuple[str, ...]
    """The coming recording days."""
    soon: tuple[SoonRow, ...]
    """Stages that may be finished before one of them."""
    order: tuple[OrderRow, ...]
    dates: tuple[RiskRow, ...]
    """Every due date and promised day."""
    unplaced: tuple[UnplacedRow, ...]
    learned: tuple[LearnedRow, ...]
    bent: tuple[str, ...]
    """Cures of open builds that the room's warmth bends, and how."""
    proof: str


def plan_view_of(desk: Desk, progress: Mapping[str, Progress], plan: Plan, show: ShowPlan) -> PlanView:
    """The plan as drawn and as told."""
    days = days_of(desk.today, DAYS * STRIPS)
    drawn = timeline(
        tuple(_spans(desk, progress, plan, show)),
        tuple(_day(desk, plan, show, day) for day in days),
        desk.today,
        tuple(_title(desk, days, n) for n in range(STRIPS)),
    )
    write, recordings = desk.write, _recordings(show)
    return PlanView(
        days=write.dates(days[0], days[-1]),
        timeline=drawn,
        spans=tuple(SpanRow(desk.build(s.build), s.mark, s.stage, write.shorts(s.first, s.last), s.words) for s in drawn.spans),
        forecast=tuple(ForecastRow(desk.build(f.build), f.stage, *forecast_words(desk, f)) for f in _lasts(plan)),
        recordings=tuple(write.short(on) for on in recordings),
        soon=tuple(_soon(desk, plan, recordings)),
        order=tuple(OrderRow(desk.build(o.build), o.part, write.day(o.by), write.day(o.needed), o.late) for o in plan.order),
        dates=date_rows(desk, plan.dates),
        unplaced=tuple(UnplacedRow(desk.build(u.build), u.stage, desk.told(u.why)) for u in plan.unplaced),
        learned=tuple(_learned(desk, item) for item in plan.learned),
        bent=_bent(progress),
        proof=plan.proof,
    )


def _bent(progress: Mapping[str, Progress]) -> tuple[str, ...]:
    known = [s.stage for told in progress.values() if told.closed_on is None for s in told.stages]
    return tuple(sorted({f"{stage.coat}: {stage.cure_words}" for stage in known if stage.bent is not None}))


def _recordings(show: ShowPlan) -> list[date]:
    return sorted({show.records} | {e.records for e in show.lineup})


def _soon(desk: Desk, plan: Plan, recordings: Sequence[date]) -> Iterator[SoonRow]:
    """A stage counts for a recording when it is finished by the end of the day before."""
    asked = desk.shop.settings.show.likelihood / 100
    for f in plan.forecast:
        chances = [plan.chance(f.build, f.stage, on - timedelta(1)) for on in recordings]
        if any(chances):
            yield SoonRow(desk.build(f.build), f.stage, tuple(SoonChance(desk.write.percent(chance), chance >= asked) for chance in chances))


def _title(desk: Desk, days: tuple[date, ...], n: int) -> str:
    return desk.write.shorts(days[n * DAYS], days[n * DAYS + DAYS - 1])


def _day(desk: Desk, plan: Plan, show: ShowPlan, on: date) -> Day:
    planned = next((day for day in plan.days if day.date == on), None)
    episodes = {(e.records, e.airs) for e in show.lineup} | {(show.records, show.airs)}
    mark = ("R" if any(on == records for records, _ in episodes) else "") + ("A" if any(on == airs for _, airs in episodes) else "")
    return Day(on, desk.write.weekday(on), str(on.day), planned is not None and (planned.hours > 0 or bool(planned.tasks)), mark)


def _spans(desk: Desk, progress: Mapping[str, Progress], plan: Plan, show: ShowPlan) -> Iterator[Span]:
    runs = _runs(plan)
    for build in desk.shop.builds:
        known, title = progress.get(build.id), desk.titles[build.id]
        for stage, days in runs.get(build.id, {}).items():
            yield from _bench(desk, build.id, title, stage, days)
            if known is not None and (done := known.stage(stage)):
                yield from _after(desk, build.id, title, done, days[-1][0])
        for curing in plan.curing:
            if curing.build == build.id and curing.until > desk.today:
                mark, words = ("cure", f"curing now{f', {curing.bent}' if curing.bent else ''}") if curing.why == "cure" else ("wait", "out for work")
                yield Span(build.id, title, mark, curing.stage, desk.today, curing.until - timedelta(1), words)
        if known is not None and known.closed_on is None:
            yield from _held(desk, build.id, title)
            yield from _waiting(desk, build.id, title)
            yield from _due(desk, build.id, title, show)


def _runs(plan: Plan) -> dict[str, dict[str, list[tuple[date, Decimal]]]]:
    """Build → stage → the days it is worked on, with hours."""
    runs: dict[str, dict[str, list[tuple[date, Decimal]]]] = {}
    for day in plan.days:
        for task in day.tasks:
            _note(runs, task, day.date)
    return runs


def _note(runs: dict[str, dict[str, list[tuple[date, Decimal]]]], task: Task, on: date) -> None:
    runs.setdefault(task.build, {}).setdefault(task.stage, []).append((on, task.hours))


def _bench(desk: Desk, build: str, title: str, stage: str, days: list[tuple[date, Decimal]]) -> Iterator[Span]:
    """One span for each run of days without a gap."""
    start = 0
    for n in range(1, len(days) + 1):
        if n == len(days) or days[n][0] - days[n - 1][0] > timedelta(1):
            hours = sum((h for _, h in days[start:n]), Decimal(0))
            yield Span(build, title, "bench", stage, days[start][0], days[n - 1][0], desk.write.hours(hours))
            start = n


def _after(desk: Desk, build: str, title: str, done: StageProgress, last: date) -> Iterator[Span]:
    """The cure or wait that begins once the planned work ends; neither has the day on which it is over."""
    stage = done.stage
    out = ceil(mean(stage.wait)) if stage.wait else 0
    if out > 1:
        yield Span(build, title, "wait", stage.name, last + timedelta(1), last + timedelta(out - 1), "out for work, the expected time")
    cure = stage.cure.days if stage.cure else 0
    if cure > 1:
        yield Span(build, title, "cure", stage.name, last + timedelta(max(out, 1)), last + timedelta(out + cure - 1), stage.cure_words)


def _held(desk: Desk, build: str, title: str) -> Iterator[Span]:
    for hold in desk.shop.build(build).sheet.hold:
        last = hold.until or desk.today + timedelta(DAYS * STRIPS - 1)
        if hold.since <= last and desk.today <= last:
            words = "on hold" if hold.until else "on hold, and no last day is written"
            yield Span(build, title, "wait", "", max(desk.today, hold.since), last, f"{words}: {hold.why}" if hold.why else words)


def _waiting(desk: Desk, build: str, title: str) -> Iterator[Span]:
    for part in desk.shop.build(build).sheet.parts:
        if part.arrived is None and part.eta is not None and part.eta > desk.today:
            yield Span(build, title, "wait", part.stage or "", desk.today, part.eta - timedelta(1), f"for {part.part}")


def _due(desk: Desk, build: str, title: str, show: ShowPlan) -> Iterator[Span]:
    due = desk.shop.build(build).sheet.due
    if due is not None and due >= desk.today:
        yield Span(build, title, "due", "", due, due, "the whole build")
    for promise in show.promises:
        if promise.build == build and promise.state in ("open", "due") and promise.due is not None and promise.due >= desk.today:
            yield Span(build, title, "due", promise.do, promise.due, promise.due, "promised on air")


def _lasts(plan: Plan) -> list[Forecast]:
    """The forecast of each build's last stage, as the plan lists them."""
    return list({f.build: f for f in plan.forecast}.values())


def forecast_words(desk: Desk, forecast: Forecast) -> tuple[str, str, str, str]:
    """The four days as written; a day beyond the horizon says so."""
    first, half, promised, late = (desk.write.date(day) if day else "beyond the plan" for day in (forecast.p10, forecast.p50, forecast.p80, forecast.p95))
    return first, half, promised, late


def forecast_row(desk: Desk, forecast: Forecast) -> RangeRow:
    """A stage's forecast for a plot."""
    return RangeRow(forecast.stage, (forecast.p10, forecast.p50, forecast.p80, forecast.p95), forecast_words(desk, forecast), f"#stage-{plain(forecast.stage)}")


def _learned(desk: Desk, item: Learned) -> LearnedRow:
    factor = desk.write.number(item.factor, 1)
    words = "as estimated" if factor == desk.write.number(Decimal(1), 1) else f"{factor} × estimate"
    return LearnedRow(item.stage, words, factor, str(item.finished), desk.write.percent(item.rework))
