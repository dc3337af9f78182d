"""The drawings of the money page: what is tied up, cash by month, margins side by side.

Invariant: adds nothing up; a bar is a figure of the year.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from itertools import dropwhile

from purfle.books.figures import BuildRow, CashMonth
from purfle.books.statement import Stated
from purfle.views.office_desk import OfficeDesk
from purfle.views.plots import BarRow, Plot, bars

_HELD = {
    "instruments": ("Finished instruments", "a", "builds.html"),
    "work in progress": ("Unfinished work", "b", "builds.html"),
    "stock": ("Stock on the shelf", "a", "stock.html"),
    "on the way": ("Paid, on the way", "c", ""),
}
"""Words, mark and page of each."""


def tied_up(desk: OfficeDesk, figures: Mapping[str, Stated], ledger: str) -> Plot:
    """What lies in goods on the last day; `ledger` is the year's ledger page."""
    rows = []
    for name, (label, mark, page) in _HELD.items():
        amount, _, estimated = figures[f"inventory: {name}"]
        href = page or (f"{ledger}#inventory" if amount else "")
        rows.append(BarRow(f"{label}, estimate" if estimated else label, ((amount, desk.write.plain(amount), mark),), href))
    says = "Money tied up in goods on the last day, by where it is."
    return bars("tied-up", "What is tied up", desk.write.currency, rows, ("where", desk.write.currency), desk.write.number, says=says)


def cash_by_month(desk: OfficeDesk, months: Iterable[CashMonth]) -> Plot:
    """Cash in and out, from the first month in which any moved."""
    told = tuple(months)
    moved = tuple(dropwhile(lambda m: not m.cash_in and not m.cash_out, told)) or told[-1:]
    rows = [BarRow(desk.write.month(m.month), ((m.cash_in, desk.write.plain(m.cash_in), "a"), (m.cash_out, desk.write.plain(m.cash_out), "b"))) for m in moved]
    says = "Cash in and out in each month, counted on the day it moved."
    return bars("cash", "Cash by month", desk.write.currency, rows, ("month", "in", "out"), desk.write.number, (("a", "in"), ("b", "out")), says)


def margins(desk: OfficeDesk, builds: Iterable[BuildRow]) -> Plot:
    """The builds with a margin, the highest first."""
    known = sorted((b for b in builds if b.margin is not None), key=lambda b: (-(b.margin or 0), b.id))
    rows = [BarRow(desk.build(b.id).words, ((100 * (b.margin or Decimal(0)), desk.write.percent(b.margin, 1), "a"),), desk.build(b.id).href) for b in known]
    says = "Profit of each build sold in the year as a share of its revenue."
    return bars("margins", "Margins side by side", "% of revenue after refunds", rows, ("build", "margin"), desk.write.number, says=says)
