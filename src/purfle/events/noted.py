"""Money events as the notes tell them: each line of a build sheet, a note, an episode or shop.md, on its own day.

Names that mean no build are left out: the check of the notes tells them.
Invariant: works out no amount, and looks at no event but its own record.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from purfle.events.money import (
    AgreedLate,
    BuildSold,
    CameBack,
    CameBackAtOnce,
    CameIn,
    CameToEnd,
    ChangedHands,
    Drive,
    EpisodeIncome,
    GiftedPart,
    Goods,
    GoodsHere,
    HandedOver,
    MoneyEvent,
    MoneyIn,
    MoneyOut,
    PaidAhead,
    PartMoved,
    SalvagedPart,
    SentBack,
    StandingDue,
    StockCounted,
    StockSold,
    TookOut,
    UsedUp,
    WroteOff,
)
from purfle.notes.model import Build, Episode, Note, Shop
from purfle.notes.records.build import Acquired, Commission, Part, Sale
from purfle.notes.records.note import Bought, MovedPart, Used
from purfle.notes.records.shop import Standing


def money_events(shop: Shop, today: date) -> Iterator[MoneyEvent]:
    """Every money event of the shop up to `today`, in no particular order."""
    for event in _all(shop, today):
        if event.date <= today:
            yield event


def _all(shop: Shop, today: date) -> Iterator[MoneyEvent]:
    sheets = {build.id: build for build in shop.builds}
    for build in shop.builds:
        yield from _of_build(shop, build)
    hours = _hours_by_day(shop)
    for note in shop.notes:
        yield from _goods_of_note(shop, note)
        yield from _stock_of_note(shop, note, hours, sheets)
        yield from _cash_of_note(shop, note)
    for episode in shop.episodes:
        yield from _of_episode(episode)
    for standing in shop.settings.standing:
        yield from _standing(standing, today)


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
        yield CameToEnd(sheet.ended.date, sheet.ended.at, build.id, sheet.ended)
    for move in sheet.moved:
        yield ChangedHands(move.date, move.at, build.id, move)


def _acquired(build: str, record: Acquired) -> Iterator[MoneyEvent]:
    if record.date is None:
        return
    if record.how != "bought":
        yield CameIn(record.arrived or record.date, record.at, build, record)
        return
    here = record.arrived or record.date
    goods = Goods(record, "instrument", "build", build, record.price or Decimal(0), record.paid or record.date, here)
    yield from _bought(goods)


def _part(build: str, record: Part) -> Iterator[MoneyEvent]:
    if record.how == "customer's":
        return
    if record.how == "gifted":
        if record.arrived:
            yield GiftedPart(record.arrived, record.at, build, record)
        return
    if record.cost is None and record.shipping is None:
        return
    yield from _bought(Goods(record, record.part, "build", build, record.cost or Decimal(0), record.paid, record.arrived))


def _bought(goods: Goods) -> Iterator[MoneyEvent]:
    """Paid ahead and here, or here and perhaps paid later, or neither yet: then it is only planned."""
    if goods.paid and (goods.here is None or goods.paid < goods.here):
        yield PaidAhead(goods.paid, goods.record.at, goods)
    if goods.here:
        yield GoodsHere(goods.here, goods.record.at, goods)


def _sale(shop: Shop, build: str, number: int, sale: Sale) -> Iterator[MoneyEvent]:
    others = tuple(found for name in sale.bundled if (found := shop.find(name)) is not None)
    trade_in = shop.find(sale.trade_in.build) if sale.trade_in else None
    yield BuildSold(sale.date, sale.at, build, sale, number, others, trade_in)
    for back in sale.back:
        came = CameBack if back.date > sale.date else CameBackAtOnce
        yield came(max(back.date, sale.date), back.at, build, sale, number, back)


def _commission(build: str, commission: Commission) -> Iterator[MoneyEvent]:
    for delivered in commission.delivered:
        yield HandedOver(delivered.date, delivered.at, build, commission, delivered)
    last = max((d.date for d in commission.delivered), default=None)
    for extra in commission.extras:
        if last and extra.date and extra.date > last:
            yield AgreedLate(extra.date, extra.at, build, commission, extra)


# --- notes -------------------------------------------------------------------------------------------------------------


def _goods_of_note(shop: Shop, note: Note) -> Iterator[MoneyEvent]:
    for bought in note.sheet.bought:
        to, build = _purpose(shop, note, bought)
        if to == "build" and build is None:
            continue
        paid, here = bought.paid or note.date, bought.arrived or note.date
        yield from _bought(Goods(bought, bought.item, to, build, bought.cost, paid, here, note.date))
    for lot in note.sheet.lots:
        yield from _bought(Goods(lot, lot.lot, "lot", None, lot.cost, lot.paid or note.date, note.date, note.date))


def _purpose(shop: Shop, note: Note, bought: Bought) -> tuple[str, str | None]:
    if bought.purpose is None:
        return ("build", note.build) if note.build else ("stock", None)
    word = bought.purpose.strip().casefold()
    if word in ("stock", "shop"):
        return word, None
    return "build", shop.find(bought.purpose)


def _stock_of_note(shop: Shop, note: Note, hours: dict[tuple[date, str], Decimal], sheets: dict[str, Build]) -> Iterator[MoneyEvent]:
    sheet, day = note.sheet, note.date
    for used in sheet.used:
        yield _used(shop, note, used, hours)
    for sold in sheet.sold:
        yield StockSold(day, sold.at, sold)
    for salvaged in sheet.salvaged:
        yield SalvagedPart(day, salvaged.at, shop.find(salvaged.build) or note.build, salvaged)
    for moved in sheet.moved:
        yield from _moved_part(shop, note, moved, sheets)
    for returned in sheet.returned:
        build = shop.find(returned.build) or note.build
        named = returned.build is not None or (build is not None and _on_the_bill(sheets[build], returned.item))
        yield SentBack(day, returned.at, build, not named, returned)
    for written in sheet.written_off:
        yield WroteOff(day, written.at, written)
    for taken in sheet.withdrawn:
        yield TookOut(day, taken.at, taken)
    for counted in sheet.counted:
        yield StockCounted(day, counted.at, counted)


def _on_the_bill(build: Build, part: str) -> bool:
    """Whether the build's bill of materials names that part."""
    name = part.casefold().strip()
    return any(p.part.casefold().strip() == name for p in build.sheet.parts)


def _used(shop: Shop, note: Note, used: Used, hours: dict[tuple[date, str], Decimal]) -> UsedUp:
    if used.over:
        builds = tuple(dict.fromkeys(found for name in used.over if (found := shop.find(name)) is not None))
    elif used.place == "shop":
        builds = ()
    else:
        build = shop.find(used.build) if used.build else note.build
        builds = (build,) if build else ()
    weights = tuple(hours.get((note.date, build), Decimal(0)) for build in builds) if len(builds) > 1 else (Decimal(1),) * len(builds)
    return UsedUp(note.date, used.at, builds, weights, used)


def _moved_part(shop: Shop, note: Note, moved: MovedPart, sheets: dict[str, Build]) -> Iterator[MoneyEvent]:
    origin = shop.find(moved.origin) if moved.origin else note.build
    into_stock = moved.to.strip().casefold() == "stock"
    to = None if into_stock else shop.find(moved.to)
    if origin is None or origin == to or (to is None and not into_stock):
        return
    name = moved.part.casefold().strip()
    part = next((p for p in sheets[origin].sheet.parts if p.part.casefold().strip() == name), None)
    yield PartMoved(note.date, moved.at, origin, to, moved, part)


def _cash_of_note(shop: Shop, note: Note) -> Iterator[MoneyEvent]:
    for paid in note.sheet.paid:
        yield MoneyOut(note.date, paid.at, shop.find(paid.build) or note.build, paid)
    for received in note.sheet.received:
        yield MoneyIn(note.date, received.at, shop.find(received.build) or note.build, received)
    for drove in note.sheet.drove:
        yield Drive(note.date, drove.at, drove)


def _of_episode(episode: Episode) -> Iterator[MoneyEvent]:
    for income in episode.sheet.income:
        yield EpisodeIncome(income.date or episode.date, income.at, income)


def _hours_by_day(shop: Shop) -> dict[tuple[date, str], Decimal]:
    """Hours noted on each build on each day: what shares a can of paint over several builds."""
    hours: dict[tuple[date, str], Decimal] = {}
    for note in shop.notes:
        lines = [(note.build, note.sheet.hours)]
        lines += [(shop.find(bench.build) or note.build, bench.hours) for bench in note.sheet.bench if bench.place is None]
        for build, spent in lines:
            if build and spent:
                hours[note.date, build] = hours.get((note.date, build), Decimal(0)) + spent
    return hours


# --- standing costs ----------------------------------------------------------------------------------------------------


def _standing(record: Standing, today: date) -> Iterator[StandingDue]:
    last = min(record.until or today, today)
    count = 0
    while (day := _nth(record.since, record.every, count)) <= last:
        yield StandingDue(day, record.at, record)
        count += 1


def _nth(first: date, every: str, count: int) -> date:
    """The day of the `count`th repeat; a month without that day takes its last one."""
    if every == "week":
        return first + timedelta(weeks=count)
    months = first.year * 12 + first.month - 1 + count * {"month": 1, "quarter": 3, "year": 12}[every]
    year, month = divmod(months, 12)
    following = date(year + (month == 11), (month + 1) % 12 + 1, 1)
    return date(year, month + 1, min(first.day, (following - timedelta(days=1)).day))
