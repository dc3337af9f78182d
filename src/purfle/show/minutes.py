"""How long a piece runs: as its file says, else the usual time of its kind, or that of its time-lapses where they run longer.

Invariant: the same piece is as long in the line-up, on its run sheet and in the count of shots.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from statistics import median_low

from purfle.base.money import ZERO
from purfle.notes.model import Shop
from purfle.notes.records.show import Piece, Segment
from purfle.show.airing import aired_episodes

_USUAL: dict[Piece, Decimal] = {"progress": Decimal(4), "reveal": Decimal(4), "update": Decimal(2), "look back": Decimal(2), "talk": Decimal(1)}
"""Minutes a piece runs where no episode says so yet: common practice, no source."""


def minutes_of(segment: Segment, lapses: Decimal | None, usual: Mapping[Piece, Decimal]) -> Decimal:
    """The minutes of a piece of a file; `lapses` are the seconds of its time-lapses in the can, `usual` the minutes by kind of piece."""
    return max(usual[segment.what], (lapses or ZERO) / 60) if segment.minutes is None else segment.minutes


def usual_minutes(shop: Shop, today: date) -> dict[Piece, Decimal]:
    """Kind of piece → its usual minutes: the median of those that aired (the lower of two middle ones)."""
    found: dict[Piece, list[Decimal]] = {what: [] for what in _USUAL}
    for episode in aired_episodes(shop, today):
        for segment in episode.sheet.segments:
            if segment.minutes:
                found[segment.what].append(segment.minutes)
    return {what: median_low(minutes) if minutes else _USUAL[what] for what, minutes in found.items()}
