"""The builds: the list with states, and for each its stages, hours, forecast and job cost sheet.

Invariant: a build's lines are the books' own; only the order in which they are shown is chosen here.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from purfle.base.quantities import Estimate
from purfle.bench.model import Plan
from purfle.books.figures import BuildRow as Sums
from purfle.books.figures import Line, Quote
from purfle.notes.model import Build
from purfle.notes.records.build import Part
from purfle.progress.model import Pass, Progress, StageProgress
from purfle.show.model import ShowPlan
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Desk, Figure, Link, Noted, Source, plain
from purfle.views.office_money import LedgerLine, ledger_line
from purfle.views.office_plan import forecast_row
from purfle.views.plots import BarRow, Plot, bars, ranges, weeks_from

_EARNED = ("sales", "returns", "expenses")
"""Kinds of account that say what a build earned, in the order in which they are shown."""
_WAY = "on the way"
_OUT = ("recognised", "withdrawn")
"""How cost leaves a build at a sale, an end or a move, and comes back with goods."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the books say of one build, over all years."""

    sums: Sums
    quote: Quote | None = None
    """None for a build that is not for the shop to price."""


@dataclass(frozen=True, slots=True)
class BuildRow:
    """A build in the list."""

    link: Link
    kind: str
    state: str
    public: str
    progress: str
    """`6 of 9`, or nothing for a build without a route."""
    next: str
    """The next stage that is not finished."""
    due: str
    hours: str
    cost: Figure


@dataclass(frozen=True, slots=True)
class BuildGroup:
    """Builds in like states."""

    name: str
    rows: tuple[BuildRow, ...]


@dataclass(frozen=True, slots=True)
class SheetAccount:
    """A part of the job cost sheet."""

    id: str
    name: str
    total: Figure
    lines: tuple[LedgerLine, ...]


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
    """finished, begun, curing until a day, or to do."""
    after: str
    """The cure or wait that follows it."""
    passes: tuple[PassRow, ...]
    source: Source | None


@dataclass(frozen=True, slots=True)
class PartRow:
    """A line of the bill of materials."""

    part: str
    qty: str
    stage: str
    condition: str
    cost: Figure
    source: Source | None


@dataclass(frozen=True, slots=True)
class ShotRow:
    """A wanted shot."""

    shot: str
    stage: str
    status: str
    by: str
    taken: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A label with its words."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class AirRow:
    """An episode that visited the build."""

    airs: str
    title: str
    words: str
    minutes: str
    aired: bool


@dataclass(frozen=True, slots=True)
class QuoteView:
    """The price to ask and the most to pay."""

    channel: str
    cost: Figure
    hours: str
    labour: Figure
    target: str
    asking: Figure
    fees: Figure
    profit: Figure
    ceiling: Figure
    refused: str


@dataclass(frozen=True, slots=True)
class BuildView:
    """A build's page."""

    id: str
    page: str
    title: str
    state: str
    public: str
    facts: tuple[Fact, ...]
    costs: tuple[SheetAccount, ...]
    cost_total: Figure
    recognised: Figure
    """Of it, what has gone out at sales, deliveries and ends."""
    withdrawn: Figure | None
    """Of it, what the owner took or gave away."""
    carried: Figure
    """Of it, what is still held."""
    on_the_way: Figure | None
    """Paid, not here, and not yet part of the cost."""
    earned: tuple[SheetAccount, ...]
    profit: Figure | None
    """None while nothing is sold."""
    per_hour: Figure
    air_income: Figure | None
    hours: str
    hours_rework: str
    """Empty when there are none, like the next."""
    hours_after_sale: str
    stages: tuple[StageRow, ...]
    effort: Plot | None
    """Hours estimated and noted, stage by stage."""
    forecast: Plot | None
    parts: tuple[PartRow, ...]
    shots: tuple[ShotRow, ...]
    aired: tuple[AirRow, ...]
    quote: QuoteView | None
    noted: tuple[Noted, ...]


_GROUPS = (
    ("On the bench", ("on the bench",)),
    ("Curing, or waiting for a part", ("curing", "waiting for a part")),
    ("In the rack", ("in the rack",)),
    ("On hold", ("on hold",)),
    ("Finished, and for sale", ("finished", "for sale")),
    ("Gone to their owners", ("sold", "delivered")),
    ("Kept, given away, lost or scrapped", ("kept", "given away", "lost", "scrapped")),
)


def groups_of(desk: Desk, progress: Mapping[str, Progress], sheets: Mapping[str, Sheet]) -> tuple[BuildGroup, ...]:
    """All builds by state, in the order in which they ask for hands; states with none are left out."""
    rows = [_list_row(desk, build, progress[build.id], sheets[build.id].sums.lines) for build in desk.shop.builds if build.id in progress]
    groups = [BuildGroup(name, tuple(row for row in rows if row.state in states)) for name, states in _GROUPS]
    return tuple(group for group in groups if group.rows)


def _list_row(desk: Desk, build: Build, known: Progress, lines: Sequence[Line]) -> BuildRow:
    upcoming = next((s.stage.name for s in known.stages if not s.finished), "") if known.closed_on is None else ""
    done = f"{known.finished_stages} of {len(known.stages)}" if known.stages else NOTHING
    cost = _total(desk, _costs(lines))
    return BuildRow(desk.build(build.id), build.sheet.kind, known.state, known.public_state, done, upcoming or NOTHING, desk.write.date(build.sheet.due), desk.write.hours(known.hours), cost)


def _total(desk: Desk, lines: Sequence[Line]) -> Figure:
    return desk.money(sum((line.amount for line in lines), Decimal(0)), any(line.estimated for line in lines))


def _costs(lines: Sequence[Line]) -> list[Line]:
    """What went into a build, less what was taken off it; not what is on its way, nor what left with a sale."""
    return [line for line in lines if line.book == "inventory" and line.account != _WAY and line.flow not in _OUT]


def build_view_of(desk: Desk, build: Build, known: Progress, sheet: Sheet, plan: Plan, show: ShowPlan) -> BuildView:
    """One build's page."""
    sums = sheet.sums
    took = _costs(sums.lines)
    costs, earned = _accounts(desk, took), _accounts(desk, [line for kind in _EARNED for line in sums.lines if line.book == kind])
    stages = tuple(_stage(desk, done) for done in _told(known))
    parts = tuple(_part(desk, part) for part in build.sheet.parts)
    air = [income.amount for income in show.air_income if income.build == build.id]
    private = -sum((line.amount for line in sums.lines if line.flow == "withdrawn"), Decimal(0))
    coming = [line for line in sums.lines if line.account == _WAY]
    return BuildView(
        build.id, desk.build(build.id).href, desk.titles[build.id], known.state, known.public_state, _facts(desk, build, known),
        costs, _total(desk, took), desk.money(sums.cost), desk.money(private) if private else None, desk.money(sums.carried), _total(desk, coming) if sum(line.amount for line in coming) else None,
        earned, desk.money(sums.profit, sums.estimated) if earned or sums.cost else None, desk.money(sums.profit_per_hour, sums.estimated),
        desk.money(sum(air, Decimal(0))) if air else None,
        desk.write.hours(known.hours), *(desk.write.hours(hours) if hours else "" for hours in (known.hours_rework, known.hours_after_sale)),
        stages, _effort(desk, known), _forecast(desk, build.id, plan), parts,
        tuple(ShotRow(s.shot, s.stage, s.status, desk.write.day(s.by), desk.write.day(s.taken)) for s in show.shots if s.build == build.id),
        tuple(_aired(desk, build.id)), _quote(desk, sheet.quote), desk.noted(_sources((*costs, *earned), stages, parts)),
    )


def _sources(accounts: Iterable[SheetAccount], stages: Iterable[StageRow], parts: Iterable[PartRow]) -> Iterator[Source | None]:
    for account in accounts:
        yield from (line.source for line in account.lines)
    for stage in stages:
        yield stage.source
        for item in stage.passes:
            yield from item.sources
    yield from (part.source for part in parts)


def _accounts(desk: Desk, lines: Sequence[Line]) -> tuple[SheetAccount, ...]:
    """Lines by account, in the order in which the accounts first come."""
    names = dict.fromkeys(line.account for line in lines)
    found = [(name, [line for line in lines if line.account == name]) for name in names]
    return tuple(SheetAccount(plain(name), name, _total(desk, part), tuple(ledger_line(desk, line) for line in part)) for name, part in found)


def _facts(desk: Desk, build: Build, known: Progress) -> tuple[Fact, ...]:
    sheet = build.sheet
    customer = sheet.commission.customer if sheet.commission else None
    pairs = (
        ("kind", sheet.kind), ("instrument", sheet.instrument), ("maker", sheet.maker), ("model", sheet.model), ("year", sheet.year),
        ("finish", sheet.finish), ("serial", sheet.serial), ("units", str(sheet.units) if sheet.units > 1 else None), ("route", sheet.route),
        ("customer", customer), ("in since", desk.write.date(known.since) if known.since else None),
        ("due", desk.write.date(sheet.due) if sheet.due else None), ("priority", str(sheet.priority)), ("in the showroom", known.public_state if _shown(build, desk.today) else "no"),
    )
    return tuple(Fact(label, words) for label, words in pairs if words)


def _shown(build: Build, today: date) -> bool:
    showing = build.sheet.showroom
    return showing.always or (showing.since is not None and showing.since <= today)


def _told(known: Progress) -> list[StageProgress]:
    """All stages while the route is open; once it is closed, those that were begun."""
    return [s for s in known.stages if known.closed_on is None or s.finished or any(p.sessions for p in s.passes)]


def _stage(desk: Desk, done: StageProgress) -> StageRow:
    stage = done.stage
    after = " and ".join(words for words in (f"cures {stage.cure}" if stage.cure else "", f"out {_estimate(desk, stage.wait)} days" if stage.wait else "") if words)
    return StageRow(
        plain(stage.name), stage.name, f"{_estimate(desk, stage.hours)}\u00a0h", desk.write.hours(done.hours), _condition(desk, done), after,
        tuple(_pass(desk, item) for item in done.passes if item.sessions or item.finished or item.number > 1), desk.source(stage.at),
    )


def _estimate(desk: Desk, estimate: Estimate) -> str:
    low, likely, high = (desk.write.number(x) for x in (estimate.low, estimate.likely, estimate.high))
    return likely if low == high else f"{low}–{likely}–{high}"


def _condition(desk: Desk, done: StageProgress) -> str:
    if not done.finished:
        return "begun" if done.current.sessions else "to do"
    if done.free_on is not None and done.free_on > desk.today:
        return f"curing until {desk.write.day(done.free_on)}" if done.stage.cure else f"out until {desk.write.day(done.free_on)}"
    return "finished"


def _pass(desk: Desk, item: Pass) -> PassRow:
    places = [desk.source(session.at) for session in item.sessions] + ([desk.source(item.finished_at)] if item.finished_at else [])
    # One line of each note is enough: where its hours or its finish stand, the rest stands beside it.
    unique = {s.place.file: s for s in reversed(places) if s}
    return PassRow(item.number, _days(desk, item.begun, item.finished), desk.write.hours(item.hours), item.assumed, tuple(reversed(unique.values())))


def _days(desk: Desk, begun: date | None, finished: date | None) -> str:
    if begun is None or begun == finished:
        return desk.write.date(finished)
    return f"from {desk.write.date(begun)}" if finished is None else f"{desk.write.date(begun)} to {desk.write.date(finished)}"


def _effort(desk: Desk, known: Progress) -> Plot | None:
    stages = [s for s in _told(known) if s.hours or s.stage.hours.likely]
    rows = [BarRow(s.stage.name, ((s.stage.hours.likely, desk.write.number(s.stage.hours.likely), "b"), (s.hours, desk.write.number(s.hours), "a"))) for s in stages]
    key = (("b", "estimated"), ("a", "noted"))
    return bars("effort", "Hours by stage", "bench hours", rows, ("stage", "estimated", "noted"), key, "For each stage the likely hours as estimated, and the hours noted so far, all passes together.") if rows else None


def _forecast(desk: Desk, build: str, plan: Plan) -> Plot | None:
    rows = [forecast_row(desk, f) for f in plan.forecast if f.build == build]
    if not rows:
        return None
    reach = max(((day - desk.today).days for row in rows for day in row.days if day), default=7)
    ticks = [(day, desk.write.short(day)) for day in weeks_from(desk.today, max(reach, 7))]
    return ranges("forecast", "When each stage is done", rows, desk.today, ticks, "For each stage a line from the day it is done with 10 % likelihood to the day of 95 %, with marks at 50 % and 80 %.")


def _part(desk: Desk, part: Part) -> PartRow:
    cost = part.cost if part.how == "bought" else part.value
    figure = Figure("customer's") if part.how == "customer's" else desk.money(cost, part.how == "bought" and part.paid is None)
    return PartRow(part.part, desk.write.number(part.qty), part.stage or NOTHING, _part_words(desk, part), figure, desk.source(part.at))


def _part_words(desk: Desk, part: Part) -> str:
    if part.arrived is not None:
        return f"here since {desk.write.date(part.arrived)}"
    if part.ordered is not None:
        return f"ordered, expected {desk.write.date(part.eta)}" if part.eta else f"ordered {desk.write.date(part.ordered)}"
    return "planned" if part.how == "bought" else f"{part.how}, not here yet"


def _aired(desk: Desk, build: str) -> Iterator[AirRow]:
    for episode in desk.shop.episodes:
        for segment in episode.sheet.segments:
            if desk.shop.find(segment.build) == build:
                words = f"{segment.what}: {segment.stage}" if segment.stage else segment.what
                aired = (episode.sheet.aired or episode.sheet.link is not None) and episode.date <= desk.today
                yield AirRow(desk.write.date(episode.date), episode.sheet.title, words, desk.write.number(segment.minutes), aired)


def _quote(desk: Desk, quote: Quote | None) -> QuoteView | None:
    if quote is None:
        return None
    return QuoteView(
        quote.channel or "without a channel", desk.money(quote.cost, True), desk.write.hours(quote.hours), desk.money(quote.labour, True), desk.write.percent(quote.target_margin / 100, 1),
        desk.money(quote.asking_price, True), desk.money(quote.fees, True), desk.money(quote.profit, True), desk.money(quote.offer_ceiling, True), quote.refused or "",
    )


def views_of(desk: Desk, progress: Mapping[str, Progress], sheets: Mapping[str, Sheet], plan: Plan, show: ShowPlan) -> Iterable[BuildView]:
    """The page of every build."""
    for build in desk.shop.builds:
        if build.id in progress:
            own = replace(desk, within=f"builds/{build.id}/")
            yield build_view_of(own, build, progress[build.id], sheets[build.id], plan, show)
