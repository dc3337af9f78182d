"""What to ask for a build, and the most to pay for one: the books' own fee function turned round.

Hours at the shop's rate stand beside cost; the offer ceiling counts them, the asking price and the books do not.
A batch is quoted for one unit.
Invariant: reads the books and changes nothing in them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from purfle.base.money import ZERO, rounded
from purfle.base.quantities import Estimate
from purfle.books.fees import channel_named, exact_fee, fee
from purfle.books.figures import Quote
from purfle.books.model import Books
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import Part
from purfle.notes.records.shop import Channel
from purfle.progress.model import Progress, StageProgress

_MOST = 10**15  # in smallest units: beyond any price
HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Price:
    """An asking price, or the reason there is none."""

    amount: Decimal | None
    refused: str | None


def quote(
    shop: Shop,
    books: Books,
    progress: Progress | None,
    build: Build,
    *,
    channel: str | None = None,
    margin: Decimal | None = None,
    resale: Decimal | None = None,
    shipping: Decimal = ZERO,
) -> Quote:
    """The quote of one build.

    `channel` is a channel of shop.md (the first the build is offered in when left out), `margin` a percentage of the
    price (the shop's target when left out), `resale` the price it should fetch, for the offer ceiling (the price it is
    offered at, else the asking price, when left out), `shipping` what sending one is expected to take of the price: it is
    an expense of the sale, so the asking price earns it back and the ceiling leaves room for it, and no part of cost.
    """
    offer = build.sheet.for_sale
    name = channel or (next(iter(offer.places), None) if offer else None)
    terms, target = channel_named(shop, name), shop.settings.target_margin if margin is None else margin
    units = Decimal(max(build.sheet.units, 1))
    instrument, rest = _costs(books, build)
    cost = rounded((instrument + rest) / units, books.smallest)
    hours = _hours(progress) / units
    labour = rounded(hours * (shop.settings.labour_rate or ZERO), books.smallest)
    price = asking_price(cost + shipping, target, terms, books.smallest)
    taken = None if price.amount is None else fee(terms, price.amount, ZERO, ZERO, books.smallest)
    profit = None if price.amount is None or taken is None else price.amount - taken - cost - shipping
    expected = next((p for p in (resale, offer.asking if offer else None, price.amount if instrument else None) if p is not None), None)
    ceiling = None if expected is None else offer_ceiling(expected, target, terms, rounded(rest / units, books.smallest) + shipping, labour, books.smallest)
    return Quote(
        build=build.id,
        channel=name,
        cost=cost,
        hours=hours,
        labour=labour,
        shipping=shipping,
        target_margin=target,
        asking_price=price.amount,
        fees=taken,
        profit=profit,
        margin=profit / price.amount if profit is not None and price.amount else None,
        offer_ceiling=ceiling,
        refused=price.refused,
    )


# --- the asking price --------------------------------------------------------------------------------------------------


def asking_price(cost: Decimal, margin: Decimal, channel: Channel | None, smallest: Decimal) -> Price:
    """The smallest price in whole smallest units whose margin (percent of the price) reaches the target.

    Searched with the fee function itself, so that caps are those of the books; the target must be reached both with the
    fee as it will be booked and with the fee before rounding, so that a lucky rounding is not counted on. What is left
    of each unit of price is the same from the cap on, so once that is above nothing the target is reached somewhere;
    below the cap it may shrink with the price, but cannot reach a cost above nothing there. Rounding can make the test
    waver by a few units near its edge; those are tried one by one.
    """
    if refused := _impossible(margin, channel):
        return Price(None, refused)

    def reaches(units: int) -> bool:
        price = smallest * units
        most = max(fee(channel, price, ZERO, ZERO, smallest), exact_fee(channel, price, ZERO, ZERO))
        return (price - most - cost) * HUNDRED >= margin * price

    high = 1
    while not reaches(high):
        high *= 2
        if high > _MOST:
            return Price(None, "no price below any limit reaches the target")
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) else (middle, high)
    found = next(units for units in range(max(1, high - _waver(margin, channel)), high + 1) if reaches(units))
    return Price(smallest * found, None)


def _waver(margin: Decimal, channel: Channel | None) -> int:
    """Over how many units rounding can blur the edge: half a unit of fee, over what is left of each unit of price."""
    slopes = [left for left in (_left_of_a_unit(margin, channel, capped=capped) for capped in (False, True)) if left > 0]
    return min(int(2 / min(slopes)) + 2, 20_000)  # a target within 0.01 % of the impossible is not worth more


def _left_of_a_unit(margin: Decimal, channel: Channel | None, *, capped: bool) -> Decimal:
    """What is left of one more unit of price after margin and percentages, below or above the cap."""
    percent = ZERO if channel is None else channel.second_percent + (ZERO if capped else channel.percent)
    return (HUNDRED - margin - percent) / HUNDRED


def _impossible(margin: Decimal, channel: Channel | None) -> str | None:
    capped = channel is not None and channel.cap is not None
    if _left_of_a_unit(margin, channel, capped=capped) > 0:
        return None
    percent = HUNDRED - margin - _left_of_a_unit(margin, channel, capped=capped) * HUNDRED
    fees = f" and fees of {percent.normalize():f} %" if percent else ""
    return f"a margin of {margin:f} %{fees} leave nothing for the cost at any price"


def offer_ceiling(resale: Decimal, margin: Decimal, channel: Channel | None, parts: Decimal, labour: Decimal, smallest: Decimal) -> Decimal:
    """The most to pay for the instrument: the resale price less fees, margin, parts and labour; not below nothing."""
    left = resale - fee(channel, resale, ZERO, ZERO, smallest) - resale * margin / HUNDRED - parts - labour
    return max(left.quantize(smallest, rounding=ROUND_FLOOR), ZERO)


# --- what a build takes ------------------------------------------------------------------------------------------------


def _costs(books: Books, build: Build) -> tuple[Decimal, Decimal]:
    """Cost of the instrument, and of everything else: so far, on the way and planned."""
    instrument = rest = ZERO
    for posting in books.of_build.get(build.id, ()):
        if posting.account.went_in:
            if posting.account.name == "instrument":
                instrument += posting.amount
            else:
                rest += posting.amount
    acquired = build.sheet.acquired
    if acquired and acquired.how == "bought" and (acquired.date is None or acquired.date > books.today):
        instrument += (acquired.price or ZERO) + (acquired.shipping or ZERO)
    return instrument, rest + planned_parts(build.sheet.parts, books)


def planned_parts(parts: Iterable[Part], books: Books) -> Decimal:
    """What the bill of materials still wants: lines with a cost, neither paid nor here."""
    total = ZERO
    for part in parts:
        known = [day for day in (part.paid, part.arrived) if day is not None and day <= books.today]
        if part.how == "bought" and part.cost is not None and not known:
            tax = ZERO if part.tax_reclaimable else part.tax or ZERO
            foreign = part.currency is not None and part.currency != books.settings.currency
            total += rounded((part.cost + (part.shipping or ZERO) + tax) * ((part.rate or Decimal(1)) if foreign else 1), books.smallest)
    return total


def expected(hours: Estimate) -> Decimal:
    """The mean of a three-point estimate: (low + 4 likely + high) ÷ 6, the textbook rule."""
    return (hours.low + 4 * hours.likely + hours.high) / 6


def _hours(progress: Progress | None) -> Decimal:
    """Hours done and still expected."""
    if progress is None:
        return ZERO
    return progress.hours + sum((still_to_do(stage) for stage in progress.stages), ZERO)


def still_to_do(stage: StageProgress) -> Decimal:
    """Bench hours a stage should still take: its estimate less what this pass has had, nothing once it is finished."""
    return ZERO if stage.finished else max(expected(stage.stage.hours) - stage.current.hours, ZERO)
