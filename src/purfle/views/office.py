"""The office: every private page as a value, made from what the books and the plans say.

Invariant: reads no note and works out no figure; it only gathers, orders and words.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from purfle import books as keeping
from purfle.base.trouble import Trouble
from purfle.books.quote import quote
from purfle.notes.model import Build
from purfle.sheets import expected_shipping
from purfle.views.office_build import BuildView, views_of
from purfle.views.office_builds import BuildGroup, JobCosts, groups_of
from purfle.views.office_calendar import CalendarEntry, calendar_of
from purfle.views.office_decisions import Decisions, decisions_of
from purfle.views.office_desk import Phases, desk_of
from purfle.views.office_honesty import HonestyView, honesty_of
from purfle.views.office_money import Money, money_of
from purfle.views.office_partners import PartnerPaper, partner_papers_of
from purfle.views.office_plan import PlanView, plan_view_of
from purfle.views.office_sheets import MindRow, SheetsView, mind_of, sheets_views_of
from purfle.views.office_show import ShowView, show_view_of
from purfle.views.office_stock import StockView, stock_view_of
from purfle.views.office_troubles import Held, TroublesView, troubles_of
from purfle.views.office_week import Week, week_of

_PRICED = ("resale", "batch")
"""Kinds of build that the shop sets a price for."""


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
    partners: tuple[PartnerPaper, ...]
    """What each partner can be handed."""
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
    desk = desk_of(found, lines)
    years = [keeping.year_of(found.books, year) for year in sorted(keeping.years(found.books), reverse=True)]
    costs = {build.id: _job_costs(found, build) for build in found.shop.builds}
    week, worked_out = week_of(desk), sheets_views_of(desk, found.sheets)
    return Office(
        shop=found.shop.settings.name,
        today=found.today,
        made=desk.write.full(found.today),
        week=week,
        mind=mind_of(week, worked_out),
        money=tuple(money_of(desk, year, n == 0) for n, year in enumerate(years)),
        partners=partner_papers_of(desk),
        groups=groups_of(desk, costs),
        builds=tuple(views_of(desk, costs)),
        stock=stock_view_of(desk, years),
        plan=plan_view_of(desk),
        show=show_view_of(desk),
        troubles=troubles_of(troubles, lines, held, desk.write),
        calendar=calendar_of(desk),
        honesty=honesty_of(desk, found.past),
        decisions=decisions_of(desk),
        sheets=worked_out,
    )


def _job_costs(found: Phases, build: Build) -> JobCosts:
    """What the books say of a build, with a quote while the shop still has it to sell."""
    books, known = found.books, found.progress[build.id]
    open_ = known.closed_on is None and build.sheet.kind in _PRICED
    asked = quote(found.shop, books, known, build, shipping=expected_shipping(found.shop, build)) if open_ else None
    return JobCosts(keeping.sheet_of(books, build.id), asked, keeping.customer_of(books, build.id), keeping.piece_of(books, build.id))
