"""Where given parts are: on the build whose sheet has them, or where the notes say they went since.

A part goes from build to build by `moved:`, and into the bin by `moved: {to: stock}` or `salvaged:`; `used:` of an
item of that name takes it out of the bin again. Of a part of which only some move, both builds have it.
Invariant: follows names and days; whether a piece shows the part is asked elsewhere.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import NamedTuple

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


class _Carried(NamedTuple):
    """What a note carries from one place to another on its day."""

    part: str
    origin: str
    """A build's id, or stock; empty when the note names no build there is."""
    to: str
    qty: Decimal | None
    """None for all of it."""


def given_parts(shop: Shop) -> tuple[Given, ...]:
    """Every given part in every place it has been, by build sheet, then by day."""
    found = [Given(p.part, p.how, p.origin, build.id, p.stage, p.arrived) for build in shop.builds for p in build.sheet.parts if p.how == "gifted"]
    if found:
        for note in shop.notes:
            for carried in _carried(shop, note):
                found = list(_after(shop, found, carried, note.date))
    return tuple(found)


def _carried(shop: Shop, note: Note) -> Iterator[_Carried]:
    own = note.build
    for moved in note.sheet.moved:
        if to := _place(shop, moved.to, None):
            yield _Carried(moved.part, _place(shop, moved.origin, own), to, moved.qty)
    for taken in note.sheet.salvaged:
        yield _Carried(taken.item, (shop.find(taken.build) if taken.build else own) or "", BIN, taken.qty)
    for used in note.sheet.used:
        for name in used.over or (used.build or own,):
            if target := shop.find(name):
                yield _Carried(used.item, BIN, target, used.qty)


def _place(shop: Shop, name: str | None, own: str | None) -> str:
    """The bin or the build that a line names, else the note's own build; empty for none."""
    if not name:
        return own or ""
    return BIN if folded(name) == BIN else shop.find(name) or ""


def _after(shop: Shop, found: Iterable[Given], carried: _Carried, day: date) -> Iterator[Given]:
    """The given parts after something was carried."""
    for given in found:
        if given.until is not None or given.where != carried.origin or folded(given.part) != folded(carried.part):
            yield given
            continue
        whole = carried.qty is None or (carried.origin != BIN and carried.qty >= _count(shop, given))
        yield replace(given, until=day) if whole else given
        yield replace(given, where=carried.to, since=day, stage=_stage_there(shop, carried.to, carried.part))


def _count(shop: Shop, given: Given) -> Decimal:
    return next((p.qty for p in _bill(shop, given.where) if folded(p.part) == folded(given.part)), Decimal(1))


def _stage_there(shop: Shop, to: str, part: str) -> str | None:
    return next((p.stage for p in _bill(shop, to) if folded(p.part) == folded(part)), None)


def _bill(shop: Shop, build: str) -> tuple[Part, ...]:
    return () if build == BIN else shop.build(build).sheet.parts
