"""Money events: what was bought, used, sold, paid and received, each on its own day.

An event names its builds by id and carries the record it was read from, so that a figure can be traced to its line.
Invariant: these are values; `noted` makes them from the notes, and the books make amounts of them.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import ClassVar

from purfle.base.place import Place
from purfle.notes.records.build import Acquired, Back, Commission, Delivered, Extra, MovedBuild, Part, Sale
from purfle.notes.records.build import Ended as EndedSheet
from purfle.notes.records.note import Bought, Counted, Drove, Lot, MovedPart, Paid, Received, Returned, Salvaged, Sold, Used, Withdrawn, WrittenOff
from purfle.notes.records.shop import Standing
from purfle.notes.records.show import ShowIncome


@dataclass(frozen=True, slots=True)
class Goods:
    """Something bought: the record with its amounts, and where the goods go."""

    record: Acquired | Part | Bought | Lot
    what: str
    to: str
    """build, stock, shop or lot."""
    build: str | None
    cost: Decimal
    paid: date | None
    """None: not paid yet."""
    here: date | None
    """None: not here yet."""
    noted: date | None = None
    """The day of the note that says so; None for a build sheet, which has no day."""


@dataclass(frozen=True, slots=True)
class PaidAhead:
    """Goods were paid before they were here."""

    ORDER: ClassVar[int] = 10
    date: date
    at: Place
    goods: Goods


@dataclass(frozen=True, slots=True)
class GoodsHere:
    """Goods came in, paid or not."""

    ORDER: ClassVar[int] = 11
    date: date
    at: Place
    goods: Goods


@dataclass(frozen=True, slots=True)
class CameIn:
    """An instrument came in without being bought: a gift, a trade-in, a customer's, one of the owner's own."""

    ORDER: ClassVar[int] = 12
    date: date
    at: Place
    build: str
    record: Acquired


@dataclass(frozen=True, slots=True)
class GiftedPart:
    """A part that was given, here."""

    ORDER: ClassVar[int] = 12
    date: date
    at: Place
    build: str
    record: Part


@dataclass(frozen=True, slots=True)
class MoneyIn:
    """Money that came in beside a sale: deposits, instalments, income; also deposits paid back or kept."""

    ORDER: ClassVar[int] = 15
    date: date
    at: Place
    build: str | None
    record: Received


@dataclass(frozen=True, slots=True)
class SalvagedPart:
    """A part went from a build into stock."""

    ORDER: ClassVar[int] = 20
    date: date
    at: Place
    build: str | None
    record: Salvaged


@dataclass(frozen=True, slots=True)
class PartMoved:
    """A part went from one build to another, or to stock."""

    ORDER: ClassVar[int] = 25
    date: date
    at: Place
    origin: str
    to: str | None
    """None: into stock."""
    record: MovedPart
    part: Part | None
    """The line of the bill of materials that it left, when there is one."""


@dataclass(frozen=True, slots=True)
class UsedUp:
    """Something from stock was used."""

    ORDER: ClassVar[int] = 30
    date: date
    at: Place
    builds: tuple[str, ...]
    """The builds that share it; none for the shop itself."""
    weights: tuple[Decimal, ...]
    """The hours of that day on each, or all zero: then they share evenly."""
    record: Used


@dataclass(frozen=True, slots=True)
class MoneyOut:
    """Money that went out for something other than goods."""

    ORDER: ClassVar[int] = 31
    date: date
    at: Place
    build: str | None
    record: Paid


@dataclass(frozen=True, slots=True)
class StandingDue:
    """A standing cost fell due."""

    ORDER: ClassVar[int] = 31
    date: date
    at: Place
    record: Standing


@dataclass(frozen=True, slots=True)
class SentBack:
    """Goods went back to a supplier."""

    ORDER: ClassVar[int] = 40
    date: date
    at: Place
    build: str | None
    """The build whose part it was; None for stock."""
    maybe_stock: bool
    """The note does not say which; stock has the first claim."""
    record: Returned


@dataclass(frozen=True, slots=True)
class WroteOff:
    """Stock was spoiled or lost."""

    ORDER: ClassVar[int] = 41
    date: date
    at: Place
    record: WrittenOff


@dataclass(frozen=True, slots=True)
class TookOut:
    """Stock was taken for private use."""

    ORDER: ClassVar[int] = 42
    date: date
    at: Place
    record: Withdrawn


@dataclass(frozen=True, slots=True)
class StockSold:
    """Something from stock was sold."""

    ORDER: ClassVar[int] = 50
    date: date
    at: Place
    record: Sold


@dataclass(frozen=True, slots=True)
class BuildSold:
    """A build, or some of its units, was sold."""

    ORDER: ClassVar[int] = 55
    date: date
    at: Place
    build: str
    record: Sale
    number: int
    """Which of the build's sales, from 0."""
    bundled: tuple[str, ...]
    trade_in: str | None


@dataclass(frozen=True, slots=True)
class CameBack:
    """A refund, with or without the goods, on a later day than the sale."""

    ORDER: ClassVar[int] = 53
    date: date
    at: Place
    build: str
    sale: Sale
    number: int
    record: Back


@dataclass(frozen=True, slots=True)
class CameBackAtOnce(CameBack):
    """A refund on the very day of the sale."""

    ORDER: ClassVar[int] = 57


@dataclass(frozen=True, slots=True)
class HandedOver:
    """A commission, or some of its units, was delivered."""

    ORDER: ClassVar[int] = 55
    date: date
    at: Place
    build: str
    commission: Commission
    record: Delivered


@dataclass(frozen=True, slots=True)
class AgreedLate:
    """An extra agreed after the last delivery."""

    ORDER: ClassVar[int] = 56
    date: date
    at: Place
    build: str
    commission: Commission
    record: Extra


@dataclass(frozen=True, slots=True)
class CameToEnd:
    """A build was scrapped, given away or lost."""

    ORDER: ClassVar[int] = 60
    date: date
    at: Place
    build: str
    record: EndedSheet


@dataclass(frozen=True, slots=True)
class ChangedHands:
    """A build moved between the shop and the owner's collection."""

    ORDER: ClassVar[int] = 61
    date: date
    at: Place
    build: str
    record: MovedBuild


@dataclass(frozen=True, slots=True)
class Drive:
    """A trip for the shop."""

    ORDER: ClassVar[int] = 65
    date: date
    at: Place
    record: Drove


@dataclass(frozen=True, slots=True)
class EpisodeIncome:
    """What an episode earned."""

    ORDER: ClassVar[int] = 65
    date: date
    at: Place
    record: ShowIncome


@dataclass(frozen=True, slots=True)
class StockCounted:
    """What is on the shelf was counted."""

    ORDER: ClassVar[int] = 70
    date: date
    at: Place
    record: Counted


MoneyEvent = (
    PaidAhead | GoodsHere | CameIn | GiftedPart | MoneyIn | SalvagedPart | PartMoved | UsedUp | MoneyOut | StandingDue | SentBack
    | WroteOff | TookOut | StockSold | BuildSold | CameBack | HandedOver | AgreedLate | CameToEnd | ChangedHands | Drive | EpisodeIncome | StockCounted
)
