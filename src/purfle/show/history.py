"""What was on air before: who was in which episode, and how long pieces usually run.

Invariant: reads episodes only; an episode already recorded or written counts as on its way.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from statistics import median_low

from purfle.notes.model import Episode, Shop
from purfle.notes.records.show import Piece, Segment
from purfle.show.airing import aired_episodes, has_aired

_USUAL: dict[Piece, Decimal] = {"progress": Decimal(4), "reveal": Decimal(4), "update": Decimal(2), "look back": Decimal(2), "talk": Decimal(1)}
"""Minutes a piece runs where no episode says so yet: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One piece of an episode that showed a build."""

    airs: date
    recorded: date
    build: str
    stage: str | None
    what: Piece


def shown(shop: Shop, today: date) -> tuple[Shown, ...]:
    """Every piece with a build, of episodes that aired or are on their way, by day."""
    return tuple(piece for episode in shop.episodes if has_aired(episode, today) or episode.date >= today for piece in pieces_of(shop, episode))


def pieces_of(shop: Shop, episode: Episode) -> Iterator[Shown]:
    """The pieces of one episode that show a build."""
    for segment in episode.sheet.segments:
        build = shop.find(segment.build)
        if build is not None:
            yield Shown(episode.date, shop.recorded_on(episode), build, segment.stage, segment.what)


def usual_minutes(shop: Shop, today: date) -> dict[Piece, Decimal]:
    """Kind of piece → its usual minutes: the median of those that aired (the lower of two middle ones)."""
    found: dict[Piece, list[Decimal]] = {what: [] for what in _USUAL}
    for segment in _segments(aired_episodes(shop, today)):
        if segment.minutes:
            found[segment.what].append(segment.minutes)
    return {what: median_low(minutes) if minutes else _USUAL[what] for what, minutes in found.items()}


def _segments(episodes: Iterable[Episode]) -> Iterator[Segment]:
    return (segment for episode in episodes for segment in episode.sheet.segments)
