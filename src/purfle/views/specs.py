"""The specification as lines for a page.

Invariant: only the `specs` of a build sheet, all of which is public.
"""

from decimal import Decimal

from purfle.base.measures import Length
from purfle.notes.records.specs import Battery, SpecItem, Specs
from purfle.sheets.powering import wiring_of
from purfle.sheets.stringing import stringing_of
from purfle.sheets.strings import CONCERT_A, pounds_of_force
from purfle.views.public import Spec
from purfle.views.words import tight


def spec_lines(specs: Specs | None) -> tuple[Spec, ...]:
    """Every line that was filled in, in the order a player asks for them."""
    if specs is None:
        return ()
    lines = (
        ("Scale length", _length(specs.scale_length)),
        ("Frets", "" if specs.frets is None else str(specs.frets)),
        ("Nut width", _length(specs.nut_width)),
        ("Width at the last fret", _length(specs.heel_width)),
        ("Board radius", " to ".join(_length(radius) for radius in specs.radius)),
        ("Board", "bound" if specs.bound else ""),
        ("Tuning", _tuning(specs)),
        ("Strings", _strings(specs.strings)),
        ("String spread at the bridge", _length(specs.bridge_spread)),
        ("String tension", _pull(specs)),
        ("Pickups", _items(specs.pickups)),
        ("Controls", specs.controls or ""),
        ("Pots", _pots(specs)),
        ("Woods", _items(specs.woods)),
        ("Lights", _items(specs.leds)),
        ("Battery", _battery(specs.battery)),
        ("Battery life", _lasts(specs)),
        ("Weight", specs.weight or ""),
        ("Also", "; ".join(specs.other)),
    )
    return tuple(Spec(name, tight(value)) for name, value in lines if value)


def _figure(number: Decimal | None, unit: str) -> str:
    return "" if number is None else f"{number:f} {unit}"


def _length(length: Length | None) -> str:
    """As written, with the other unit beside it, in whole millimetres or hundredths of an inch."""
    if length is None:
        return ""
    other = f"{length.mm:.0f} mm" if length.unit == "in" else f"{length.inches:.2f} in"
    return f"{length} ({other})"


def _tuning(specs: Specs) -> str:
    """The notes, with the pitch of A4 where it is not the usual one."""
    other = specs.a4 is not None and float(specs.a4) != CONCERT_A
    return f"{specs.tuning or ''}{' ' if specs.tuning else ''}(A4 = {specs.a4:f} Hz)" if other else specs.tuning or ""


def _pull(specs: Specs) -> str:
    """The strings' load on the neck; nothing unless every string's is known."""
    found = stringing_of(specs)
    if found is None or found.unknown or not specs.strings:
        return ""
    return f"about {found.load:.0f} N ({pounds_of_force(found.load):.0f} lbf)"


def _pots(specs: Specs) -> str:
    return "; ".join(filter(None, (_items(specs.pots), f"tone capacitor {specs.tone_nf:f} nF" if specs.tone_nf else "")))


def _lasts(specs: Specs) -> str:
    found = wiring_of(specs)
    if found is None or found.hours_all is None:
        return ""
    dark = f", {found.hours_dark:.0f} h with the lights off" if found.hours_dark else ""
    return f"about {found.hours_all:.0f} h with everything on{dark}"


def _gauge_words(gauge: Length) -> str:
    """A gauge as packets print it: `.046`, or `1.2 mm` where it was written so."""
    return gauge.figure.lstrip("0") if gauge.unit == "in" else str(gauge)


def _items(items: tuple[SpecItem, ...]) -> str:
    return "; ".join(filter(None, map(_item, items)))


def _item(item: SpecItem) -> str:
    bare = ", ".join(filter(None, (_figure(item.volts, "V"), _figure(item.ma, "mA"), _figure(item.kohm, "kΩ"))))
    words = " ".join(filter(None, (f"{item.qty} ×" if item.qty and item.qty > 1 else "", item.what or "", f"({bare})" if bare else "")))
    return f"{words} ({item.used_for})" if item.used_for else words


def _strings(items: tuple[SpecItem, ...]) -> str:
    gauges = [_gauge_words(item.gauge) for item in items if item.gauge is not None]
    if gauges and len(gauges) == len(items):
        return " ".join(gauges)
    return "; ".join(filter(None, (item.what or _string(item) for item in items)))


def _string(item: SpecItem) -> str:
    gauge = _gauge_words(item.gauge) if item.gauge is not None else ""
    return " ".join(filter(None, (item.note or "", gauge)))


def _battery(battery: Battery | None) -> str:
    return "" if battery is None else ", ".join(filter(None, (_figure(battery.volts, "V"), _figure(battery.mah, "mAh"), battery.kind)))
