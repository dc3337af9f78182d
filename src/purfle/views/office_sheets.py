"""The worked-out sheets of a build, as parts of a page: frets, strings, wiring, finish, parcel, cautions.

Technical figures are written with a point and fixed decimals, as gauges and data sheets are, in either unit of length.
Invariant: works nothing out; the figures are those of `purfle.sheets`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from purfle.base.measures import in_inches
from purfle.notes.model import Build
from purfle.notes.records.build import Packed
from purfle.progress.warmth import room_on
from purfle.sheets import frets
from purfle.sheets.cautions import Caution
from purfle.sheets.finish import CoatRow, Schedule
from purfle.sheets.frets import Board
from purfle.sheets.model import Sheets
from purfle.sheets.shipping import Parcel
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Fact, Link, Noted, OfficeDesk, facts_of
from purfle.views.office_sheet_parts import SheetPart, SheetTable, both, columns, pair, weight
from purfle.views.office_sheet_strings import strings_part, wiring_part
from purfle.views.office_template import FretTemplate, template_of
from purfle.views.office_week import Week


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
    today: bool
    """Some of that work is today's."""


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


def sheets_views_of(desk: OfficeDesk, sheets: Mapping[str, Sheets]) -> tuple[SheetsView, ...]:
    """The sheets of every build that has any."""
    views = (_view(replace(desk, within=f"builds/{build.id}/"), build, sheets[build.id]) for build in desk.shop.builds)
    return tuple(view for view in views if view.parts or view.cautions or view.past)


def _view(desk: OfficeDesk, build: Build, found: Sheets) -> SheetsView:
    parts = tuple(
        part
        for part in (
            _wood(desk, build, found.moisture),
            _frets(desk, build, found.board),
            strings_part(desk, build, found.strings),
            wiring_part(desk, build, found.wiring),
            _finish(desk, found.finish),
            _parcel(desk, build, found),
        )
        if part
    )
    now, past = [c for c in found.cautions if c.now], [c for c in found.cautions if not c.now]
    template = template_of(desk.titles[build.id], f"sheets/{build.id}-frets.html", found.board, desk.shop.settings.sheets.paper) if found.board else None
    return SheetsView(
        build=desk.build(build.id),
        page=f"sheets/{build.id}.html",
        title=desk.titles[build.id],
        parts=parts,
        cautions=tuple(_caution(desk, c) for c in now),
        past=tuple(_caution(desk, c) for c in past),
        template=template,
        noted=desk.noted(part.source for part in parts),
    )


# --- wood and frets ---------------------------------------------------------------------------------------------------


def _wood(desk: OfficeDesk, build: Build, moisture: float | None) -> SheetPart | None:
    specs, room = build.sheet.specs, room_on(desk.shop.settings.room, desk.today)
    if moisture is None or specs is None or room is None:
        return None
    facts = facts_of(("wood settles at", f"{moisture:.1f} % moisture"), ("in a room of", f"{room.humidity:f} % humidity, {room.celsius:f} °C"))
    remarks = (
        "Good to about 0.2 % at room temperature (US Forest Products Laboratory, Wood Handbook, chapter 4); species, finish and the wood's history add half a percent either way. Glue, level and string it where it will be played, or close to that.",
    )
    return SheetPart("wood", "Wood", facts, (), remarks, desk.source(specs.where("woods")))


def _frets(desk: OfficeDesk, build: Build, board: Board | None) -> SheetPart | None:
    specs = build.sheet.specs
    if board is None or specs is None or specs.scale_length is None:
        return None
    inch = specs.scale_length.unit == "in"
    refret = board.refret
    octave = next((fret for fret in board.frets if fret.number == frets.STEPS), None)
    facts = facts_of(
        ("scale length", both(board.scale, inch)),
        ("frets", str(len(board.frets))),
        ("wire for a refret", f"{'at least ' if refret.at_least else ''}{refret.wire / 1000:.2f} m ({in_inches(refret.wire):.0f} in)" if refret else None),
        ("twelfth fret", both(octave.from_nut, inch) if octave else None),
        ("last fret", both(board.last, inch)),
        ("radius at the saddle", both(board.saddle_radius, inch) if board.saddle_radius else None),
        ("board", "bound: nip the tangs at the binding" if board.bound else None),
    )
    remarks = ["Equal temperament: scale × (1 − 2^(−fret ÷ 12)), from the nut's face, with no allowance for stretching or the saddle's setback."]
    if refret:
        words = f"The wire includes {frets.ENDS_MM:g} mm for the ends of each fret and {frets.WASTE * 100:g} % waste (common practice, no source)"
        remarks.append(words + ("; without heel_width every fret is taken to be as wide as the nut, so you will need more." if refret.at_least else "."))
    return SheetPart("frets", "Frets", facts, (_fret_table(board, inch),), tuple(remarks), desk.source(specs.where("scale_length")))


@lru_cache(maxsize=64)
def _fret_table(board: Board, inch: bool) -> SheetTable:
    """The positions; kept, for most boards of a shop have one of a few scales."""
    one, other = columns(inch)
    extra = [name for name, there in (("width", board.frets[0].width), ("radius", board.frets[0].radius)) if there is not None]
    head = ("fret", f"from the nut, {one}", other, f"from the last, {one}", other, *(f"{name}, {one}" for name in extra))
    rows = tuple(
        (str(fret.number), *pair(fret.from_nut, inch), *pair(fret.gap, inch), *(pair(getattr(fret, name), inch)[0] for name in extra)) for fret in board.frets
    )
    return SheetTable("Positions", head, rows)


# --- finish ------------------------------------------------------------------------------------------------------------


def _finish(desk: OfficeDesk, found: Schedule | None) -> SheetPart | None:
    if found is None:
        return None
    coming = (row for row in found.follow if row.does and row.opens is not None and row.begun is None)
    facts = tuple(Fact(f"can be {_DONE[row.does]}", f"{_day(desk, row.opens, row.expected)} ({row.stage})") for row in coming)
    coats = tuple(_coat(desk, row) for row in found.coats)
    tables = [SheetTable("Coats", ("stage", "coat", "coats or days noted", "next coat", "last one", "cures", "free from", "data sheet, temperature"), coats)]
    if found.follow:
        follow = tuple(
            (row.stage, f"to {row.does}" if row.does else NOTHING, _day(desk, row.opens, row.expected), desk.write.date(row.begun)) for row in found.follow
        )
        tables.append(SheetTable("What waits for the cures", ("stage", "what it is", "not before", "begun"), follow))
    remark = desk.told(
        "The cures come from the cure table and the route, as in the plan; days marked ~ are the plan's 80 % days, and “not before” counts coats and cures alone. The product's data sheet is the authority; temperature and damp change every figure."
    )
    return SheetPart("finish", "Finish schedule", facts, tuple(tables), (remark,), None)


def _coat(desk: OfficeDesk, row: CoatRow) -> tuple[str, ...]:
    return (
        row.stage,
        row.coat or NOTHING,
        str(row.coats) if row.coats else NOTHING,
        _next_coat(desk, row),
        _day(desk, row.finished, row.expected),
        row.cure,
        _day(desk, row.free, row.expected),
        ", ".join(filter(None, (row.sheet, row.warm))) or NOTHING,
    )


def _next_coat(desk: OfficeDesk, row: CoatRow) -> str:
    """The window in words, and on the clock while the coat is open."""
    sides = [f"{word} {desk.write.day(moment.date())} {moment:%H:%M}" for word, moment in (("until", row.until), ("from", row.again)) if moment is not None]
    return f"{row.window}: {', or '.join(sides)}" if sides else row.window or NOTHING


_DONE = {"sand": "sanded", "buff": "buffed", "assemble": "assembled", "string": "strung"}


def _day(desk: OfficeDesk, on: date | None, expected: bool) -> str:
    return f"~ {desk.write.date(on)}" if expected and on is not None else desk.write.date(on)


# --- the parcel --------------------------------------------------------------------------------------------------------


def _parcel(desk: OfficeDesk, build: Build, found: Sheets) -> SheetPart | None:
    parcel = found.parcel
    if parcel is None:
        return None
    packed, carrier = parcel.packed, desk.shop.settings.shipping
    facts = facts_of(
        ("expected shipping", _cost(desk, parcel)),
        ("billed weight", weight(parcel.billed)),
        ("insured for", desk.write.money(parcel.insured) if parcel.insured is not None else None),
        ("box", _size(packed)),
        ("on the scale", weight(packed.weight)),
        ("dimensional weight", weight(parcel.dimensional)),
        ("goes abroad", "yes" if packed.abroad else None),
    )
    declared = tuple((c.title, c.says) for c in found.cautions if c.id in ("lithium", "dry cells", "rosewood", "shell", "ebony"))
    tables = (SheetTable("To declare, or to find out before packing", ("what", "how"), declared),) if declared else ()
    divisor = (
        f"Dimensional weight: volume over {carrier.divisor:f} ({carrier.per.replace('3', '³')}), the shop's divisor. "
        if carrier.divisor
        else "shop.md has no divisor under shipping:, so only the scale counts. "
    )
    return SheetPart("parcel", "The parcel", facts, tables, (divisor + "Carriers round up by their own tables; their bill decides.",), desk.source(packed.at))


def _size(packed: Packed) -> str | None:
    """The sides that are written, in both units: `120.0 × 45.0 × 20.0 cm (47.2 × 17.7 × 7.9 in)`."""
    sides = [side for side in (packed.length, packed.width, packed.height) if side is not None]
    if not sides:
        return None
    metric, imperial = (" × ".join(f"{float(side):.1f}" for side in several) for several in ([s.mm / 10 for s in sides], [s.inches for s in sides]))
    return f"{metric} cm ({imperial} in)"


def _cost(desk: OfficeDesk, parcel: Parcel) -> str | None:
    if parcel.cost is None:
        return None
    who = "the buyer pays it" if parcel.packed.paid_by == "buyer" else "in the quote"
    return f"{desk.write.money(parcel.cost)}, {'from the rate, ' if parcel.worked_out else ''}{who}"


# --- cautions ----------------------------------------------------------------------------------------------------------


def _caution(desk: OfficeDesk, found: Caution) -> CautionView:
    on = desk.write.date(found.checked_on)
    checked = on if found.source.startswith(found.checked) else f"{found.checked}; {on}"
    return CautionView(found.title, found.says, found.source, checked, found.to_come or found.done, found.why)


def mind_of(week: Week, sheets: Iterable[SheetsView]) -> tuple[MindRow, ...]:
    """The cautions of the stages that are planned for the week."""
    views = {view.build.href: view for view in sheets}
    found: dict[str, list[Link]] = {}
    planned = dict.fromkeys((task.build.href, task.build.words, task.stage) for day in week.days for task in day.tasks)
    now = {(task.build.href, task.stage) for task in week.days[0].tasks}
    today: set[str] = set()
    for href, title, stage in planned:
        for caution in views[href].cautions if href in views else ():
            if stage in caution.stages:
                found.setdefault(caution.title, []).append(Link(f"{title} {stage}", f"{views[href].page}#cautions"))
                today |= {caution.title} if (href, stage) in now else set()
    return tuple(MindRow(title, tuple(links), title in today) for title, links in found.items())
