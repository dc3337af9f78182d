"""A year's figures by name and in order, each with the line of the tax form and whether something in it is an estimate: one table for all that show them.

Invariant: works nothing out but the sum of the expenses.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import NamedTuple

from purfle.books.figures import Year


class Stated(NamedTuple):
    """One figure of a year."""

    amount: Decimal
    form_line: str
    """The line of the owner's tax form; empty without one."""
    estimated: bool


def statement_of(year: Year) -> dict[str, Stated]:
    """From sales to net profit; an expense as `expense: post`."""
    goods = year.cost_of_goods_sold
    return _stated(
        year,
        (
            ("sales", year.sales),
            ("returns", year.returns),
            ("opening inventory", goods.opening_inventory),
            ("purchases", goods.purchases),
            ("materials", goods.materials),
            ("outside work", goods.outside_work),
            ("other costs", goods.other_costs),
            ("closing inventory", goods.closing_inventory),
            ("cost of goods sold", goods.total),
            ("of which lost", goods.of_which_lost),
            ("gross profit", year.gross_profit),
            *((f"expense: {e.kind}", e.amount) for e in year.expenses),
            ("expenses", sum((e.amount for e in year.expenses), Decimal(0))),
            ("show income", year.show_income),
            ("other income", year.other_income),
            ("net profit", year.net_profit),
        ),
    )


def balances_of(year: Year) -> dict[str, Stated]:
    """What is held and owed on the last day, and was taken out; one partner's part as `partner shares owed: to …`."""
    tax, held = year.sales_tax, year.inventory
    return _stated(
        year,
        (
            ("deposits held", year.deposits_held),
            ("owed by customers", year.owed_by_customers),
            ("payables", year.payables),
            ("sales tax collected", tax.collected),
            ("sales tax remitted", tax.remitted),
            ("sales tax owed", tax.owed),
            ("reclaimable tax", year.tax_reclaimable),
            ("partner shares owed", year.partner_shares_owed),
            *((f"partner shares owed: {partner.words}", partner.owed) for partner in year.partners),
            ("withdrawn", year.withdrawn),
            ("inventory: instruments", held.instruments),
            ("inventory: work in progress", held.work_in_progress),
            ("inventory: stock", held.stock),
            ("inventory: on the way", held.on_the_way),
        ),
    )


def _stated(year: Year, figures: Iterable[tuple[str, Decimal]]) -> dict[str, Stated]:
    lines = dict(_form_lines(year))
    return {name: Stated(amount, lines.get(name) or "", name in year.estimates) for name, amount in figures}


def _form_lines(year: Year) -> Iterator[tuple[str, str | None]]:
    yield from ((name.replace("_", " "), line) for name, line in year.form_lines)
    yield from ((f"expense: {e.kind}", e.form_line) for e in year.expenses)
