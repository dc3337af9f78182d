"""How much of each item is on the shelf or on its way, counted from the notes; the plan asks only whether there is any, and when.

Invariant: quantities alone, no value: what stock cost is the books' business.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.bench.fitted import all_moved
from purfle.bench.model import Low
from purfle.notes.model import Note, Shop
from purfle.notes.records.shop import ShopSheet

_RECEIVED, _USED, _COUNTED = 0, 1, 2


class Move(NamedTuple):
    """A quantity that came to the shelf, left it, or was counted on it."""

    day: date
    kind: int
    item: str
    """Folded name."""
    qty: Decimal
    told: date
    """The day of the note that says so."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """The stock as it is known on a day, by folded name of the item."""

    held: Mapping[str, Decimal]
    """Quantity at the end of that day; items never received are not in it."""
    coming: Mapping[str, date]
    """The first later day on which some that is bought already will be here."""


def moves_of(shop: Shop) -> tuple[Move, ...]:
    """Every move, by day; within a day what came in first, then what went out, then a count of the shelf."""
    all_of = all_moved(shop)
    found = [Move(day, kind, folded(item), qty, note.date) for note in shop.notes for day, kind, item, qty in _moves(shop, note, all_of)]
    return tuple(sorted(found, key=lambda move: move[:2]))


def shelf_on(moves: Iterable[Move], today: date) -> Shelf:
    """The shelf at the end of `today`, by the notes up to then; `moves` by day."""
    held: defaultdict[str, Decimal] = defaultdict(Decimal)
    coming: dict[str, date] = {}
    for move in moves:
        if move.told > today:
            continue
        if move.day > today:
            coming.setdefault(move.item, move.day)
        else:
            # no more leaves the shelf than is there: what a note says beyond it is told by the books
            held[move.item] = move.qty if move.kind == _COUNTED else max(held[move.item] + move.qty, Decimal(0))
    return Shelf(held, coming)


def running_low(settings: ShopSheet, shelf: Shelf) -> tuple[Low, ...]:
    """The counted items at or below their `low:`, those that are used up among them."""
    found = []
    for named in settings.stock.items:
        left, item = shelf.held.get(folded(named.name), Decimal(0)), named.value
        if item.counted and item.low is not None and left <= item.low:
            found.append(Low(named.name, left, item.unit, item.low, shelf.coming.get(folded(named.name))))
    return tuple(found)


def _moves(shop: Shop, note: Note, all_of: Mapping[Place, Decimal]) -> Iterator[tuple[date, int, str, Decimal]]:
    sheet, day = note.sheet, note.date
    for bought in sheet.bought:
        if bought.goes_to(note.build) == "stock":
            yield bought.arrived or day, _RECEIVED, bought.item, bought.qty
    for salvaged in sheet.salvaged:
        yield day, _RECEIVED, salvaged.item, salvaged.qty
    for lot in sheet.lots:
        if lot.has_stock:
            yield day, _RECEIVED, lot.stocked, lot.qty
    for sold in sheet.sold:
        yield from ((back.date, _RECEIVED, sold.item, qty) for back, qty in sold.came_back() if qty)
    for moved in sheet.moved:
        origin = shop.find(moved.origin) if moved.origin else note.build
        if folded(moved.to) == "stock" and origin is not None:
            yield day, _RECEIVED, moved.part, all_of[moved.at] if moved.qty is None else moved.qty
    out = [(one.item, one.qty) for one in sheet.used] + [(one.item, one.qty) for one in sheet.sold]
    out += [(one.item, one.qty) for one in sheet.written_off] + [(one.item, one.qty) for one in sheet.withdrawn]
    own = shop.build(note.build) if note.build is not None else None
    out += [(one.item, one.qty) for one in sheet.returned if one.build is None and (own is None or own.part(one.item) is None)]
    for item, qty in out:
        yield day, _USED, item, -qty
    for counted in sheet.counted:
        yield day, _COUNTED, counted.item, counted.qty
