"""The strings and the wiring of a build as parts of its page of sheets.

Invariant: works nothing out; the figures are those of `purfle.sheets`.
"""

from collections.abc import Iterator

from purfle.notes.model import Build
from purfle.sheets.powering import Wiring
from purfle.sheets.stringing import EDGE_MM, Spacing, Stringing
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Fact, OfficeDesk, facts_of
from purfle.views.office_sheet_parts import SheetPart, SheetTable, both, force, pair

# --- strings -----------------------------------------------------------------------------------------------------------


def strings_part(desk: OfficeDesk, build: Build, found: Stringing | None) -> SheetPart | None:
    """Pitch, pull and place of each string."""
    specs = build.sheet.specs
    if found is None or specs is None:
        return None
    written = bool(specs.strings)
    source = desk.source(specs.where("strings") if written else specs.where("tuning"))
    tables = (_string_table(found, written), *_spacings(found))
    return SheetPart("strings", "Strings", _string_facts(found, written), tables, tuple(_string_remarks(found)), source)


def _string_facts(found: Stringing, written: bool) -> tuple[Fact, ...]:
    load = f"{'at least ' if found.unknown else ''}{force(found.load)}" if found.unknown < len(found.rows) else None
    return facts_of(
        ("load on the neck", load),
        ("not known", f"{found.unknown} of {len(found.rows)} strings" if found.unknown and written else None),
        ("compared with before", _moved(found)),
        ("concert pitch", f"A4 = {found.a4:g} Hz"),
    )


def _string_table(found: Stringing, written: bool) -> SheetTable:
    """Each string; of a tuning without strings, which are not `written`, the notes alone."""
    rows: tuple[tuple[str, ...], ...] = tuple(
        (
            row.name,
            f"{row.pitch:.2f}" if row.pitch else NOTHING,
            str(row.gauge) if row.gauge else NOTHING,
            "wound" if row.wound else "plain" if row.gauge else NOTHING,
            force(row.pull) if row.pull is not None else row.unknown,
        )
        for row in found.rows
    )
    head: tuple[str, ...] = ("note", "Hz", "gauge", "kind", "tension")
    shown = len(head) if written else 2
    return SheetTable("Each string, thick to thin", head[:shown], tuple(row[:shown] for row in rows))


def _string_remarks(found: Stringing) -> Iterator[str]:
    yield (
        "Tension = mass per length × (2 × scale × pitch)² (OpenStax, University Physics 1, 16.3). Plain steel at 7,850 kg/m³; real strings pull about half a percent less. A wound string's weight comes from its maker and is never guessed."
    )
    if found.courses:
        yield "The strings are in pairs; the gap within a pair is a matter of taste, so no spacing is worked out."
    if found.at_nut and found.at_nut.assumed:
        yield f"Without nut_spread the outer strings are set {EDGE_MM:g} mm in from the board's edge (common practice, no source)."


def _moved(found: Stringing) -> str | None:
    moved = found.moved
    if moved is None:
        return None
    low, high = moved.low * 100, moved.high * 100
    return f"{low:+.1f} %" if abs(high - low) < 0.05 else f"{low:+.1f} to {high:+.1f} %"


def _spacings(found: Stringing) -> Iterator[SheetTable]:
    for name, spacing in (("the nut", found.at_nut), ("the bridge", found.at_bridge)):
        if spacing is not None:
            yield _spacing_table(found, name, spacing)


def _spacing_table(found: Stringing, name: str, spacing: Spacing) -> SheetTable:
    gaps = spacing.equal_gaps
    head = ("note", *(("equal gaps, mm", "in") if gaps else ()), "equal centres, mm", "in")
    rows = tuple((row.name, *(pair(gaps[n], False) if gaps else ()), *pair(spacing.equal_centres[n], False)) for n, row in enumerate(found.rows))
    gap = f", gap {both(spacing.gap)}" if gaps and spacing.gap is not None else ""
    return SheetTable(f"Centres at {name}, from the first string's: {both(spacing.spread)} in all{gap}", head, rows)


# --- wiring ------------------------------------------------------------------------------------------------------------


def wiring_part(desk: OfficeDesk, build: Build, found: Wiring | None) -> SheetPart | None:
    """Battery, lights and pots."""
    specs = build.sheet.specs
    if found is None or specs is None:
        return None
    first = next((key for key in ("battery", "leds", "pots", "pickups") if specs.wrote(key)), "tone_nf")
    source = desk.source(specs.where(first))
    return SheetPart("wiring", "Wiring", _wiring_facts(found), tuple(_wiring_tables(found)), tuple(_wiring_remarks(found)), source)


def _wiring_facts(found: Wiring) -> tuple[Fact, ...]:
    return facts_of(
        ("battery life", f"about {found.hours_all:.0f} h, everything on" if found.hours_all else None),
        ("lights off", f"about {found.hours_dark:.0f} h" if found.hours_dark else None),
        ("draws", f"{sum(draw.ma for draw in found.draws):.2f} mA in all" if found.draws else None),
        ("battery", ", ".join(filter(None, (f"{found.volts:g} V" if found.volts else "", f"{found.mah:g} mAh" if found.mah else ""))) or None),
        *(("tone rolls off", f"at {hertz:.2f} Hz with {kohm:g} kΩ, a guide only") for kohm, hertz in found.tone),
    )


def _wiring_remarks(found: Wiring) -> Iterator[str]:
    if found.chains:
        yield (
            "Resistor: (battery − lights) ÷ current, the next value up in the E24 series of IEC 60063; its rating is at least twice the power it takes. Each chain leaves a quarter of the battery's voltage to its resistor, so that it stays lit as the battery sags (common practice, no source)."
        )
    if found.mah:
        yield "Hours = capacity ÷ current; a cell gives its rated capacity only at the current and temperature its maker states."
    if found.loads or found.tone:
        yield "The figures for pots and capacitor are a guide: a pickup's inductance and the cable shift them."
    yield "Only small batteries inside the instrument. Amplifiers and mains are out of scope: leave them to a licensed technician."


def _wiring_tables(found: Wiring) -> Iterator[SheetTable]:
    rows: tuple[tuple[str, ...], ...]
    if found.chains:
        rows = tuple(
            (
                chain.what,
                str(chain.lights),
                str(chain.chains),
                f"{chain.exact:.1f} Ω",
                f"{chain.ohms:g} Ω",
                f"{chain.ma:.2f} mA",
                f"{chain.watts:.3f} W",
                f"{chain.rating:g} W" if chain.rating else "look for one",
            )
            for chain in found.chains
        )
        yield SheetTable("Lights, each chain with one resistor", ("light", "in series", "chains", "exact", "E24", "draws", "in the resistor", "buy"), rows)
    if found.draws:
        yield SheetTable("On the battery", ("what", "mA"), tuple((draw.what, f"{draw.ma:.2f}") for draw in found.draws))
    if found.loads:
        rows = tuple(
            (load.pickup or "every pickup", f"{load.ohms / 1000:.1f} kΩ", f"{load.passed * 100:.1f} %" if load.passed is not None else NOTHING)
            for load in found.loads
        )
        yield SheetTable("Pots on the pickups, turned up", ("pickup", "works into", "passed, low frequencies"), rows)
