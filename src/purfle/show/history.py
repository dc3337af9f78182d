"""What was on air before, and what is on its way: who was in which episode.

Invariant: reads episodes only; an episode already recorded or written counts as on its way.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from purfle.notes.model import Episode, Shop
from purfle.notes.records.show import Piece
from purfle.show.airing import has_aired


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
