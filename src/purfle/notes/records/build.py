"""The build sheet, `builds/<id>/build.md`."""

import re
from datetime import date as Day
from decimal import Decimal
from typing import ClassVar

from dataclasses import dataclass

from purfle.base.quantities import Estimate, Length, UnitWeight, Wait, Weight
from purfle.notes.fields import Kind, Reading, Record, key
from purfle.notes.kinds import (
    AMOUNT,
    COUNT,
    CURRENCY,
    DAY,
    GAUGE,
    HOURS,
    LENGTH,
    LINK,
    NUMBER,
    PATH,
    PERCENT,
    TEXT,
    UNIT_WEIGHT,
    WAIT,
    WEIGHT,
    YES_NO,
    either,
    estimate,
    many,
    one_of,
    part,
)
from purfle.base.trouble import Wrong
from purfle.notes.tree import Node, Scalar
from purfle.notes.records.when import SHOWROOM, Showing

KINDS = ("resale", "commission", "collection", "batch", "test")
HOW_ACQUIRED = ("bought", "lot", "trade-in", "own collection", "customer's", "consigned", "gift")


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedShot(Record):
    """A shot a stage wants, taken during it or between two stages."""

    SHORT: ClassVar[str] = "shot"
    shot: str = key(TEXT, "what to film", "the tape coming off", required=True)
    during: str | None = key(TEXT, "the stage it is taken in; the stage it stands under when left out", "mask")
    since: str | None = key(TEXT, "the stage after which it can be taken", "strip", word="from")
    until: str | None = key(TEXT, "the stage whose start ends the chance", "prime")


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSheet(Record):
    """A stage of a route, or a change to one on a build sheet."""

    SHORT: ClassVar[str] = "stage"
    stage: str = key(TEXT, "the stage's name", "clear", required=True)
    hours: Estimate | None = key(estimate(HOURS), "bench hours it takes; an hour is assumed for a stage without hours, cure or wait", "[1, 2, 4]")
    cure: str | None = key(TEXT, "a time such as 14 days, or the name of an entry of the cure table; counted for each pass", "14 days")
    wait: Estimate | None = key(estimate(NUMBER), "days of outside work, which take no hands", "[5, 7, 12]")
    whole: bool = key(YES_NO, "the stage fits in one day and is not split", "yes", default=False)
    skip: bool = key(YES_NO, "the route's stage is left out of this build", "yes", default=False)
    follows: tuple[str, ...] | None = key(
        many(TEXT), "the stages that must be finished first; when left out, the one before it and every side branch not yet followed", "[strip]"
    )
    needs: tuple[str, ...] = key(many(TEXT), "parts or stock items without which it can't begin", "[clear lacquer]", default=())
    shots: tuple[WantedShot, ...] = key(many(part(WantedShot)), "the shots it wants", "[the tape coming off]", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Record):
    """A build set aside."""

    since: Day = key(DAY, "the first day on hold", "2026-03-01", required=True)
    until: Day | None = key(DAY, "the last day on hold", "2026-03-20")
    why: str | None = key(TEXT, "the reason", "the customer is away")


@dataclass(frozen=True, slots=True, kw_only=True)
class Acquired(Record):
    """How the instrument came in."""

    date: Day | None = key(DAY, "the day it came in", "2026-01-10")
    how: str = key(
        one_of(*HOW_ACQUIRED), "the way it came; with lot, trade-in, customer's, consigned and gift no price is paid here", "bought", default="bought"
    )
    price: Decimal | None = key(AMOUNT, "what was paid for it", "280")
    shipping: Decimal | None = key(AMOUNT, "what its way here cost", "45")
    tax: Decimal | None = key(AMOUNT, "tax paid on it", "0")
    tax_reclaimable: bool = key(YES_NO, "the tax comes back, so it is a balance and no cost", "yes", default=False)
    value: Decimal | None = key(AMOUNT, "for a gift or a piece of your own collection: what it was worth that day", "150")
    basis: Decimal | None = key(AMOUNT, "for a piece of your own collection: what it once cost you", "200")
    lot: str | None = key(TEXT, "the lot it came in", "winter")
    origin: str | None = key(TEXT, "whom it came from; private", "a barn sale up the valley", word="from")
    paid: Day | None = key(DAY, "the day it was paid, when another than the day it came", "2026-01-08")
    arrived: Day | None = key(DAY, "the day it was here, when another than `date`", "2026-01-14")
    currency: str | None = key(CURRENCY, "the currency of the amounts, when it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Record):
    """One line of the bill of materials."""

    part: str = key(TEXT, "the part", "bridge", required=True)
    qty: Decimal = key(NUMBER, "how many", "1", default=Decimal(1))
    cost: Decimal | None = key(AMOUNT, "cost of the whole line", "120")
    shipping: Decimal | None = key(AMOUNT, "post paid for it", "8.50")
    tax: Decimal | None = key(AMOUNT, "tax paid on it", "4.20")
    tax_reclaimable: bool = key(YES_NO, "the tax comes back, so it is a balance and no cost", "yes", default=False)
    stage: str | None = key(TEXT, "the stage that waits for it", "assembly", word="for")
    lead: Wait | None = key(WAIT, "how long it takes to come once ordered", "10 days")
    ordered: Day | None = key(DAY, "the day it was ordered", "2026-03-01")
    paid: Day | None = key(DAY, "the day it was paid", "2026-03-01")
    eta: Day | None = key(DAY, "the day it is expected", "2026-03-20")
    arrived: Day | None = key(DAY, "the day it was here", "2026-03-18")
    how: str = key(
        one_of("bought", "gifted", "customer's"),
        "bought; gifted (no cost unless a value is given); customer's (no cost, the plan waits for it)",
        "gifted",
        default="bought",
    )
    value: Decimal | None = key(AMOUNT, "for a gift: what it is worth; the same amount is cost and show income", "180")
    origin: str | None = key(TEXT, "the supplier, or who gave it", "Tarnwater Pickups", word="from")
    currency: str | None = key(CURRENCY, "the currency of the amounts, when it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecItem(Record):
    """A pickup, string, light or wood, in words or with its figures."""

    SHORT: ClassVar[str] = "what"
    what: str | None = key(TEXT, "what it is", "split-coil, neck")
    gauge: Length | None = key(GAUGE, "a string's gauge, in inches when no unit is written", "0.045")
    note: str | None = key(TEXT, "a string's note", "E1")
    wound: bool | None = key(YES_NO, "the string is wound; plain steel when left out", "yes")
    material: str | None = key(TEXT, "what a plain string is made of; steel when left out, anything else needs its unit_weight", "nylon")
    unit_weight: UnitWeight | None = key(
        UNIT_WEIGHT,
        "the string's weight for each length, from its maker, in pounds an inch when no unit is written; without it a wound string has no tension",
        "0.00088",
    )
    volts: Decimal | None = key(NUMBER, "a light's forward voltage", "2.0")
    ma: Decimal | None = key(NUMBER, "milliamperes it draws from the battery, each", "20")
    kohm: Decimal | None = key(NUMBER, "a pickup's or pot's resistance in kilohms", "250")
    qty: int | None = key(COUNT, "how many of it", "2")
    used_for: str | None = key(TEXT, "for a wood: where it is; for a pot: the pickup it is for, all of them when left out", "top", word="for")


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery(Record):
    """The battery on board."""

    volts: Decimal | None = key(NUMBER, "its voltage", "9")
    mah: Decimal | None = key(NUMBER, "its capacity in milliampere-hours", "550")
    kind: str | None = key(TEXT, "what kind of cell it is", "alkaline")


def _string() -> Kind:
    """A string with its figures, its gauge alone, or words for it."""
    whole = part(SpecItem)

    def read(node: Node, reading: Reading) -> SpecItem:
        if isinstance(node, Scalar) and re.fullmatch(r"[0-9.]+", node.text.strip()):
            try:
                gauge = GAUGE.read(node, reading)
            except Wrong as wrong:  # the string is there all the same, and counts
                reading.troubles.wrong(node.at, wrong)
                gauge = None
            return SpecItem(gauge=gauge, at=node.at, marks=(("gauge", node.at),))
        found: SpecItem = whole.read(node, reading)
        return found

    return Kind(f"{whole.says}, or a gauge alone", read, whole.schema, SpecItem)


STRING = _string()


@dataclass(frozen=True, slots=True, kw_only=True)
class StrungBefore(Record):
    """What the instrument was strung and tuned to before, to see how the load on the neck moves."""

    tuning: str | None = key(TEXT, "the notes it had, thick string first; as now when left out", "E1 A1 D2 G2")
    strings: tuple[SpecItem, ...] = key(many(STRING), "the strings it had, thick to thin; as now when left out", "[{gauge: 0.100, wound: yes}]", default=())
    a4: Decimal | None = key(NUMBER, "the pitch of A4 then, in hertz; as now when left out", "440")


@dataclass(frozen=True, slots=True, kw_only=True)
class Specs(Record):
    """What the instrument is, for the buyer and for the sheets; all of it public."""

    scale_length: Length | None = key(LENGTH, "nut to saddle", "34 in")
    frets: int | None = key(COUNT, "number of frets", "21")
    nut_width: Length | None = key(LENGTH, "width of the nut", "41 mm")
    heel_width: Length | None = key(LENGTH, "width of the board at the last fret", "56 mm")
    bound: bool = key(YES_NO, "the board is bound, so that frets end short of its edge", "yes", default=False)
    radius: tuple[Length, ...] = key(many(LENGTH), "radius of the board; two for a compound one, at the nut and at the last fret", "[10 in, 14 in]", default=())
    nut_spread: Length | None = key(LENGTH, "between the centres of the outer strings at the nut", "35 mm")
    bridge_spread: Length | None = key(LENGTH, "between the centres of the outer strings at the bridge", "52 mm")
    strings: tuple[SpecItem, ...] = key(many(STRING), "the strings, thick to thin", "[{gauge: 0.046, wound: yes}, 0.017]", default=())
    tuning: str | None = key(TEXT, "the notes, thick string first, with their octaves; C4 is the middle C", "E1 A1 D2 G2")
    a4: Decimal | None = key(NUMBER, "the pitch of A4 in hertz; 440 when left out", "442")
    strung_before: StrungBefore | None = key(part(StrungBefore), "what it was strung and tuned to before", "{tuning: D1 G1 C2 F2}")
    pickups: tuple[SpecItem, ...] = key(many(part(SpecItem)), "the pickups, neck first", "[split-coil]", default=())
    battery: Battery | None = key(part(Battery), "the battery on board", "{volts: 9, mah: 550}")
    leds: tuple[SpecItem, ...] = key(many(part(SpecItem)), "lights", "[{what: side dots, volts: 2.0, ma: 5}]", default=())
    woods: tuple[SpecItem, ...] = key(many(part(SpecItem)), "woods", "[{what: alder, for: body}]", default=())
    pots: tuple[SpecItem, ...] = key(
        many(part(SpecItem)), "the pots, with their resistance", "[{what: volume, kohm: 250}, {what: tone, kohm: 250}]", default=()
    )
    tone_nf: Decimal | None = key(NUMBER, "the tone capacitor in nanofarads", "22")
    weight: str | None = key(TEXT, "weight, in words", "3.6 kg")
    controls: str | None = key(TEXT, "knobs and switches", "two volumes, one tone")
    other: tuple[str, ...] = key(many(TEXT), "anything else a buyer should know", "[case included]", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class ForSale(Record):
    """An offer to the public."""

    asking: Decimal = key(AMOUNT, "the price asked, public while it is for sale", "950", required=True)
    since: Day | None = key(DAY, "the first day it is offered", "2026-05-01")
    places: tuple[str, ...] = key(many(TEXT), "the channels it is offered in", "[market place]", default=(), word="where")
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
    units: int = key(COUNT, "how many came back", "1", default=1)
    why: str | None = key(TEXT, "the reason; private", "a buzz on the low string")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale(Record):
    """One sale of a build or of some of its units; everything in it is private."""

    date: Day = key(DAY, "the day it was sold", "2026-05-20", required=True)
    units: int = key(COUNT, "how many of a batch", "1", default=1)
    price: Decimal = key(AMOUNT, "the price before discount, without tax", "900", required=True)
    discount: Decimal = key(AMOUNT, "what was taken off", "20", default=Decimal(0))
    channel: str | None = key(TEXT, "a channel of shop.md", "market place")
    shipping_charged: Decimal = key(AMOUNT, "post the buyer paid", "60", default=Decimal(0))
    shipping_paid: Decimal | None = key(AMOUNT, "what the post took", "48.20")
    packing: Decimal | None = key(AMOUNT, "box and padding bought for it", "12")
    insurance: Decimal | None = key(AMOUNT, "insurance of the parcel", "9")
    fees: Decimal | None = key(AMOUNT, "the channel's fees as charged; worked out and marked as an estimate until then", "71.40")
    tax: Decimal = key(AMOUNT, "sales tax the buyer paid on top", "0", default=Decimal(0))
    tax_by: str | None = key(one_of("channel", "shop"), "who hands the tax in; the channel's own rule when left out", "channel")
    paid_out: Day | None = key(DAY, "the day the money was here; the day of the sale when left out and no channel holds it", "2026-05-24")
    bundled: tuple[str, ...] = key(many(TEXT), "builds sold with it for this price", "[heron-case]", default=(), word="with")
    trade_in: TradeIn | None = key(part(TradeIn), "an instrument taken as part of the price", "{build: plover, value: 200}")
    ships_to: str | None = key(TEXT, "where it went, in general words", "another region")
    buyer: str | None = key(TEXT, "who bought it; private", "a player from the coast")
    back: tuple[Back, ...] = key(many(part(Back)), "refunds and returns", "[{date: 2026-06-01, refund: 900, goods: yes}]", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra(Record):
    """Work agreed on top of a commission's price."""

    what: str = key(TEXT, "what was added", "second set of strings", required=True)
    price: Decimal = key(AMOUNT, "its price", "60", required=True)
    date: Day | None = key(DAY, "the day it was agreed", "2026-04-02")


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered(Record):
    """A commission, or some of its units, handed over."""

    date: Day = key(DAY, "the day of delivery", "2026-06-10", required=True)
    units: int = key(COUNT, "how many", "1", default=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Consent(Record):
    """What the customer agreed to."""

    show: bool = key(YES_NO, "the build may be shown", "yes", default=False)
    credit_as: str | None = key(TEXT, "the name they want to be thanked by; public once show is yes", "M. from the north shore")


@dataclass(frozen=True, slots=True, kw_only=True)
class Commission(Record):
    """Work ordered by a customer; private but for the consent."""

    customer: str | None = key(TEXT, "who ordered it; private", "a bass player in the next town")
    price: Decimal | None = key(AMOUNT, "the price agreed for all units, without tax", "1450")
    extras: tuple[Extra, ...] = key(many(part(Extra)), "work agreed on top", "[{what: nut, price: 60}]", default=())
    delivered: tuple[Delivered, ...] = key(many(part(Delivered)), "deliveries", "[{date: 2026-06-10}]", default=())
    consent: Consent | None = key(part(Consent), "what the customer agreed to; nothing when left out", "{show: yes}")
    tax: Decimal = key(AMOUNT, "sales tax on top, at delivery", "0", default=Decimal(0))
    channel: str | None = key(TEXT, "a channel of shop.md it came through", "in person")


@dataclass(frozen=True, slots=True, kw_only=True)
class Share(Record):
    """A partner's part."""

    partner: str = key(TEXT, "who has a share; private", "the board shop", required=True)
    percent: Decimal = key(PERCENT, "how much", "40", required=True)
    of: str = key(one_of("price", "profit"), "what it is a part of", "profit", default="profit")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended(Record):
    """The end of a build that was not sold."""

    date: Day = key(DAY, "the day", "2026-04-04", required=True)
    how: str = key(one_of("scrapped", "given", "lost"), "what became of it", "scrapped", required=True)
    why: str | None = key(TEXT, "the reason", "the neck pocket split")


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedBuild(Record):
    """A build that changes between the shop and the owner's collection."""

    date: Day = key(DAY, "the day", "2026-04-04", required=True)
    to: str = key(one_of("collection", "shop"), "where it goes", "collection", required=True)
    value: Decimal | None = key(AMOUNT, "what it is worth that day", "400")


@dataclass(frozen=True, slots=True, kw_only=True)
class Credit(Record):
    """Someone to thank; public only with consent."""

    name: str = key(TEXT, "the name", "a friend of the shop", required=True)
    done: str | None = key(TEXT, "what for", "slide playing", word="for")
    link: str | None = key(LINK, "where to find them", "https://example.org/")
    consent: bool = key(YES_NO, "they agreed to be named", "yes", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed(Record):
    """The parcel it goes out in; private."""

    length: Length | None = key(LENGTH, "the box's longest side, outside", "120 cm")
    width: Length | None = key(LENGTH, "the box's second side", "44 cm")
    height: Length | None = key(LENGTH, "the box's third side", "16 cm")
    weight: Weight | None = key(WEIGHT, "what the parcel weighs, packed", "7.2 kg")
    cost: Decimal | None = key(AMOUNT, "what sending one is expected to take; from the shop's rate when left out", "48")
    paid_by: str = key(one_of("shop", "buyer"), "who bears it: the shop's part goes into the quote", "shop", default="shop")
    insured: Decimal | None = key(AMOUNT, "what it is insured for; the asking price when left out", "900")
    abroad: bool = key(YES_NO, "it crosses a border", "yes", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet(Record):
    """The build sheet; only the title is required."""

    title: str = key(TEXT, "the build's name, public", "Heron", default="", required=True)
    kind: str = key(one_of(*KINDS), "what kind of job it is; private", "resale", default="resale")
    units: int = key(COUNT, "how many alike are built under this sheet", "6", default=1)
    instrument: str | None = key(TEXT, "what it is, public", "electric bass")
    maker: str | None = key(TEXT, "who made it, public", "Aldermoor")
    model: str | None = key(TEXT, "the model, public", "Type 2")
    year: str | None = key(TEXT, "when it was made, public", "about 1974")
    finish: str | None = key(TEXT, "the finish, public", "umber burst")
    serial: str | None = key(TEXT, "the serial number; private unless serial_public is yes", "A 10417")
    serial_public: bool = key(YES_NO, "the serial number may be shown", "no", default=False)
    route: str | None = key(TEXT, "a route of shop.md", "solid-refinish")
    stages: tuple[StageSheet, ...] = key(
        many(part(StageSheet)), "stages added, skipped or estimated anew", "[{stage: binding, hours: [1, 2, 4], follows: [strip]}]", default=()
    )
    ends_at: str | None = key(TEXT, "the last stage, for a job that stops early", "prime")
    priority: int = key(COUNT, "1 comes first", "3", default=3)
    due: Day | None = key(DAY, "the day it is due", "2026-06-15")
    hold: tuple[Hold, ...] = key(many(part(Hold)), "times it is set aside", "{since: 2026-03-01, until: 2026-03-20}", default=())
    acquired: Acquired | None = key(part(Acquired), "how it came in", "{date: 2026-01-10, how: bought, price: 280}")
    parts: tuple[Part, ...] = key(
        many(part(Part)), "the bill of materials; the only home of these costs", "[{part: bridge, cost: 120, for: assembly}]", default=()
    )
    specs: Specs | None = key(part(Specs), "the specification, public", "{scale_length: 34 in, frets: 21}")
    packed: Packed | None = key(part(Packed), "the parcel it goes out in; private", "{length: 120 cm, width: 44 cm, height: 16 cm, weight: 7.2 kg}")
    for_sale: ForSale | None = key(either(part(ForSale), "no", None), "the offer to the public", "{asking: 950, since: 2026-05-01}")
    sale: tuple[Sale, ...] = key(many(part(Sale)), "the sale, or a list of them", "{date: 2026-05-20, price: 900}", default=())
    commission: Commission | None = key(part(Commission), "the order of a customer", "{customer: a player, price: 1450}")
    share: Share | None = key(part(Share), "a partner's part", "{partner: the board shop, percent: 40, of: profit}")
    ended: Ended | None = key(part(Ended), "the end of a build that was not sold", "{date: 2026-04-04, how: scrapped}")
    moved: tuple[MovedBuild, ...] = key(
        many(part(MovedBuild)), "moves between shop and collection", "[{date: 2026-04-04, to: collection, value: 400}]", default=()
    )
    goes_with: str | None = key(TEXT, "the build a case is made for", "heron")
    showroom: Showing = key(SHOWROOM, "whether it is public", "from 2026-06-10", default=Showing())
    cover: str | None = key(PATH, "the picture for the gallery", "photos/front.jpg")
    as_found: str | None = key(PATH, "the picture of how it came", "photos/before.jpg")
    as_left: str | None = key(PATH, "the picture of how it left", "photos/front.jpg")
    credits: tuple[Credit, ...] = key(many(part(Credit)), "people to thank", "[{name: a friend, for: slide playing, consent: yes}]", default=())
    address: str | None = key(TEXT, "its page's address when it should differ from the folder's name", "heron-bass")
    was: tuple[str, ...] = key(many(TEXT), "addresses its page had before", "[old-heron]", default=())
