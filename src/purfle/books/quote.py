"""What to ask for a build, and the most to pay for one.

Hours at the shop's rate stand beside cost; the offer ceiling counts them, the asking price and the books do not.
A batch is quoted for one unit.
Invariant: reads the books and changes nothing in them.
"""

from decimal import Decimal

from purfle.base.money import ZERO, rounded
from purfle.books.asking import Price, Terms, asking_price, offer_ceiling
from purfle.books.fees import channel_named
from purfle.books.figures import Quote
from purfle.books.model import Books
from purfle.books.outlook import agreed_price, costs_of, hours_of
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import BuildSheet
from purfle.progress.model import Progress

_NOTHING_TO_GO_BY = Price(None, "no cost is written or expected, so there is nothing to work a price out from")


def quote(
    shop: Shop,
    books: Books,
    progress: Progress,
    build: Build,
    *,
    channel: str | None = None,
    margin: Decimal | None = None,
    resale: Decimal | None = None,
    shipping: Decimal = ZERO,
) -> Quote:
    """The quote of one build.

    `channel` is a channel of shop.md (the first the build is offered in, or the commission's, when left out), `margin` a percentage of the
    price (the shop's target when left out), `resale` the price it should fetch, for the offer ceiling (the price it is
    offered at, else the asking price, when left out), `shipping` what sending one is expected to take of the price: it is
    an expense of the sale, so the asking price earns it back and the ceiling leaves room for it, and no part of cost.
    Where a customer agreed to a price, fees, share, profit and margin are those at that price.
    """
    sheet, name = build.sheet, channel or _channel_of(build.sheet)
    terms = Terms(shop.settings.target_margin if margin is None else margin, channel_named(shop, name), books.smallest, sheet.share)
    units = Decimal(max(sheet.units, 1))
    instrument, rest = costs_of(books, build)
    cost, hours = rounded((instrument + rest) / units, books.smallest), hours_of(progress) / units
    labour = rounded(hours * (shop.settings.labour_rate or ZERO), books.smallest)
    price = asking_price(cost + shipping, terms) if cost + shipping else _NOTHING_TO_GO_BY
    agreed = _agreed(sheet, units, books.smallest)
    taken_at = price.amount if agreed is None else agreed
    left = None if taken_at is None else terms.at(taken_at, cost + shipping)
    offered = sheet.for_sale.asking if sheet.for_sale else None
    expected = next((fetched for fetched in (resale, offered, price.amount if instrument else None) if fetched is not None), None)
    return Quote(
        build=build.id,
        channel=name,
        cost=cost,
        hours=hours,
        labour=labour,
        shipping=shipping,
        target_margin=terms.margin,
        asking_price=price.amount,
        agreed_price=agreed,
        fees=left and left.fees,
        share=left and left.share,
        profit=left and left.profit,
        margin=left.profit / taken_at if left and taken_at else None,
        profit_per_hour=left.profit / hours if left and hours else None,
        offer_ceiling=None if expected is None else offer_ceiling(expected, rounded(rest / units, books.smallest) + shipping, labour, terms),
        refused=price.refused,
    )


def _channel_of(sheet: BuildSheet) -> str | None:
    """The first channel a build is offered in, else that of its commission."""
    if sheet.for_sale is not None and sheet.for_sale.places:
        return sheet.for_sale.places[0]
    return sheet.commission.channel if sheet.commission else None


def _agreed(sheet: BuildSheet, units: Decimal, smallest: Decimal) -> Decimal | None:
    """What a customer agreed to pay for one unit; None where no price is agreed."""
    order = sheet.commission
    return None if order is None or order.price is None else rounded(agreed_price(order) / units, smallest)
