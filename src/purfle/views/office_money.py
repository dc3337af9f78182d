"""The money pages: what a year came to; every line behind it is in `office_ledger`.

Invariant: makes no figure of its own; what is added up here are the books' own lines, to be seen agreeing with their figures.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from purfle.base.names import folded
from purfle.books.figures import BuildRow, Year
from purfle.books.kinds import SELLING, SHARE
from purfle.books.statement import Stated, balances_of, statement_of
from purfle.books.taxforms import form_title
from purfle.views.office_decisions import BreakEvenView, break_even_view
from purfle.views.office_desk import Figure, Link, OfficeDesk, anchor_of
from purfle.views.office_ledger import Ledger, account_id, ledger_of
from purfle.views.office_money_plots import cash_by_month, margins, tied_up
from purfle.views.plots import Plot


@dataclass(frozen=True, slots=True)
class StatementLine:
    """A line of the year's statement."""

    words: str
    figure: Figure
    kind: str = "line"
    """line, part (of the line above), sum or result."""
    form_line: str = ""
    """The line of the owner's own tax form."""


@dataclass(frozen=True, slots=True)
class YearBuild:
    """One build's amounts of the year."""

    link: Link
    state: str
    revenue: Figure
    cost: Figure
    fees: Figure
    share: Figure
    profit: Figure
    margin: str
    markup: str
    hours: str
    per_hour: Figure
    days: str
    carried: Figure


@dataclass(frozen=True, slots=True)
class CollectionLine:
    """A piece of the owner's own collection that was sold, scrapped or lost."""

    link: Link
    basis: Figure
    proceeds: Figure
    gain: Figure
    counted: Figure


@dataclass(frozen=True, slots=True)
class Money:
    """One business year."""

    year: int
    page: str
    ledger_page: str
    days: str
    running: bool
    """The year is not over on the day of the figures."""
    currency: str
    tax_form: str
    """What the tax form is called whose lines stand beside the figures; empty without one."""
    closed: bool
    """Handed in; a later change in it is a trouble."""
    statement: tuple[StatementLine, ...]
    goods: tuple[StatementLine, ...]
    """Cost of goods sold, laid out."""
    balances: tuple[StatementLine, ...]
    checks: tuple[StatementLine, ...]
    """Pairs of sums that must agree, reached in two ways."""
    whole: tuple[StatementLine, ...]
    """Every amount of all years so far in the one place where it ended; it sums to nothing."""
    tied_up: Plot
    tied_up_total: Figure
    cash: Plot
    cash_in: Figure
    cash_out: Figure
    margins: Plot
    builds: tuple[YearBuild, ...]
    collection: tuple[CollectionLine, ...]
    driven: str
    mileage: Figure | None
    hours: str
    per_hour: Figure
    estimated: bool
    ledger: Ledger
    break_even: BreakEvenView | None
    """None for a year without a sale."""


def money_of(desk: OfficeDesk, year: Year, newest: bool) -> Money:
    """The pages of one year; the newest is `money.html`."""
    page = "money.html" if newest else f"money-{year.year}.html"
    ledger_page = f"ledger-{year.year}.html"
    rows = {**statement_of(year), **balances_of(year)}
    held = rows["closing inventory"]
    return Money(
        year=year.year,
        page=page,
        ledger_page=ledger_page,
        days=desk.write.dates(year.first, year.last),
        running=year.last == desk.today,
        currency=year.currency,
        tax_form=form_title(desk.shop.settings),
        closed=year.year in desk.shop.settings.closed,
        statement=_statement(desk, year, rows, ledger_page),
        goods=_goods(desk, year, rows, ledger_page),
        balances=tuple(_balances(desk, year, rows, ledger_page)),
        checks=_checks(desk, year),
        whole=_whole(desk, year),
        tied_up=tied_up(desk, rows, ledger_page),
        tied_up_total=desk.money(held.amount, held.estimated),
        cash=cash_by_month(desk, year.cash.months),
        cash_in=_moved(desk, year, year.cash.cash_in, "cash in", ledger_page),
        cash_out=_moved(desk, year, year.cash.cash_out, "cash out", ledger_page),
        margins=margins(desk, year.builds),
        builds=tuple(_build(desk, row) for row in year.builds),
        collection=tuple(
            CollectionLine(
                desk.build(c.id),
                desk.money(c.basis),
                desk.money(c.proceeds, c.estimated),
                desk.money(c.gain, c.estimated),
                desk.money(c.gain_counted, c.estimated),
            )
            for c in year.collection
        ),
        driven=_driven(desk, year),
        mileage=desk.money(year.mileage) if year.trips else None,
        hours=desk.write.hours(year.hours),
        per_hour=desk.money(year.profit_per_hour),
        estimated=year.estimated,
        ledger=ledger_of(desk, year.lines),
        break_even=break_even_view(desk, year),
    )


def _driven(desk: OfficeDesk, year: Year) -> str:
    """How far, in the units of the rates it counted at; empty where nobody drove."""
    units = sorted({trip.unit for trip in year.trips})
    sums = (sum((trip.distance for trip in year.trips if trip.unit == unit), Decimal(0)) for unit in units)
    return " and ".join(f"{desk.write.number(sum_)}\u00a0{unit}" for sum_, unit in zip(sums, units, strict=True))


def _moved(desk: OfficeDesk, year: Year, amount: Decimal, name: str, ledger: str) -> Figure:
    return desk.money(amount, name in year.estimates, f"{ledger}#cash" if amount else None)


def _statement(desk: OfficeDesk, year: Year, rows: Mapping[str, Stated], ledger: str) -> tuple[StatementLine, ...]:
    def line(words: str, name: str) -> StatementLine:
        return _line(desk, words, rows[name], _booked(rows[name], ledger, name))

    def expense(kind: str) -> StatementLine:
        return _line(desk, kind, rows[f"expense: {kind}"], f"{ledger}#{account_id('expenses', kind)}", "part")

    return (
        line("Sales", "sales"),
        line("less returns", "returns"),
        replace(line("less cost of goods sold", "cost of goods sold"), form_line=""),  # it stands where they are laid out
        _line(desk, "Gross profit", rows["gross profit"], None, "sum"),
        *(expense(e.kind) for e in year.expenses),
        line("less expenses", "expenses"),
        line("Show income", "show income"),
        line("Other income", "other income"),
        _line(desk, "Net profit", rows["net profit"], None, "result"),
    )


def _line(desk: OfficeDesk, words: str, row: Stated, link: str | None, kind: str = "line") -> StatementLine:
    return StatementLine(words, desk.money(row.amount, row.estimated, link), kind, row.form_line)


def _booked(row: Stated, ledger: str, book: str) -> str | None:
    """Where the lines of a figure stand, if it has any."""
    return f"{ledger}#{anchor_of(book)}" if row.amount else None


_GOODS = {
    "opening inventory": "Opening inventory",
    "purchases": "Purchases, landed",
    "materials": "Materials and supplies",
    "outside work": "Outside work",
    "other costs": "Other costs",
    "closing inventory": "less closing inventory",
}


def _goods(desk: OfficeDesk, year: Year, rows: Mapping[str, Stated], ledger: str) -> tuple[StatementLine, ...]:
    moved = any(line.book == "inventory" for line in year.lines)
    total, lost = rows["cost of goods sold"], rows["of which lost"]
    return (
        *(_line(desk, words, rows[name], _booked(rows[name], ledger, "inventory") if moved else None) for name, words in _GOODS.items()),
        _line(desk, "Cost of goods sold", total, _booked(total, ledger, "cost of goods sold"), "result"),
        _line(desk, "of which lost: scrapped, written off or short", lost, _booked(lost, ledger, "cost of goods sold"), "part"),
    )


_BALANCES = {
    "deposits held": ("Deposits held for customers", "customers"),
    "owed by customers": ("Owed by customers and channels", "customers"),
    "payables": ("Here but not yet paid", "payables"),
    "sales tax collected": ("Sales tax collected in the year", "sales tax"),
    "sales tax remitted": ("Sales tax remitted", "sales tax"),
    "sales tax owed": ("Sales tax owed", "sales tax"),
    "reclaimable tax": ("Reclaimable tax", "reclaimable tax"),
    "partner shares owed": ("Shares owed to partners", "partner shares"),
    "withdrawn": ("Taken out for yourself, at cost", "private"),
}
"""Words and book of each."""


def _balances(desk: OfficeDesk, year: Year, rows: Mapping[str, Stated], ledger: str) -> Iterator[StatementLine]:
    told = {line.book for line in year.lines}  # a balance may come from an earlier year alone; it then has no line in this one
    for name, (words, book) in _BALANCES.items():
        owing = "channels" if name == "owed by customers" and book not in told else book
        yield _line(desk, words, rows[name], _booked(rows[name], ledger, owing) if owing in told else None)
        if name == "partner shares owed":
            yield from (_line(desk, partner.words, rows[f"partner shares owed: {partner.words}"], None, "part") for partner in year.partners)


def _checks(desk: OfficeDesk, year: Year) -> tuple[StatementLine, ...]:
    goods = year.cost_of_goods_sold
    added = goods.purchases + goods.materials + goods.outside_work + goods.other_costs
    selling = (*SELLING, SHARE)

    def unborne(*books: str) -> Decimal:
        found = [line for line in year.lines if line.build is None and line.book in books]
        return sum((line.amount for line in found if line.book != "expenses" or folded(line.account) in selling), Decimal(0))

    other = unborne("sales") - unborne("returns") - unborne("cost of goods sold") - unborne("expenses")
    spent = sum((e.amount for e in year.expenses if folded(e.kind) in selling), Decimal(0))
    return (
        StatementLine("Opening inventory and all additions, less closing inventory", desk.money(goods.opening_inventory + added - goods.closing_inventory)),
        StatementLine("Cost of goods sold, sale by sale", desk.money(goods.total), "sum"),
        StatementLine("Profit of every build, and of what belongs to no build", desk.money(sum((b.profit for b in year.builds), Decimal(0)) + other)),
        StatementLine("Gross profit less selling expenses and shares", desk.money(year.gross_profit - spent), "sum"),
    )


def _whole(desk: OfficeDesk, year: Year) -> tuple[StatementLine, ...]:
    lines = [StatementLine(line.what, desk.money(line.amount)) for line in year.balance]
    return (*lines, StatementLine("Total", desk.money(sum((line.amount for line in year.balance), Decimal(0))), "sum")) if lines else ()


def _build(desk: OfficeDesk, row: BuildRow) -> YearBuild:
    """A build's amounts, each marked where something in it is only worked out."""
    marked, guessed = row.estimated, {line.book for line in row.lines if line.estimated}
    return YearBuild(
        link=desk.build(row.id),
        state=row.state,
        revenue=desk.money(row.revenue - row.returns),
        cost=desk.money(row.cost, "inventory" in guessed),
        fees=desk.money(row.fees, "expenses" in guessed),
        share=desk.money(row.share, marked),
        profit=desk.money(row.profit, marked),
        margin=desk.write.percent(row.margin, 1),
        markup=desk.write.percent(row.markup, 1),
        hours=desk.write.hours(row.hours),
        per_hour=desk.money(row.profit_per_hour, marked),
        days=desk.write.number(None if row.days_held is None else Decimal(row.days_held)),
        carried=desk.money(row.carried, "inventory" in guessed),
    )
