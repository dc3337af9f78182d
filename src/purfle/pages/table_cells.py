"""What a table of the year is made of: cells, formulas, and the notes behind them.

Invariant: works nothing out.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.place import Place

Cell = str | Decimal | int | date | None
NOT_ADVICE = "Worked out from the shop's notes. Not tax advice: ask a licensed preparer."


HOURS = "hours worked, no amount"
"""The one figure in the year's column of amounts that is none."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A cell that is worked out from others, with what it comes to."""

    formula: str
    value: Decimal


@dataclass(frozen=True, slots=True)
class Sum(Formula):
    """A total of what stands above it."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table: heads and rows."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell | Formula, ...], ...]


def source_of(place: Place) -> str:
    """A file and its line; nothing for what comes from no file."""
    return f"{place.file}:{place.line}" if place.file else ""


def sources(places: Iterable[Place]) -> str:
    """Each file and line once, the first six of many (the table of lines has all)."""
    found = list(dict.fromkeys(map(source_of, places)))
    more = f" and {len(found) - 6} more" if len(found) > 6 else ""
    return ", ".join(found[:6]) + more
