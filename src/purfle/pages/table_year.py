"""The year as a statement for an accountant, and which of its figures each line of the notes counts in.

Column B holds amounts: every total is a formula over it, and every figure that notes are behind is the sum of its own lines.
Invariant: works nothing out beyond that.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.place import Place
from purfle.books.figures import Line, Year
from purfle.books.ledger import ADDITIONS, PURCHASES, WITHDRAWN, Book
from purfle.pages.table_cells import HOURS, NOT_ADVICE, Cell, Formula, Sum, Table, sources


def year_table(year: Year) -> Table:
    """The year's figures in order, then what stands beside them."""
    cost, form, first, notes = year.cost_of_goods_sold, dict(year.form_lines), 2, _by_figure(year.lines)
    lost = [line.source for line in year.lines if line.book == Book.COGS.value and line.account == "lost"]
    rows: list[tuple[Cell | Formula, ...]] = [
        ("sales", year.sales, form.get("sales")),
        ("returns", year.returns, form.get("returns")),
        ("opening inventory", cost.opening_inventory, form.get("opening_inventory"), "last year's closing inventory"),
        ("purchases", cost.purchases, form.get("purchases")),
        ("materials", cost.materials, form.get("materials")),
        ("outside work", cost.outside_work, form.get("outside_work")),
        ("other costs", cost.other_costs, form.get("other_costs")),
        (_CLOSING, cost.closing_inventory, form.get("closing_inventory"), "the four lines of inventory below"),
        ("cost of goods sold", Sum("=SUM(B4:B8)-B9", cost.total), form.get("cost_of_goods_sold")),
        ("of which lost", cost.of_which_lost, None, sources(lost)),
        ("gross profit", Sum("=B2-B3-B10", year.gross_profit), form.get("gross_profit")),
    ]
    start = len(rows) + first
    rows += [(f"expense: {e.kind}", e.amount, e.form_line) for e in year.expenses]
    spent = sum((e.amount for e in year.expenses), Decimal(0))
    total = f"=SUM(B{start}:B{len(rows) + first - 1})" if year.expenses else "=0"
    rows += [
        ("expenses", Sum(total, spent), None),
        ("show income", year.show_income, form.get("show_income")),
        ("other income", year.other_income, form.get("other_income")),
    ]
    last = len(rows) + first - 1
    rows.append(("net profit", Sum(f"=B12-B{last - 2}+B{last - 1}+B{last}", year.net_profit), form.get("net_profit"), NOT_ADVICE))
    rows += _beside(year)
    shown = (_of_year(n, row, notes, len(rows) + first - 1) for n, row in enumerate(rows, first))
    marked = ((*row, "estimated" if row[0] in year.estimates else "") for row in shown)
    return Table(("figure", f"amount in {year.currency}", "tax form line", "source", "estimated"), tuple(marked))


_CLOSING = "closing inventory"


def _of_year(number: int, row: tuple[Cell | Formula, ...], notes: "Notes", last: int) -> tuple[Cell | Formula, ...]:
    """A row of the year with the notes behind it: its amount as a formula where others make it up, in this table or in that of the lines."""
    name, amount, line, *said = row
    source = said[0] if said else sources(notes.places.get(str(name), ()))
    if name == _CLOSING and isinstance(amount, Decimal):
        amount = Formula(f"=SUM(B{last - 3}:B{last})", amount)
    elif name in notes.places and isinstance(amount, Decimal) and not _WILD.search(str(name)):
        amount = Formula(f"=SUMIF(lines!$G$2:$G${notes.last},A{number},lines!$F$2:$F${notes.last})", amount)
    return name, amount, line, source


_WILD = re.compile(r"[*?~]")
"""What SUMIF takes for a pattern; a figure so named is written as a number."""


def _beside(year: Year) -> list[tuple[Cell | Formula, ...]]:
    tax, held = year.sales_tax, year.inventory
    figures: Mapping[str, Decimal] = {
        HOURS: year.hours,
        "deposits held": year.deposits_held,
        "owed by customers": year.owed_by_customers,
        "payables": year.payables,
        "sales tax collected": tax.collected,
        "sales tax remitted": tax.remitted,
        "sales tax owed": tax.owed,
        "reclaimable tax": year.tax_reclaimable,
        "partner shares owed": year.partner_shares_owed,
        **{f"partner shares owed: {partner.words}": partner.owed for partner in year.partners},
        "withdrawn": year.withdrawn,
        "inventory: instruments": held.instruments,
        "inventory: work in progress": held.work_in_progress,
        "inventory: stock": held.stock,
        "inventory: on the way": held.on_the_way,
    }
    return [(name, value, None) for name, value in figures.items()]


@dataclass(frozen=True, slots=True)
class Notes:
    """The notes behind the figures of a year."""

    places: Mapping[str, Sequence[Place]]
    """By figure, as its row is named."""
    last: int
    """The last row of the table of lines."""


def _by_figure(lines: Sequence[Line]) -> Notes:
    found: dict[str, list[Place]] = {}
    for line in lines:
        if figure := figure_of(line):
            found.setdefault(figure, []).append(line.source)
    return Notes(found, len(lines) + 1)


_ITSELF = frozenset(book.value for book in (Book.SALES, Book.RETURNS, Book.COGS, Book.SHOW_INCOME, Book.OTHER_INCOME))
"""Books that are a row of the year by their own name."""


def figure_of(line: Line) -> str:
    """The row of the year's table in which a line counts; nothing for what only moves, or is a balance."""
    if line.book == Book.INVENTORY.value:
        return PURCHASES if line.flow == WITHDRAWN else line.flow if line.flow in ADDITIONS else ""
    if line.book == Book.EXPENSES.value:
        return f"expense: {line.account}"
    return line.book if line.book in _ITSELF else ""
