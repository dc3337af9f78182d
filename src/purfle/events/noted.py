"""Money events as the notes tell them: each line of a build sheet, a note, an episode or shop.md, on its own day.

Names that mean no build are left out: the check of the notes tells them.
Invariant: works out no amount, and looks at no event but its own record.
"""

from calendar import monthrange
from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from itertools import compress
from operator import attrgetter
from typing import Any

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.events import money
from purfle.events.money import MoneyEvent
from purfle.events.work import lines_of
from purfle.notes.model import Build, Episode, Note, Shop
from purfle.notes.records.build import Acquired, Part
from purfle.notes.records.note import Bought, Lot, MovedPart, NoteSheet, Returned, Sold, Used
from purfle.notes.records.sales import Commission, Sale
from purfle.notes.records.shop import Standing


def money_events(shop: Shop, today: date) -> Iterator[MoneyEvent]:
    """Every money event of the shop, in no particular order; standing costs up to `today`."""
    yield from goods_events(shop)
    for episode in shop.episodes:
        yield from _of_episode(episode)
    for standing in shop.settings.standing:
        yield from _standing(standing, today)


def goods_events(shop: Shop) -> Iterator[MoneyEvent]:
    """Those that build sheets and notes tell of: all that moves stock and parts is among them."""
    for build in shop.builds:
        yield from _of_build(shop, build)
    kinds = tuple(_EVENTS_OF.values())
    for note in shop.notes:
        written = _written(note.sheet)
        if written == _NO_MONEY:
            continue
        for records, events_of in compress(zip(written, kinds, strict=True), written):
            for record in records:
                yield from events_of(shop, note, record)


# --- the build sheet ---------------------------------------------------------------------------------------------------


def _of_build(shop: Shop, build: Build) -> Iterator[MoneyEvent]:
    sheet = build.sheet
    if sheet.acquired:
        yield from _acquired(build.id, sheet.acquired)
    for part in sheet.parts:
        yield from _part(build.id, part)
    for number, sale in enumerate(sheet.sale):
        yield from _sale(shop, build.id, number, sale)
    if sheet.commission:
        yield from _commission(build.id, sheet.commission)
    if sheet.ended:
        yield money.CameToEnd(sheet.ended.date, sheet.ended.at, build.id, sheet.ended)
    for move in sheet.moved:
        changed = money.BroughtIn if move.to == "shop" else money.Kept
        yield changed(move.date, move.at, build.id, move)


def _acquired(build: str, record: Acquired) -> Iterator[MoneyEvent]:
    if record.date is None:
        return
    if record.how != "bought":
        yield money.CameIn(record.arrived or record.date, record.at, build, record)
        return
    here = record.arrived or record.date
    goods = money.Goods(record, "instrument", "build", build, record.price or Decimal(0), record.paid or record.date, here)
    yield from _bought(goods)


def _part(build: str, record: Part) -> Iterator[MoneyEvent]:
    if record.how != "bought":
        if record.arrived:
            yield money.GiftedPart(record.arrived, record.at, build, record)
        return
    if record.cost is None and record.shipping is None and record.tax is None:
        return
    yield from _bought(money.Goods(record, record.part, "build", build, record.cost or Decimal(0), record.paid, record.arrived))


def _bought(goods: money.Goods) -> Iterator[MoneyEvent]:
    """Paid ahead and here, or here and perhaps paid later, or neither yet: then it is only planned."""
    if goods.paid and (goods.here is None or goods.paid < goods.here):
        yield money.PaidAhead(goods.paid, goods.record.at, goods)
    if goods.here:
        yield money.GoodsHere(goods.here, goods.record.at, goods)


def _sale(shop: Shop, build: str, number: int, sale: Sale) -> Iterator[MoneyEvent]:
    others = tuple(found for name in sale.bundled if (found := shop.find(name)) is not None)
    trade_in = shop.find(sale.trade_in.build) if sale.trade_in else None
    yield money.BuildSold(sale.date, sale.at, build, sale, number, others, trade_in)
    for back in sale.back:
        came = money.CameBack if back.date > sale.date else money.CameBackAtOnce
        yield came(max(back.date, sale.date), back.at, build, sale.date, number, back)


def _commission(build: str, commission: Commission) -> Iterator[MoneyEvent]:
    for delivered in commission.delivered:
        yield money.HandedOver(delivered.date, delivered.at, build, commission, delivered)
    days = {delivered.date for delivered in commission.delivered}
    for back in commission.back:
        came = money.HandedBack if back.date in days else money.CameBack
        yield came(back.date, back.at, build, back.date, money.COMMISSION, back)
    first = min(days, default=None)
    for extra in commission.extras:
        if first and extra.date and extra.date > first and extra.date not in days:
            yield money.AgreedLate(extra.date, extra.at, build, commission, extra)


# --- notes -------------------------------------------------------------------------------------------------------------


def _bought_line(shop: Shop, note: Note, bought: Bought) -> Iterator[MoneyEvent]:
    to, build = bought.goes_to(note.build), shop.find(bought.build_named(note.build))
    if to == "build" and build is None:
        return
    paid, here = bought.paid or note.date, bought.arrived or note.date
    yield from _bought(money.Goods(bought, bought.item, to, build, bought.cost, paid, here))


def _lot(_: Shop, note: Note, lot: Lot) -> Iterator[MoneyEvent]:
    yield from _bought(money.Goods(lot, lot.lot, "lot", None, lot.cost, lot.paid or note.date, note.date))


def _used(shop: Shop, note: Note, used: Used) -> tuple[money.UsedUp]:
    if used.over:
        builds = tuple(dict.fromkeys(found for name in used.over if (found := shop.find(name)) is not None))
        spent = _hours_on(shop, note.date)
        weights = tuple(spent.get(build, Decimal(0)) for build in builds)
        return (money.UsedUp(note.date, used.at, builds, weights, used),)
    build = None if used.place == "shop" else shop.find(used.build) if used.build else note.build
    return (money.UsedUp(note.date, used.at, (build,) if build else (), (), used),)


def _hours_on(shop: Shop, day: date) -> dict[str, Decimal]:
    """Hours noted on each build on a day: what shares a can of paint over several builds."""
    hours: dict[str, Decimal] = {}
    for note in shop.notes_on(day):
        for line in lines_of(note):
            if line.hours and (build := shop.worked_on(note, line)):
                hours[build] = hours.get(build, Decimal(0)) + line.hours
    return hours


def _sold(_: Shop, note: Note, sold: Sold) -> Iterator[money.StockSold | money.StockCameBack]:
    yield money.StockSold(note.date, sold.at, sold)
    for back, qty in sold.came_back():
        yield money.StockCameBack(max(back.date, note.date), back.at, sold, note.date, back, qty)


def _moved_part(shop: Shop, note: Note, moved: MovedPart) -> Iterator[money.PartMoved]:
    origin = shop.find(moved.origin) if moved.origin else note.build
    into_stock = folded(moved.to) == "stock"
    to = None if into_stock else shop.find(moved.to)
    if origin is None or origin == to or (to is None and not into_stock):
        return
    yield money.PartMoved(note.date, moved.at, origin, to, moved, shop.build(origin).part(moved.part))


def _returned(shop: Shop, note: Note, returned: Returned) -> tuple[money.SentBack]:
    build = shop.find(returned.build) or note.build
    named = returned.build is not None or (build is not None and shop.build(build).part(returned.item) is not None)
    return (money.SentBack(note.date, returned.at, build, not named, returned),)


_Reader = Callable[[Shop, Note, Any], Iterable[MoneyEvent]]
"""The events of one line of a note."""


def _plainly(event: Callable[[date, Place, Any], MoneyEvent]) -> _Reader:
    """A line that is an event by itself."""
    return lambda _, note, line: (event(note.date, line.at, line),)


def _of_a_build(event: Callable[[date, Place, str | None, Any], MoneyEvent]) -> _Reader:
    """A line about the build it names, else about that of its note."""
    return lambda shop, note, line: (event(note.date, line.at, shop.find(line.build) or note.build, line),)


_EVENTS_OF: dict[str, _Reader] = {
    "bought": _bought_line,
    "lots": _lot,
    "used": _used,
    "sold": _sold,
    "salvaged": _of_a_build(money.SalvagedPart),
    "moved": _moved_part,
    "returned": _returned,
    "written_off": _plainly(money.WroteOff),
    "withdrawn": _plainly(money.TookOut),
    "counted": _plainly(money.StockCounted),
    "paid": _of_a_build(money.MoneyOut),
    "received": _of_a_build(money.MoneyIn),
    "drove": _plainly(money.Drive),
}
"""Field of a note → the events of one of its lines."""
_written = attrgetter(*_EVENTS_OF)
_NO_MONEY = _written(NoteSheet())
"""What most notes have of these: nothing."""


def _of_episode(episode: Episode) -> Iterator[MoneyEvent]:
    for income in episode.sheet.income:
        yield money.EpisodeIncome(income.date or episode.date, income.at, income)


# --- standing costs ----------------------------------------------------------------------------------------------------


def _standing(record: Standing, today: date) -> Iterator[money.StandingDue]:
    last = min(record.until or today, today)
    count = 0
    while (day := _nth(record.since, record.every, count)) <= last:
        yield money.StandingDue(day, record.at, record)
        count += 1


def _nth(first: date, every: str, count: int) -> date:
    """The day of the `count`th repeat; a month without that day takes its last one."""
    if every == "week":
        return first + timedelta(weeks=count)
    months = first.year * 12 + first.month - 1 + count * {"month": 1, "quarter": 3, "year": 12}[every]
    year, month = months // 12, months % 12 + 1
    return date(year, month, min(first.day, monthrange(year, month)[1]))
