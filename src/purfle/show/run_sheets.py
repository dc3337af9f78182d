"""Run sheets: a coming episode's pieces against its length.

Invariant: repeats the file; what it leaves open is marked as estimated.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from purfle.notes.model import Episode, Shop
from purfle.notes.records.show import Segment
from purfle.show.airing import has_aired, length_of, recorded_on
from purfle.show.history import usual_minutes
from purfle.show.model import RunSheet, RunSheetLine, Shot
from purfle.show.shots import shots_for


def run_sheets(shop: Shop, shots: tuple[Shot, ...], today: date) -> tuple[RunSheet, ...]:
    """A run sheet for every episode written and not yet aired whose day is not past, by day."""
    usual = usual_minutes(shop, today)
    return tuple(run_sheet(shop, e, shots, usual) for e in shop.episodes if e.date >= today and not has_aired(e, today))


def run_sheet(shop: Shop, episode: Episode, shots: tuple[Shot, ...], usual: Mapping[str, Decimal]) -> RunSheet:
    """One episode's run sheet."""
    lines = tuple(_line(shop, segment, shots, usual) for segment in episode.sheet.segments)
    told = tuple(f"{d.what}, {d.how}" + (f" by {d.origin}" if d.origin else "") for d in episode.sheet.disclosures)
    total = sum((line.minutes for line in lines), Decimal(0))
    return RunSheet(episode.date, recorded_on(shop, episode), episode.sheet.title, lines, total, length_of(shop, episode), told)


def _line(shop: Shop, segment: Segment, shots: tuple[Shot, ...], usual: Mapping[str, Decimal]) -> RunSheetLine:
    build = shop.find(segment.build)
    own = shots_for(shots, build, segment.stage) if build and segment.stage else ()
    seconds = _screen_seconds(own)
    minutes = segment.minutes
    if minutes is None:
        minutes = max(usual[segment.what], (seconds or Decimal(0)) / 60)
    return RunSheetLine(segment.what, build, segment.stage, minutes, tuple(s.shot for s in own), segment.words, segment.minutes is None, seconds)


def _screen_seconds(shots: Iterable[Shot]) -> Decimal | None:
    known = [s.screen_seconds for s in shots if s.screen_seconds is not None]
    return sum(known, Decimal(0)) if known else None
