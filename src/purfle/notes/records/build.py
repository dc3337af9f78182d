"""The build sheet, `builds/<id>/build.md`."""

from dataclasses import dataclass
from datetime import date as Day
from decimal import Decimal
from typing import ClassVar, Literal

from purfle.base.measures import Length, Weight
from purfle.base.times import Wait
from purfle.notes.records.said import FOR_PAID, FOR_QTY, FOR_SHIPPING
from purfle.notes.records.sales import Commission, ForSale, Sale, Share
from purfle.notes.records.specs import Specs
from purfle.notes.records.stages import StageSheet
from purfle.notes.records.when import HIDES, INSTEAD_OF_SHOWROOM, SHOWROOM, Showing
from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import (
    AMOUNT,
    COUNT,
    CURRENCY,
    DAY,
    LENGTH,
    LINK,
    NUMBER,
    PATH,
    PRIORITY,
    TEXT,
    WAIT,
    WEIGHT,
    YES_NO,
    many,
    one_of,
    or_no,
    part,
)

JobKind = Literal["resale", "commission", "collection", "batch", "test"]
HowAcquired = Literal["bought", "lot", "trade-in", "own collection", "customer's", "consigned", "gift"]
HowPartCame = Literal["bought", "gifted", "customer's"]
HowEnded = Literal["scrapped", "given", "lost", "taken back"]
Side = Literal["collection", "shop"]
"""Whose a build is: the owner's own, or the shop's."""
Payer = Literal["shop", "buyer"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Record):
    """A build set aside."""

    since: Day = key(DAY, "the first day on hold", "2026-03-01", required=True, instead_of="from date")
    until: Day | None = key(DAY, "the last day on hold", "2026-03-20", instead_of="to")
    why: str | None = key(TEXT, "the reason", "the customer is away", instead_of="reason because")


@dataclass(frozen=True, slots=True, kw_only=True)
class Acquired(Record):
    """How the instrument came in."""

    SAMPLE: ClassVar[tuple[str, ...]] = ("date", "how", "price")
    date: Day | None = key(DAY, "the day it came in", "2026-01-10", instead_of="day on when")
    how: HowAcquired = key(
        one_of(HowAcquired), "the way it came; with lot, trade-in, customer's, consigned and gift no price is paid here", "bought", default="bought"
    )
    price: Decimal | None = key(AMOUNT, "what was paid for it", "280", instead_of="cost amount total sum")
    shipping: Decimal | None = key(AMOUNT, "what its way here cost", "45", instead_of=FOR_SHIPPING)
    tax: Decimal | None = key(AMOUNT, "tax paid on it", "0")
    tax_reclaimable: bool = key(YES_NO, "the tax can be reclaimed, so it is a balance and not a cost", "yes", default=False)
    value: Decimal | None = key(AMOUNT, "for a gift or a piece of your own collection: what it was worth that day", "150")
    basis: Decimal | None = key(AMOUNT, "for a piece of your own collection: what it once cost you", "200")
    lot: str | None = key(TEXT, "the lot it came in", "winter")
    origin: str | None = key(TEXT, "whom it came from; private", "a barn sale up the valley", word="from", instead_of="seller supplier")
    paid: Day | None = key(DAY, "the day it was paid, if not the day it came in", "2026-01-08", instead_of=FOR_PAID)
    arrived: Day | None = key(DAY, "the day it arrived, if not `date`", "2026-01-14")
    currency: str | None = key(CURRENCY, "the currency of the amounts, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Record):
    """One line of the bill of materials."""

    SAMPLE: ClassVar[tuple[str, ...]] = ("part", "cost")
    part: str = key(TEXT, "the part", "bridge", required=True, instead_of="item what name")
    qty: Decimal = key(NUMBER, "how many", "1", default=Decimal(1), instead_of=FOR_QTY)
    cost: Decimal | None = key(AMOUNT, "cost of the whole line", "120", instead_of="price amount total sum")
    shipping: Decimal | None = key(AMOUNT, "post paid for it", "8.50", instead_of=FOR_SHIPPING)
    tax: Decimal | None = key(AMOUNT, "tax paid on it", "4.20")
    tax_reclaimable: bool = key(YES_NO, "the tax can be reclaimed, so it is a balance and not a cost", "yes", default=False)
    stage: str | None = key(TEXT, "the stage that waits for it", "assembly", word="for")
    lead: Wait | None = key(WAIT, "how long it takes to come once ordered", "10 days")
    ordered: Day | None = key(DAY, "the day it was ordered", "2026-03-01")
    paid: Day | None = key(DAY, "the day it was paid", "2026-03-01", instead_of=FOR_PAID)
    eta: Day | None = key(DAY, "the day it is expected", "2026-03-20")
    arrived: Day | None = key(DAY, "the day it arrived", "2026-03-18")
    how: HowPartCame = key(
        one_of(HowPartCame),
        "bought; gifted (no cost unless a value is given); customer's (no cost, the plan waits for it)",
        "gifted",
        default="bought",
    )
    value: Decimal | None = key(AMOUNT, "for a gift: what it is worth; the same amount is cost and show income", "180")
    origin: str | None = key(TEXT, "the supplier, or who gave it", "Tarnwater Pickups", word="from", instead_of="supplier seller")
    currency: str | None = key(CURRENCY, "the currency of the amounts, if it is not the shop's", "EUR")
    rate: Decimal | None = key(NUMBER, "what one unit of that currency cost in the shop's", "1.08")


_ENDED_INSTEAD = {
    **dict.fromkeys(("called off", "cancelled", "canceled", "withdrawn", "returned", "collected", "unsold"), "taken back"),
    **dict.fromkeys(("stolen", "burnt", "gone"), "lost"),
    **dict.fromkeys(("given away", "gifted", "gift", "donated"), "given"),
    **dict.fromkeys(("thrown away", "binned", "broken up", "parted out"), "scrapped"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended(Record):
    """The end of a build that was not sold."""

    date: Day = key(DAY, "the day", "2026-04-04", required=True, instead_of="day on when")
    how: HowEnded = key(
        one_of(HowEnded, instead=_ENDED_INSTEAD),
        "what became of it; taken back: its owner took it home, the job called off or the consigned goods unsold",
        "scrapped",
        required=True,
    )
    why: str | None = key(TEXT, "the reason", "the neck pocket split", instead_of="reason because")


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedBuild(Record):
    """A build that changes between the shop and the owner's collection."""

    date: Day = key(DAY, "the day", "2026-04-04", required=True)
    to: Side = key(one_of(Side), "where it goes", "collection", required=True)
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
    cost: Decimal | None = key(AMOUNT, "what sending one is expected to cost; from the shop's rate when left out", "48")
    paid_by: Payer = key(one_of(Payer), "who pays for it; what the shop pays goes into the quote", "shop", default="shop")
    insured: Decimal | None = key(AMOUNT, "what it is insured for; the asking price when left out", "900")
    abroad: bool = key(YES_NO, "it crosses a border", "yes", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSheet(Record):
    """The build sheet; only the title is required."""

    IN_FULL: ClassVar[dict[str, str]] = HIDES
    title: str = key(TEXT, "the build's name, public", "Heron", default="", required=True, instead_of="name")
    kind: JobKind = key(one_of(JobKind), "what kind of job it is; private", "resale", default="resale")
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
    priority: int = key(PRIORITY, "1 comes first", "3", default=3)
    due: Day | None = key(DAY, "the day it is due", "2026-06-15", instead_of="deadline due_date")
    hold: tuple[Hold, ...] = key(many(part(Hold)), "times it is set aside", "{since: 2026-03-01, until: 2026-03-20}", default=(), instead_of="on_hold paused")
    acquired: Acquired | None = key(part(Acquired), "how it came in", "{date: 2026-01-10, how: bought, price: 280}", instead_of="bought purchased purchase")
    parts: tuple[Part, ...] = key(
        many(part(Part)),
        "the bill of materials; the only home of these costs",
        "[{part: bridge, cost: 120, for: assembly}]",
        default=(),
        instead_of="bom materials",
    )
    specs: Specs | None = key(part(Specs), "the specification, public", "{scale_length: 34 in, frets: 21}")
    packed: Packed | None = key(part(Packed), "the parcel it goes out in; private", "{length: 120 cm, width: 44 cm, height: 16 cm, weight: 7.2 kg}")
    for_sale: ForSale | None = key(or_no(part(ForSale)), "the offer to the public; no while there is none", "{asking: 950, since: 2026-05-01}")
    sale: tuple[Sale, ...] = key(many(part(Sale)), "the sale, or a list of them", "{date: 2026-05-20, price: 900}", default=(), instead_of="sold sales")
    commission: Commission | None = key(part(Commission), "the order of a customer", "{customer: a player, price: 1450}", instead_of="order customer client")
    share: tuple[Share, ...] = key(
        many(part(Share)),
        "a partner's share, or a list of several partners'; shares of the profit are of what shares of the price leave",
        "{partner: the board shop, percent: 40, of: profit}",
        default=(),
    )
    ended: Ended | None = key(part(Ended), "the end of a build that was not sold", "{date: 2026-04-04, how: scrapped}", instead_of="end scrapped lost")
    moved: tuple[MovedBuild, ...] = key(
        many(part(MovedBuild)), "moves between shop and collection", "[{date: 2026-04-04, to: collection, value: 400}]", default=()
    )
    goes_with: str | None = key(TEXT, "the build a case is made for", "heron")
    showroom: Showing = key(SHOWROOM, "whether it is public", "from 2026-06-10", default=Showing(), instead_of=INSTEAD_OF_SHOWROOM)
    cover: str | None = key(PATH, "the picture for the gallery", "photos/front.jpg")
    as_found: str | None = key(PATH, "the picture of how it came", "photos/before.jpg")
    as_left: str | None = key(PATH, "the picture of how it left", "photos/front.jpg")
    credits: tuple[Credit, ...] = key(many(part(Credit)), "people to thank", "[{name: a friend, for: slide playing, consent: yes}]", default=())
    address: str | None = key(TEXT, "its page's address when it should differ from the folder's name", "heron-bass")
    was: tuple[str, ...] = key(many(TEXT), "addresses its page had before", "[old-heron]", default=())
