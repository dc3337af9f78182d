"""The year as a statement for an accountant, and which of its figures each line of the notes counts in.

Column B holds amounts: every total is a formula over it, and every figure that notes are behind is the sum of its own lines.
Invariant: works nothing out beyond that.
"""

import re
from collections.abc import Mapping, Sequence

from purfle.base.groups import grouped
from purfle.base.place import Place
from purfle.books.figures import Line, Year
from purfle.books.ledger import ADDITIONS, PURCHASES, WITHDRAWN, Book
from purfle.books.statement import Stated, balances_of, statement_of
from purfle.pages.table_cells import HOURS, NOT_ADVICE, Formula, Sum, Table, sources


def year_table(year: Year) -> Table:
    """The year's figures in order, then what stands beside them."""
    figures = {**statement_of(year), HOURS: Stated(year.hours, "", estimated=False), **balances_of(year)}
    notes = {figure: [line.source for line in lines] for figure, lines in grouped(year.lines, figure_of).items()}
    said = _said(year)
    formulas = _formulas(figures, notes, len(year.lines) + 1)
    rows = (
        (name, formulas.get(name, one.amount), one.form_line or None, said.get(name) or sources(notes.get(name, ())), "estimated" if one.estimated else "")
        for name, one in figures.items()
    )
    return Table(("figure", f"amount in {year.currency}", "tax form line", "source", "estimated"), tuple(rows))


_FIRST = 2
"""The row of the first figure, below the heads."""


def _formulas(figures: Mapping[str, Stated], notes: Mapping[str, Sequence[Place]], last: int) -> dict[str, Formula]:
    """What is worked out from others: from figures of this table, or from the lines behind a figure, down to the `last` row of theirs."""
    at = {name: f"B{number}" for number, name in enumerate(figures, _FIRST)}
    expenses = [at[name] for name in figures if name.startswith("expense: ")]
    totals = {
        "cost of goods sold": f"=SUM({at['opening inventory']}:{at['other costs']})-{at[_CLOSING]}",
        "gross profit": f"={at['sales']}-{at['returns']}-{at['cost of goods sold']}",
        "expenses": f"=SUM({expenses[0]}:{expenses[-1]})" if expenses else "=0",
        "net profit": f"={at['gross profit']}-{at['expenses']}+{at['show income']}+{at['other income']}",
    }
    of_lines = {name: f"=SUMIF(lines!$G$2:$G${last},A{at[name][1:]},lines!$F$2:$F${last})" for name in notes if name in at and not _WILD.search(name)}
    others = {**of_lines, _CLOSING: f"=SUM({at['inventory: instruments']}:{at['inventory: on the way']})"}
    return {
        **{name: Formula(formula, figures[name].amount) for name, formula in others.items()},
        **{name: Sum(formula, figures[name].amount) for name, formula in totals.items()},
    }


_CLOSING = "closing inventory"
_WILD = re.compile(r"[*?~]")
"""What SUMIF takes for a pattern; a figure so named is written as a number."""


def _said(year: Year) -> dict[str, str]:
    """What stands as the source of figures that are not the sum of lines of their own."""
    lost = [line.source for line in year.lines if line.book == Book.COGS.value and line.account == "lost"]
    return {
        "opening inventory": "last year's closing inventory",
        _CLOSING: "the four lines of inventory below",
        "of which lost": sources(lost),
        "net profit": NOT_ADVICE,
    }


_ITSELF = frozenset(book.value for book in (Book.SALES, Book.RETURNS, Book.COGS, Book.SHOW_INCOME, Book.OTHER_INCOME))
"""Books that are a row of the year by their own name."""


def figure_of(line: Line) -> str:
    """The row of the year's table in which a line counts; nothing for what only moves, or is a balance."""
    if line.book == Book.INVENTORY.value:
        return PURCHASES if line.flow == WITHDRAWN else line.flow if line.flow in ADDITIONS else ""
    if line.book == Book.EXPENSES.value:
        return f"expense: {line.account}"
    return line.book if line.book in _ITSELF else ""
