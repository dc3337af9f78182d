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
    def page(path: str, name: str, here: str, root: str = "", **values: object) -> tuple[str, bytes]:
        frame = Frame(view.shop, view.made, here, root, view.troubles.total, view.troubles.holding)
        return path, _page(templates, name, path, frame=frame, **values)

    yield page("index.html", "week.html", "week", week=view.week, stock=view.stock, mind=view.mind)
    yield page("plan.html", "plan.html", "plan", plan=view.plan)
    yield page("honesty.html", "honesty.html", "plan", honesty=view.honesty)
    yield page("show.html", "show.html", "show", show=view.show)
    yield page("promises.html", "promises.html", "show", promises=view.show.all_promises)
    yield page("shots.html", "shots.html", "show", show=view.show)
    for sheet in view.show.run_sheets:
        yield page(sheet.page, "run.html", "show", sheet=sheet)
    yield page("stock.html", "stock.html", "stock", stock=view.stock)
    yield page("builds.html", "builds.html", "builds", groups=view.groups, decisions=view.decisions)
    sheets = {found.build.href: found for found in view.sheets}
    for build in view.builds:
        yield page(build.page, "build.html", "builds", "../", build=build, sheets=sheets.get(build.page))
        if build.account:
            yield page(build.account.page, "account.html", "builds", "../", paper=build.account, back=build.page)
    for found in view.sheets:
        yield page(found.page, "sheets.html", "builds", "../", sheets=found)
        if found.template:
            yield page(found.template.page, "sheets-frets.html", "builds", "../", sheets=found, template=found.template)
    for money in view.money:
        yield page(money.page, "money.html", "money", money=money, years=view.money, partners=view.partners)
        yield page(money.ledger_page, "ledger.html", "money", money=money)
    for paper in view.partners:
        yield page(paper.page.href, "partner.html", "money", paper=paper)
    if not view.money:
        yield page("money.html", "money-none.html", "money")
    yield page("troubles.html", "troubles.html", "troubles", view=view.troubles)


def _page(templates: Templates, name: str, at: str, **values: object) -> bytes:
    """One page, once nothing is asked for in it, reached or not, that what it is handed does not have."""
    if fault := fault_of_page(templates.site, name, templates.files, values):
        raise TemplateFault(fault)
    return templates.page(name, at, **values)


def troubles_page(troubles: Iterable[Trouble], lines: Mapping[str, Sequence[str]], held_since: Held, templates: Templates, shop: str, locale: str) -> bytes:
    """The page of troubles alone, for when the books are held and no other page may be renewed; `shop` is the shop's name, which may be empty."""
    view: TroublesView = troubles_of(troubles, lines, held_since, Writer(locale, NO_CURRENCY))
    frame = Frame(shop or "The office", "", "troubles", "", view.total, view.holding, alone=held_since.books is None)
    return _page(templates, "troubles.html", "alone", frame=frame, view=view)
