"""How much of each item is on the shelf or on its way; the plan asks only whether there is any, and when.

The events are those that the books follow with their cost, and both must count alike.
Invariant: quantities alone, no value: what stock cost is the books' business.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.bench.model import Low
from purfle.events import money
from purfle.events.money import MoneyEvent
from purfle.events.noted import goods_events
from purfle.events.order import Event, in_order
from purfle.notes.model import Shop
from purfle.notes.records.build import Part
from purfle.notes.records.note import Bought, Lot
from purfle.notes.records.shop import ShopSheet

_ZERO, _ONE = Decimal(0), Decimal(1)


class Move(NamedTuple):
    """A quantity that came to the shelf, left it, or was counted on it."""

    day: date
    item: str
    """Folded name."""
    qty: Decimal
    counted: bool
    """It is all that is there."""
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
    """Every move, in the order of events."""
    bin = _Bin({note.file: note.date for note in shop.notes})
    for event in in_order(goods_events(shop)):
        bin.follow(event)
    return tuple(bin.moves)


def shelf_on(moves: Iterable[Move], today: date) -> Shelf:
    """The shelf at the end of `today`, by the notes up to then; `moves` by day."""
    held: dict[str, Decimal] = {}
    coming: dict[str, date] = {}
    for day, item, qty, counted, told in moves:
        if told > today:
            continue
        if day > today:
            coming.setdefault(item, day)
        else:
            held[item] = qty if counted else _with(held.get(item, _ZERO), qty)
    return Shelf(held, coming)


def _with(there: Decimal, qty: Decimal) -> Decimal:
    """What is there once a quantity came or went: no more leaves than is there, and what a note says beyond it is told by the books."""
    return max(there + qty, _ZERO)


class _Bin:
    """What lies on the shelf, and which parts are in which build, while events happen one by one."""

    def __init__(self, told: Mapping[str, date]) -> None:
        """Take the day of each note by its file."""
        self.told = told
        self.moves: list[Move] = []
        self.held: dict[str, Decimal] = {}
        self.fitted: dict[tuple[str, str], Decimal] = {}

    def follow(self, event: Event) -> None:
        """Let an event happen. What is not counted is followed like the rest, and nobody asks for it."""
        match event:
            case money.UsedUp(builds=builds, record=used):
                self._put(event, used.item, -used.qty)
                if len(builds) == 1:
                    self._fit(builds[0], used.item, used.qty or _ONE)
            case money.GoodsHere(goods=goods):
                self._came(event, goods)
            case money.GiftedPart(build=build, record=part):
                self._fit(build, part.part, part.qty or _ONE)
            case money.SalvagedPart(build=str(build), record=salvaged):
                self._fit(build, salvaged.item, -salvaged.qty)
                self._put(event, salvaged.item, salvaged.qty)
            case money.PartMoved(origin=origin, to=to, record=moved):
                qty = event.qty(self.fitted.get((origin, folded(moved.part)), _ZERO))
                self._fit(origin, moved.part, -qty)
                self._to(event, to, moved.part, qty)
            case money.SentBack(record=sent):
                self._to(event, event.leaves(self.held.get(folded(sent.item), _ZERO)), sent.item, -sent.qty)
            case money.StockCameBack(sale=sale, qty=qty):
                self._put(event, sale.item, qty)
            case money.WroteOff(record=gone) | money.TookOut(record=gone) | money.StockSold(record=gone):
                self._put(event, gone.item, -gone.qty)
            case money.StockCounted(record=counted):
                self._put(event, counted.item, counted.qty, counted=True)

    def _came(self, event: MoneyEvent, goods: money.Goods) -> None:
        match goods.record:
            case Lot(has_stock=True) as lot:
                self._put(event, lot.stocked, lot.qty)
            case Bought(qty=qty) if goods.to == "stock":
                self._put(event, goods.what, qty)
            case Bought(qty=qty) | Part(qty=qty) if goods.build is not None:
                self._fit(goods.build, goods.what, qty or _ONE)

    def _to(self, event: MoneyEvent, build: str | None, item: str, qty: Decimal) -> None:
        """Put something into a build or take it out of it; on the shelf, or off it, where there is none."""
        if build is None:
            self._put(event, item, qty)
        else:
            self._fit(build, item, qty)

    def _put(self, event: MoneyEvent, item: str, qty: Decimal, *, counted: bool = False) -> None:
        key = folded(item)
        self.held[key] = qty if counted else _with(self.held.get(key, _ZERO), qty)
        self.moves.append(Move(event.date, key, qty, counted, self.told[event.at.file]))

    def _fit(self, build: str, part: str, qty: Decimal) -> None:
        key = build, folded(part)
        self.fitted[key] = _with(self.fitted.get(key, _ZERO), qty)


def running_low(settings: ShopSheet, shelf: Shelf) -> tuple[Low, ...]:
    """The counted items at or below their `low:`, those that are used up among them."""
    found = []
    for named in settings.stock.items:
        left, item = shelf.held.get(folded(named.name), _ZERO), named.value
        if item.counted and item.low is not None and left <= item.low:
            found.append(Low(named.name, left, item.unit, item.low, shelf.coming.get(folded(named.name))))
    return tuple(found)
