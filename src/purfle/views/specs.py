"""The specification as lines for a page.

Invariant: only the `specs` of a build sheet, all of which is public.
"""

from decimal import Decimal

from purfle.base.quantities import Length
from purfle.notes.records.build import Battery, SpecItem, Specs
from purfle.views.public import Spec


def spec_lines(specs: Specs | None) -> tuple[Spec, ...]:
    """Every line that was filled in, in the order a player asks for them."""
    if specs is None:
        return ()
    lines = (
        ("Scale length", _length(specs.scale_length)),
        ("Frets", "" if specs.frets is None else str(specs.frets)),
        ("Nut width", _length(specs.nut_width)),
        ("Board radius", " to ".join(_length(radius) for radius in specs.radius)),
        ("Tuning", specs.tuning or ""),
        ("Strings", _strings(specs.strings)),
        ("Pickups", _items(specs.pickups)),
        ("Controls", specs.controls or ""),
        ("Woods", _items(specs.woods)),
        ("Lights", _items(specs.leds)),
        ("Battery", _battery(specs.battery)),
        ("Weight", specs.weight or ""),
        ("Also", "; ".join(specs.other)),
    )
    return tuple(Spec(name, value) for name, value in lines if value)


def _plain(number: Decimal) -> str:
    return f"{number:f}"


def _length(length: Length | None) -> str:
    """As written, with the other unit beside it, in whole millimetres or hundredths of an inch."""
    if length is None:
        return ""
    other = f"{length.mm:.0f} mm" if length.unit == "in" else f"{length.inches:.2f} in"
    return f"{length.value:f} {length.unit} ({other})"


def gauge_words(gauge: Length) -> str:
    """A gauge as packets print it: `.046`, or `1.2 mm` where it was written so."""
    return _plain(gauge.value).lstrip("0") if gauge.unit == "in" else str(gauge)


def _items(items: tuple[SpecItem, ...]) -> str:
    return "; ".join(filter(None, map(_item, items)))


def _item(item: SpecItem) -> str:
    figures = [f"{_plain(item.volts)} V" if item.volts is not None else "", f"{_plain(item.ma)} mA" if item.ma is not None else ""]
    bare = ", ".join(filter(None, figures))
    words = " ".join(filter(None, (f"{item.qty} ×" if item.qty and item.qty > 1 else "", item.what or "", f"({bare})" if bare else "")))
    return f"{words} ({item.used_for})" if item.used_for else words


def _strings(items: tuple[SpecItem, ...]) -> str:
    gauges = [gauge_words(item.gauge) for item in items if item.gauge is not None]
    if gauges and len(gauges) == len(items):
        return " ".join(gauges)
    return "; ".join(filter(None, (item.what or _string(item) for item in items)))


def _string(item: SpecItem) -> str:
    gauge = gauge_words(item.gauge) if item.gauge is not None else ""
    return " ".join(filter(None, (item.note or "", gauge)))


def _battery(battery: Battery | None) -> str:
    if battery is None:
        return ""
    figures = [f"{_plain(battery.volts)} V" if battery.volts is not None else "", f"{_plain(battery.mah)} mAh" if battery.mah is not None else "", battery.kind or ""]
    return ", ".join(filter(None, figures))
