"""How much of each item is on the shelf, counted from the notes; the plan asks only whether there is any.

Invariant: quantities alone, no value: what stock cost is the books' business.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.notes.model import Note, Shop

_RECEIVED, _USED, _COUNTED = 0, 1, 2


def on_hand(shop: Shop, today: date) -> dict[str, Decimal]:
    """Quantity of each item by folded name at the end of `today`; items never received are not in it.

    Within a day what came in counts first, then what went out, then a count of the shelf.
    """
    held: defaultdict[str, Decimal] = defaultdict(Decimal)
    moves = [move for note in shop.notes if note.date <= today for move in _moves(note) if move[0] <= today]
    for _, kind, item, qty in sorted(moves, key=lambda move: move[:2]):
        held[folded(item)] = qty if kind == _COUNTED else held[folded(item)] + qty
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
