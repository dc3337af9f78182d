"""How long what is for sale has stood.

Invariant: counts days; whether that is too long is the owner's to say.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.counts import counted
from purfle.notes.model import Shop
from purfle.notes.records.build import BuildSheet
from purfle.progress.model import Progress

LONG = 90
"""Days for sale from which the week tells of it: common practice, no source."""


@dataclass(frozen=True, slots=True)
class OnSale:
    """A build that is for sale, since a day that its sheet says."""

    build: str
    since: date
    days: int
    asking: Decimal

    @property
    def words(self) -> str:
        """How long, `102 days`."""
        return counted(self.days, "day")

    @property
    def is_long(self) -> bool:
        """Whether the week tells of it."""
        return self.days >= LONG


def on_sale(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[OnSale, ...]:
    """What is for sale, the longest first; not what says no first day."""
    return tuple(sorted(_found(shop, progress, today), key=lambda one: (one.since, one.build)))


def _found(shop: Shop, progress: Mapping[str, Progress], today: date) -> Iterator[OnSale]:
    for build in shop.builds:
        offer = build.sheet.for_sale
        if offer is not None and offer.since is not None and progress[build.id].state == "for sale":
            since = max((offer.since, *_came_back(build.sheet, today)))
            yield OnSale(build.id, since, (today - since).days, offer.asking)


def _came_back(sheet: BuildSheet, today: date) -> Iterator[date]:
    """The days on which it came back from a buyer: from then on it is for sale anew."""
    return (back.date for sale in sheet.sale for back in sale.back if back.goods and back.date <= today)
