"""Where given parts are: on the build whose sheet has them, or where the notes say they went since.

A part goes from build to build by `moved:`, and into the bin by `moved: {to: stock}` or `salvaged:`; `used:` of an
item of that name takes it out of the bin again. Of a part of which only some move, both builds have it.
Invariant: follows names and days; whether a piece shows the part is asked elsewhere.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.notes.model import Note, Shop
from purfle.notes.records.build import Part

BIN = "stock"


@dataclass(frozen=True, slots=True)
class Given:
    """A given part in one place for a time."""

    part: str
    how: str
    origin: str | None
    where: str
    """A build's id, or stock."""
    stage: str | None
    """The stage it is for; None when that is not known."""
    since: date | None
    """The first day it is there; None when no note says when it came."""
    until: date | None = None
    """The day it left; None while it is there."""

    def here(self, day: date | None) -> bool:
        """Whether it is there on `day`; of a day to come that is not known, whether it is there at last."""
        if day is None:
            return self.until is None
        return (self.since is None or self.since <= day) and (self.until is None or day < self.until)


def given_parts(shop: Shop) -> tuple[Given, ...]:
    """Every given part in every place it has been, by build sheet, then by day."""
    found = [Given(p.part, p.how, p.origin, build.id, p.stage, p.arrived) for build in shop.builds for p in build.sheet.parts if p.how == "gifted"]
    if found:
        for note in shop.notes:
            for part, origin, to, all_of_it in _carried(shop, note):
                found = list(_after(shop, found, part, origin, to, note.date, all_of_it))
    return tuple(found)


def _carried(shop: Shop, note: Note) -> Iterator[tuple[str, str, str, Decimal | None]]:
    """What a note carries from one place to another: part, from, to, and how many (None for all)."""
    own = note.build
    for moved in note.sheet.moved:
        origin, to = (shop.find(moved.origin) if moved.origin else own), (BIN if folded(moved.to) == BIN else shop.find(moved.to))
        if to:
            yield moved.part, BIN if moved.origin and folded(moved.origin) == BIN else origin or "", to, moved.qty
    for taken in note.sheet.salvaged:
        yield taken.item, (shop.find(taken.build) if taken.build else own) or "", BIN, taken.qty
    for used in note.sheet.used:
        for name in used.over or ((used.build,) if used.build else (own,)):
            if target := shop.find(name):
                yield used.item, BIN, target, used.qty


def _after(shop: Shop, found: Iterable[Given], part: str, origin: str, to: str, day: date, qty: Decimal | None) -> Iterator[Given]:
    for given in found:
        if given.until is not None or given.where != origin or folded(given.part) != folded(part):
            yield given
            continue
        whole = qty is None or (origin != BIN and qty >= _count(shop, given))
        yield replace(given, until=day) if whole else given
        yield replace(given, where=to, since=day, stage=_stage_there(shop, to, part))


def _count(shop: Shop, given: Given) -> Decimal:
    return next((p.qty for p in _bill(shop, given.where) if folded(p.part) == folded(given.part)), Decimal(1))


def _stage_there(shop: Shop, to: str, part: str) -> str | None:
    return next((p.stage for p in _bill(shop, to) if folded(p.part) == folded(part)), None)


def _bill(shop: Shop, build: str) -> tuple[Part, ...]:
    return () if build == BIN else shop.build(build).sheet.parts
