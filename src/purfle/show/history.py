"""What was on air before, and what is on its way: who was in which episode.

Invariant: reads episodes only; an episode already recorded or written counts as on its way.
"""

from dataclasses import dataclass
from datetime import date

from purfle.notes.model import Shop
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
    counted = (episode for episode in shop.episodes if has_aired(episode, today) or episode.date >= today)
    pieces = ((episode, segment, shop.find(segment.build)) for episode in counted for segment in episode.sheet.segments)
    return tuple(Shown(e.date, shop.recorded_on(e), build, segment.stage, segment.what) for e, segment, build in pieces if build is not None)
