"""The shelf: deliveries of each item, and what leaves them first.

By setting the oldest delivery leaves first, or everything leaves at its average cost; a named delivery can be asked for.
Taking part of a delivery takes remaining cost × quantity ÷ remaining quantity, rounded once; the last use takes the rest.
Invariant: holds quantities and costs only; knows no build, no note and no day.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from purfle.base.money import ZERO, rounded
from purfle.base.names import folded


@dataclass(slots=True)
class Delivery:
    """One layer of stock."""

    qty: Decimal
    cost: Decimal
    lot: str | None = None
    """Its name, when the note gave it one."""


@dataclass(slots=True)
class Shelf:
    """Everything in stock."""

    smallest: Decimal
    """The currency's smallest unit."""
    average: bool = False
    items: dict[str, list[Delivery]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    """Item as compared → as first written."""
    there: dict[str, Decimal] = field(default_factory=dict)
    """Item as compared → how much of it there is: the sum of its deliveries, kept so that asking is cheap."""

    def receive(self, item: str, qty: Decimal, cost: Decimal, lot: str | None = None) -> None:
        """Put a delivery on the shelf. At average cost those without a name are one, which leaves before any with a name."""
        key, name = folded(item), folded(lot) if lot else None
        self.names.setdefault(key, item)
        layers = self.items.setdefault(key, [])
        self.there[key] = self.there.get(key, ZERO) + qty
        if self.average and name is None:
            if not layers or layers[0].lot is not None:
                layers.insert(0, Delivery(ZERO, ZERO))
            layers[0].qty += qty
            layers[0].cost += cost
        else:
            layers.append(Delivery(qty, cost, name))

    def has(self, item: str, lot: str | None = None) -> Decimal:
        """How much is there, in all or of one named delivery."""
        key = folded(item)
        if lot is None:
            return self.there.get(key, ZERO)
        return sum((d.qty for d in self.items.get(key, []) if d.lot == folded(lot)), ZERO)

    def take(self, item: str, qty: Decimal, lot: str | None = None) -> Decimal:
        """Take `qty` off the shelf and give its cost. Never asked for more than is there: `has` is asked first."""
        key = folded(item)
        layers = self.items.get(key, [])
        self.there[key] = self.there.get(key, ZERO) - qty
        total = ZERO
        for delivery in layers if lot is None else [d for d in layers if d.lot == folded(lot)]:
            if not qty:
                break
            part = min(qty, delivery.qty)
            cost = cost_of(part, delivery.qty, delivery.cost, self.smallest)
            delivery.qty -= part
            delivery.cost -= cost
            total += cost
            qty -= part
        while layers and not layers[0].qty:
            layers.pop(0)
        return total


def cost_of(qty: Decimal, of: Decimal, cost: Decimal, smallest: Decimal) -> Decimal:
    """What some of a quantity takes of its cost: cost × qty ÷ quantity, rounded once; the last use takes the rest."""
    return cost if qty == of else rounded(cost * qty / of, smallest)
