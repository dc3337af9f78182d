"""What to ask for a build, and the most to pay for one: the books' own functions of fees and shares turned round.

Hours at the shop's rate stand beside cost; the offer ceiling counts them, the asking price and the books do not.
A batch is quoted for one unit.
Invariant: reads the books and changes nothing in them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from typing import NamedTuple

from purfle.base.money import ZERO, rounded
from purfle.books.builds import piece_of
from purfle.books.fees import channel_named, exact_fee, fee, partners_parts
from purfle.books.figures import Quote
from purfle.books.landed import at_home, cost_at, landed_cost, worth
from purfle.books.model import Books
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import Acquired, Part
from purfle.notes.records.sales import Commission, Share
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

    `channel` is a channel of shop.md (the first the build is offered in, or the commission's, when left out), `margin` a percentage of the
    price (the shop's target when left out), `resale` the price it should fetch, for the offer ceiling (the price it is
    offered at, else the asking price, when left out), `shipping` what sending one is expected to take of the price: it is
    an expense of the sale, so the asking price earns it back and the ceiling leaves room for it, and no part of cost.
    Where a customer agreed to a price, fees, share, profit and margin are those at that price.
    """
    offer, order, partners = build.sheet.for_sale, build.sheet.commission, build.sheet.share
    name = channel or (next(iter(offer.places), None) if offer else None) or (order.channel if order else None)
    terms, target = channel_named(shop, name), shop.settings.target_margin if margin is None else margin
    units = Decimal(max(build.sheet.units, 1))
    instrument, rest = _costs(books, build)
    cost = rounded((instrument + rest) / units, books.smallest)
    hours = _hours(progress) / units
    labour = rounded(hours * (shop.settings.labour_rate or ZERO), books.smallest)
    price = asking_price(cost + shipping, target, terms, books.smallest, partners) if cost + shipping else _NOTHING_TO_GO_BY
    agreed = None if order is None or order.price is None else rounded(agreed_price(order) / units, books.smallest)
    taken_at = price.amount if agreed is None else agreed
    sold = None if taken_at is None else _sold_at(taken_at, cost + shipping, terms, partners, books.smallest)
    expected = next((p for p in (resale, offer.asking if offer else None, price.amount if instrument else None) if p is not None), None)
    parts = rounded(rest / units, books.smallest) + shipping
    return Quote(
        build=build.id,
        channel=name,
        cost=cost,
        hours=hours,
        labour=labour,
        shipping=shipping,
        target_margin=target,
        asking_price=price.amount,
        agreed_price=agreed,
        fees=sold and sold.fees,
        share=sold and sold.share,
        profit=sold and sold.profit,
        margin=sold.profit / taken_at if sold and taken_at else None,
        profit_per_hour=sold.profit / hours if sold and hours else None,
        offer_ceiling=None if expected is None else offer_ceiling(expected, target, terms, parts, labour, books.smallest, partners),
        refused=price.refused,
    )


class _Sold(NamedTuple):
    """What goes off the price of one unit, and what is left of it."""

    fees: Decimal
    share: Decimal
    profit: Decimal


def _sold_at(price: Decimal, cost: Decimal, terms: Channel | None, partners: Sequence[Share], smallest: Decimal) -> _Sold:
    """What a sale at a price leaves; `cost` is all that it has to earn back."""
    fees = fee(terms, price, ZERO, ZERO, smallest)
    share = sum(partners_parts(partners, price, price - fees - cost, lambda part: rounded(part, smallest)), ZERO)
    return _Sold(fees, share, price - fees - share - cost)


_NOTHING_TO_GO_BY = Price(None, "no cost is written or expected, so there is nothing to reckon a price from")


def agreed_price(order: Commission) -> Decimal:
    """What a customer agreed to pay for all units, with what was agreed on top."""
    return (order.price or ZERO) + sum((extra.price for extra in order.extras), ZERO)


# --- the asking price --------------------------------------------------------------------------------------------------


def asking_price(cost: Decimal, margin: Decimal, channel: Channel | None, smallest: Decimal, shares: Sequence[Share] = ()) -> Price:
    """The smallest price in whole smallest units whose margin (percent of the price) reaches the target.

    Searched with the functions of fees and shares themselves, so that caps are those of the books; the target must be reached
    both with the fee and share as they will be booked and with them before rounding, so that a lucky rounding is not counted
    on. What is left of each unit of price is the same from the cap on, so once that is above nothing the target is reached
    somewhere; below the cap it may shrink with the price, but cannot reach a cost above nothing there. Rounding can make the
    test waver by a few units near its edge; those are tried one by one.
    """
    if refused := _impossible(margin, channel, shares):
        return Price(None, refused)

    def most(amount: Decimal) -> Decimal:
        return max(amount, rounded(amount, smallest))

    def reaches(units: int) -> bool:
        price = smallest * units
        left = price - most(exact_fee(channel, price, ZERO, ZERO)) - cost
        return (left - sum(partners_parts(shares, price, left, most), ZERO)) * HUNDRED >= margin * price

    high = 1
    while not reaches(high):
        high *= 2
        if high > _MOST:
            return Price(None, "no price below any limit reaches the target")
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) else (middle, high)
    found = next(units for units in range(max(1, high - _waver(margin, channel, shares)), high + 1) if reaches(units))
    return Price(smallest * found, None)


def _waver(margin: Decimal, channel: Channel | None, shares: Sequence[Share]) -> int:
    """Over how many units rounding can blur the edge: half a unit of fee and of share, over what is left of each unit of price."""
    slopes = [left for left in (_left_of_a_unit(margin, channel, shares, capped=capped) for capped in (False, True)) if left > 0]
    return min(int((2 + 2 * len(shares)) / min(slopes)) + 2, 20_000)  # a target within 0.01 % of the impossible is not worth more


def _percent(channel: Channel | None, *, capped: bool) -> Decimal:
    return ZERO if channel is None else channel.second_percent + (ZERO if capped else channel.percent)


def _left_of_a_unit(margin: Decimal, channel: Channel | None, shares: Sequence[Share], *, capped: bool) -> Decimal:
    """What is left of one more unit of price after margin, percentages and share, below or above the cap."""
    left = HUNDRED - _percent(channel, capped=capped)
    return (left - sum(partners_parts(shares, HUNDRED, left, lambda part: part), ZERO) - margin) / HUNDRED


def _impossible(margin: Decimal, channel: Channel | None, shares: Sequence[Share]) -> str | None:
    capped = channel is not None and channel.cap is not None
    if _left_of_a_unit(margin, channel, shares, capped=capped) > 0:
        return None
    takers = [f"a margin of {margin:f} %"]
    if percent := _percent(channel, capped=capped):
        takers.append(f"fees of {percent.normalize():f} %")
    for share in shares:
        takers.append(f"a share of {share.percent.normalize():f} % of the {share.of}")
    return f"{', '.join(takers[:-1])}{' and ' if len(takers) > 1 else ''}{takers[-1]} leave nothing for the cost at any price"


def offer_ceiling(
    resale: Decimal, margin: Decimal, channel: Channel | None, parts: Decimal, labour: Decimal, smallest: Decimal, shares: Sequence[Share] = ()
) -> Decimal:
    """The most to pay for the instrument: the resale price less fees, margin, parts, labour and partners' shares; not below nothing.

    Of shares of the profit the margin and the labour are what must be left: so much profit is wanted before them.
    """
    wanted = resale * margin / HUNDRED + labour
    kept = max(HUNDRED - sum((share.percent for share in shares if share.of == "profit"), ZERO), ZERO)
    if not kept and wanted:
        return ZERO
    wanted = wanted * HUNDRED / kept if kept else ZERO
    wanted += sum(partners_parts([share for share in shares if share.of == "price"], resale, ZERO, lambda part: part), ZERO)
    left = resale - fee(channel, resale, ZERO, ZERO, smallest) - parts - wanted
    return max(left.quantize(smallest, rounding=ROUND_FLOOR), ZERO)


# --- what a build takes ------------------------------------------------------------------------------------------------


def _costs(books: Books, build: Build) -> tuple[Decimal, Decimal]:
    """Cost of the instrument, and of everything else: so far, on the way and planned. All that a piece of the owner's own cost so far is the instrument's."""
    acquired, piece = build.sheet.acquired, piece_of(books, build.id) if books.facts[build.id].private else None
    instrument, rest = ZERO if piece is None else piece.basis, ZERO
    for posting in books.of_build.get(build.id, ()) if piece is None else ():
        if posting.account.went_in:
            if posting.account.name == "instrument" or (acquired is not None and posting.source == cost_at(acquired)):  # on its way
                instrument += posting.amount
            else:
                rest += posting.amount
    if acquired is not None and not _begun(acquired, books.today):
        instrument += landed_cost(acquired, worth(acquired), books.settings, books.smallest)
    return instrument, rest + planned_parts(build.sheet.parts, books) + gifts_to_come(build.sheet.parts, books)


def _begun(record: Acquired | Part, today: date) -> bool:
    """Whether the books have it: paid for or here."""
    if isinstance(record, Part):
        days = (record.arrived, record.paid if record.how == "bought" else None)
    elif record.date is None:
        return False
    else:
        days = (record.arrived or record.date, (record.paid or record.date) if record.how == "bought" else None)
    return any(day is not None and day <= today for day in days)


def planned_parts(parts: Iterable[Part], books: Books) -> Decimal:
    """What the bill of materials still takes: lines that are neither paid nor here, landed; of what is given or a customer's, its way here."""
    coming = ((part, worth(part) if part.how == "bought" else ZERO) for part in parts if not _begun(part, books.today))
    return sum((landed_cost(part, cost, books.settings, books.smallest) for part, cost in coming), ZERO)


def gifts_to_come(parts: Iterable[Part], books: Books) -> Decimal:
    """The values of what is still to be given: cost once it is here, and no money."""
    coming = (part for part in parts if part.how == "gifted" and not _begun(part, books.today))
    return sum((at_home(part, worth(part), books.settings, books.smallest) for part in coming), ZERO)


def _hours(progress: Progress | None) -> Decimal:
    """Hours done and still expected."""
    if progress is None:
        return ZERO
    return progress.hours + sum((still_to_do(stage) for stage in progress.stages), ZERO)


def still_to_do(stage: StageProgress) -> Decimal:
    """Bench hours a stage should still take: its estimate less what this pass has had, nothing once it is finished."""
    return ZERO if stage.finished else max(stage.stage.hours.mean - stage.current.hours, ZERO)
