"""A build's stages: estimates, passes with their notes, hours side by side, and when each will be done.

Invariant: reads progress and plan; knows nothing of money.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from purfle.base.times import Estimate
from purfle.bench.model import LIKELIHOODS, Forecast
from purfle.progress.model import Pass, Progress, StageProgress
from purfle.progress.states import CURE, awaited
from purfle.views.office_desk import OfficeDesk, Source, anchor_of
from purfle.views.office_plan import forecast_words
from purfle.views.plots import BarRow, Plot, RangeRow, bars, ranges, weeks_from


@dataclass(frozen=True, slots=True)
class PassRow:
    """One time through a stage."""

    number: int
    days: str
    """From when to when, in words."""
    hours: str
    assumed: bool
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class StageRow:
    """A stage of the build's own route."""

    id: str
    name: str
    estimate: str
    hours: str
    condition: str
    """finished, begun, curing or out until a day, or to do."""
    after: str
    """The cure or wait that follows it."""
    passes: tuple[PassRow, ...]
    source: Source | None


def stage_rows(desk: OfficeDesk, known: Progress) -> tuple[StageRow, ...]:
    """The stages in the route's order."""
    return tuple(_stage(desk, done) for done in told(known))


def told(known: Progress) -> list[StageProgress]:
    """All stages while the route is open; once it is closed, those that were begun."""
    return [s for s in known.stages if known.closed_on is None or s.finished or any(p.sessions for p in s.passes)]


def _stage(desk: OfficeDesk, done: StageProgress) -> StageRow:
    stage = done.stage
    after = ", then ".join(
        words
        for words in (f"{_estimate(desk, stage.wait, ' days')} at outside work" if stage.wait else "", f"cures {stage.cure_words}" if stage.cure else "")
        if words
    )
    return StageRow(
        id=anchor_of(stage.name),
        name=stage.name,
        estimate=_estimate(desk, stage.hours, "\u00a0h"),
        hours=desk.write.hours(done.hours),
        condition=_condition(desk, done),
        after=after,
        passes=tuple(_pass(desk, item) for item in done.passes if item.sessions or item.finished or item.number > 1),
        source=desk.source(stage.at),
    )


def _estimate(desk: OfficeDesk, estimate: Estimate, unit: str) -> str:
    """The likely figure, with the lowest and highest behind it: `3 h (2–5)`."""
    low, likely, high = (desk.write.number(x) for x in (estimate.low, estimate.likely, estimate.high))
    return f"{likely}{unit}" if low == high else f"{likely}{unit} ({low}–\u2060{high})"


def _condition(desk: OfficeDesk, done: StageProgress) -> str:
    waits = awaited(done, desk.today)
    if waits is not None:
        return f"{'curing' if waits.why == CURE else 'at outside work'} until {desk.day(waits.until)}"
    return "finished" if done.finished else "begun" if done.current.sessions else "to do"


def _pass(desk: OfficeDesk, item: Pass) -> PassRow:
    places = [desk.source(session.at) for session in item.sessions] + ([desk.source(item.finished_at)] if item.finished_at else [])
    # One line of each note is enough: where its hours or its finish stand, the rest stands beside it.
    unique = {s.place.file: s for s in reversed(places) if s}
    return PassRow(item.number, _days(desk, item.begun, item.finished), desk.write.hours(item.hours), item.assumed, tuple(reversed(unique.values())))


def _days(desk: OfficeDesk, begun: date | None, finished: date | None) -> str:
    if begun is None or begun == finished:
        return desk.write.date(finished)
    return f"from {desk.write.date(begun)}" if finished is None else desk.write.dates(begun, finished)


def effort_plot(desk: OfficeDesk, known: Progress) -> Plot | None:
    """Hours estimated and noted, stage by stage; None without a route."""
    stages = [s for s in told(known) if s.hours or s.stage.hours.likely]
    rows = [
        BarRow(
            s.stage.name,
            ((s.stage.hours.likely, desk.write.number(s.stage.hours.likely), "b"), (s.hours, desk.write.number(s.hours), "a")),
            f"#stage-{anchor_of(s.stage.name)}",
        )
        for s in stages
    ]
    if not rows:
        return None
    says = "For each stage, the likely hours as estimated and the hours noted so far, all passes together."
    return bars("effort", "Hours by stage", "bench hours", rows, ("stage", "estimated", "noted"), desk.write.number, (("b", "estimated"), ("a", "noted")), says)


def forecast_plot(desk: OfficeDesk, forecasts: Iterable[Forecast]) -> Plot | None:
    """When each stage of one build will be done, by likelihood; None when the plan does not reach the build."""
    rows = [RangeRow(f.stage, (f.p10, f.p50, f.p80, f.p95), forecast_words(desk, f), f"#stage-{anchor_of(f.stage)}") for f in forecasts]
    if not rows:
        return None
    reach = max(((day - desk.today).days for row in rows for day in row.days if day), default=7)
    ticks = [(day, desk.write.short(day)) for day in weeks_from(desk.today, max(reach, 7))]
    return ranges(
        "forecast",
        "When each stage is done",
        rows,
        desk.today,
        ticks,
        ("stage", *(desk.write.percent(part) for part in LIKELIHOODS)),
        desk.told("For each stage, a line from the day by which it is 10 % likely to be done to its 95 % day, with marks at 50 % and 80 %."),
    )
