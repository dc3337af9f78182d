"""How a build goes to its buyer: the offer, the sale, a commission, a partner's part.

All of it is private but the offer and what a customer agreed to.
"""

from dataclasses import dataclass
from datetime import date as Day
from decimal import Decimal
from typing import ClassVar, Literal

from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import AMOUNT, COUNT, DAY, LARGE_PERCENT, LINK, TEXT, YES_NO, many, one_of, part

IN_OWN_CURRENCY = dict.fromkeys(("currency", "rate"), "take it out, and write the amounts as they came in, in the shop's own currency")
"""What to write of money that came in: whoever paid it out had changed it."""


WHOSE_POST = dict.fromkeys(("shipping", "post", "postage"), "write shipping_charged for what the buyer paid for the way, shipping_paid for what the post took")
"""What to write of post at a sale, where two people pay it."""
TaxBy = Literal["channel", "shop"]
SharedOf = Literal["price", "profit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForSale(Record):
    """An offer to the public."""

    asking: Decimal = key(AMOUNT, "the price asked, of a batch for one; public while it is for sale", "950", required=True, instead_of="price ask")
    since: Day | None = key(DAY, "the first day it is offered", "2026-05-01", instead_of="from date")
    places: tuple[str, ...] = key(many(TEXT), "the channels it is offered in", "[market place]", default=(), word="where", instead_of="channel channels")
    enquire: str | None = key(LINK, "where a buyer may ask; the shop's contact when left out", "https://example.org/ask")
    until: Day | None = key(DAY, "the last day it is offered", "2026-08-01")


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeIn(Record):
    """An instrument taken as part of the price."""

    build: str = key(TEXT, "the build it becomes", "plover", required=True)
    value: Decimal = key(AMOUNT, "what it counted for", "200", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Back(Record):
    """A refund, with or without the goods."""

    date: Day = key(DAY, "the day of the refund", "2026-06-01", required=True)
    refund: Decimal = key(AMOUNT, "what was paid back", "900", required=True)
    goods: bool = key(YES_NO, "the instrument came back too", "yes", default=False)
    fees_back: Decimal = key(AMOUNT, "what the channel gave back of its fees", "60", default=Decimal(0))
    tax_back: Decimal = key(AMOUNT, "sales tax paid back with it, beside the refund", "0", default=Decimal(0))
    units: int = key(COUNT, "how many came back; one when left out", "1", default=1)
    why: str | None = key(TEXT, "the reason; private", "a buzz on the low string")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale(Record):
    """One sale of a build or of some of its units; everything in it is private."""

    IN_FULL: ClassVar[dict[str, str]] = {**IN_OWN_CURRENCY, **WHOSE_POST}
    date: Day = key(DAY, "the day it was sold", "2026-05-20", required=True, instead_of="day on when")
    units: int = key(COUNT, "how many of a batch; one when left out", "1", default=1)
    price: Decimal = key(AMOUNT, "the price of all its units together, before discount, without tax", "900", required=True, instead_of="cost amount total sum")
    discount: Decimal = key(AMOUNT, "what was taken off", "20", default=Decimal(0))
    channel: str | None = key(TEXT, "a channel of shop.md", "market place")
    shipping_charged: Decimal = key(AMOUNT, "post the buyer paid", "60", default=Decimal(0))
    shipping_paid: Decimal | None = key(AMOUNT, "what the post took", "48.20")
    packing: Decimal | None = key(AMOUNT, "box and padding bought for it", "12")
    insurance: Decimal | None = key(AMOUNT, "insurance of the parcel", "9")
    fees: Decimal | None = key(AMOUNT, "the channel's fees as charged; worked out and marked as an estimate until then", "71.40")
    tax: Decimal = key(AMOUNT, "sales tax the buyer paid on top", "0", default=Decimal(0))
    tax_by: TaxBy | None = key(one_of(TaxBy), "who hands the tax in; the channel's own rule when left out", "channel")
    paid_out: Day | None = key(DAY, "the day the money arrived; the day of the sale when left out and no channel holds it", "2026-05-24")
    bundled: tuple[str, ...] = key(many(TEXT), "builds sold with it for this price", "[heron-case]", default=(), word="with")
    trade_in: TradeIn | None = key(part(TradeIn), "an instrument taken as part of the price", "{build: plover, value: 200}")
    ships_to: str | None = key(TEXT, "where it went, in general words", "another region")
    buyer: str | None = key(TEXT, "who bought it; private", "a player from the coast")
    back: tuple[Back, ...] = key(many(part(Back)), "refunds and returns", "[{date: 2026-06-01, refund: 900, goods: yes}]", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra(Record):
    """Work agreed on top of a commission's price."""

    what: str = key(TEXT, "what was added", "second set of strings", required=True)
    price: Decimal = key(AMOUNT, "its price", "60", required=True, instead_of="cost amount total sum")
    date: Day | None = key(DAY, "the day it was agreed", "2026-04-02")


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered(Record):
    """A commission, or some of its units, handed over."""

    SHORT: ClassVar[str] = "date"
    date: Day = key(DAY, "the day of delivery", "2026-06-10", required=True, instead_of="day on when")
    units: int = key(COUNT, "how many; one when left out", "1", default=1)
    fees: Decimal | None = key(AMOUNT, "the channel's fees on it as charged; worked out and marked as an estimate until then", "71.40")


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent(Record):
    """What the customer agreed to."""

    SAMPLE: ClassVar[tuple[str, ...]] = ("show",)
    show: bool = key(YES_NO, "the build may be shown", "yes", default=False)
    credit_as: str | None = key(TEXT, "the name they want to be thanked by; public once show is yes", "M. from the north shore")


@dataclass(frozen=True, slots=True, kw_only=True)
class Commission(Record):
    """Work ordered by a customer; private except for the consent."""

    IN_FULL: ClassVar[dict[str, str]] = dict.fromkeys(
        ("deposit", "deposits", "paid", "received", "instalment", "instalments", "balance"),
        "note it on the day it came, received: {what: deposit, amount: 200, kind: deposit} (deposit, instalment or balance), and take it out here",
    )
    customer: str | None = key(TEXT, "who ordered it; private", "a bass player in the next town", instead_of="client name buyer")
    price: Decimal | None = key(AMOUNT, "the price agreed for all units, without tax", "1450", instead_of="cost amount total sum")
    extras: tuple[Extra, ...] = key(many(part(Extra)), "work agreed on top", "[{what: nut, price: 60}]", default=())
    delivered: tuple[Delivered, ...] = key(many(part(Delivered)), "deliveries", "[{date: 2026-06-10}]", default=())
    consent: Consent | None = key(part(Consent), "what the customer agreed to; nothing when left out", "{show: yes}")
    tax: Decimal = key(AMOUNT, "sales tax on top, at delivery", "0", default=Decimal(0))
    channel: str | None = key(TEXT, "a channel of shop.md it came through", "in person")
    back: tuple[Back, ...] = key(
        many(part(Back)), "refunds and returns after a delivery; what is still owed is lowered first", "[{date: 2026-07-01, refund: 50}]", default=()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Share(Record):
    """A partner's share."""

    partner: str = key(TEXT, "who has a share; private", "the board shop", required=True, instead_of="name who")
    percent: Decimal = key(LARGE_PERCENT, "how much", "40", required=True, instead_of="rate part")
    of: SharedOf = key(one_of(SharedOf), "what it is a share of", "profit", default="profit")
