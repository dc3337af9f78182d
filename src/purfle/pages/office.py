"""The office's pages, rendered from its views.

Invariant: chooses names of pages and templates; words, figures and links come from the view.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from purfle.base.trouble import Trouble
from purfle.pages.attributes import fault_of_page
from purfle.pages.calendar import calendar_file
from purfle.pages.templates import TemplateFault, Templates
from purfle.views.amounts import NO_CURRENCY, Writer
from purfle.views.office import Office
from purfle.views.office_troubles import Held, TroublesView, troubles_of
from purfle.views.words import stop, tight


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands round every page."""

    shop: str
    made: str
    """The day of the figures; empty on a page of troubles made alone."""
    here: str
    """The page's place in the list of pages: week, builds, plan, show, money, stock or troubles."""
    root: str
    """The way back to the first page, `` or `../`."""
    troubles: int
    holding: int
    alone: bool = False
    """Whether there is no other page yet to lead to: the books are held and never were good."""


def office_templates(files: Mapping[str, bytes], locale: str) -> Templates:
    """The office's templates, which write percentages as the shop's locale does."""
    return Templates("office", files, _filters(locale))


@cache
def _filters(locale: str) -> Mapping[str, Callable[..., str]]:
    """Kept, so that each compile has the same functions and with them the compiled templates."""
    writer = Writer(locale, NO_CURRENCY)

    def percent(number: int) -> str:
        """A whole percentage."""
        return writer.percent(Decimal(number) / 100)

    return {"percent": percent, "stop": stop, "tight": tight}


def pages_of(view: Office, templates: Templates) -> dict[str, bytes]:
    """Every file of the office by its path under out/office. Raises `TemplateFault` for a template that can't be used."""
    pages = dict(_pages(view, templates))
    pages["calendar.ics"] = calendar_file(view.calendar, view.shop, view.today)
    pages.update(templates.assets())
    return pages


def _pages(view: Office, templates: Templates) -> Iterator[tuple[str, bytes]]:
    def page(name: str, here: str, root: str = "", **values: object) -> bytes:
        frame = Frame(view.shop, view.made, here, root, view.troubles.total, view.troubles.holding)
        return _page(templates, name, frame=frame, **values)

    yield "index.html", page("week.html", "week", week=view.week, stock=view.stock, mind=view.mind)
    yield "plan.html", page("plan.html", "plan", plan=view.plan)
    yield "honesty.html", page("honesty.html", "plan", honesty=view.honesty)
    yield "show.html", page("show.html", "show", show=view.show)
    yield "promises.html", page("promises.html", "show", promises=view.show.all_promises)
    yield "shots.html", page("shots.html", "show", show=view.show)
    for sheet in view.show.run_sheets:
        yield sheet.page, page("run.html", "show", sheet=sheet)
    yield "stock.html", page("stock.html", "stock", stock=view.stock)
    yield "builds.html", page("builds.html", "builds", groups=view.groups, decisions=view.decisions)
    sheets = {found.build.href: found for found in view.sheets}
    for build in view.builds:
        yield build.page, page("build.html", "builds", "../", build=build, sheets=sheets.get(build.page))
        if build.account:
            yield build.account.page, page("account.html", "builds", "../", paper=build.account, back=build.page)
    for found in view.sheets:
        yield found.page, page("sheets.html", "builds", "../", sheets=found)
        if found.template:
            yield found.template.page, page("sheets-frets.html", "builds", "../", sheets=found, template=found.template)
    for money in view.money:
        yield money.page, page("money.html", "money", money=money, years=view.money, partners=view.partners)
        yield money.ledger_page, page("ledger.html", "money", money=money)
    for paper in view.partners:
        yield paper.page.href, page("partner.html", "money", paper=paper)
    if not view.money:
        yield "money.html", page("money-none.html", "money")
    yield "troubles.html", page("troubles.html", "troubles", view=view.troubles)


def _page(templates: Templates, name: str, **values: object) -> bytes:
    """One page, once nothing is asked for in it, reached or not, that what it is handed does not have."""
    if fault := fault_of_page(templates.site, name, templates.files, values):
        raise TemplateFault(fault)
    return templates.page(name, **values)


def troubles_page(troubles: Iterable[Trouble], lines: Mapping[str, Sequence[str]], held_since: Held, templates: Templates, shop: str, locale: str) -> bytes:
    """The page of troubles alone, for when the books are held and no other page may be renewed; `shop` is the shop's name, which may be empty."""
    view: TroublesView = troubles_of(troubles, lines, held_since, Writer(locale, NO_CURRENCY))
    frame = Frame(shop or "The office", "", "troubles", "", view.total, view.holding, alone=held_since.books is None)
    return _page(templates, "troubles.html", frame=frame, view=view)
