"""A parcel: what the carrier weighs it as, and what sending it is expected to take.

Lengths in millimetres. Error: none in the sum; carriers round each side and the weight up by their own tables, so their
bill is the figure and this is an estimate.
Invariant: knows no carrier and no tariff; divisor and rates are the shop's own.
"""

from dataclasses import dataclass
from decimal import Decimal

from purfle.base.measures import Weight
from purfle.base.money import rounded
from purfle.notes.records.build import BuildSheet, Packed
from purfle.notes.records.shop import ShippingSheet

_MM3_PER_CM3 = Decimal(1000)
_MM3_PER_IN3 = Decimal("16387.064")  # 25.4³, exact


def dimensional_weight(length: Decimal, width: Decimal, height: Decimal, divisor: Decimal, per: str) -> Weight:
    """Volume over the carrier's divisor: cubic centimetres for a kilogram, or cubic inches for a pound; sides in millimetres."""
    volume = length * width * height
    if per == "in3/lb":
        return Weight(volume / _MM3_PER_IN3 / divisor, "lb")
    return Weight(volume / _MM3_PER_CM3 / divisor, "kg")


@dataclass(frozen=True, slots=True)
class Parcel:
    """What goes out."""

    packed: Packed
    dimensional: Weight | None
    """None without all sides and a divisor."""
    billed: Weight | None
    """The heavier of the two; None when neither is known."""
    cost: Decimal | None
    """What sending one is expected to take, whoever bears it; None when neither written nor to be worked out."""
    worked_out: bool
    """The cost comes from the shop's rate."""
    insured: Decimal | None


def parcel_of(sheet: BuildSheet, carrier: ShippingSheet, smallest: Decimal) -> Parcel | None:
    """The parcel of a build sheet; None when it has none. `smallest` is the currency's smallest unit."""
    packed = sheet.packed
    if packed is None:
        return None
    dimensional = _dimensional(packed, carrier)
    known = [weight for weight in (packed.weight, dimensional) if weight is not None]
    billed = max(known, key=lambda weight: weight.kg) if known else None
    rated = _rated(billed, carrier) if packed.cost is None else None
    cost = packed.cost if rated is None else rated
    insured = packed.insured if packed.insured is not None else sheet.for_sale.asking if sheet.for_sale else None
    return Parcel(packed, dimensional, billed, None if cost is None else rounded(cost, smallest), rated is not None, insured)


def _dimensional(packed: Packed, carrier: ShippingSheet) -> Weight | None:
    if packed.length is None or packed.width is None or packed.height is None or not carrier.divisor:
        return None
    return dimensional_weight(packed.length.mm, packed.width.mm, packed.height.mm, carrier.divisor, carrier.per)


def _rated(billed: Weight | None, carrier: ShippingSheet) -> Decimal | None:
    if billed is None or carrier.rate is None:
        return None
    return carrier.fixed + carrier.rate * (billed.pounds if carrier.per == "in3/lb" else billed.kg)


def borne(sheet: BuildSheet, carrier: ShippingSheet, smallest: Decimal) -> Decimal:
    """What the shop expects to pay to send one: nothing when the buyer bears it or no figure is known."""
    parcel = parcel_of(sheet, carrier, smallest)
    return Decimal(0) if parcel is None or parcel.cost is None or parcel.packed.paid_by == "buyer" else parcel.cost
