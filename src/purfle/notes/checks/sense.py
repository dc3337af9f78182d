"""What reads well and can hardly be meant: a finish of nothing, a day of more than 24 hours, two units of one item, a day far off,
a price and nowhere to ask.

Invariant: looks at what the notes say beside each other; works nothing out.
"""

from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Shop
from purfle.notes.records.build import Hold
from purfle.notes.records.note import Bench, Bought, NoteSheet, Salvaged
from purfle.notes.records.sales import ForSale
from purfle.notes.records.shop import ClosedDays, Standing
from purfle.notes.walk import Found

_DAY = Decimal(24)
_FAR = timedelta(days=300)
"""What is paid, sent or paid out so long before or after its note is more often a slip of the year than a debt."""
_AHEAD = timedelta(days=3 * 366)
"""No build is planned so far ahead of the last note."""
_BACK = timedelta(days=70 * 366)
"""Nothing that a shop owns or does is so long ago; 1926 is more often 2026."""
_OF_A_LINE = ("paid", "arrived", "paid_out")


def check_sense(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of what can hardly be meant."""
    for found in met:
        if isinstance(found.record, NoteSheet | Bench) and found.record.finished and found.record.stage is None:
            at = found.record.where("finished")
            troubles.add(at, "stage-missing", "finished: stands here and no stage is named, so nothing is finished", "write stage: with its name beside it")
    _long_days(shop, troubles)
    _units(shop, met, troubles)
    _unpaid(shop, troubles)
    _nowhere_to_ask(shop, troubles)
    _backward(met, troubles)
    _far_off(shop, met, troubles)


def _long_days(shop: Shop, troubles: Troubles) -> None:
    days: defaultdict[date, list[tuple[Decimal, NoteSheet | Bench]]] = defaultdict(list)
    for note in shop.notes:
        lines: list[NoteSheet | Bench] = [note.sheet, *note.sheet.bench]
        days[note.date] += [(line.hours, line) for line in lines if line.hours]
    for day, worked in days.items():
        hours = sum((some for some, _ in worked), Decimal(0))
        if hours > _DAY:
            _, longest = max(worked, key=lambda one: one[0])
            found = f"the notes of {day} hold {hours.normalize():f} hours, and a day has 24"
            troubles.add(longest.where("hours"), "day-too-long", found, "write the hours that were meant, or note each day's work on its own day")


def _units(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of an item that the shelf would count in two units; what never comes on the shelf, or is not counted there, may be in any."""
    items = shop.settings.stock.items
    units, uncounted = {folded(item.name): item.value.unit for item in items if item.value.unit}, {folded(i.name) for i in items if not i.value.counted}
    for found in met:
        if not isinstance(record := found.record, Bought | Salvaged) or not record.unit or folded(record.item) in uncounted:
            continue
        if isinstance(record, Salvaged) or record.goes_to(found.build) == "stock":
            known = units.setdefault(folded(record.item), record.unit)
            if not _plain(known) & _plain(record.unit):
                said = f"unit: {record.item} is counted in {known}, and {record.unit} stands here"
                troubles.add(record.where("unit"), "unit-differs", said, f"write the quantity in {known}, or name it as another item")


def _plain(unit: str) -> set[str]:
    """A unit in the ways in which it is compared: case, a full stop and the s or es of a plural are no matter."""
    word = folded(unit).rstrip(".")
    return {word, word.removesuffix("s"), word.removesuffix("es")}


def _unpaid(shop: Shop, troubles: Troubles) -> None:
    for build in shop.builds:
        came = build.sheet.acquired
        if came is not None and came.wrote("how") and came.how == "bought" and came.price is None and not came.wrote("price"):
            found = f"{build.id} was bought and no price stands here, so it cost nothing"
            troubles.add(came.where("how"), "price-missing", found, "add price: with what was paid, or say under how: in which other way it came")


def _nowhere_to_ask(shop: Shop, troubles: Troubles) -> None:
    for build in shop.builds:
        sheet, offer = build.sheet, build.sheet.for_sale
        shown = sheet.showroom.always or sheet.showroom.since is not None
        if offer is not None and offer.enquire is None and shop.settings.contact is None and shown and not sheet.sale:
            found = f"{build.id} is for sale in the showroom, and nothing says where a buyer may ask"
            troubles.add(
                sheet.where("for_sale"), "asking-nowhere", found, "write contact: in shop.md, or enquire: under for_sale, such as mailto:bench@example.org"
            )


_SPANS = (Standing, Hold, ForSale, ClosedDays)
"""What lasts from one day until another."""


def _backward(met: tuple[Found, ...], troubles: Troubles) -> None:
    for found in met:
        if isinstance(found.record, _SPANS):
            since, until = ("first", "last") if isinstance(found.record, ClosedDays) else ("since", "until")
            first, last = getattr(found.record, since), getattr(found.record, until)
            if first is not None and last is not None and last < first:
                troubles.add(found.record.where(until), "span-backward", f"until: {last} is before {first}, so it never is", "mend one of the two days")


# --- days --------------------------------------------------------------------------------------------------------------


def _far_off(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    noted = {note.file: note.date for note in shop.notes}
    last = max(noted.values(), default=None)
    for found in met:
        own = noted.get(found.record.at.file)
        for name, at in found.record.marks:
            if not isinstance(day := getattr(found.record, name), date):
                continue
            if own and name in _OF_A_LINE and abs(day - own) > _FAR:
                _tell(at, day, f"in a note of {own}", troubles)
            elif last and not own and (day - last > _AHEAD or last - day > _BACK):
                _tell(at, day, f"and the last note is of {last}", troubles)


def _tell(at: Place, day: date, beside: str, troubles: Troubles) -> None:
    troubles.add(at, "date-far-off", f"{day} stands here, {beside}", "write the day that was meant, or leave it if it is right")
