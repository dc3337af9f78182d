"""What the specifications imply, worked out: frets, strings, wiring, the finish schedule, cautions, the parcel.

Lengths in millimetres, forces in newtons, pitches in hertz, resistances in ohms; each module says its sources and errors.
Invariant: a sibling of books, bench and show; what it needs of the plan (the likely day of a stage) is handed to it.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from purfle.base import money
from purfle.base.trouble import Trouble, Troubles
from purfle.notes.model import Build, Shop
from purfle.notes.records.shop import RoomSheet
from purfle.notes.records.specs import Specs
from purfle.progress.model import Progress
from purfle.progress.warmth import room_on
from purfle.sheets import shipping, wood
from purfle.sheets.cautions import cautions_of
from purfle.sheets.check import check_build, check_cures
from purfle.sheets.finish import schedule_of
from purfle.sheets.frets import Board, board_of, plausible, room_for
from purfle.sheets.model import Sheets
from purfle.sheets.noted import Noted, noted_in
from purfle.sheets.powering import wiring_of
from purfle.sheets.stringing import stringing_of

__all__ = ["Sheets", "expected_shipping", "sending_of", "sheets_of"]


def sheets_of(
    shop: Shop, progress: Mapping[str, Progress], expected: Mapping[tuple[str, str], date], today: date
) -> tuple[Mapping[str, Sheets], tuple[Trouble, ...]]:
    """The sheets of every build by id, and what is wrong with what they are worked out from.

    `expected` is the plan's likely last day of each stage that is not finished, by build and stage.
    """
    troubles = Troubles()
    check_cures(shop.settings, troubles)
    found, noted, room = {}, noted_in(shop, today), room_on(shop.settings.room, today)
    likely: dict[str, dict[str, date]] = {}
    for (id, stage), day in expected.items():
        likely.setdefault(id, {})[stage] = day
    for build in shop.builds:
        known, own = progress[build.id], noted.get(build.id) or Noted()
        check_build(shop.settings, build, known, own.work, troubles)
        found[build.id] = _sheets(shop, build, known, own, likely.get(build.id, {}), room)
    return found, tuple(sorted(dict.fromkeys(troubles.found)))


def _sheets(shop: Shop, build: Build, progress: Progress, noted: Noted, expected: Mapping[str, date], room: RoomSheet | None) -> Sheets:
    specs = build.sheet.specs
    return Sheets(
        _fretboard_of(specs),
        stringing_of(specs) if specs else None,
        wiring_of(specs) if specs else None,
        schedule_of(shop.settings, progress, noted.work, expected),
        cautions_of(build, progress, noted.used),
        shipping.parcel_of(build.sheet, shop.settings.shipping, money.unit(shop.settings.currency)),
        _moisture(build, room),
    )


def _moisture(build: Build, room: RoomSheet | None) -> float | None:
    specs = build.sheet.specs
    if room is None or room.humidity is None or room.humidity > 100 or room.celsius > 60 or specs is None or not specs.woods:
        return None
    return wood.moisture(wood.fahrenheit(float(room.celsius)), float(room.humidity) / 100)


def _fretboard_of(specs: Specs | None) -> Board | None:
    """The fretted board of a specification; None without a scale length and frets, or when they can't be meant."""
    if specs is None or specs.scale_length is None or not specs.frets:
        return None
    scale = float(specs.scale_length.mm)
    if not plausible(scale) or specs.frets > room_for(scale):
        return None
    nut, heel = (None if width is None else float(width.mm) for width in (specs.nut_width, specs.heel_width))
    return board_of(scale, specs.frets, nut, heel, tuple(float(radius.mm) for radius in specs.radius[:2]), specs.bound)


def expected_shipping(shop: Shop, build: Build) -> Decimal:
    """What the shop expects to pay to send one of a build, for the quote; nothing when the buyer bears it or nothing is known."""
    return shipping.borne(build.sheet, shop.settings.shipping, money.unit(shop.settings.currency))


def sending_of(shop: Shop) -> Mapping[str, Decimal]:
    """The same of every build, by id, where it is something."""
    return {build.id: cost for build in shop.builds if (cost := expected_shipping(shop, build))}
