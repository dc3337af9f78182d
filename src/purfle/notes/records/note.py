"""Bench notes and days in the journal: what happened, line by line.

A bench note's lines belong to its build; in a journal day each line may say `build:`.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date as Day
from datetime import time as Clock
from decimal import Decimal
from typing import ClassVar, Literal

from purfle.base.names import folded
from purfle.base.packaged import table
from purfle.base.quantities import DistanceUnit, distance_in
from purfle.base.trouble import braced
from purfle.notes.records.said import FOR_HOURS, FOR_PAID, FOR_QTY, FOR_SHIPPING
from purfle.notes.records.sales import IN_OWN_CURRENCY, WHOSE_POST, TaxBy
from purfle.notes.records.when import HIDES, INSTEAD_OF_SHOWROOM
from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import (
    A_BUILD,
    AMOUNT,
    CLOCK,
    CURRENCY,
    DAY,
    DISTANCE,
    HOURS,
    MINUTES,
    NUMBER,
    TEXT,
    YES_NO,
    alone,
    many,
    one_of,
    part,
)
from purfle.notes.vocabulary.named import Named, named

NoBuild = Literal["shop"]
"""What stands for the shop itself, where a build might."""
NO_BUILD = one_of(NoBuild, otherwise="for work on no build, or build: with its name in place of for:")
ReceivedFor = Literal["deposit", "instalment", "balance", "show income", "other income", "reclaimed tax", "insurance"]


def a_line_for_each_stage(stages: Iterable[str]) -> str:
    """The mend for several stages where one may stand."""
    return f"write bench: [{', '.join(f'{{stage: {braced(stage)}}}' for stage in stages)}], each with its own hours"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotTaken(Record):
    """A shot in the can."""

    SHORT: ClassVar[str] = "shot"
    shot: str = key(TEXT, "the shot's name, as the route has it or your own", "the tape coming off", required=True)
    build: str | None = key(A_BUILD, "the build, in a journal day", "heron")
    stage: str | None = key(TEXT, "the stage, when the note has several", "mask")
    minutes: Decimal | None = key(MINUTES, "minutes of source material", "40")
    speed: str | None = key(TEXT, "for a time-lapse: 80x, 8000 %, or every 5 s", "80x")
    credit: str | None = key(TEXT, "whose work is seen, when it is not yours; needs their consent", "a friend")
    consent: bool = key(YES_NO, "they agreed to be shown", "yes", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench(Record):
    """Work at the bench on one stage."""

    PAIR: ClassVar[tuple[str, str]] = ("stage", "hours")
    SAMPLE: ClassVar[tuple[str, ...]] = ("stage", "hours")
    build: str | None = key(A_BUILD, "the build, in a journal day", "heron")
    stage: str | None = key(TEXT, "the stage worked on", "colour")
    hours: Decimal | None = key(HOURS, "hours at the bench", "2.5", instead_of=FOR_HOURS)
    finished: bool = key(YES_NO, "the stage is finished with this", "yes", default=False, instead_of="done complete completed")
    place: NoBuild | None = key(NO_BUILD, "for work on no build: shop", "shop", word="for")
    what: str | None = key(TEXT, "what was done, for work on no build", "booth filters")
    coats: tuple[Clock, ...] = key(many(CLOCK), "the time of day of each coat, to check the recoat window", "[10:30, 12:00]", default=())
    after_sale: bool = key(YES_NO, "warranty work on a build already sold", "yes", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Used(Record):
    """Something from stock that was used up."""

    PAIR: ClassVar[tuple[str, str]] = ("item", "qty")
    item: str = key(TEXT, "the item", "umber lacquer", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how much, in the item's unit", "0.5", required=True, instead_of=FOR_QTY)
    build: str | None = key(A_BUILD, "the build, in a journal day", "heron")
    over: tuple[str, ...] = key(many(TEXT), "builds that share it, by that day's hours, else evenly", "[heron, wren]", default=())
    lot: str | None = key(TEXT, "the delivery it comes from, when it matters: the `lot` named when it was bought", "spring can")
    place: NoBuild | None = key(NO_BUILD, "for the shop itself: shop", "shop", word="for")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought(Record):
    """A purchase; the cost is for the whole line."""

    item: str = key(TEXT, "what was bought", "umber lacquer", required=True, instead_of="what name part")
    unit: str | None = key(TEXT, "the unit it is counted in", "can")
    qty: Decimal = key(NUMBER, "how much", "2", default=Decimal(1), instead_of=FOR_QTY)
    cost: Decimal = key(AMOUNT, "cost of the whole line", "39.80", required=True, instead_of="price amount total sum")
    shipping: Decimal | None = key(AMOUNT, "post paid for it", "6", instead_of=FOR_SHIPPING)
    tax: Decimal | None = key(AMOUNT, "tax paid on it", "3.18")
    tax_reclaimable: bool = key(YES_NO, "the tax can be reclaimed, so it is a balance and not a cost", "yes", default=False)
    purpose: str | None = key(TEXT, "stock, shop, or a build; the note's own build when left out in a bench note, else stock", "stock", word="for")
    origin: str | None = key(TEXT, "the supplier; private", "Fenwick Finishes", word="from", instead_of="supplier seller shop")
    kind: str | None = key(TEXT, "for the shop: the expense kind", "tools")
    lot: str | None = key(TEXT, "a name for this delivery, to use it by name", "spring can")
    paid: Day | None = key(DAY, "the day it was paid, if another day", "2026-03-14", instead_of=FOR_PAID)
    arrived: Day | None = key(DAY, "the day it arrived, if another day", "2026-03-18", instead_of="here came")
    currency: str | None = key(CURRENCY, "the currency of the amounts, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")

    def goes_to(self, own: str | None) -> Literal["stock", "shop", "build"]:
        """Where it goes; `own` is the build whose note it stands in, None in a journal day."""
        if self.purpose is None:
            return "stock" if own is None else "build"
        word = folded(self.purpose)
        return "stock" if word == "stock" else "shop" if word == "shop" else "build"

    def build_named(self, own: str | None) -> str | None:
        """The build it goes to, as the notes name it; None when it goes to none."""
        return (self.purpose or own) if self.goes_to(own) == "build" else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldBack(Record):
    """A refund on what was sold from stock, with or without the goods."""

    date: Day = key(DAY, "the day of the refund", "2026-04-01", required=True, instead_of="day on when")
    refund: Decimal = key(AMOUNT, "what was paid back", "25", required=True, instead_of="price cost amount")
    goods: bool = key(YES_NO, "it came back too, and is on the shelf again at its cost", "yes", default=False)
    qty: Decimal | None = key(NUMBER, "how many came back; all of them when left out", "1", instead_of="units quantity number count pieces pcs")
    fees_back: Decimal = key(AMOUNT, "what the channel gave back of its fees", "1.20", default=Decimal(0))
    tax_back: Decimal = key(AMOUNT, "sales tax paid back with it, beside the refund", "0", default=Decimal(0))
    why: str | None = key(TEXT, "the reason; private", "one coil is open", instead_of="reason because")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold(Record):
    """A sale of something from stock, or of odds and ends."""

    IN_FULL: ClassVar[dict[str, str]] = {
        **IN_OWN_CURRENCY,
        **WHOSE_POST,
        "build": "take it out, for this leaves the shelf; if the build itself was sold, write sale: with its date: and price: on its sheet, in place of this line",
    }
    item: str = key(TEXT, "the stock item", "worn pickup", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how many", "1", default=Decimal(1), instead_of=FOR_QTY)
    price: Decimal = key(AMOUNT, "price of the whole line, without tax", "25", required=True, instead_of="cost amount total sum")
    discount: Decimal = key(AMOUNT, "what was taken off", "5", default=Decimal(0))
    channel: str | None = key(TEXT, "a channel of shop.md", "in person")
    fees: Decimal | None = key(AMOUNT, "the channel's fees as charged", "1.20")
    shipping_charged: Decimal = key(AMOUNT, "post the buyer paid", "4", default=Decimal(0))
    shipping_paid: Decimal | None = key(AMOUNT, "what the post took", "4.80")
    tax: Decimal = key(AMOUNT, "sales tax on top", "0", default=Decimal(0))
    tax_by: TaxBy | None = key(one_of(TaxBy), "who hands the tax in", "shop")
    paid_out: Day | None = key(DAY, "the day the money arrived, if another day", "2026-03-16")
    lot: str | None = key(TEXT, "the delivery it comes from, when it matters", "spring can")
    back: tuple[SoldBack, ...] = key(many(part(SoldBack)), "refunds and returns", "[{date: 2026-04-01, refund: 25, goods: yes}]", default=())

    def came_back(self) -> Iterator[tuple[SoldBack, Decimal]]:
        """Each refund with how many came back with it, day by day; where none is written, all that are still out."""
        out = self.qty
        for back in sorted(self.back, key=lambda back: back.date):
            qty = (out if back.qty is None else back.qty) if back.goods else Decimal(0)
            out = max(out - qty, Decimal(0))
            yield back, qty


@dataclass(frozen=True, slots=True, kw_only=True)
class Salvaged(Record):
    """A part taken off a build into stock; its value moves with it."""

    PAIR: ClassVar[tuple[str, str]] = ("item", "qty")
    item: str = key(TEXT, "the item", "worn pickup", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how many", "3", default=Decimal(1), instead_of=FOR_QTY)
    value: Decimal = key(AMOUNT, "what the line is worth; it leaves the build's cost", "30", default=Decimal(0))
    unit: str | None = key(TEXT, "the unit it is counted in", "piece")
    build: str | None = key(A_BUILD, "the build, in a journal day", "heron")


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedPart(Record):
    """A part that goes from one build to another, with its cost."""

    part: str = key(TEXT, "the part, as the bill of materials has it", "bridge", required=True, instead_of="item what name")
    origin: str | None = key(TEXT, "the build it leaves; the note's own when left out", "heron", word="from")
    to: str = key(TEXT, "the build it goes to, or stock", "wren", required=True)
    cost: Decimal | None = key(AMOUNT, "its cost, if not what the build was charged for it", "40")
    qty: Decimal | None = key(NUMBER, "how many, when not all", "1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned(Record):
    """Goods sent back to a supplier."""

    item: str = key(TEXT, "the stock item, the part of a build, or what was bought for the shop", "umber lacquer", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how much", "1", default=Decimal(1), instead_of=FOR_QTY)
    refund: Decimal = key(AMOUNT, "what the supplier gave back", "19.90", required=True, instead_of="price cost amount")
    build: str | None = key(A_BUILD, "the build whose part it was", "heron")
    origin: str | None = key(TEXT, "the supplier; private", "Fenwick Finishes", word="to")
    lot: str | None = key(TEXT, "the delivery it was from, when it matters", "spring can")
    paid: Day | None = key(DAY, "the day the money arrived, if another day", "2026-03-20", instead_of=FOR_PAID)
    currency: str | None = key(CURRENCY, "the currency of the refund, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency brought in the shop's", "1.08")


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenOff(Record):
    """Stock that is spoiled or lost."""

    PAIR: ClassVar[tuple[str, str]] = ("item", "qty")
    item: str = key(TEXT, "the stock item", "old primer", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how much", "1", required=True, instead_of=FOR_QTY)
    why: str | None = key(TEXT, "the reason", "gone thick", instead_of="reason because")
    lot: str | None = key(TEXT, "the delivery it was from, when it matters", "spring can")


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted(Record):
    """A stock count; what is missing is shrinkage, what is over comes in at no cost."""

    PAIR: ClassVar[tuple[str, str]] = ("item", "qty")
    item: str = key(TEXT, "the stock item", "umber lacquer", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how much is on the shelf", "1.5", required=True, instead_of=FOR_QTY)


def _payment(words: str) -> str:
    """A payment in words, `rent 180`, as the keys that say it, where the word is a kind of expense; empty for others."""
    match = re.fullmatch(r"([a-z][a-z ]*) ([0-9]+(?:\.[0-9]{1,2})?)", words.strip().casefold())
    kinds = table("tax_forms/us-schedule-c")["kinds"]
    return f"{{what: {match[1]}, cost: {match[2]}, kind: {match[1]}}}" if match and match[1] in kinds else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paid(Record):
    """Money that went out for something other than goods."""

    IN_KEYS: ClassVar[Callable[[str], str]] = _payment
    what: str = key(TEXT, "what for", "nickel plating", required=True, instead_of="item name")
    cost: Decimal = key(AMOUNT, "how much", "45", required=True, instead_of="price amount total sum")
    kind: str = key(TEXT, "outside work, other cost, share, sales tax, supplier, or an expense kind of shop.md", "outside work", required=True)
    build: str | None = key(A_BUILD, "the build it is for, in a journal day", "heron")
    to: str | None = key(TEXT, "who was paid; private", "the plating works", instead_of="supplier whom")
    paid: Day | None = key(DAY, "the day the money went out, if another day", "2026-03-20", instead_of=FOR_PAID)
    currency: str | None = key(CURRENCY, "the currency, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")


@dataclass(frozen=True, slots=True, kw_only=True)
class Received(Record):
    """Money that came in for something other than a sale's price at the sale."""

    IN_FULL: ClassVar[dict[str, str]] = IN_OWN_CURRENCY
    what: str = key(TEXT, "what for", "deposit", required=True)
    amount: Decimal = key(AMOUNT, "how much came in", "200", default=Decimal(0), instead_of="cost price total sum")
    kind: ReceivedFor = key(
        one_of(ReceivedFor),
        "what it is: deposit and instalment are held until delivery; balance pays what a customer owes; "
        "reclaimed tax is also what was only set off, if all of the sales tax is under paid",
        "deposit",
        default="deposit",
    )
    build: str | None = key(A_BUILD, "the build it is for, in a journal day", "heron")
    refunded: Decimal = key(AMOUNT, "of deposits held: paid back", "200", default=Decimal(0))
    forfeited: Decimal = key(AMOUNT, "of deposits held: kept, because the job is off", "50", default=Decimal(0))
    origin: str | None = key(TEXT, "who paid; private", "the customer", word="from")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot(Record):
    """Several instruments for one price, split by relative value."""

    lot: str = key(TEXT, "the lot's name", "winter", required=True, instead_of="name")
    cost: Decimal = key(AMOUNT, "the one price", "600", required=True, instead_of="price amount total sum")
    shipping: Decimal = key(AMOUNT, "post paid for it", "90", default=Decimal(0), instead_of=FOR_SHIPPING)
    tax: Decimal = key(AMOUNT, "tax paid on it", "0", default=Decimal(0))
    values: tuple[Named, ...] = key(
        named(AMOUNT, "a build, stock, collection or shop"),
        "what each is worth: builds, and stock, collection or shop",
        "{heron: 400, wren: 250, stock: 50}",
        required=True,
        default=(),
    )
    item: str | None = key(TEXT, "the item that the stock's share is", "worn pickup")
    qty: Decimal = key(NUMBER, "how many of that item", "3", default=Decimal(1), instead_of=FOR_QTY)
    origin: str | None = key(TEXT, "whom it came from; private", "a closing shop", word="from")
    paid: Day | None = key(DAY, "the day it was paid, if another day", "2026-01-09", instead_of=FOR_PAID)
    currency: str | None = key(CURRENCY, "the currency of the amounts, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")

    @property
    def stocked(self) -> str:
        """What the stock's share is called on the shelf."""
        return self.item or self.lot

    @property
    def has_stock(self) -> bool:
        """Whether a part of it is for stock: of what is worth something, or of a cost that is shared evenly because nothing is."""
        worth = {folded(value.name): value.value for value in self.values}
        return bool(worth.get("stock")) if any(worth.values()) else "stock" in worth and bool(self.cost or self.shipping or self.tax)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn(Record):
    """Goods the owner took for private use, at cost."""

    PAIR: ClassVar[tuple[str, str]] = ("item", "qty")
    item: str = key(TEXT, "the stock item", "umber lacquer", required=True, instead_of="what name part")
    qty: Decimal = key(NUMBER, "how much", "1", default=Decimal(1), instead_of=FOR_QTY)
    why: str | None = key(TEXT, "what for", "a chair at home")
    lot: str | None = key(TEXT, "the delivery it was from, when it matters", "spring can")


def _trip(words: str) -> str:
    """A trip in words, `30 km to the mill`, as the keys that say it; empty where no distance comes first."""
    found = distance_in(words)
    if found is None:
        return ""
    figure, unit, why = found
    return "{" + ", ".join(f"{word}: {value}" for word, value in (("distance", figure), ("unit", unit), ("why", why)) if value) + "}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drove(Record):
    """A trip for the shop."""

    IN_KEYS: ClassVar[Callable[[str], str]] = _trip
    distance: Decimal = key(DISTANCE, "how far", "24", required=True, instead_of="miles km kilometres")
    unit: DistanceUnit | None = key(one_of(DistanceUnit), "mi or km; that of the rate when left out", "mi")
    why: str | None = key(TEXT, "what for", "plating works and back")


_OF_A_BUILD = "write sale: with its date: and price: on the sheet of the build that was sold"
_BY_OTHER_NAMES = {
    **dict.fromkeys(("sale", "sales"), f"{_OF_A_BUILD}, or sold: for what leaves the shelf"),
    **dict.fromkeys(
        ("refund", "refunds", "refunded"),
        "write back: under the sale it is of for what a buyer got back, returned: for what a supplier gave back, or received: with refunded: for a deposit",
    ),
    "lost": "write written_off: for stock that is lost; an instrument has ended: on its sheet, and a part that never came arrived: there and returned: here",
    "spent": "write hours: for time, bought: for goods, or paid: for what is none",
}
"""What people write for time, money and losses that are told in more than one place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteSheet(Record):
    """The frontmatter of a bench note or of a day in the journal."""

    IN_FULL: ClassVar[dict[str, str]] = {**HIDES, **_BY_OTHER_NAMES}
    date: Day | None = key(DAY, "the day again, if you like to see it; it must agree with the file's name", "2026-03-14")
    stage: str | None = key(alone(a_line_for_each_stage), "the stage worked on, when there is one", "colour")
    hours: Decimal | None = key(HOURS, "hours at the bench on it", "2.5", instead_of=FOR_HOURS)
    finished: bool = key(YES_NO, "the stage is finished with this", "yes", default=False, instead_of="done complete completed")
    coats: tuple[Clock, ...] = key(many(CLOCK), "the time of day of each coat of it, to check the recoat window", "[10:30, 12:00]", default=())
    bench: tuple[Bench, ...] = key(
        many(part(Bench)), "the work, when there are several stages", "[{stage: mask, hours: 1}, {stage: colour, hours: 2, finished: yes}]", default=()
    )
    redo: tuple[str, ...] = key(many(TEXT), "stages scraped off: they and those that follow reopen as a new pass", "[colour]", default=())
    build: str | None = key(TEXT, "in a journal day that is about one build: that build", "heron")
    used: tuple[Used, ...] = key(many(part(Used)), "stock used up", "[{item: umber lacquer, qty: 0.5}]", default=(), instead_of="use consumed")
    bought: tuple[Bought, ...] = key(
        many(part(Bought)), "purchases", "[{item: umber lacquer, qty: 2, cost: 39.80, for: stock}]", default=(), instead_of="purchased purchases buy"
    )
    sold: tuple[Sold, ...] = key(many(part(Sold)), "stock sold", "[{item: worn pickup, qty: 1, price: 25}]", default=(), instead_of="sale sales")
    salvaged: tuple[Salvaged, ...] = key(many(part(Salvaged)), "parts taken off into stock", "[{item: worn pickup, qty: 3, value: 30}]", default=())
    moved: tuple[MovedPart, ...] = key(many(part(MovedPart)), "parts that go from one build to another", "[{part: bridge, from: heron, to: wren}]", default=())
    returned: tuple[Returned, ...] = key(
        many(part(Returned)), "goods sent back to a supplier", "[{item: umber lacquer, qty: 1, refund: 19.90}]", default=(), instead_of="sent_back"
    )
    written_off: tuple[WrittenOff, ...] = key(
        many(part(WrittenOff)), "stock spoiled or lost", "[{item: old primer, qty: 1}]", default=(), instead_of="spoiled spoilt wasted"
    )
    counted: tuple[Counted, ...] = key(
        many(part(Counted)), "a stock count", "[{item: umber lacquer, qty: 1.5}]", default=(), instead_of="inventory stocktake stock_count"
    )
    shots: tuple[ShotTaken, ...] = key(many(part(ShotTaken)), "shots taken", "[spray, {shot: steaming the neck out, minutes: 40, speed: 80x}]", default=())
    paid: tuple[Paid, ...] = key(
        many(part(Paid)),
        "money out for something other than goods",
        "[{what: nickel plating, cost: 45, kind: outside work}]",
        default=(),
        instead_of="payed pay payment payments expense expenses",
    )
    received: tuple[Received, ...] = key(
        many(part(Received)),
        "money in beside sales",
        "[{what: deposit, amount: 200, kind: deposit}]",
        default=(),
        instead_of="income payments_in got deposit deposits",
    )
    after_sale: bool = key(YES_NO, "warranty work on a build already sold", "yes", default=False)
    showroom: bool = key(YES_NO, "no keeps this note off the public log", "no", default=True, instead_of=INSTEAD_OF_SHOWROOM)
    lots: tuple[Lot, ...] = key(many(part(Lot)), "several instruments for one price", "[{lot: winter, cost: 600, values: {heron: 400, wren: 250}}]", default=())
    withdrawn: tuple[Withdrawn, ...] = key(many(part(Withdrawn)), "goods taken for private use", "[{item: umber lacquer, qty: 1}]", default=())
    drove: tuple[Drove, ...] = key(
        many(part(Drove)),
        "trips for the shop",
        "{distance: 24, unit: mi, why: plating works}",
        default=(),
        instead_of="driven drive miles trip trips mileage km",
    )
