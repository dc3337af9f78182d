"""The week: today and the next six days, and all that must not be missed in them.

Invariant: chooses and words what the plans say; plans nothing itself.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.counts import counted
from purfle.bench.model import AtRisk, Curing, Order, Task
from purfle.progress.model import StageProgress
from purfle.progress.on_sale import on_sale
from purfle.progress.states import WAIT
from purfle.show.model import LAST_CHANCE, NO
from purfle.views.office_desk import Link, Noted, OfficeDesk, Source
from purfle.views.office_dues import DueDay, due_days
from purfle.views.office_show_promises import PromiseRow, unmet_rows
from purfle.views.office_show_sheets import FilmRow, film_row

FEATURED = 8
"""Most rows of the week's list of what to feature; the show page has them all, and what can't be with its reason."""


@dataclass(frozen=True, slots=True)
class WeekTask:
    """Work on one stage on one day."""

    build: Link
    stage: str
    hours: str
    then: str
    """What it frees once it is done; empty when it goes on another day."""
    source: Source | None
    """Where the stage and its estimate stand."""


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One of the seven days."""

    iso: str
    name: str
    """`Today`, `Tomorrow` or the weekday."""
    day: str
    hours: str
    """Bench hours there are."""
    closed: bool
    """No bench hours that day; something may be sent out all the same."""
    planned: str
    tasks: tuple[WeekTask, ...]
    marks: tuple[str, ...]
    """What else falls on it: recording, an episode airs, something is due."""
    film: tuple[FilmRow, ...]
    """Today all that can be filmed, on another day what can't be filmed after it."""


@dataclass(frozen=True, slots=True)
class CuringRow:
    """A stage that needs no hands just now."""

    build: Link
    stage: str
    until: str
    why: str
    days: str
    bent: str
    """What a rule of thumb did to the cure; empty where it is as written."""
    recoat: str
    """The window for the next coat; empty without one."""


@dataclass(frozen=True, slots=True)
class OrderRow:
    """A part to order."""

    build: Link
    part: str
    by: str
    needed: str
    late: bool


@dataclass(frozen=True, slots=True)
class OverdueRow:
    """A part that should have come, or the stage whose outside work should be back."""

    build: Link
    part: str
    expected: str


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """A stage that could be shown in the coming episode."""

    build: Link
    stage: str
    ready: str
    chance: str
    why: str
    proposed: bool
    """It stands in the line-up proposed for that episode."""


@dataclass(frozen=True, slots=True)
class RiskRow:
    """A date that may not be met."""

    build: Link
    stage: str
    """The stage that was promised on air; empty for the build's own due date."""
    due: str
    chance: str
    likely: str
    """The day by which it is 80 % likely, and by how much that is late; empty where there is a `why`."""
    why: str = ""
    """Why nothing ready keeps a promise, where that is not the bench."""


@dataclass(frozen=True, slots=True)
class ForSaleRow:
    """What has stood for sale for long."""

    build: Link
    since: str
    days: str


@dataclass(frozen=True, slots=True)
class Week:
    """The first page of the office."""

    span: str
    """From today to the last of the seven."""
    airs: str
    """The next episode's day; empty for a shop that makes no show."""
    records: str
    days: tuple[WeekDay, ...]
    curing: tuple[CuringRow, ...]
    film: tuple[FilmRow, ...]
    order: tuple[OrderRow, ...]
    overdue: tuple[OverdueRow, ...]
    order_later: int
    """Orders that can wait until after these seven days."""
    feature: tuple[FeatureRow, ...]
    """The proposed line-up's first, then what else is ready or likely."""
    feature_more: int
    """How many others the show page has."""
    promises: tuple[PromiseRow, ...]
    at_risk: tuple[RiskRow, ...]
    for_sale: tuple[ForSaleRow, ...]
    noted: tuple[Noted, ...]


def week_of(desk: OfficeDesk) -> Week:
    """The seven days from today on."""
    plan, show, write = desk.plan, desk.show, desk.write
    end, dues = plan.week_end, due_days(desk)
    days = tuple(_day(desk, dues, desk.today + timedelta(n)) for n in range(7))
    promises = unmet_rows(desk)
    feature = tuple(f for f in feature_rows(desk) if f.proposed or f.ready != NO)[:FEATURED]
    return Week(
        span=write.dates(desk.today, end),
        airs=write.day(show.airs) if show.airs else "",
        records=write.day(show.records),
        days=days,
        curing=tuple(_curing(desk, c) for c in plan.curing),
        film=tuple(film_row(desk, shot, last=shot.status == LAST_CHANCE) for shot in show.to_film(end)),
        order=order_rows(desk, (o for o in plan.order if o.by <= end or o.late)),
        overdue=tuple(OverdueRow(desk.build(o.build), o.part or o.stage, write.near(o.expected, desk.today)) for o in plan.overdue),
        order_later=sum(1 for o in plan.order if o.by > end and not o.late),
        feature=feature,
        feature_more=len(show.feature) - len(feature),
        promises=promises,
        at_risk=_risk_rows(desk),
        for_sale=tuple(ForSaleRow(desk.build(s.build), write.date(s.since), s.words) for s in on_sale(desk.shop, desk.progress, desk.today) if s.is_long),
        noted=desk.noted([*(t.source for d in days for t in d.tasks), *(p.source for p in promises)]),
    )


def _day(desk: OfficeDesk, dues: Sequence[DueDay], on: date) -> WeekDay:
    planned = next((day for day in desk.plan.days if day.date == on), None)
    tasks = planned.tasks if planned else ()
    hours = planned.hours if planned else Decimal(0)
    total = sum((task.hours for task in tasks), Decimal(0))
    return WeekDay(
        iso=on.isoformat(),
        name=desk.named(on),
        day=desk.write.day(on),
        hours=desk.write.hours(hours),
        closed=not hours and not total,
        planned=desk.write.hours(total),
        tasks=tuple(_task(desk, task, on) for task in tasks),
        marks=_marks(desk, dues, on),
        film=_to_film(desk, on),
    )


def _to_film(desk: OfficeDesk, on: date) -> tuple[FilmRow, ...]:
    shots = (shot for day in desk.show.shot_days if day.date == on for shot in day.shots)
    return tuple(film_row(desk, shot, last=shot.by == on) for shot in shots if on in (shot.by, shot.before, desk.today))


def _marks(desk: OfficeDesk, dues: Iterable[DueDay], on: date) -> tuple[str, ...]:
    marks = []
    if any(on == episode.records for episode in desk.show.episodes):
        marks.append("record the episode")
    if any(on == episode.airs for episode in desk.show.episodes):
        marks.append("an episode airs")
    return (*marks, *(due.words for due in dues if due.day == on))


def _task(desk: OfficeDesk, task: Task, on: date) -> WeekTask:
    stage = desk.progress[task.build].stage(task.stage)
    source = desk.source(stage.stage.at) if stage else None
    words = desk.write.hours(task.hours) if task.hours else "to send out"
    return WeekTask(desk.build(task.build), task.stage, words, _then(desk, stage, task, on), source)


def _then(desk: OfficeDesk, stage: StageProgress | None, task: Task, on: date) -> str:
    """What the end of this work frees; empty when the plan comes back to it on a later day."""
    if any(day.date > on and any((t.build, t.stage) == (task.build, task.stage) for t in day.tasks) for day in desk.plan.days):
        return ""
    if stage is not None and stage.stage.wait is not None:
        return "then it goes to outside work" + (f" and cures {stage.stage.cure_words}" if stage.stage.cure is not None else "")
    if stage is not None and stage.stage.cure is not None:
        return f"then it cures {stage.stage.cure_words}"
    after = [s.stage.name for s in desk.progress[task.build].stages if task.stage in s.stage.follows and not s.finished]
    return f"then {' and '.join(after)}" if after else "then it is done"


def _curing(desk: OfficeDesk, curing: Curing) -> CuringRow:
    left = (curing.until - desk.today).days
    words = "at outside work" if curing.why == WAIT else "curing"
    days = "free today" if left <= 0 else counted(left, "more day")
    return CuringRow(desk.build(curing.build), curing.stage, desk.day(curing.until), words, days, curing.bent or "", curing.recoat or "")


def feature_rows(desk: OfficeDesk) -> tuple[FeatureRow, ...]:
    """What could be featured next, and whether the line-up proposes it."""
    chosen = desk.show.proposed
    return tuple(
        FeatureRow(desk.build(f.build), f.stage, f.ready, desk.write.percent(f.chance), desk.told(f.why), (f.build, f.stage) in chosen)
        for f in desk.show.ranked
    )


def order_rows(desk: OfficeDesk, orders: Iterable[Order]) -> tuple[OrderRow, ...]:
    """Parts to order, as they are told."""
    return tuple(OrderRow(desk.build(o.build), o.part, desk.day(o.by), desk.day(o.needed), o.late) for o in orders)


def _risk_rows(desk: OfficeDesk) -> tuple[RiskRow, ...]:
    """Dates at risk, the least likely first; then promises that can't be kept though the bench could."""
    write = desk.write
    told = (RiskRow(desk.build(r.build), r.stage, write.date(r.due), write.percent(r.chance), "", desk.told(r.why)) for r in desk.show.at_risk)
    return (*date_rows(desk, sorted(desk.plan.at_risk, key=lambda r: (r.chance, r.due, r.build))), *told)


def date_rows(desk: OfficeDesk, dates: Iterable[AtRisk]) -> tuple[RiskRow, ...]:
    """Dates to be met, with how likely they are."""
    write = desk.write
    return tuple(RiskRow(desk.build(r.build), r.stage or "", write.date(r.due), write.percent(r.chance), _likely_day(desk, r)) for r in dates)


def _likely_day(desk: OfficeDesk, risk: AtRisk) -> str:
    """The day that is 80 % likely, and by how much that is late."""
    if (days := risk.late_by) is None:
        return "later than the plan reaches"
    return f"{desk.write.date(risk.due + timedelta(days=days))}, {counted(days, 'day')} late" if days else "on time"
