"""What the specifications imply, for the terminal and as JSON.

Lengths in millimetres and inches, forces in newtons; figures are decimal strings, as in all answers.
Invariant: works nothing out; every value was worked out before.
"""

from collections.abc import Callable, Iterator
from decimal import Decimal

from purfle.base.measures import in_inches
from purfle.sheets import Sheets
from purfle.sheets.frets import Board
from purfle.sheets.powering import Wiring
from purfle.sheets.shipping import Parcel
from purfle.sheets.stringing import Spacing, Stringing
from purfle.sheets.strings import pounds_of_force
from purfle.shell.contract import Answer, money


def _figure(value: float | None, places: int) -> str | None:
    return None if value is None else f"{value:.{places}f}"


def answer(sheets: Sheets, currency: str) -> Answer:
    """`worked_out`: frets, strings, wiring, parcel, wood moisture and cautions; null where the notes say too little."""
    return {
        "frets": None if sheets.board is None else _frets(sheets.board),
        "strings": None if sheets.strings is None else _strings(sheets.strings),
        "wiring": None if sheets.wiring is None else _wiring(sheets.wiring),
        "parcel": None if sheets.parcel is None else _parcel(sheets.parcel, money(currency)),
        "wood_moisture": _figure(sheets.moisture, 2),
        "cautions": [
            {"caution": c.title, "stages": list(c.to_come), "source": c.source, "checked_on": c.checked_on.isoformat()} for c in sheets.cautions if c.now
        ],
    }


def _frets(board: Board) -> Answer:
    rows = [
        {
            "fret": f.number,
            "mm": _figure(f.from_nut, 3),
            "in": _figure(in_inches(f.from_nut), 4),
            "gap_mm": _figure(f.gap, 3),
            "width_mm": _figure(f.width, 2),
            "radius_mm": _figure(f.radius, 2),
        }
        for f in board.frets
    ]
    refret = None if board.refret is None else {"frets": board.refret.frets, "wire_mm": _figure(board.refret.wire, 0), "at_least": board.refret.at_least}
    return {"scale_mm": _figure(board.scale, 3), "positions": rows, "refret": refret}


def _strings(found: Stringing) -> Answer:
    rows = [
        {
            "note": r.name,
            "hz": _figure(r.pitch, 3),
            "gauge": None if r.gauge is None else str(r.gauge),
            "newtons": _figure(r.pull, 2),
            "unknown": r.unknown or None,
        }
        for r in found.rows
    ]
    moved = None if found.moved is None else [_figure(part, 4) for part in (found.moved.low, found.moved.high)]
    return {
        "a4": _figure(found.a4, 2),
        "each": rows,
        "load_newtons": _figure(found.load, 2),
        "load_unknown": found.unknown,
        "moved": moved,
        "at_nut": None if found.at_nut is None else _spacing(found.at_nut),
        "at_bridge": None if found.at_bridge is None else _spacing(found.at_bridge),
    }


def _spacing(found: Spacing) -> Answer:
    return {
        "spread_mm": _figure(found.spread, 3),
        "gap_mm": _figure(found.gap, 3),
        "equal_gaps_mm": [_figure(centre, 3) for centre in found.equal_gaps],
        "equal_centres_mm": [_figure(centre, 3) for centre in found.equal_centres],
    }


def _wiring(found: Wiring) -> Answer:
    chains = [
        {
            "what": c.what,
            "in_series": c.lights,
            "chains": c.chains,
            "exact_ohms": _figure(c.exact, 2),
            "e24_ohms": f"{c.ohms:g}",
            "ma": _figure(c.ma, 3),
            "watts": _figure(c.watts, 4),
            "rating_watts": None if c.rating is None else f"{c.rating:g}",
        }
        for c in found.chains
    ]
    loads = [{"pickup": load.pickup or None, "kohm": _figure(load.ohms / 1000, 3), "passed": _figure(load.passed, 4)} for load in found.loads]
    return {
        "lights": chains,
        "hours_all_on": _figure(found.hours_all, 1),
        "hours_lights_off": _figure(found.hours_dark, 1),
        "loads": loads,
        "tone_hz": [_figure(hertz, 2) for _, hertz in found.tone],
    }


def _parcel(found: Parcel, amount: Callable[[Decimal | None], str | None]) -> Answer:
    return {
        "dimensional_kg": None if found.dimensional is None else _figure(float(found.dimensional.kg), 3),
        "billed_kg": None if found.billed is None else _figure(float(found.billed.kg), 3),
        "cost": amount(found.cost),
        "insured": amount(found.insured),
    }


def lines(sheets: Sheets) -> Iterator[tuple[str, str]]:
    """The few figures that a person looks up most, with their names."""
    board, strings, wiring = sheets.board, sheets.strings, sheets.wiring
    if board is not None and board.refret is not None:
        yield "wire for a refret", f"{'at least ' if board.refret.at_least else ''}{board.refret.wire / 1000:.2f} m"
    if strings is not None and strings.unknown < len(strings.rows):
        yield "load on the neck", f"{'at least ' if strings.unknown else ''}{strings.load:.1f} N, {pounds_of_force(strings.load):.1f} lbf"
    if wiring is not None and wiring.hours_all is not None:
        yield "battery, everything on", f"{wiring.hours_all:.0f} h"
    for caution in sheets.cautions:
        if caution.now:
            yield "caution", caution.title + (f" ({', '.join(caution.to_come)})" if caution.to_come else "")
