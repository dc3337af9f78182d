"""The worked-out sheets of a build, as parts of a page: frets, strings, wiring, finish, parcel, cautions.

Technical figures are written with a point and fixed decimals, as gauges and data sheets are, in either unit of length.
Invariant: works nothing out; the figures are those of `purfle.sheets`.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from urllib.parse import quote

from purfle.base.quantities import Weight
from purfle.notes.model import Build
from purfle.progress.model import Progress
from purfle.sheets import frets, strings
from purfle.sheets.cautions import Caution
from purfle.sheets.finish import CoatRow, Schedule
from purfle.sheets.frets import Board
from purfle.sheets.model import Sheets
from purfle.sheets.powering import Wiring
from purfle.sheets.shipping import Parcel
from purfle.sheets.stringing import EDGE_MM, Spacing, Stringing
from purfle.views.amounts import NOTHING
from purfle.views.office_build import Fact
from purfle.views.office_desk import Desk, Link, Noted, Source
from purfle.views.office_template import FretTemplate, template_of
from purfle.views.office_week import Week

_INCH = 25.4


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of worked-out figures."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One part of the page."""

    id: str
    title: str
    facts: tuple[Fact, ...]
    tables: tuple[SheetTable, ...]
    remarks: tuple[str, ...]
    """What the figures hold for, and where they come from."""
    source: Source | None


@dataclass(frozen=True, slots=True)
class CautionView:
    """A caution, with its source and the day it was checked."""

    title: str
    says: str
    source: str
    checked: str
    stages: tuple[str, ...]
    """The stages it belongs to; empty for none."""
    why: str


@dataclass(frozen=True, slots=True)
class MindRow:
    """A caution that belongs to work of the week."""

    title: str
    work: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class SheetsView:
    """All sheets of one build."""

    build: Link
    page: str
    title: str
    parts: tuple[SheetPart, ...]
    cautions: tuple[CautionView, ...]
    """About what is still to come."""
    past: tuple[CautionView, ...]
    """About stages that are finished."""
    template: FretTemplate | None
    noted: tuple[Noted, ...]

    @property
    def gist(self) -> tuple[Fact, ...]:
        """The first facts of each part, for the build's own page."""
        return tuple(fact for part in self.parts for fact in part.facts[:3])


def sheets_views_of(desk: Desk, sheets: Mapping[str, Sheets], progress: Mapping[str, Progress]) -> tuple[SheetsView, ...]:
    """The sheets of every build that has any."""
    views = (_view(replace(desk, within=f"builds/{build.id}/"), build, sheets[build.id]) for build in desk.shop.builds if build.id in sheets and build.id in progress)
    return tuple(view for view in views if view.parts or view.cautions or view.past)


def _view(desk: Desk, build: Build, found: Sheets) -> SheetsView:
    parts = tuple(part for part in (_wood(desk, build, found.moisture), _frets(desk, build, found.board), _strings(desk, build, found.strings), _wiring(desk, build, found.wiring), _finish(desk, found.finish), _parcel(desk, build, found)) if part)
    link, name = desk.build(build.id), quote(build.id)
    now, past = [c for c in found.cautions if c.now], [c for c in found.cautions if not c.now]
    template = template_of(desk.titles[build.id], f"sheets/{name}-frets.html", found.board, desk.shop.settings.sheets.paper) if found.board else None
    return SheetsView(link, f"sheets/{name}.html", desk.titles[build.id], parts, tuple(_caution(desk, c) for c in now), tuple(_caution(desk, c) for c in past), template, desk.noted(part.source for part in parts))


# --- writing figures ---------------------------------------------------------------------------------------------------


def both(mm: float, inch_first: bool = False) -> str:
    """A length in both units: `647.70 mm (25.500 in)`, the one it was written in first."""
    metric, imperial = f"{mm:.2f} mm", f"{mm / _INCH:.3f} in"
    return f"{imperial} ({metric})" if inch_first else f"{metric} ({imperial})"


def force(newtons: float) -> str:
    """A force in both units: `72.5 N (16.3 lbf)`."""
    return f"{newtons:.1f} N ({strings.pounds_of_force(newtons):.1f} lbf)"


def _facts(pairs: Iterable[tuple[str, str | None]]) -> tuple[Fact, ...]:
    return tuple(Fact(label, words) for label, words in pairs if words)


def _columns(inch_first: bool) -> tuple[str, str]:
    return ("in", "mm") if inch_first else ("mm", "in")


def _pair(mm: float | None, inch_first: bool) -> tuple[str, str]:
    if mm is None:
        return NOTHING, NOTHING
    metric, imperial = f"{mm:.2f}", f"{mm / _INCH:.3f}"
    return (imperial, metric) if inch_first else (metric, imperial)


def _wood(desk: Desk, build: Build, moisture: float | None) -> SheetPart | None:
    specs, room = build.sheet.specs, desk.shop.settings.sheets
    if moisture is None or specs is None:
        return None
    facts = _facts((("settles at", f"{moisture:.1f} % moisture"), ("in a room of", f"{room.humidity:f} % humidity, {room.celsius:f} °C")))
    remarks = ("Good to about 0.2 % at room warmth (US Forest Products Laboratory, Wood Handbook, chapter 4); species, finish and the wood's past add half a percent either way. Glue, level and string where it will be played, or near it.",)
    return SheetPart("wood", "Wood", facts, (), remarks, desk.source(specs.where("woods")))


# --- frets -------------------------------------------------------------------------------------------------------------


def _frets(desk: Desk, build: Build, board: Board | None) -> SheetPart | None:
    specs = build.sheet.specs
    if board is None or specs is None or specs.scale_length is None:
        return None
    inch = specs.scale_length.unit == "in"
    refret = board.refret
    octave = next((fret for fret in board.frets if fret.number == frets.STEPS), None)
    facts = _facts((
        ("scale length", both(board.scale, inch)),
        ("frets", str(len(board.frets))),
        ("wire for a refret", f"{'at least ' if refret.at_least else ''}{refret.wire / 1000:.2f} m ({refret.wire / _INCH:.0f} in)" if refret else None),
        ("twelfth fret", both(octave.from_nut, inch) if octave else None),
        ("last fret", both(board.last, inch)),
        ("radius at the saddle", both(board.saddle_radius, inch) if board.saddle_radius else None),
        ("board", "bound: nip the tangs at the binding" if board.bound else None),
    ))
    remarks = ["Equal temperament: scale × (1 − 2^(−fret ÷ 12)), from the nut's face. Nothing is allowed for stretching or for the saddle's setback."]
    if refret:
        words = f"The wire is counted with {frets.ENDS_MM:g} mm for the ends of each fret and {frets.WASTE:.0%} waste (common practice, no source)"
        remarks.append(words + ("; without heel_width every fret is counted as wide as the nut, so there will be more." if refret.at_least else "."))
    return SheetPart("frets", "Frets", facts, (_fret_table(board, inch),), tuple(remarks), desk.source(specs.where("scale_length")))


def _fret_table(board: Board, inch: bool) -> SheetTable:
    one, other = _columns(inch)
    extra = [name for name, there in (("width", board.frets[0].width), ("radius", board.frets[0].radius)) if there is not None]
    head = ("fret", f"from the nut, {one}", other, f"from the last, {one}", other, *(f"{name}, {one}" for name in extra))
    rows = tuple(
        (str(fret.number), *_pair(fret.from_nut, inch), *_pair(fret.gap, inch), *(_pair(getattr(fret, name), inch)[0] for name in extra))
        for fret in board.frets
    )
    return SheetTable("Positions", head, rows)


# --- strings -----------------------------------------------------------------------------------------------------------


def _strings(desk: Desk, build: Build, found: Stringing | None) -> SheetPart | None:
    specs = build.sheet.specs
    if found is None or specs is None:
        return None
    known = len(found.rows) - found.unknown
    load = f"{'at least ' if found.unknown else ''}{force(found.load)}" if known else None
    facts = _facts((
        ("load on the neck", load),
        ("of it not known", f"{found.unknown} of {len(found.rows)} strings" if found.unknown and specs.strings else None),
        ("against before", _moved(found)),
        ("concert pitch", f"A4 = {found.a4:g} Hz"),
    ))
    rows: tuple[tuple[str, ...], ...] = tuple(
        (row.name, f"{row.pitch:.2f}" if row.pitch else NOTHING, str(row.gauge) if row.gauge else NOTHING, "wound" if row.wound else "plain" if row.gauge else NOTHING, force(row.pull) if row.pull is not None else row.unknown)
        for row in found.rows
    )
    head: tuple[str, ...] = ("note", "Hz", "gauge", "kind", "tension")
    if not specs.strings:
        head, rows = head[:2], tuple(row[:2] for row in rows)
    tables = [SheetTable("Each string, thick to thin", head, rows), *_spacings(found)]
    remarks = [
        "Tension: mass for each length × (2 × scale × pitch)² (OpenStax, University Physics 1, 16.3). Plain steel at 7,850 kg/m³; real strings pull about half a percent less. A wound string's weight is its maker's, never guessed.",
        *(["Strings stand in pairs; how a pair is set apart is a matter of taste, so no spacing is worked out."] if found.courses else []),
        *([f"No nut_spread is written: the outer strings are set {EDGE_MM:g} mm in from the board's edge (common practice, no source)."] if found.at_nut and found.at_nut.assumed else []),
    ]
    return SheetPart("strings", "Strings", facts, tuple(tables), tuple(remarks), desk.source(specs.where("strings") if specs.strings else specs.where("tuning")))


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
    rows = tuple((row.name, *(_pair(gaps[n], False) if gaps else ()), *_pair(spacing.equal_centres[n], False)) for n, row in enumerate(found.rows))
    gap = f", gap {both(spacing.gap)}" if gaps and spacing.gap is not None else ""
    return SheetTable(f"Centres at {name}, from the first string's: {both(spacing.spread)} in all{gap}", head, rows)


# --- wiring ------------------------------------------------------------------------------------------------------------


def _wiring(desk: Desk, build: Build, found: Wiring | None) -> SheetPart | None:
    specs = build.sheet.specs
    if found is None or specs is None:
        return None
    facts = _facts((
        ("battery lasts", f"about {found.hours_all:.0f} h, everything on" if found.hours_all else None),
        ("lights off", f"about {found.hours_dark:.0f} h" if found.hours_dark else None),
        ("draws", f"{sum(draw.ma for draw in found.draws):.2f} mA in all" if found.draws else None),
        ("battery", ", ".join(filter(None, (f"{found.volts:g} V" if found.volts else "", f"{found.mah:g} mAh" if found.mah else ""))) or None),
        *(("tone rolls off", f"at {hertz:.2f} Hz with {kohm:g} kΩ, a guide only") for kohm, hertz in found.tone),
    ))
    remarks = []
    if found.chains:
        remarks.append("Resistor: (battery − lights) ÷ current, the next value up in the E24 series of IEC 60063; its rating is at least twice what it sees. Chains leave a quarter of the battery's volts to the resistor, so that they stay lit while it sags (common practice, no source).")
    if found.mah:
        remarks.append("Hours are capacity over current; a cell gives its rated capacity only at its maker's own current and warmth.")
    if found.loads or found.tone:
        remarks.append("What pots and capacitor do is a guide: a pickup's inductance and the cable shift it.")
    remarks.append("Only small batteries inside the instrument. Amplifiers and mains are out of scope: they belong to a licensed technician.")
    return SheetPart("wiring", "Wiring", facts, tuple(_wiring_tables(found)), tuple(remarks), desk.source(specs.where(next((key for key in ("battery", "leds", "pots", "pickups") if specs.wrote(key)), "tone_nf"))))


def _wiring_tables(found: Wiring) -> Iterator[SheetTable]:
    rows: tuple[tuple[str, ...], ...]
    if found.chains:
        rows = tuple(
            (chain.what, str(chain.lights), str(chain.chains), f"{chain.exact:.1f} Ω", f"{chain.ohms:g} Ω", f"{chain.ma:.2f} mA", f"{chain.watts:.3f} W", f"{chain.rating:g} W" if chain.rating else "look for one")
            for chain in found.chains
        )
        yield SheetTable("Lights, each chain with one resistor", ("light", "in series", "chains", "exact", "E24", "draws", "in the resistor", "buy"), rows)
    if found.draws:
        yield SheetTable("On the battery", ("what", "mA"), tuple((draw.what, f"{draw.ma:.2f}") for draw in found.draws))
    if found.loads:
        rows = tuple((load.pickup or "every pickup", f"{load.ohms / 1000:.1f} kΩ", f"{load.passed:.1%}" if load.passed is not None else NOTHING) for load in found.loads)
        yield SheetTable("Pots on the pickups, turned up", ("pickup", "works into", "passed, low frequencies"), rows)


# --- finish ------------------------------------------------------------------------------------------------------------


def _finish(desk: Desk, found: Schedule | None) -> SheetPart | None:
    if found is None:
        return None
    day = desk.write.date
    coats: tuple[tuple[str, ...], ...] = tuple(
        (row.stage, row.coat or NOTHING, str(row.coats) if row.coats else NOTHING, _next_coat(desk, row), _day(day(row.finished), row.expected), row.cure, _day(day(row.free), row.expected), ", ".join(filter(None, (row.sheet, row.warm))) or NOTHING)
        for row in found.coats
    )
    follow: tuple[tuple[str, ...], ...] = tuple((row.stage, f"to {row.does}" if row.does else NOTHING, _day(day(row.opens), row.expected), day(row.begun)) for row in found.follow)
    facts = _facts((f"can be {_DONE[row.does]}", f"{_day(day(row.opens), row.expected)} ({row.stage})") for row in found.follow if row.does and row.opens is not None and row.begun is None)
    tables = [SheetTable("Coats", ("stage", "coat", "coats or days noted", "next coat", "last one", "cures", "free from", "data sheet, warmth"), coats)]
    if follow:
        tables.append(SheetTable("What waits for them", ("stage", "what it is", "not before", "begun"), follow))
    remarks = ("The cures are those of the cure table and the route, which the plan uses too; days marked ~ are the plan's 80 % days, and “not before” goes as far as coats and cures do. The product's data sheet is the authority, and warmth and damp change every figure.",)
    return SheetPart("finish", "Finish schedule", facts, tuple(tables), remarks, None)


def _next_coat(desk: Desk, row: CoatRow) -> str:
    """The window in words, and on the clock while the coat is open."""
    sides = [f"{word} {desk.write.day(moment.date())} {moment:%H:%M}" for word, moment in (("until", row.until), ("from", row.again)) if moment is not None]
    return f"{row.window}: {', or '.join(sides)}" if sides else row.window or NOTHING


_DONE = {"sand": "sanded", "buff": "buffed", "assemble": "assembled", "string": "strung"}


def _day(words: str, expected: bool) -> str:
    return f"~ {words}" if expected and words != NOTHING else words


# --- the parcel --------------------------------------------------------------------------------------------------------


def weight(found: Weight | None) -> str | None:
    """A weight in both units: `7.20 kg (15.87 lb)`."""
    if found is None:
        return None
    metric, imperial = f"{found.kg:.2f} kg", f"{found.pounds:.2f} lb"
    return f"{imperial} ({metric})" if found.unit == "lb" else f"{metric} ({imperial})"


def _parcel(desk: Desk, build: Build, found: Sheets) -> SheetPart | None:
    parcel = found.parcel
    if parcel is None:
        return None
    packed, carrier = parcel.packed, desk.shop.settings.shipping
    sides = [side for side in (packed.length, packed.width, packed.height) if side is not None]
    size = " × ".join(f"{float(side.mm) / 10:.1f}" for side in sides) + " cm (" + " × ".join(f"{float(side.inches):.1f}" for side in sides) + " in)" if sides else None
    facts = _facts((
        ("expected to take", _cost(desk, parcel)),
        ("weighed as", weight(parcel.billed)),
        ("insured for", desk.write.money(parcel.insured) if parcel.insured is not None else None),
        ("box", size),
        ("on the scale", weight(packed.weight)),
        ("dimensional weight", weight(parcel.dimensional)),
        ("goes abroad", "yes" if packed.abroad else None),
    ))
    declared = tuple((c.title, c.says) for c in found.cautions if c.id in ("lithium", "dry cells", "rosewood", "shell", "ebony"))
    tables = (SheetTable("To declare, or to find out before packing", ("what", "how"), declared),) if declared else ()
    divisor = f"Dimensional weight: volume over {carrier.divisor:f} ({carrier.per.replace('3', '³')}), the shop's divisor. " if carrier.divisor else "No divisor is written under shipping: in shop.md, so only the scale counts. "
    return SheetPart("parcel", "The parcel", facts, tables, (divisor + "Carriers round up by their own tables: their bill is the figure.",), desk.source(packed.at))


def _cost(desk: Desk, parcel: Parcel) -> str | None:
    if parcel.cost is None:
        return None
    who = "the buyer bears it" if parcel.packed.paid_by == "buyer" else "in the quote"
    return f"{desk.write.money(parcel.cost)}, {'from the rate, ' if parcel.worked_out else ''}{who}"


# --- cautions ----------------------------------------------------------------------------------------------------------


def _caution(desk: Desk, found: Caution) -> CautionView:
    checked = f"{found.checked}; {desk.write.date(found.checked_on)}"
    return CautionView(found.title, found.says, found.source, checked, found.to_come or found.done, found.why)


def mind_of(week: Week, sheets: Iterable[SheetsView]) -> tuple[MindRow, ...]:
    """The cautions of the stages that are planned for the week."""
    views = {view.build.href: view for view in sheets}
    found: dict[str, list[Link]] = {}
    planned = dict.fromkeys((task.build.href, task.build.words, task.stage) for day in week.days for task in day.tasks if task.build)
    for href, title, stage in planned:
        for caution in views[href].cautions if href in views else ():
            if stage in caution.stages:
                found.setdefault(caution.title, []).append(Link(f"{title} {stage}", f"{views[href].page}#cautions"))
    return tuple(MindRow(title, tuple(links)) for title, links in found.items())
