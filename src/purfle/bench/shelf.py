"""How much of each item is on the shelf, counted from the notes; the plan asks only whether there is any.

Invariant: quantities alone, no value: what stock cost is the books' business.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.notes.model import Note, Shop

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


def moves_of(shop: Shop) -> tuple[Move, ...]:
    """Every move, by day; within a day what came in first, then what went out, then a count of the shelf."""
    found = [Move(day, kind, folded(item), qty, note.date) for note in shop.notes for day, kind, item, qty in _moves(note)]
    return tuple(sorted(found, key=lambda move: move[:2]))


def on_hand(moves: Iterable[Move], today: date) -> dict[str, Decimal]:
    """Quantity of each item by folded name at the end of `today`, by the notes up to then; items never received are not in it."""
    held: defaultdict[str, Decimal] = defaultdict(Decimal)
    for move in moves:
        if move.day <= today and move.told <= today:
            held[move.item] = move.qty if move.kind == _COUNTED else held[move.item] + move.qty
    return dict(held)


def _moves(note: Note) -> Iterator[tuple[date, int, str, Decimal]]:
    sheet, day = note.sheet, note.date
    for bought in sheet.bought:
        if (bought.purpose or ("stock" if note.build is None else "")).casefold() == "stock":
            yield bought.arrived or day, _RECEIVED, bought.item, bought.qty
    for salvaged in sheet.salvaged:
        yield day, _RECEIVED, salvaged.item, salvaged.qty
    for lot in sheet.lots:
        if lot.item is not None:
            yield day, _RECEIVED, lot.item, lot.qty
    for moved in sheet.moved:
        if moved.to.casefold() == "stock":
            yield day, _RECEIVED, moved.part, moved.qty or Decimal(1)
    out = [(one.item, one.qty) for one in sheet.used] + [(one.item, one.qty) for one in sheet.sold]
    out += [(one.item, one.qty) for one in sheet.written_off] + [(one.item, one.qty) for one in sheet.withdrawn]
    out += [(one.item, one.qty) for one in sheet.returned if one.build is None]
    for item, qty in out:
        yield day, _USED, item, -qty
    for counted in sheet.counted:
        yield day, _COUNTED, counted.item, counted.qty
