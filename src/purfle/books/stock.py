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
        """Put a delivery on the shelf."""
        key = folded(item)
        self.names.setdefault(key, item)
        layers = self.items.setdefault(key, [])
        self.there[key] = self.there.get(key, ZERO) + qty
        name = folded(lot) if lot else None
        if self.average and layers and name is None and layers[-1].lot is None:
            layers[-1].qty += qty
            layers[-1].cost += cost
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
        if lot is None and not self.average and layers and ZERO < qty < layers[0].qty:
            return self._part(layers[0], qty)  # as nearly always: a part of the oldest delivery
        if lot is not None:
            cost = self._from([d for d in layers if d.lot == folded(lot)], qty)
        else:
            cost = self._averaged(layers, qty) if self.average else self._from(layers, qty)
        while layers and not layers[0].qty:
            layers.pop(0)
        return cost

    def _from(self, layers: list[Delivery], qty: Decimal) -> Decimal:
        total = ZERO
        for delivery in layers:
            if not qty:
                break
            part = min(qty, delivery.qty)
            total += self._part(delivery, part)
            qty -= part
        return total

    def _part(self, delivery: Delivery, qty: Decimal) -> Decimal:
        cost = cost_of(qty, delivery.qty, delivery.cost, self.smallest)
        delivery.qty -= qty
        delivery.cost -= cost
        return cost

    def _averaged(self, layers: list[Delivery], qty: Decimal) -> Decimal:
        """Deliveries without a name count as one; a named one stays apart and leaves last, unless it is asked for."""
        plain = [d for d in layers if d.lot is None]
        if len(plain) > 1:
            merged = Delivery(sum((d.qty for d in plain), ZERO), sum((d.cost for d in plain), ZERO))
            layers[:] = [merged, *(d for d in layers if d.lot is not None)]
        layers.sort(key=lambda d: d.lot is not None)
        return self._from(layers, qty)


def cost_of(qty: Decimal, of: Decimal, cost: Decimal, smallest: Decimal) -> Decimal:
    """What some of a quantity takes of its cost: cost × qty ÷ quantity, rounded once; the last use takes the rest."""
    return cost if qty == of else rounded(cost * qty / of, smallest)
