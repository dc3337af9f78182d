"""What is wrong with a specification: its board, its strings and its wiring, each at its line with its mend.

Invariant: warns only. A wrong gauge makes no figure of the books wrong.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from purfle.base.counts import counted
from purfle.base.measures import Length
from purfle.base.place import Place
from purfle.base.trouble import Troubles, Wrong, listed
from purfle.notes.records.specs import SpecItem, Specs
from purfle.sheets import frets, stringing, strings

THINNEST_MM = 0.15
"""No plain string is drawn thinner than 0.006 in (common practice, no source)."""
THICKEST_PLAIN_MM = 0.72
"""Thicker strings (from about .028 in) are not made plain; common practice, no source."""
PITCHES = (300.0, 600.0)
"""Hertz between which any A4 that was ever meant lies; common practice, no source."""
SMALLEST_RADIUS_MM = 30.0
"""Boards are not rounder than that, not even a violin's; common practice, no source."""
WOUND_SHARE = (0.3, 1.3)
"""A wound string's weight, in parts of a solid steel rod of its gauge: outside it the unit was surely another; common practice, no source."""


def check_specs(specs: Specs, load_share: Decimal, troubles: Troubles) -> None:
    """Tell what is wrong with one build's specification; `load_share` is the percent by which the strings' load may move."""
    for check in (_scale, _across, _radius, _strings, _wiring):
        check(specs, troubles)
    _load(specs, load_share, troubles)


def implausible(troubles: Troubles, at: Place, found: str, mend: str) -> None:
    """Tell a figure that can't be meant."""
    troubles.add(at, "spec-implausible", found, mend)


# --- the board ---------------------------------------------------------------------------------------------------------


def _scale(specs: Specs, troubles: Troubles) -> None:
    """Tell a scale that can't be meant, else frets that it has no room for."""
    scale = specs.scale_length
    if scale is None:
        return
    room = frets.room_for(float(scale.mm))
    if frets.plausible(float(scale.mm)) and specs.frets is not None and specs.frets > room:
        found = f"{specs.frets} frets on a scale of {scale} would stand less than {frets.CLOSEST_MM:g} mm apart; there is room for {room}"
        troubles.add(specs.where("frets"), "frets-too-close", found, f"write at most {room}, or mend the scale length")
    elif not frets.plausible(float(scale.mm)):
        other = Length(scale.value, "mm" if scale.unit == "in" else "in")
        mend = (
            f"check the unit: write {other}, or the length as measured"
            if frets.plausible(float(other.mm))
            else "write it as measured, such as 25.5 in or 648 mm"
        )
        implausible(troubles, specs.where("scale_length"), f"a scale length of {scale} is {_other(scale)}", mend)


def _radius(specs: Specs, troubles: Troubles) -> None:
    """Tell radii that can't be meant, or are in two units."""
    for radius in specs.radius:
        if float(radius.mm) < SMALLEST_RADIUS_MM:
            implausible(
                troubles,
                specs.where("radius"),
                f"a board of radius {radius} ({_other(radius)}) would be a stick",
                "check the unit: write it as 12 in or 305 mm"
                if radius.unit == "in"
                else f"check the unit: write {radius.figure} in, or the radius as measured",
            )
    units = list(dict.fromkeys(radius.unit for radius in specs.radius))
    if len(units) > 1:
        same = ", ".join(str(radius) if radius.unit == units[0] else _in(radius, units[0]) for radius in specs.radius)
        troubles.add(specs.where("radius"), "units-mixed", f"radius is written in {listed(units, last='and')}", f"write both in one unit: [{same}]")


def _across(specs: Specs, troubles: Troubles) -> None:
    """Tell widths that can't be meant beside each other."""
    scale, nut, heel = specs.scale_length, specs.nut_width, specs.heel_width
    if nut is not None and scale is not None and nut.mm > scale.mm / 3:
        implausible(
            troubles,
            specs.where("nut_width"),
            f"a nut width of {nut} is more than a third of the scale length {scale}",
            f"check the unit: write {nut.figure} {'mm' if nut.unit == 'in' else 'in'}, or the width as measured",
        )
    if heel is not None and nut is not None and heel.mm < nut.mm:
        implausible(
            troubles, specs.where("heel_width"), f"the board is narrower at its last fret ({heel}) than at the nut ({nut})", "check both widths and their units"
        )
    if specs.nut_spread is not None and nut is not None and specs.nut_spread.mm >= nut.mm:
        implausible(
            troubles,
            specs.where("nut_spread"),
            f"the strings spread over {specs.nut_spread} on a nut of {nut}",
            "write the distance between the centres of the outer strings",
        )
    found = stringing.stringing_of(specs)
    if found is None:
        return
    for name, spacing in (("nut_spread", found.at_nut), ("bridge_spread", found.at_bridge)):
        if specs.wrote(name) and stringing.neighbours_touch(spacing):
            words = f"{len(found.rows)} strings of these gauges have no room in {getattr(specs, name)}"
            implausible(troubles, specs.where(name), words, "check the spread and its unit")


def _in(length: Length, unit: str) -> str:
    return f"{length.mm:.1f} mm" if unit == "mm" else f"{length.inches:.2f} in"


def _other(length: Length) -> str:
    return _in(length, "mm" if length.unit == "in" else "in")


# --- the strings -------------------------------------------------------------------------------------------------------


def _strings(specs: Specs, troubles: Troubles) -> None:
    _tuned(specs.tuning, specs.where("tuning"), specs.strings, troubles)
    if specs.a4 is not None and not PITCHES[0] <= float(specs.a4) <= PITCHES[1]:
        implausible(troubles, specs.where("a4"), f"an A4 of {specs.a4} Hz is not one anybody tunes to", "write the pitch of A4 in hertz, such as 440")
    for item in specs.strings:
        _string(item, troubles)
    before = specs.strung_before
    if before is not None:
        _tuned(before.tuning, before.where("tuning"), before.strings or specs.strings, troubles)
        for item in before.strings:
            _string(item, troubles)


def _tuned(tuning: str | None, at: Place, items: Sequence[SpecItem], troubles: Troubles) -> None:
    """Tell notes that can't be read, and strings that do not fit their tuning."""
    steps: tuple[int, ...] = ()
    if tuning is not None:
        try:
            steps = strings.tuning_steps(tuning)
        except Wrong as wrong:
            troubles.wrong(at, wrong)
    if steps and items and len(items) != len(steps):
        troubles.add(
            at,
            "strings-disagree",
            f"the tuning has {counted(len(steps), 'note')} and there {'is' if len(items) == 1 else 'are'} {counted(len(items), 'string')}",
            "write one note for each string, thick string first",
        )
        return
    for n, item in enumerate(items):
        own = _note(item, troubles)
        if steps and own is not None and own != steps[n]:
            found = f"string {n + 1} is written as {item.note} and the tuning has {strings.notes_of(tuning or '')[n]} there"
            troubles.add(item.where("note"), "strings-disagree", found, "take the note off the string, or mend the tuning")


def _note(item: SpecItem, troubles: Troubles) -> int | None:
    if item.note is None:
        return None
    try:
        return strings.steps_from_a4(item.note.strip())
    except Wrong as wrong:
        if not any(told.place == item.where("note") for told in troubles.found):
            troubles.wrong(item.where("note"), wrong)
        return None


def _string(item: SpecItem, troubles: Troubles) -> None:
    steel = item.material is None or "steel" in item.material.casefold()
    if item.gauge is None:
        return
    thick = float(item.gauge.mm)
    if thick < THINNEST_MM:
        unit = f"check the unit: write {item.gauge.figure} in, or " if item.gauge.unit == "mm" else "write "
        mend = f"{unit}the gauge as its packet has it, such as 0.010"
        implausible(troubles, item.where("gauge"), f"no string is as thin as {item.gauge}", mend)
    if not item.wound and item.unit_weight is None and steel and thick > THICKEST_PLAIN_MM:
        troubles.add(
            item.where("gauge"),
            "string-wound-unsaid",
            f"a string of {item.gauge} is not made of plain wire, and it is not said to be wound",
            "write wound: yes, and unit_weight as its maker gives it",
        )
    if item.unit_weight is not None and steel:
        part = float(item.unit_weight.kg_per_m) / strings.plain_mass(thick / 1000)
        if not WOUND_SHARE[0] <= part <= WOUND_SHARE[1]:
            implausible(
                troubles,
                item.where("unit_weight"),
                f"{item.unit_weight} is {part:.2g} times what a steel rod of {item.gauge} weighs",
                "check the unit: write a plain number for pounds an inch, or 15.7 g/m",
            )


def _load(specs: Specs, share: Decimal, troubles: Troubles) -> None:
    moved = stringing.moved_of(specs)
    if moved is None or not moved.past(float(share) / 100):
        return
    least, most = sorted(round(abs(part) * 100) for part in (moved.low, moved.high))
    exact = f"{most} %" if least == most else f"{least} to {most} %"
    found = f"the strings pull {exact} {'more' if moved.low > 0 else 'less'} than before, past the shop's {share:f} %"
    at = specs.strung_before.at if specs.strung_before else specs.at
    troubles.add(at, "string-load-moved", found, "look to the truss rod, the neck joint and the bridge, and set it up anew; then take strung_before out")


# --- the wiring --------------------------------------------------------------------------------------------------------


def _wiring(specs: Specs, troubles: Troubles) -> None:
    battery = specs.battery
    for record, name, at in _nothings(specs):
        implausible(troubles, at, f"{name} of {record} is 0", "write the figure from its sheet, or leave the key out")
    for light in specs.leds:
        if battery is not None and battery.volts and light.volts and light.volts >= battery.volts:
            found = f"{light.what or 'a light'} needs {light.volts:f} V and the battery has {battery.volts:f} V, of which its resistor takes some"
            troubles.add(light.where("volts"), "light-over-volts", found, "write a light of fewer volts, or a battery of more")


def _nothings(specs: Specs) -> Iterator[tuple[str, str, Place]]:
    """Figures that are written and nothing, and would divide by it."""
    for name in ("volts", "mah"):
        if specs.battery is not None and getattr(specs.battery, name) == 0:
            yield "the battery", name, specs.battery.where(name)
    for what, items, names in (("a light", specs.leds, ("volts", "ma", "qty")), ("a pickup", specs.pickups, ("ma", "kohm")), ("a pot", specs.pots, ("kohm",))):
        yield from ((item.what or what, name, item.where(name)) for item in items for name in names if getattr(item, name) == 0)
    if specs.tone_nf == 0:
        yield "the tone capacitor", "tone_nf", specs.where("tone_nf")
