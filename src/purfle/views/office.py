"""The office: every private page as a value, made from what the books and the plans say.

Invariant: reads no note and works out no figure; it only gathers, orders and words.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from purfle import books as keeping
from purfle.base.trouble import Trouble
from purfle.bench.model import Plan
from purfle.bench.score import Past
from purfle.books import Books
from purfle.books.quote import quote
from purfle.notes.model import Build, Shop
from purfle.progress.model import Progress
from purfle.sheets import Sheets, expected_shipping, sending_of
from purfle.show.model import ShowPlan
from purfle.views.office_build import BuildView, views_of
from purfle.views.office_builds import BuildGroup, Sheet, groups_of
from purfle.views.office_calendar import CalendarEntry, calendar_of
from purfle.views.office_decisions import Decisions, decisions_of
from purfle.views.office_desk import desk_of
from purfle.views.office_honesty import HonestyView, honesty_of
from purfle.views.office_money import Money, money_of
from purfle.views.office_plan import PlanView, plan_view_of
from purfle.views.office_sheets import MindRow, SheetsView, mind_of, sheets_views_of
from purfle.views.office_show import ShowView, show_view_of
from purfle.views.office_stock import StockView, stock_view_of
from purfle.views.office_troubles import Held, TroublesView, troubles_of
from purfle.views.office_week import Week, week_of

_PRICED = ("resale", "batch")
"""Kinds of build that the shop sets a price for."""


@dataclass(frozen=True, slots=True)
class Phases:
    """What the phases came to on one day: all that the office is made from but what is wrong and the lines it quotes."""

    shop: Shop
    today: date
    books: Books
    progress: Mapping[str, Progress]
    plan: Plan
    show: ShowPlan
    sheets: Mapping[str, Sheets]
    """By build."""
    past: Past
    """How the forecasts of the last recording days did."""


@dataclass(frozen=True, slots=True)
class Office:
    """All that the office shows."""

    shop: str
    """The shop's name."""
    today: date
    made: str
    """The day of the figures, as written."""
    week: Week
    mind: tuple[MindRow, ...]
    """Cautions of the week's work."""
    money: tuple[Money, ...]
    """By year, the newest first."""
    groups: tuple[BuildGroup, ...]
    builds: tuple[BuildView, ...]
    stock: StockView
    plan: PlanView
    show: ShowView
    troubles: TroublesView
    calendar: tuple[CalendarEntry, ...]
    honesty: HonestyView
    """How past forecasts did."""
    decisions: Decisions
    """What to take on next, and how the estimates did."""
    sheets: tuple[SheetsView, ...]
    """Of the builds that have any."""


def office_of(found: Phases, troubles: Iterable[Trouble], lines: Mapping[str, Sequence[str]], held: Held) -> Office:
    """The whole office: `lines` of each note, by file, stand beside the figures that come from them; `held` are the days of the last good states."""
    shop, today, books, progress, plan, show = found.shop, found.today, found.books, found.progress, found.plan, found.show
    desk = desk_of(shop, today, lines)
    years = [keeping.year_of(books, year) for year in sorted(keeping.years(books), reverse=True)]
    sheets = _sheets(shop, books, progress)
    week, worked_out = week_of(desk, progress, plan, show), sheets_views_of(desk, found.sheets, progress)
    return Office(
        shop=shop.settings.name,
        today=today,
        made=desk.write.full(today),
        week=week,
        mind=mind_of(week, worked_out),
        money=tuple(money_of(desk, year, n == 0) for n, year in enumerate(years)),
        groups=groups_of(desk, progress, sheets),
        builds=tuple(views_of(desk, progress, sheets, plan, show)),
        stock=stock_view_of(desk, years, plan.low),
        plan=plan_view_of(desk, progress, plan, show),
        show=show_view_of(desk, show),
        troubles=troubles_of(troubles, lines, held, desk.write),
        calendar=calendar_of(desk, progress, plan, show),
        honesty=honesty_of(desk, found.past),
        decisions=decisions_of(desk, books, progress, sending_of(shop)),
        sheets=worked_out,
    )


def _sheets(shop: Shop, books: Books, progress: Mapping[str, Progress]) -> dict[str, Sheet]:
    """Every build's job cost sheet."""
    return {build.id: _sheet(shop, books, progress[build.id], build) for build in shop.builds}


def _sheet(shop: Shop, books: Books, known: Progress, build: Build) -> Sheet:
    """A build's job cost sheet, with a quote while the shop still has it to sell."""
    open_ = known.closed_on is None and build.sheet.kind in _PRICED
    asked = quote(shop, books, known, build, shipping=expected_shipping(shop, build)) if open_ else None
    return Sheet(keeping.sheet_of(books, build.id), asked, keeping.customer_of(books, build.id), keeping.piece_of(books, build.id))
