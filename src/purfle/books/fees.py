"""What a channel takes and what a partner has of a sale: one function for each, used by the books and, turned round, by `quote`.

Invariant: knows no build and no sale; only the terms and the amounts they are taken on.
"""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from decimal import Decimal

from purfle.base.money import ZERO, rounded
from purfle.notes.model import Shop
from purfle.notes.records.sales import Share
from purfle.notes.records.shop import Channel
from purfle.notes.vocabulary.named import called


def channel_named(shop: Shop, name: str | None) -> Channel | None:
    """The shop's channel of that name, case ignored; None when there is none."""
    found = called(name, shop.settings.channels)
    return None if found is None else found.value


def remits_tax(channel: Channel | None) -> bool:
    """Whether a channel hands sales tax in itself, so that it is no money of the shop's."""
    return channel is not None and channel.remits_tax


def pays_on(channel: Channel | None, sold: date, paid_out: date | None) -> tuple[date, bool]:
    """The day the money of a sale is here, and whether that is only the channel's usual one."""
    if paid_out is not None or channel is None or channel.holds is None:
        return paid_out or sold, False
    return sold + timedelta(days=channel.holds.days), channel.holds.days > 0


def fee(channel: Channel | None, price: Decimal, shipping: Decimal, tax: Decimal, smallest: Decimal) -> Decimal:
    """The channel's fees on one sale, rounded once, as they are booked."""
    return rounded(exact_fee(channel, price, shipping, tax), smallest)


def exact_fee(channel: Channel | None, price: Decimal, shipping: Decimal, tax: Decimal) -> Decimal:
    """The channel's fees before rounding: a capped percentage, a second one without cap, and a fixed part.

    `price` is after discount and without tax, `shipping` what the buyer paid for post, `tax` the sales tax on top.
    A sale of nothing costs nothing.
    """
    base = taken_on(channel, price, shipping, tax)
    if channel is None or not base:
        return ZERO
    first = base * channel.percent / 100
    if channel.cap is not None:
        first = min(first, channel.cap)
    return first + base * channel.second_percent / 100 + channel.fixed


def partners_parts(shares: Sequence[Share], kept: Decimal, profit: Decimal, booked: Callable[[Decimal], Decimal]) -> tuple[Decimal, ...]:
    """Each partner's part, `booked` one by one: of the price that is kept, or of the profit above nothing that parts of the price leave.

    All of one kind are at most all of it: of two halves of an odd cent, the second is the smaller.
    """
    prices = _parts([share.percent for share in shares if share.of == "price"], max(kept, ZERO), booked)
    profits = _parts([share.percent for share in shares if share.of != "price"], max(profit - sum(prices, ZERO), ZERO), booked)
    of_price, of_profit = iter(prices), iter(profits)
    return tuple(next(of_price if share.of == "price" else of_profit) for share in shares)


def _parts(percents: Sequence[Decimal], whole: Decimal, booked: Callable[[Decimal], Decimal]) -> list[Decimal]:
    parts: list[Decimal] = []
    for percent in percents:
        parts.append(min(booked(whole * percent / 100), booked(whole) - sum(parts, ZERO)))
    return parts


def taken_on(channel: Channel | None, price: Decimal, shipping: Decimal, tax: Decimal) -> Decimal:
    """The amount the percentage is taken on."""
    if channel is None or channel.on == "price":
        return price
    return price + shipping if channel.on == "price and shipping" else price + shipping + tax
