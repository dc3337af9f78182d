"""The price to ask and the most to pay on given terms, found with the books' own functions of fees and shares.

Invariant: knows no build, and rounds as the books do.
"""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import NamedTuple

from purfle.base.money import ZERO, rounded
from purfle.base.trouble import listed
from purfle.books.fees import exact_fee, fee, partners_parts
from purfle.notes.records.sales import Share
from purfle.notes.records.shop import Channel

_MOST = 10**15  # in smallest units: beyond any price
HUNDRED = Decimal(100)


class Price(NamedTuple):
    """An asking price, or the reason there is none."""

    amount: Decimal | None
    refused: str | None


class Left(NamedTuple):
    """What goes off the price of one unit, and what is left of it."""

    fees: Decimal
    share: Decimal
    profit: Decimal


@dataclass(frozen=True, slots=True)
class Terms:
    """On which something is sold: what the channel takes, what partners have of it, and the margin that is to be left."""

    margin: Decimal
    """Percent of the price."""
    channel: Channel | None
    smallest: Decimal
    """The currency's smallest unit."""
    shares: tuple[Share, ...] = ()

    def at(self, price: Decimal, cost: Decimal) -> Left:
        """What a sale at a price leaves; `cost` is all that it has to earn back."""
        fees = fee(self.channel, price, ZERO, ZERO, self.smallest)
        share = sum(partners_parts(self.shares, price, price - fees - cost, lambda part: rounded(part, self.smallest)), ZERO)
        return Left(fees, share, price - fees - share - cost)

    def of_a_unit(self, *, capped: bool) -> Decimal:
        """What is left of one more unit of price after margin, percentages and share, below or above the channel's cap."""
        left = HUNDRED - self.percent(capped=capped)
        return (left - sum(partners_parts(self.shares, HUNDRED, left, lambda part: part), ZERO) - self.margin) / HUNDRED

    def percent(self, *, capped: bool) -> Decimal:
        """What part the channel takes of one more unit of price."""
        return ZERO if self.channel is None else self.channel.second_percent + (ZERO if capped else self.channel.percent)


def asking_price(cost: Decimal, terms: Terms) -> Price:
    """The smallest price in whole smallest units whose margin reaches the target.

    Searched with the functions of fees and shares themselves, so that caps are those of the books; the target must be reached
    both with the fee and share as they will be booked and with them before rounding, so that a lucky rounding is not counted
    on. What is left of each unit of price is the same from the cap on, so once that is above nothing the target is reached
    somewhere; below the cap it may shrink with the price, but cannot reach a cost above nothing there. Rounding can make the
    test waver by a few units near its edge; those are tried one by one.
    """
    if refused := _impossible(terms):
        return Price(None, refused)
    high = 1
    while not _reaches(high, cost, terms):
        high *= 2
        if high > _MOST:
            return Price(None, "no price, however high, reaches the target")
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _reaches(middle, cost, terms) else (middle, high)
    found = next(units for units in range(max(1, high - _waver(terms)), high + 1) if _reaches(units, cost, terms))
    return Price(terms.smallest * found, None)


def _reaches(units: int, cost: Decimal, terms: Terms) -> bool:
    """Whether a price of so many smallest units leaves the margin, with and without rounding."""

    def most(amount: Decimal) -> Decimal:
        return max(amount, rounded(amount, terms.smallest))

    price = terms.smallest * units
    left = price - most(exact_fee(terms.channel, price, ZERO, ZERO)) - cost
    return (left - sum(partners_parts(terms.shares, price, left, most), ZERO)) * HUNDRED >= terms.margin * price


def _waver(terms: Terms) -> int:
    """Over how many units rounding can blur the edge: half a unit of fee and of share, over what is left of each unit of price."""
    slopes = [left for left in (terms.of_a_unit(capped=capped) for capped in (False, True)) if left > 0]
    return min(int((2 + 2 * len(terms.shares)) / min(slopes)) + 2, 20_000)  # a target within 0.01 % of the impossible is not worth more


def _impossible(terms: Terms) -> str | None:
    """Why no price can reach the target, in words; None where one can."""
    capped = terms.channel is not None and terms.channel.cap is not None
    if terms.of_a_unit(capped=capped) > 0:
        return None
    takers = [f"a margin of {terms.margin:f} %"]
    if percent := terms.percent(capped=capped):
        takers.append(f"fees of {percent.normalize():f} %")
    for share in terms.shares:
        takers.append(f"a share of {share.percent.normalize():f} % of the {share.of}")
    leave = "leaves" if len(takers) == 1 else "leave"
    return f"{listed(takers, len(takers), 'and')} {leave} nothing for the cost at any price"


def offer_ceiling(resale: Decimal, parts: Decimal, labour: Decimal, terms: Terms) -> Decimal:
    """The most to pay for the instrument: the resale price less fees, margin, parts, labour and partners' shares; not below nothing.

    Of shares of the profit the margin and the labour are what must be left: so much profit is wanted before them.
    """
    wanted = resale * terms.margin / HUNDRED + labour
    kept = max(HUNDRED - sum((share.percent for share in terms.shares if share.of == "profit"), ZERO), ZERO)
    if not kept and wanted:
        return ZERO
    wanted = wanted * HUNDRED / kept if kept else ZERO
    wanted += sum(partners_parts([share for share in terms.shares if share.of == "price"], resale, ZERO, lambda part: part), ZERO)
    left = resale - fee(terms.channel, resale, ZERO, ZERO, terms.smallest) - parts - wanted
    return max(left.quantize(terms.smallest, rounding=ROUND_FLOOR), ZERO)
