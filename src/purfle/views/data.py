"""Figures as plain data, for `--json`: decimal strings, null for what is unknown, ISO 8601 dates, a schema number.

Invariant: works nothing out; it only writes down.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from purfle.base.money import minor_units, rounded
from purfle.base.place import Place
from purfle.books.figures import BuildRow, CollectionRow, Line, Quote, Year
from purfle.progress.model import Progress, StageProgress

SCHEMA = 1
Plain = dict[str, Any]


def plain(value: object, places: int = 2) -> Any:
    """A value as JSON can hold it: a Decimal becomes a string with `places` decimals, a date its ISO 8601 form.

    None, text, whole numbers and booleans stay; tuples become lists, mappings keep their keys.
    """
    if isinstance(value, Decimal):
        return f"{rounded(value, Decimal(1).scaleb(-places)) + 0:f}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): plain(item, places) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(item, places) for item in value]
    return value


def hours(value: Decimal | None) -> str | None:
    """Hours to a hundredth."""
    return None if value is None else str(plain(value, 2))


def ratio(value: Decimal | None) -> str | None:
    """A margin, markup or chance to four places."""
    return None if value is None else str(plain(value, 4))


def places_of(currency: str) -> int:
    """Decimal places of a currency by ISO 4217; two for a code it does not list."""
    return minor_units().get(currency, 2)


def source(place: Place) -> str:
    """Where a line comes from, as `file:line`."""
    return f"{place.file}:{place.line}"


# --- the year ----------------------------------------------------------------------------------------------------------


def year_data(year: Year) -> Plain:
    """The `year` contract."""
    places = places_of(year.currency)
    return {"schema": SCHEMA, **plain(_year(year), places), **_year_rows(year, places)}


def _year(year: Year) -> Plain:
    cost, tax, held = year.cost_of_goods_sold, year.sales_tax, year.inventory
    parts = ("opening_inventory", "purchases", "materials", "outside_work", "other_costs", "closing_inventory", "total", "of_which_lost")
    return {
        "year": year.year,
        "from": year.first,
        "to": year.last,
        "currency": year.currency,
        "sales": year.sales,
        "returns": year.returns,
        "cost_of_goods_sold": {part: getattr(cost, part) for part in parts},
        "gross_profit": year.gross_profit,
        "expenses": {line.kind: line.amount for line in year.expenses},
        "show_income": year.show_income,
        "other_income": year.other_income,
        "net_profit": year.net_profit,
        "hours": hours(year.hours),
        "profit_per_hour": year.profit_per_hour,
        "deposits_held": year.deposits_held,
        "owed_by_customers": year.owed_by_customers,
        "payables": year.payables,
        "sales_tax": {"collected": tax.collected, "remitted": tax.remitted, "owed": tax.owed},
        "partner_shares_owed": year.partner_shares_owed,
        "withdrawn": year.withdrawn,
        "inventory": {"instruments": held.instruments, "work_in_progress": held.work_in_progress, "stock": held.stock, "on_the_way": held.on_the_way},
    }


def _year_rows(year: Year, places: int) -> Plain:
    months = [{"month": m.month, "in": plain(m.cash_in, places), "out": plain(m.cash_out, places)} for m in year.cash.months]
    return {
        "stock": [{"item": line.item, "qty": quantity(line.qty), "value": plain(line.value, places)} for line in year.stock],
        "cash": {"in": plain(year.cash.cash_in, places), "out": plain(year.cash.cash_out, places), "months": months},
        "builds": [_row(row, places) for row in year.builds],
        "collection": [_piece(row, places) for row in year.collection],
    }


def quantity(value: Decimal) -> str:
    """A quantity without trailing noughts."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _row(row: BuildRow, places: int) -> Plain:
    return {
        "id": row.id,
        "kind": row.kind,
        "state": row.state or None,
        "cost": plain(row.cost, places),
        "revenue": plain(row.revenue, places),
        "fees": plain(row.fees, places),
        "profit": plain(row.profit, places),
        "margin": ratio(row.margin),
        "hours": hours(row.hours),
        "profit_per_hour": plain(row.profit_per_hour, places),
        "days_held": row.days_held,
        "carried": plain(row.carried, places),
        "sources": _sources(row.lines),
    }


def _sources(lines: Iterable[Line]) -> list[str]:
    return list(dict.fromkeys(source(line.source) for line in lines))


def _piece(row: CollectionRow, places: int) -> Plain:
    return {"id": row.id, **{name: plain(getattr(row, name), places) for name in ("basis", "proceeds", "gain", "gain_counted")}}


# --- one build ---------------------------------------------------------------------------------------------------------


def quote_data(quote: Quote, currency: str) -> Plain:
    """The `quote` contract; `refused` says why there is no asking price."""
    places = places_of(currency)
    names = ("cost", "labour", "asking_price", "fees", "profit")
    return {
        "schema": SCHEMA,
        **{name: plain(getattr(quote, name), places) for name in names},
        "margin": ratio(quote.margin),
        "offer_ceiling": plain(quote.offer_ceiling, places),
        "refused": quote.refused,
    }


def sheet_data(row: BuildRow, progress: Progress | None, currency: str) -> Plain:
    """The `sheet` contract: the build's row, its lines with their sources, its stages."""
    places = places_of(currency)
    stages = [_stage(stage) for stage in progress.stages] if progress else []
    return {"schema": SCHEMA, **_row(row, places), "lines": [_line(line, places) for line in row.lines], "stages": stages}


def _line(line: Line, places: int) -> Plain:
    return {
        "date": line.date.isoformat(),
        "what": line.what,
        "account": line.account,
        "amount": plain(line.amount, places),
        "estimated": line.estimated,
        "source": source(line.source),
    }


def _stage(stage: StageProgress) -> Plain:
    return {
        "stage": stage.stage.name,
        "passes": len(stage.passes),
        "hours": hours(stage.hours),
        "estimate": [hours(figure) for figure in (stage.stage.hours.low, stage.stage.hours.likely, stage.stage.hours.high)],
        "finished": plain(stage.current.finished),
    }
