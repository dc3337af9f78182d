"""How figures stand in a terminal's plain text; the reports themselves are in `report_money` and `report_week`.

Amounts stand with a point and thin groups of three (`12 345.60`), whatever the locale: as notes are typed, and not to be
mistaken in any country.
Invariant: works nothing out; every value was worked out before.
"""

from collections.abc import Callable
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from purfle.base.money import rounded, unit

DASH = "–"
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def amounts(currency: str) -> Callable[[Decimal | None], str]:
    """A formatter of amounts to read: `12 345.60`, a dash for unknown."""
    smallest = unit(currency)
    return lambda value: DASH if value is None else f"{rounded(value, smallest):,f}".replace(",", " ")


def hours(value: Decimal | None) -> str:
    """Hours with no more than two decimals, and none that say nothing."""
    if value is None:
        return DASH
    return f"{value.quantize(Decimal('0.01'), ROUND_HALF_UP):f}".rstrip("0").rstrip(".")


def percent(value: Decimal | None, places: int = 0) -> str:
    """A ratio as a percentage."""
    return DASH if value is None else f"{(value * 100).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f} %"


def on(value: date | None) -> str:
    """A day with its weekday: `Tue 2026-05-26`."""
    return DASH if value is None else f"{_DAYS[value.weekday()]} {value.isoformat()}"
