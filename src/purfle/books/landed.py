"""What goods cost once they are here: price, post and tax together, in the shop's own currency.

Invariant: tells no trouble; an exchange rate that is missing counts as one, and is told by whoever books the amount.
"""

from decimal import Decimal

from purfle.base.money import ZERO, rounded
from purfle.base.place import Place
from purfle.notes.records.build import Acquired, Part
from purfle.notes.records.note import Bought, Lot, Paid, Returned
from purfle.notes.records.shop import ShopSheet

Foreign = Acquired | Part | Bought | Lot | Paid | Returned
"""What may be in another currency than the shop's."""


def landed(record: Acquired | Part | Bought | Lot, cost: Decimal) -> tuple[Decimal, Decimal]:
    """Cost with post and tax, and the tax that comes back and is no cost; both in the record's currency, not yet rounded."""
    post, tax = record.shipping or ZERO, record.tax or ZERO
    return (cost + post, tax) if getattr(record, "tax_reclaimable", False) else (cost + post + tax, ZERO)


def is_foreign(record: Foreign, settings: ShopSheet) -> bool:
    """Whether a record's amounts are in another currency than the shop's."""
    return record.currency is not None and record.currency != settings.currency


def at_home(record: Foreign, amount: Decimal, settings: ShopSheet, smallest: Decimal) -> Decimal:
    """An amount of a record in the shop's currency, rounded once: foreign money at the record's own rate."""
    return rounded(amount * (record.rate or 1) if is_foreign(record, settings) else amount, smallest)


def landed_cost(record: Acquired | Part, cost: Decimal, settings: ShopSheet, smallest: Decimal) -> Decimal:
    """Landed cost in the shop's currency."""
    return at_home(record, landed(record, cost)[0], settings, smallest)


def cost_at(record: Acquired | Part | Bought | Lot) -> Place:
    """Where the cost stands that a record gives; the whole of it where none is written."""
    return record.where(next((name for name in ("cost", "price", "basis", "value", "shipping") if record.wrote(name)), ""))


def worth(record: Acquired | Part) -> Decimal:
    """What a record gives as its cost before post and tax, in its own currency: the price, a gift's value, the lower of basis and value."""
    if isinstance(record, Part):
        return (record.cost if record.how == "bought" else record.value if record.how == "gifted" else None) or ZERO
    if record.how == "bought":
        return record.price or ZERO
    if record.how == "own collection":
        basis = record.basis if record.basis is not None else record.price
        return min((figure for figure in (basis, record.value) if figure is not None), default=ZERO)
    return (record.value if record.how == "gift" else None) or ZERO
