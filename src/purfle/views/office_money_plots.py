"""The drawings of the money page: what is tied up, cash by month, margins side by side.

Invariant: adds nothing up; a bar is a figure of the year.
"""

from collections.abc import Iterable
from decimal import Decimal
from itertools import dropwhile

from purfle.books.figures import BuildRow, CashMonth, Year
from purfle.views.office_desk import OfficeDesk
from purfle.views.plots import BarRow, Plot, bars


def tied_up(desk: OfficeDesk, year: Year, ledger: str) -> Plot:
    """What lies in goods on the last day; `ledger` is the year's ledger page."""
    held = year.inventory
    rows = [
        ("Finished instruments", "instruments", held.instruments, "a", "builds.html"),
        ("Unfinished work", "work in progress", held.work_in_progress, "b", "builds.html"),
        ("Stock on the shelf", "stock", held.stock, "a", "stock.html"),
        ("Paid, on the way", "on the way", held.on_the_way, "c", f"{ledger}#inventory" if held.on_the_way else ""),
    ]
    return bars(
        "tied-up",
        "What is tied up",
        year.currency,
        [
            BarRow(f"{label}, estimate" if f"inventory: {name}" in year.estimates else label, ((value, desk.write.plain(value), mark),), href)
            for label, name, value, mark, href in rows
        ],
        ("where", year.currency),
        desk.write.number,
        says="Money tied up in goods on the last day, by where it is.",
    )


def cash_by_month(desk: OfficeDesk, months: Iterable[CashMonth]) -> Plot:
    """Cash in and out, from the first month in which any moved."""
    told = tuple(months)
    moved = tuple(dropwhile(lambda m: not m.cash_in and not m.cash_out, told)) or told[-1:]
    rows = [BarRow(desk.write.month(m.month), ((m.cash_in, desk.write.plain(m.cash_in), "a"), (m.cash_out, desk.write.plain(m.cash_out), "b"))) for m in moved]
    currency = desk.write.currency
    return bars(
        "cash",
        "Cash by month",
        currency,
        rows,
        ("month", "in", "out"),
        desk.write.number,
        (("a", "in"), ("b", "out")),
        "Cash in and out in each month, counted on the day it moved.",
    )


def margins(desk: OfficeDesk, builds: Iterable[BuildRow]) -> Plot:
    """The builds with a margin, the highest first."""
    known = sorted((b for b in builds if b.margin is not None), key=lambda b: (-(b.margin or 0), b.id))
    rows = [BarRow(desk.build(b.id).words, ((100 * (b.margin or Decimal(0)), desk.write.percent(b.margin, 1), "a"),), desk.build(b.id).href) for b in known]
    return bars(
        "margins",
        "Margins side by side",
        "% of revenue after refunds",
        rows,
        ("build", "margin"),
        desk.write.number,
        says="Profit of each build sold in the year as a share of its revenue.",
    )
