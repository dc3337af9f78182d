"""Money troubles that the notes show without following the events: one cost in two homes, impossible terms.

Invariant: works out no amount that is booked.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from purfle.base.money import unit
from purfle.base.names import folded
from purfle.base.trouble import Troubles
from purfle.books.landed import landed_cost, worth
from purfle.notes.model import Build, Note, Shop
from purfle.notes.records.note import Lot
from purfle.notes.records.sales import Back, Delivered, Sale, Share
from purfle.notes.records.shop import Channel, ShopSheet
from purfle.notes.vocabulary.named import Named


def check_homes(shop: Shop, buying: Iterable[Note], troubles: Troubles) -> None:
    """Tell of every cost that stands in two places, and of terms that can't be. `buying`: the notes that buy something."""
    lots = _lots(shop, buying, troubles)
    traded = {shop.find(sale.trade_in.build) for build in shop.builds for sale in build.sheet.sale if sale.trade_in}
    for build in shop.builds:
        _check_acquired(build, lots.get(build.id), build.id in traded, troubles)
        _check_terms(build, troubles)
        _check_owners_part(build, troubles)
        _check_prices(build, troubles)
        _check_price_of_one(build, troubles)
    for named in shop.settings.channels:
        _check_channel(named.name, named.value, troubles)
    _check_kinds(shop, buying, troubles)
    _check_bought(shop, buying, troubles)
    _check_trade_ins(shop, lots, troubles)


def _lots(shop: Shop, buying: Iterable[Note], troubles: Troubles) -> dict[str, Lot]:
    """Build → the lot it came in; a build in two lots is told at the second."""
    seen: dict[str, Lot] = {}
    for lot in (lot for note in buying for lot in note.sheet.lots):
        if lot.wrote("values") and not lot.values and (lot.cost or lot.shipping or lot.tax):
            found = f"values: is empty, so the {lot.cost} of the lot {lot.lot} are in no figure"
            troubles.add(lot.where("values"), "lot-empty", found, "write what each is worth: builds, and stock, collection or shop")
        for named in lot.values:
            if (build := shop.find(named.name)) is not None:
                _in_one_lot(build, lot, named, seen, troubles)
    return seen


def _in_one_lot(build: str, lot: Lot, named: Named, seen: dict[str, Lot], troubles: Troubles) -> None:
    first = seen.setdefault(build, lot)
    if first is not lot:
        found = f"{named.name} came in the lot {first.lot} already ({first.at.in_file})"
        troubles.add(named.at, "build-in-two-lots", found, "take it out of one of the two")


_NO_PRICE = {
    "lot": "its cost is its share of the lot",
    "trade-in": "its cost is the value given in the sale",
    "customer's": "it is a customer's and costs the shop nothing",
    "consigned": "it is consigned and costs the shop nothing",
    "gift": "it was given; what it is worth stands under value",
}


def _check_acquired(build: Build, lot: Lot | None, traded: bool, troubles: Troubles) -> None:
    acquired = build.sheet.acquired
    if acquired is None:
        return
    priced = bool(acquired.price)
    if (priced or worth(acquired)) and (acquired.how == "lot" or lot is not None):
        name = lot.lot if lot else acquired.lot or "it came in"
        word = "price" if priced else "basis" if acquired.wrote("basis") else "value"
        found = f"{word}: {getattr(acquired, word)} stands here and {build.id} is part of the lot {name}; the cost would count twice"
        troubles.add(acquired.where(word), "lot-with-price", found, f"take the {word} out")
    elif priced and acquired.how in _NO_PRICE:
        found = f"price: {acquired.price} stands here and how: is {acquired.how}; {_NO_PRICE[acquired.how]}"
        troubles.add(acquired.where("price"), "price-not-paid", found, "take the price out, or write how: bought")
    elif acquired.how == "lot" and lot is None:
        found = f"{build.id} came in a lot, and no lot of the journal lists it"
        troubles.add(acquired.where("lot"), "lot-unknown", found, "list it under the lot's values:, or say under how: in which other way it came")
    if acquired.how == "trade-in" and not traded:
        found = f"{build.id} came as a trade-in, and no sale names it; it has no cost"
        troubles.add(acquired.where("how"), "trade-in-unknown", found, "name it under the sale's trade_in:, or say under how: in which other way it came")
    if acquired.date is None and any((acquired.price, acquired.value, acquired.basis, acquired.shipping, acquired.tax)):
        troubles.add(
            acquired.at, "money-undated", f"{build.id} has a cost and no day on which it came in; the cost is in no year", "add date: with the day it came in"
        )


def _check_terms(build: Build, troubles: Troubles) -> None:
    sheet = build.sheet
    for of in ("price", "profit"):
        _check_shares([share for share in sheet.share if share.of == of], of, troubles)
    order = sheet.commission
    if order and order.delivered and order.price is None and not order.extras:
        found = f"{build.id} is delivered and its commission has no price; nothing is earned by it"
        troubles.add(order.at, "commission-unpriced", found, "add price: with what was agreed, 0 for work as a favour")
    if sheet.wrote("units") and sheet.units == 0:
        troubles.add(sheet.where("units"), "units-none", "units: a build of no units can't carry a cost", "write how many there are")
    passed: tuple[Sale | Back | Delivered, ...] = (
        *sheet.sale,
        *(back for sale in sheet.sale for back in sale.back if back.goods),
        *(order.delivered if order else ()),
        *(back for back in (order.back if order else ()) if back.goods),
    )
    for record in passed:
        if record.units == 0:
            troubles.add(record.where("units"), "units-none", f"units: none of {build.id} goes out or comes back on {record.date}", "write how many there are")


def sold_unshared(build: Build) -> Sale | None:
    """The first sale at a price of what is not the shop's, where no part of it is anybody else's."""
    acquired, sheet = build.sheet.acquired, build.sheet
    if acquired is None or acquired.how not in ("consigned", "customer's") or sheet.share:
        return None
    return next((sale for sale in sheet.sale if sale.price > sale.discount), None)


def _check_owners_part(build: Build, troubles: Troubles) -> None:
    """Tell of a sale of what is not the shop's when nothing of its price is its owner's."""
    sold, acquired = sold_unshared(build), build.sheet.acquired
    if sold is None:
        return
    whose = "is consigned" if acquired is not None and acquired.how == "consigned" else "is a customer's"
    found = f"price: {build.id} {whose}, and all of the {sold.price} counts as the shop's"
    troubles.add(sold.where("price"), "share-missing", found, "add share: with its owner as partner and their part of the price, or mend how: under acquired:")


def _check_shares(shares: Sequence[Share], of: str, troubles: Troubles) -> None:
    """Tell of shares of one thing that together are more than all of it, at the one with which they are."""
    whole = Decimal(0)
    for share in shares:
        within, whole = whole <= 100, whole + share.percent
        if within and whole > 100:
            what = f"a share of {share.percent}" if share is shares[0] else f"with it {whole} % of the {of} are shared, which"
            troubles.add(share.where("percent"), "share-above-100", f"percent: {what} is more than all of it", "write at most 100, all partners together")


def _check_prices(build: Build, troubles: Troubles) -> None:
    """Tell of a cost on a part that was not bought, and of a value on what was: no figure has it."""
    acquired, worthless = build.sheet.acquired, "what it is worth is no cost of what is bought, so no figure has it"
    for part in build.sheet.parts:
        if part.how != "bought" and part.cost:
            home = "what it is worth stands under value" if part.how == "gifted" else "it costs the shop nothing"
            found = f"cost: {part.cost} stands here and how: is {part.how}; {home}"
            troubles.add(part.where("cost"), "price-not-paid", found, "take the cost out, or write how: bought")
        elif part.how == "bought" and part.value and part.cost is None:
            found = f"value: {part.value} stands on {part.part}; {worthless}"
            troubles.add(part.where("value"), "price-not-paid", found, "write how: gifted, or cost: for what was paid")
    if acquired and not acquired.wrote("how") and acquired.price is None and (acquired.value or acquired.basis):
        name = "value" if acquired.value else "basis"
        found = f"{name}: {acquired.value or acquired.basis} stands here and no price; {worthless}"
        troubles.add(acquired.where(name), "price-not-paid", found, "write how: gift or how: own collection, or price: for what was paid")


def _check_price_of_one(build: Build, troubles: Troubles) -> None:
    """Tell of several units sold for just what one is offered for: the price is that of all of them."""
    offer = build.sheet.for_sale
    for sale in build.sheet.sale:
        if offer is not None and sale.units > 1 and sale.price == offer.asking > 0:
            found = f"price: {sale.units} of {build.id} are sold for {sale.price} together, and one is offered for that"
            mend = f"write {sale.price * sale.units} if each was sold for {sale.price}, or leave it if that was paid for all"
            troubles.add(sale.where("price"), "price-of-one", found, mend)


def _check_channel(name: str, channel: Channel, troubles: Troubles) -> None:
    """Tell of a channel that leaves nothing of any price: a part above all of it, or, beyond a cap, what has none."""
    uncapped = channel.second_percent + (channel.percent if channel.cap is None else 0)
    if channel.percent > 100 or uncapped >= 100:
        takes = max(channel.percent, uncapped)
        where = channel.where("percent" if channel.percent >= channel.second_percent else "second_percent")
        found = f"percent: {name} takes {takes.normalize():f} % of a price, so no sale there leaves anything"
        troubles.add(where, "channel-takes-all", found, "write what part it takes, below 100")


def check_left_planned(gone: Iterable[tuple[Build, bool]], settings: ShopSheet, today: date, troubles: Troubles) -> None:
    """Tell of parts with a cost that are not here while their build is gone: what is paid stays on the way for ever, and of one that is sold no figure has the rest.

    With each build, whether it is sold or delivered: of one that ended otherwise, what was only planned is no matter.
    """
    for build, sold in gone:
        for part in build.sheet.parts:
            if not worth(part) or (part.arrived and part.arrived <= today):
                continue
            if part.how != "gifted" and part.paid and part.paid <= today:
                stay, mend = "stay in the inventory, as on the way", "add arrived: with the day it was here"
            elif sold:
                stay, mend = "are in no figure", "add arrived: (and paid:), or take the part out if it was never used"
            else:
                continue
            cost = landed_cost(part, worth(part), settings, unit(settings.currency))
            found = f"{build.id} is {'sold' if sold else 'gone'} and its {part.part} is not here yet; the {cost} {stay}"
            troubles.add(part.at, "part-left-planned", found, mend)


def _check_kinds(shop: Shop, buying: Iterable[Note], troubles: Troubles) -> None:
    """Tell of an expense kind on goods that go into stock or to a build."""
    for note in buying:
        for bought in note.sheet.bought:
            if bought.kind is not None and bought.goes_to(note.build) != "shop":
                goes = f"to {build}" if (build := shop.find(bought.build_named(note.build))) else "into stock"
                found = f"kind: {bought.kind} stands here and {bought.item} goes {goes}, where it is no expense"
                troubles.add(bought.where("kind"), "kind-unused", found, "write for: shop, or take kind: out")


def _check_bought(shop: Shop, buying: Iterable[Note], troubles: Troubles) -> None:
    """Tell of a part of a build's bill that is also bought for that build: one cost, two homes."""
    lines = [
        (build, bought, note.date) for note in buying for bought in note.sheet.bought if bought.cost and (build := shop.find(bought.build_named(note.build)))
    ]
    named = {build for build, _, _ in lines}
    bills = {build.id: {folded(p.part): p for p in build.sheet.parts if p.cost} for build in shop.builds if build.id in named}
    for build, bought, day in lines:
        part = bills.get(build, {}).get(folded(bought.item))
        if part is not None:
            here = "" if part.arrived else f", with its cost:, paid: {bought.paid or day} and arrived: {bought.arrived or day}"
            found = f"{bought.item} is bought here for {build} and costs {part.cost} in its parts ({part.at.in_file}); the cost would count twice"
            troubles.add(bought.at, "cost-in-two-homes", found, f"take this line out; parts: is the home of what the bill of materials names{here}")


def _check_trade_ins(shop: Shop, lots: dict[str, Lot], troubles: Troubles) -> None:
    """A trade-in's cost is the value given; a price on its own sheet, a lot or a second trade-in would count it twice."""
    sheets = {build.id: build.sheet for build in shop.builds}
    seen: dict[str, str] = {}
    for build in shop.builds:
        for sale in build.sheet.sale:
            taken = shop.find(sale.trade_in.build) if sale.trade_in else None
            if sale.trade_in is None or taken is None:
                continue
            acquired = sheets[taken].acquired
            own = worth(acquired) if acquired is not None else None
            if taken in seen or taken in lots or own:
                came = {"bought": "bought", "gift": "given"}.get(acquired.how if acquired else "", "of the owner's own")
                other = f"a trade-in of {seen[taken]}" if taken in seen else ("in a lot" if taken in lots else came)
                found = f"{taken} is taken in trade here and is {other} too; the cost would count twice"
                troubles.add(sale.trade_in.where("build"), "cost-in-two-homes", found, "take one of the two out")
            seen[taken] = build.id
