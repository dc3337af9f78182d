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
from purfle.books.statement import Stated, balances_of, statement_of
from purfle.pages.table_cells import HOURS, NOT_ADVICE, Cell, Formula, Sum, Table, sources


def year_table(year: Year) -> Table:
    """The year's figures in order, then what stands beside them."""
    stated, notes = statement_of(year), _by_figure(year.lines)
    totals, said = _totals(stated), _said(year)
    rows: list[tuple[Cell | Formula, ...]] = [
        (name, Sum(totals[name], one.amount) if name in totals else one.amount, one.form_line or None, *said.get(name, ())) for name, one in stated.items()
    ]
    rows += [(HOURS, year.hours, None), *((name, one.amount, None) for name, one in balances_of(year).items())]
    shown = (_of_year(n, row, notes, len(rows) + _FIRST - 1) for n, row in enumerate(rows, _FIRST))
    marked = ((*row, "estimated" if row[0] in year.estimates else "") for row in shown)
    return Table(("figure", f"amount in {year.currency}", "tax form line", "source", "estimated"), tuple(marked))


_FIRST = 2
"""The row of the first figure, below the heads."""


def _totals(stated: Mapping[str, Stated]) -> dict[str, str]:
    """The figures that are worked out from those above them, each with its formula."""
    at = {name: f"B{number}" for number, name in enumerate(stated, _FIRST)}
    expenses = [at[name] for name in stated if name.startswith("expense: ")]
    return {
        "cost of goods sold": f"=SUM({at['opening inventory']}:{at['other costs']})-{at[_CLOSING]}",
        "gross profit": f"={at['sales']}-{at['returns']}-{at['cost of goods sold']}",
        "expenses": f"=SUM({expenses[0]}:{expenses[-1]})" if expenses else "=0",
        "net profit": f"={at['gross profit']}-{at['expenses']}+{at['show income']}+{at['other income']}",
    }


def _said(year: Year) -> dict[str, tuple[str]]:
    """What stands as the source of figures that are not the sum of lines of their own."""
    lost = [line.source for line in year.lines if line.book == Book.COGS.value and line.account == "lost"]
    return {
        "opening inventory": ("last year's closing inventory",),
        _CLOSING: ("the four lines of inventory below",),
        "of which lost": (sources(lost),),
        "net profit": (NOT_ADVICE,),
    }


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
