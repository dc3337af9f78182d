"""Money: exact decimals, rounded once per line, split without losing a cent.

Amounts are `Decimal` in the shop's currency. Nothing here ever passes through a float.
Invariant: knows nothing of files, troubles or dates.
"""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext

from purfle.base.packaged import table
from purfle.base.shares import largest_remainders

ZERO = Decimal(0)
DIGITS = 60
"""Digits carried in sums and quotients: readable figures have at most 15 on either side of the point."""
_WIDE = Context(prec=DIGITS, rounding=ROUND_HALF_UP)  # handed to each call: entering a local context costs eight times as much


def minor_units() -> Mapping[str, int]:
    """Decimal places of each currency: ISO 4217, list of 2026-01-01 (data/currencies.json)."""
    units: Mapping[str, int] = table("currencies")["minor_units"]
    return units


def places(currency: str) -> int:
    """Decimal places of a currency.

    A code that ISO 4217 does not list has two: it is told on reading, and what is told must not stop the rest from being told.
    """
    return minor_units().get(currency, 2)


def unit(currency: str) -> Decimal:
    """The smallest amount of a currency, e.g. 0.01 for USD, 1 for JPY, 0.001 for KWD."""
    return Decimal(1).scaleb(-places(currency))


def rounded(amount: Decimal, smallest: Decimal) -> Decimal:
    """The amount in whole smallest units, half away from zero (`ROUND_HALF_UP` is that in Decimal)."""
    return amount.quantize(smallest, None, _WIDE)


def split(total: Decimal, weights: Sequence[Decimal], smallest: Decimal) -> tuple[Decimal, ...]:
    """Shares of `total` in proportion to `weights`, by largest remainders, summing to `total` exactly.

    Method: Hamilton's; on equal remainders the first listed gains the unit. `total` may be negative
    (a refund): its shares are those of the positive amount, negated. All weights zero means even shares.
    Raises ValueError for no weights or a negative weight.
    """
    if not weights or any(w < 0 for w in weights):
        raise ValueError("a split needs weights, none of them negative")
    if total < 0:
        return tuple(-share for share in split(-total, weights, smallest))
    if not any(weights):
        weights = [Decimal(1)] * len(weights)
    with localcontext() as ctx:
        ctx.prec = DIGITS
        units = int(rounded(total, smallest) / smallest)
        # Integer arithmetic: a quotient of Decimals would round, and a tie would be decided by chance.
        scale = 10 ** max(0, *(-int(w.as_tuple().exponent) for w in weights))
        return tuple(smallest * share for share in largest_remainders(units, [int(w * scale) for w in weights]))
