"""Money events: what was bought, used, sold, paid and received, each on its own day.

An event names its builds by id and carries the record it was read from, so that a figure can be traced to its line.
Tuples with names, because a large shop has tens of thousands and a frozen dataclass takes three times as long to make.
Invariant: these are values; `noted` makes them from the notes, `order` puts them in order, and the books make amounts of them.
"""

from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple, Protocol

from purfle.base.place import Place
from purfle.notes.records.build import Acquired, MovedBuild, Part
from purfle.notes.records.build import Ended as EndedSheet
from purfle.notes.records.note import Bought, Counted, Drove, Lot, MovedPart, Paid, Received, Returned, Salvaged, Sold, SoldBack, Used, Withdrawn, WrittenOff
from purfle.notes.records.sales import Back, Commission, Delivered, Extra, Sale
from purfle.notes.records.shop import Standing
from purfle.notes.records.show import ShowIncome

Day = date
"""A day, where an event's own field `date` hides the type."""
COMMISSION = -1
"""The number under which a build's deliveries are one deal."""


class MoneyEvent(Protocol):
    """Any event of money."""

    @property
    def date(self) -> Day:
        """The day on which it happened."""

    @property
    def at(self) -> Place:
        """The line that tells of it."""


class Goods(NamedTuple):
    """Something bought: the record with its amounts, and where the goods go."""

    record: Acquired | Part | Bought | Lot
    what: str
    to: Literal["build", "stock", "shop", "lot"]
    build: str | None
    cost: Decimal
    paid: date | None
    """None: not paid yet."""
    here: date | None
    """None: not here yet."""


class PaidAhead(NamedTuple):
    """Goods were paid before they were here."""

    date: date
    at: Place
    goods: Goods


class GoodsHere(NamedTuple):
    """Goods came in, paid or not."""

    date: date
    at: Place
    goods: Goods


class CameIn(NamedTuple):
    """An instrument came in without being bought: a gift, a trade-in, a customer's, one of the owner's own."""

    date: date
    at: Place
    build: str
    record: Acquired


class GiftedPart(NamedTuple):
    """A part that was given, or is a customer's, here."""

    date: date
    at: Place
    build: str
    record: Part


class MoneyIn(NamedTuple):
    """Money that came in beside a sale: deposits, instalments, income; also deposits paid back or kept."""

    date: date
    at: Place
    build: str | None
    record: Received


class SalvagedPart(NamedTuple):
    """A part went from a build into stock."""

    date: date
    at: Place
    build: str | None
    record: Salvaged


class PartMoved(NamedTuple):
    """A part went from one build to another, or to stock."""

    date: date
    at: Place
    origin: str
    to: str | None
    """None: into stock."""
    record: MovedPart
    part: Part | None
    """The line of the bill of materials that it left, when there is one."""

    def qty(self, there: Decimal) -> Decimal:
        """How many move: as the note says, else all that are `there` in the build, as many as its bill has where none is known, or one."""
        on_bill = self.part.qty if self.part else Decimal(1)
        return (there or on_bill) if self.record.qty is None else self.record.qty


class UsedUp(NamedTuple):
    """Something from stock was used."""

    date: date
    at: Place
    builds: tuple[str, ...]
    """The builds that share it; none for the shop itself."""
    weights: tuple[Decimal, ...]
    """Of several, the hours of that day on each, or all zero: then they share evenly."""
    record: Used


class MoneyOut(NamedTuple):
    """Money that went out for something other than goods."""

    date: date
    at: Place
    build: str | None
    record: Paid


class StandingDue(NamedTuple):
    """A standing cost fell due."""

    date: date
    at: Place
    record: Standing


class SentBack(NamedTuple):
    """Goods went back to a supplier."""

    date: date
    at: Place
    build: str | None
    """The build whose part it was; None for stock."""
    maybe_stock: bool
    """The note does not say which; stock has the first claim."""
    record: Returned

    def leaves(self, on_shelf: Decimal) -> str | None:
        """The build that the goods leave; None for the shelf, by what lies there of them."""
        return None if self.maybe_stock and on_shelf else self.build


class WroteOff(NamedTuple):
    """Stock was spoiled or lost."""

    date: date
    at: Place
    record: WrittenOff


class TookOut(NamedTuple):
    """Stock was taken for private use."""

    date: date
    at: Place
    record: Withdrawn


class StockSold(NamedTuple):
    """Something from stock was sold."""

    date: date
    at: Place
    record: Sold


class StockCameBack(NamedTuple):
    """A refund on what was sold from stock, with or without the goods."""

    date: date
    at: Place
    sale: Sold
    sold: Day
    """The day of the sale."""
    record: SoldBack
    qty: Decimal
    """How many came back."""


class BuildSold(NamedTuple):
    """A build, or some of its units, was sold."""

    date: date
    at: Place
    build: str
    record: Sale
    number: int
    """Which of the build's sales, from 0."""
    bundled: tuple[str, ...]
    trade_in: str | None


class CameBack(NamedTuple):
    """A refund, with or without the goods, on a later day than the sale."""

    date: date
    at: Place
    build: str
    sold: Day
    """The day of the sale; of a commission, the refund's own."""
    number: int
    """Which of the build's sales, from 0, or COMMISSION."""
    record: Back


class CameBackAtOnce(CameBack):
    """A refund on the very day of the sale: of that day's sales and refunds the sheet says which came after which."""

    __slots__ = ()


class HandedBack(CameBack):
    """A refund on the very day of a delivery."""

    __slots__ = ()


class HandedOver(NamedTuple):
    """A commission, or some of its units, was delivered."""

    date: date
    at: Place
    build: str
    commission: Commission
    record: Delivered


class AgreedLate(NamedTuple):
    """An extra agreed after a delivery; whether it was the last then is known where units are."""

    date: date
    at: Place
    build: str
    commission: Commission
    record: Extra


class CameToEnd(NamedTuple):
    """A build was scrapped, given away, lost or taken back."""

    date: date
    at: Place
    build: str
    record: EndedSheet


class Kept(NamedTuple):
    """A build went from the shop into the owner's collection."""

    date: date
    at: Place
    build: str
    record: MovedBuild


class BroughtIn(NamedTuple):
    """A piece of the owner's collection came into the shop."""

    date: date
    at: Place
    build: str
    record: MovedBuild


class Drive(NamedTuple):
    """A trip for the shop."""

    date: date
    at: Place
    record: Drove


class EpisodeIncome(NamedTuple):
    """What an episode earned."""

    date: date
    at: Place
    record: ShowIncome


class StockCounted(NamedTuple):
    """What is on the shelf was counted."""

    date: date
    at: Place
    record: Counted
