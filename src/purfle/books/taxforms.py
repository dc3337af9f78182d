"""Lines of tax forms: dated data, which a user can replace line by line in shop.md.

Invariant: gives the name of a line and no advice.
"""

import json
from functools import cache
from importlib import resources
from typing import Any

from purfle.base.names import folded
from purfle.notes.records.shop import ShopSheet

DEFAULT = {"USD": "us-schedule-c"}
"""The table used when shop.md names none, by currency."""


def form_line(settings: ShopSheet, kind: str, year: int) -> str | None:
    """The line of the owner's form for an expense kind: their own, else the shipped table's for that year."""
    wanted = folded(kind)
    for own in settings.expense_kinds:
        if folded(own.name) == wanted and own.value.line:
            return str(own.value.line)
    name = _name(settings)
    entry = form(name)["kinds"].get(wanted) if name else None
    if entry is None:
        return None
    later = [line for since, line in sorted(entry.get("by_year", {}).items()) if int(since) <= year]
    return str(later[-1] if later else entry["line"])


FIGURES = (
    "sales",
    "returns",
    "opening_inventory",
    "purchases",
    "materials",
    "outside_work",
    "other_costs",
    "closing_inventory",
    "cost_of_goods_sold",
    "gross_profit",
    "show_income",
    "other_income",
    "net_profit",
)
"""The year's figures that a form may have a line for, by the names of the JSON contract."""


def figure_lines(settings: ShopSheet) -> tuple[tuple[str, str], ...]:
    """Figure → line of the owner's form: their own, else the shipped table's; figures without a line are left out."""
    name = _name(settings)
    shipped = form(name) if name else {}
    goods = dict(shipped.get("cost_of_goods_sold", {}))
    known = {**shipped.get("figures", {}), **goods, "cost_of_goods_sold": goods.get("total")}
    found = ((figure, getattr(settings.form_lines, figure) or known.get(figure)) for figure in FIGURES)
    return tuple((figure, line) for figure, line in found if line)


def form_title(settings: ShopSheet) -> str:
    """What the form is called by those who print it; a form that is not shipped is called as shop.md calls it, and none is empty."""
    name = _name(settings)
    return str(form(name).get("title", name)) if name else ""


def _name(settings: ShopSheet) -> str | None:
    return settings.tax_form or DEFAULT.get(settings.currency)


@cache
def form(name: str) -> dict[str, Any]:
    """A shipped table: title, source, checked_on, and kinds with their lines; an unknown name has no kinds."""
    path = resources.files("purfle").joinpath(f"data/tax_forms/{folded(name)}.json")
    return dict(json.loads(path.read_text("utf-8"))) if path.is_file() else {"kinds": {}}
