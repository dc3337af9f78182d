"""Lengths and weights as people write them, with their units.

Readers take the text of one scalar and give a value, or raise `Wrong` with the cause and the mend.
Invariant: as in `quantities`; a value keeps the unit it was written in, and converts exactly.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from purfle.base import meant
from purfle.base.quantities import trimmed
from purfle.base.trouble import Wrong

MM_PER_INCH = Decimal("25.4")
"""Exact by definition (international inch)."""
_KG_PER_POUND = Decimal("0.45359237")  # exact by definition (international pound)


def in_inches(mm: float) -> float:
    """A worked-out length in inches."""
    return mm / float(MM_PER_INCH)


@dataclass(frozen=True, slots=True)
class Length:
    """A length as written; `mm` and `inches` convert exactly (1 in = 25.4 mm by definition)."""

    value: Decimal
    unit: Literal["in", "mm"]

    @property
    def mm(self) -> Decimal:
        """The length in millimetres."""
        return self.value if self.unit == "mm" else self.value * MM_PER_INCH

    @property
    def inches(self) -> Decimal:
        """The length in inches."""
        return self.value if self.unit == "in" else self.value / MM_PER_INCH

    @property
    def figure(self) -> str:
        """The figure alone, as it was written; one without an end in decimals, such as that of 25 1/3, to the thousandth."""
        endless = int(self.value.as_tuple().exponent) < -_FINEST
        return f"{self.value.quantize(Decimal('0.001')) if endless else self.value:f}"

    def __str__(self) -> str:
        return f"{self.figure} {self.unit}"


_FINEST = 6
"""Decimals of the finest fraction on a rule, 1/64."""
_NUMBER, _WHOLE = r"([0-9]{0,15}\.?[0-9]{1,15})", "([0-9]{1,15})"  # no more, as in `number`: without an end, a search for one takes its square
LENGTH = re.compile(rf'{_NUMBER}(?:[ -]{_WHOLE}/{_WHOLE})?\s*(mm|cm|in|inch|inches|"|″|”)')
FRACTION = re.compile(rf'{_WHOLE}/{_WHOLE}\s*(in|inch|inches|"|″|”)')


def length(text: str) -> Length:
    """A length above nothing, with its unit: `34 in`, `648 mm`, `25 1/2 in`, `25.5"`."""
    text = trimmed(text).lower()
    match, fraction = LENGTH.fullmatch(text), FRACTION.fullmatch(text)
    if re.match(r"[-\u2212] ?[0-9.]", text):
        raise _none_at_all(text)
    if fraction and int(fraction[2]):
        value, unit = Decimal(fraction[1]) / Decimal(fraction[2]), "in"
    elif match and not (match[3] and int(match[3]) == 0):
        value = Decimal(match[1]) + (Decimal(match[2]) / Decimal(match[3]) if match[2] else 0)
        unit = match[4]
    elif len(set(re.findall(r"mm|cm|in|[\"″”]", text))) > 1:
        raise Wrong("length-unreadable", f"length “{text}” mixes two units", "write the whole of it in one unit, such as 34 in or 864 mm")
    else:
        raise Wrong("length-unreadable", f"length “{text}” is not a number with a unit", _length_mend(text))
    if unit == "cm":
        value, unit = value * 10, "mm"
    if value <= 0:
        raise _none_at_all(text)
    return Length(value, "mm" if unit == "mm" else "in")


def _none_at_all(text: str) -> Wrong:
    return Wrong("length-unreadable", f"length {text} is not more than 0", "write the length as measured, such as 34 in")


_INCHES_A_FOOT = 12
_UNITS = {"millimet": "mm", "centimet": "cm", "inch": "in", "in": "in", "mm": "mm", "cm": "cm", '"': "in", "''": "in", "“": "in", "″": "in", "”": "in"}
_MEANT = re.compile(r"(?P<figure>[0-9]{1,15}(?:\.[0-9]{1,15})?)\s*(?P<unit>millimet|centimet|inch|in|mm|cm|m|\"|''|[“″”])?(?:[a-z.]*)(?:\s*\(.*\))?")
_FEET = re.compile(r"(?P<feet>[0-9]+)\s*(?:ft|feet|foot|'|’|′)\.?\s*(?P<inches>[0-9]+(?:\.[0-9]+)?)?\s*(?:in|inch|inches|\"|”|″|'')?")


def _length_mend(text: str) -> str:
    plain = meant.in_figures(text)
    if feet := _FEET.fullmatch(plain):
        return f"write {int(feet['feet']) * _INCHES_A_FOOT + Decimal(feet['inches'] or 0):f} in"
    likely = _MEANT.fullmatch(plain)
    if two := re.fullmatch(r"([0-9.]+) *(mm|cm|in|\")? *(?:-|–|to|/) *([0-9.]+) *(mm|cm|in|\")", plain):
        first, last = (f"{figure} {_UNITS[two[4]]}" for figure in (two[1], two[3]))
        return f"write one length, {first} or {last}; where there may be several, [{first}, {last}]"
    if likely is None:
        return "write a number and its unit, such as 34 in or 864 mm"
    figure, unit = likely["figure"], likely["unit"]
    if not Decimal(figure):
        return "write the length as measured, such as 34 in"
    if unit == "m":
        return f"write {(Decimal(figure) * 1000).normalize():f} mm"
    return f"write {figure} {_UNITS[unit]}" if unit else f"write {figure} in or {figure} mm, whichever is meant"


GAUGE = re.compile(_NUMBER)


def gauge(text: str) -> Length:
    """A string's gauge: a plain number is inches, as packets print it, else a length with its unit; below one inch."""
    bare = trimmed(text)
    found = Length(Decimal(bare), "in") if GAUGE.fullmatch(bare) else length(bare)
    if found.value <= 0:
        raise Wrong("length-unreadable", f"gauge {text} is not more than 0", "write the gauge in inches, such as 0.046")
    if found.inches >= 1:
        thousandths = found.value / 1000
        likely = f"{thousandths.normalize():f}" if found.unit == "in" and found.value == found.value.to_integral_value() and thousandths < 1 else ""
        raise Wrong("length-unreadable", f"gauge {text} is an inch or more across", f"write the gauge in inches, {likely or 'such as 0.046'}")
    return found


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as written; `kg` and `pounds` convert exactly (1 lb = 0.45359237 kg by definition)."""

    value: Decimal
    unit: Literal["kg", "lb"]

    @property
    def kg(self) -> Decimal:
        """The weight in kilograms."""
        return self.value if self.unit == "kg" else self.value * _KG_PER_POUND

    @property
    def pounds(self) -> Decimal:
        """The weight in pounds (avoirdupois)."""
        return self.value if self.unit == "lb" else self.value / _KG_PER_POUND

    def __str__(self) -> str:
        return f"{self.value:f} {self.unit}"


WEIGHT = re.compile(rf"{_NUMBER}\s*(kg|g|lbs?|oz|pounds?)(?:\s+{_NUMBER}\s*oz)?")


def _weight_mend(text: str) -> str:
    plain = meant.in_figures(text)
    if pounds := re.fullmatch(r"([0-9]+) *(?:lbs?|pounds?)\.?,? *(?:and )?([0-9]+(?:\.[0-9]+)?) *(?:oz|ounces?)?\.?", plain):
        return f"write {pounds[1]} lb {pounds[2]} oz"
    likely = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) *(kg|kilo|g|lb|pound|oz|ounce)?[a-z]*\.?", plain)
    if likely is None:
        return "write a number and its unit, such as 6.4 kg or 14 lb 6 oz"
    unit = {"kilo": "kg", "pound": "lb", "ounce": "oz"}.get(likely[2], likely[2])
    return f"write {likely[1]} {unit}" if unit else f"write {likely[1]} kg or {likely[1]} lb, whichever is meant"


def weight(text: str) -> Weight:
    """A weight above nothing, with its unit: `6.4 kg`, `900 g`, `14 lb`, `14 lb 6 oz`."""
    match = WEIGHT.fullmatch(trimmed(text).lower())
    if not match or (match[3] and not match[2].startswith(("lb", "pound"))):
        raise Wrong("weight-unreadable", f"weight “{text}” is not a number with a unit", _weight_mend(text))
    value = Decimal(match[1])
    if match[2] in ("kg", "g"):
        found = Weight(value if match[2] == "kg" else value / 1000, "kg")
    else:
        found = Weight(value / 16 if match[2] == "oz" else value + Decimal(match[3] or 0) / 16, "lb")
    if not 0 < found.kg < 1000:
        raise Wrong(
            "weight-unreadable",
            f"weight {text} is {'not more than 0' if found.kg <= 0 else 'a ton or more'}",
            "write the weight as the scale shows it, such as 6.4 kg",
        )
    return found


@dataclass(frozen=True, slots=True)
class UnitWeight:
    """A string's mass for each unit of length, as written."""

    value: Decimal
    unit: str
    """`lb/in`, `kg/m` or `g/m`."""

    @property
    def kg_per_m(self) -> Decimal:
        """Kilograms a metre; 1 lb/in = 0.45359237 ÷ 0.0254 kg/m exactly."""
        factors = {"kg/m": Decimal(1), "g/m": Decimal("0.001"), "lb/in": _KG_PER_POUND / MM_PER_INCH * 1000}
        return self.value * factors[self.unit]

    def __str__(self) -> str:
        return f"{self.value:f} {self.unit}"


UNIT_WEIGHT = re.compile(rf"{_NUMBER}\s*(lbs?/in|kg/m|g/m)?")


def unit_weight(text: str) -> UnitWeight:
    """A string's unit weight above nothing: a plain number is pounds an inch, as makers print it; `kg/m` and `g/m` too."""
    match = UNIT_WEIGHT.fullmatch(trimmed(text).lower())
    if not match or Decimal(match[1]) <= 0:
        raise Wrong(
            "number-unreadable",
            f"unit weight “{text}” is not a number above 0 in lb/in, kg/m or g/m",
            "write what the string's maker prints, such as 0.00088 or 15.7 g/m",
        )
    return UnitWeight(Decimal(match[1]), (match[2] or "lb/in").replace("lbs", "lb"))
