"""A build's page: what it took and earned, its stages, parts, shots and airings.

Invariant: a build's lines are the books' own; only the order in which they are shown is chosen here.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from purfle.base.money import unit
from purfle.bench.model import SURE, Forecast, Whole
from purfle.books.figures import BuildRow as Sums
from purfle.books.figures import CustomerAccount, OwnersPiece
from purfle.books.landed import landed_cost, worth
from purfle.books.ledger import ON_THE_WAY, WITHDRAWN
from purfle.notes.model import Build
from purfle.notes.records.build import Part
from purfle.progress.model import Progress
from purfle.show.airing import has_aired
from purfle.show.consent import bar
from purfle.show.model import AirIncome, Shot
from purfle.views.amounts import NOTHING
from purfle.views.office_builds import JobCosts, costs_of, upcoming
from purfle.views.office_customer import CustomerPaper, customer_paper_of
from purfle.views.office_desk import Fact, Figure, Noted, OfficeDesk, Source, facts_of
from purfle.views.office_ledger import Account, account_of, accounts_of, total_of
from purfle.views.office_plan import forecast_words
from purfle.views.office_quote import QuoteView, quote_view
from purfle.views.office_show_sheets import ShotRow, shot_row
from purfle.views.office_stages import StageRow, effort_plot, forecast_plot, stage_rows
from purfle.views.plots import Plot

_EARNED = ("sales", "returns", "expenses")
"""Kinds of account that say what a build earned, in the order in which they are shown."""


@dataclass(frozen=True, slots=True)
class PieceView:
    """A piece of the owner's own, apart from the shop."""

    accounts: tuple[Account, ...]
    basis: Figure
    proceeds: Figure | None
    """None while it is the owner's, like the two next."""
    gain: Figure | None
    counted: Figure | None


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
class AirRow:
    """An episode that visited the build."""

    airs: str
    title: str
    words: str
    minutes: str
    aired: bool


@dataclass(frozen=True, slots=True)
class BuildView:
    """A build's page."""

    page: str
    title: str
    state: str
    facts: tuple[Fact, ...]
    costs: tuple[Account, ...]
    cost_total: Figure
    recognised: Figure
    """Of it, what has gone out at sales, deliveries and ends."""
    withdrawn: Figure | None
    """Of it, what the owner took or gave away."""
    carried: Figure
    """Of it, what is still held."""
    on_the_way: Figure | None
    """Paid, not here, and not yet part of the cost."""
    earned: tuple[Account, ...]
    beside: tuple[Account, ...]
    """Other expenses and income noted on it, the shop's own."""
    customers: tuple[Account, ...]
    """What the customer paid and what became of it, with what is held for them or they owe; empty where there is none."""
    account: CustomerPaper | None
    """What the customer of a commission can be handed."""
    piece: PieceView | None
    """None for what never was the owner's own."""
    profit: Figure | None
    """None while nothing is sold."""
    per_hour: Figure
    air_income: Figure | None
    """None for a build that was never on air, like the two next."""
    air_hours: str | None
    """Its share of filming and editing."""
    per_hour_in_all: Figure | None
    """Profit and what it earned on air, for each hour at the bench and on air."""
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


@dataclass(slots=True)
class Elsewhere:
    """What the plan and the show have of one build."""

    whole: Whole | None = None
    forecast: list[Forecast] = field(default_factory=list)
    income: AirIncome | None = None
    shots: list[Shot] = field(default_factory=list)
    aired: list[AirRow] = field(default_factory=list)


def _view(desk: OfficeDesk, build: Build, books: JobCosts, told: Elsewhere) -> BuildView:
    """One build's page."""
    known, sums = desk.progress[build.id], books.sums
    took = costs_of(sums.lines)
    costs, earned = accounts_of(desk, took), accounts_of(desk, [line for kind in _EARNED for line in sums.lines if line.book == kind])
    beside, customers = accounts_of(desk, sums.beside), _customers(desk, books.customer)
    piece = _piece(desk, books.piece)
    stages = stage_rows(desk, known)
    parts = tuple(_part(desk, part) for part in build.sheet.parts)
    air = told.income
    private = -sum((line.amount for line in sums.lines if line.flow == WITHDRAWN), Decimal(0))
    coming = [line for line in sums.lines if line.account == ON_THE_WAY]
    return BuildView(
        page=desk.build(build.id).href,
        title=desk.titles[build.id],
        state=known.state,
        facts=_facts(desk, build, known, told.whole),
        costs=costs,
        cost_total=total_of(desk, took),
        recognised=desk.money(sums.cost),
        withdrawn=desk.money(private) if private else None,
        carried=desk.money(sums.carried),
        on_the_way=total_of(desk, coming) if sum(line.amount for line in coming) else None,
        earned=earned,
        beside=beside,
        customers=customers,
        account=customer_paper_of(desk, build, books.customer),
        piece=piece,
        profit=desk.money(sums.profit, sums.estimated) if earned or sums.cost else None,
        per_hour=desk.money(sums.profit_per_hour, sums.estimated),
        air_income=desk.money(air.amount) if air else None,
        air_hours=desk.write.hours(air.hours) if air else None,
        per_hour_in_all=_per_hour_in_all(desk, sums, known, air),
        hours=desk.write.hours(known.hours),
        hours_rework=_if_any(desk, known.hours_rework),
        hours_after_sale=_if_any(desk, known.hours_after_sale),
        stages=stages,
        effort=effort_plot(desk, known),
        forecast=forecast_plot(desk, told.forecast),
        parts=parts,
        shots=tuple(shot_row(desk, shot) for shot in told.shots),
        aired=tuple(told.aired),
        quote=quote_view(desk, build, books.quote),
        noted=desk.noted(_sources((*costs, *earned, *beside, *customers, *(piece.accounts if piece else ())), stages, parts)),
    )


def _if_any(desk: OfficeDesk, hours: Decimal) -> str:
    return desk.write.hours(hours) if hours else ""


def _per_hour_in_all(desk: OfficeDesk, sums: Sums, known: Progress, air: AirIncome | None) -> Figure | None:
    """What is left for each hour of work on the build, at the bench and for the show."""
    rate = air.per_hour(sums.profit, known.hours, sums.gone) if air else None
    return None if rate is None else desk.money(rate, sums.estimated)


def _sources(accounts: Iterable[Account], stages: Iterable[StageRow], parts: Iterable[PartRow]) -> Iterator[Source | None]:
    for account in accounts:
        yield from (line.source for line in account.lines)
    for stage in stages:
        yield stage.source
        for item in stage.passes:
            yield from item.sources
    yield from (part.source for part in parts)


def _customers(desk: OfficeDesk, account: CustomerAccount | None) -> tuple[Account, ...]:
    """The customer's money as one account; none where nothing was paid or earned."""
    if account is None:
        return ()
    balance = account.balance
    name = ("owed by the customer" if balance < 0 else "held for the customer") if balance else "settled"
    return (account_of(desk, name, desk.money(abs(balance)), account.lines),)


def _piece(desk: OfficeDesk, piece: OwnersPiece | None) -> PieceView | None:
    if piece is None:
        return None
    accounts, gone = accounts_of(desk, piece.lines), piece.gone
    if gone is None:
        return PieceView(accounts, desk.money(piece.basis), None, None, None)
    marked = gone.estimated
    return PieceView(accounts, desk.money(piece.basis), desk.money(gone.proceeds, marked), desk.money(gone.gain, marked), desk.money(gone.gain_counted, marked))


def _facts(desk: OfficeDesk, build: Build, known: Progress, whole: Whole | None) -> tuple[Fact, ...]:
    """What comes next and when it is done, then what it is."""
    sheet = build.sheet
    customer = sheet.commission.customer if sheet.commission else None
    return facts_of(
        ("next", upcoming(known)),
        (f"done by, {desk.write.percent(SURE)} likely", forecast_words(desk, whole)[2] if whole else None),
        ("kind", sheet.kind),
        ("instrument", sheet.instrument),
        ("maker", sheet.maker),
        ("model", sheet.model),
        ("year", sheet.year),
        ("finish", sheet.finish),
        ("serial", sheet.serial),
        ("units", str(sheet.units) if sheet.units > 1 else None),
        ("route", sheet.route),
        ("customer", customer),
        ("came in", desk.write.date(known.since) if known.since else None),
        ("due", desk.write.date(sheet.due) if sheet.due else None),
        ("priority", str(sheet.priority)),
        ("in the showroom", known.public_state if bar(build, known, desk.today) is None else "no"),
    )


def _part(desk: OfficeDesk, part: Part) -> PartRow:
    known = (part.cost if part.how == "bought" else part.value) is not None
    settings = desk.shop.settings
    cost = landed_cost(part, worth(part), settings, unit(settings.currency)) if known else None
    unpaid = part.how == "bought" and (part.paid is None or part.paid > desk.today)
    figure = Figure("customer's") if part.how == "customer's" else desk.money(cost, unpaid)
    return PartRow(part.part, desk.write.number(part.qty), part.stage or NOTHING, _part_words(desk, part), figure, desk.source(part.at))


def _part_words(desk: OfficeDesk, part: Part) -> str:
    if part.arrived is not None:
        return f"here since {desk.write.date(part.arrived)}"
    if part.ordered is not None:
        return f"ordered, expected {desk.write.date(part.eta)}" if part.eta else f"ordered {desk.write.date(part.ordered)}"
    if part.paid is not None:
        return f"paid {desk.write.date(part.paid)}, not here yet"
    return "planned" if part.how == "bought" else f"{part.how}, not here yet"


def _elsewhere(desk: OfficeDesk) -> defaultdict[str, Elsewhere]:
    """What the plan and the show have of each build, each looked through once."""
    found: defaultdict[str, Elsewhere] = defaultdict(Elsewhere)
    for whole in desk.plan.wholes:
        found[whole.build].whole = whole
    for forecast in desk.plan.forecast:
        found[forecast.build].forecast.append(forecast)
    for income in desk.show.air_income:
        found[income.build].income = income
    for shot in desk.show.shots:
        found[shot.build].shots.append(shot)
    for episode in desk.shop.episodes:
        aired = has_aired(episode, desk.today)
        for segment in episode.sheet.segments:
            if (build := desk.shop.find(segment.build)) is not None:
                words = f"{segment.what}: {segment.stage}" if segment.stage else segment.what
                found[build].aired.append(AirRow(desk.write.date(episode.date), episode.sheet.title, words, desk.write.number(segment.minutes), aired))
    return found


def views_of(desk: OfficeDesk, costs: Mapping[str, JobCosts]) -> Iterator[BuildView]:
    """The page of every build, by what the books say of each."""
    told = _elsewhere(desk)
    for build in desk.shop.builds:
        yield _view(replace(desk, within=f"builds/{build.id}/"), build, costs[build.id], told[build.id])
