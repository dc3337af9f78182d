"""Lines of tax forms: dated data, which a user can replace line by line in shop.md.

Invariant: gives the name of a line and no advice.
"""

from typing import Any

from purfle.base.names import folded
from purfle.base.packaged import table
from purfle.notes.records.shop import FormLines, ShopSheet, TaxForm
from purfle.notes.vocabulary.fields import keys_of

DEFAULT: dict[str, TaxForm] = {"USD": "us-schedule-c"}
"""The table used when shop.md names none, by currency."""


def form_line(settings: ShopSheet, kind: str, year: int) -> str | None:
    """The line of the owner's form for an expense kind: their own, else the shipped table's for that year."""
    wanted = folded(kind)
    for own in settings.expense_kinds:
        if folded(own.name) == wanted and own.value.line:
            return str(own.value.line)
    entry = form(settings).get("kinds", {}).get(wanted)
    if entry is None:
        return None
    later = [line for since, line in sorted(entry.get("by_year", {}).items()) if int(since) <= year]
    return str(later[-1] if later else entry["line"])


FIGURES = tuple(name for name, _ in keys_of(FormLines).values())
"""The year's figures that a form may have a line for, by the names of the JSON contract."""


def figure_lines(settings: ShopSheet) -> tuple[tuple[str, str], ...]:
    """Figure → line of the owner's form: their own, else the shipped table's; figures without a line are left out."""
    shipped = form(settings)
    goods = dict(shipped.get("cost_of_goods_sold", {}))
    known = {**shipped.get("figures", {}), **goods, "cost_of_goods_sold": goods.get("total")}
    found = ((figure, getattr(settings.form_lines, figure) or known.get(figure)) for figure in FIGURES)
    return tuple((figure, line) for figure, line in found if line)


def form_title(settings: ShopSheet) -> str:
    """What the form is called by those who print it; empty where no table is used."""
    return str(form(settings).get("title", ""))


def form(settings: ShopSheet) -> dict[str, Any]:
    """The shipped table that a shop uses: title, source, checked_on, and kinds with their lines; empty where its currency has none."""
    name = settings.tax_form or DEFAULT.get(settings.currency)
    return table(f"tax_forms/{name}") if name else {}
