"""When episodes air and are recorded, and which have aired.

Invariant: knows nothing of what an episode shows.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Protocol

from purfle.notes.model import Episode, Shop
from purfle.notes.records.shop import WEEKDAYS, ShowSettings
from purfle.show.model import EpisodeDay

_DAY = timedelta(days=1)
_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Slot:
    """A coming episode that is still to be recorded."""

    airs: date
    records: date
    length: Decimal
    """Minutes it should have."""
    written: Episode | None
    """Its file, when there is one."""

    @property
    def cut_off(self) -> date:
        """The last day of work that can be seen in it: the day before it is recorded."""
        return self.records - _DAY


def has_aired(episode: Episode, today: date) -> bool:
    """Whether the episode went out: its day has come, and `aired: yes` or a link says so."""
    return episode.date <= today and (episode.sheet.aired or episode.sheet.link is not None)


def aired_episodes(shop: Shop, today: date) -> tuple[Episode, ...]:
    """The episodes that went out, by day."""
    return tuple(e for e in shop.episodes if has_aired(e, today))


def to_air(shop: Shop, today: date) -> tuple[Episode, ...]:
    """The episodes with a file whose day has not passed and that have not aired, by day."""
    return tuple(e for e in shop.episodes if e.date >= today and not has_aired(e, today))


def unaired(shop: Shop, today: date) -> tuple[date, ...]:
    """The past days of episodes that are not said to have aired: nothing in them counts as shown."""
    return tuple(e.date for e in shop.episodes if e.date < today and not has_aired(e, today))


def _air_day(settings: ShowSettings, day: date) -> date:
    """The first day, from `day` on, that is the show's weekday."""
    return day + ((WEEKDAYS.index(settings.weekday) - day.weekday()) % 7) * _DAY


def week_of(day: date) -> date:
    """The Monday of a day's week (ISO 8601), by which episodes and bulletins are counted, whatever their day."""
    return day - day.weekday() * _DAY


def length_of(shop: Shop, episode: Episode) -> Decimal:
    """The minutes an episode should have."""
    return episode.sheet.minutes if episode.sheet.minutes is not None else shop.settings.show.minutes


def next_airings(shop: Shop, today: date) -> tuple[date, date]:
    """The next two days on which an episode airs: a written one that has not aired, else the next free week's day."""
    first = _next_after(shop, today - _DAY, today)
    return first, _next_after(shop, first, today)


def next_episode_after(shop: Shop, made: date, today: date) -> date:
    """The day of the episode that follows the one of day `made`: the first that aired, else the first to come.

    An episode that was written and never aired does not count: its audience is still waiting.
    """
    aired = [e.date for e in aired_episodes(shop, today) if e.date > made]
    return min(aired) if aired else _next_after(shop, made, today)


def _next_after(shop: Shop, day: date, today: date) -> date:
    start = max(day + _DAY, today)
    written = [e.date for e in to_air(shop, today) if e.date >= start]
    free = _air_day(shop.settings.show, start)
    while _closed_over(shop, free) or any(week_of(e.date) == week_of(free) for e in shop.episodes):
        free += _WEEK
    return min([free, *written])


def slots(shop: Shop, today: date, weeks: int) -> tuple[Slot, ...]:
    """The next `weeks` episodes that can still be recorded, one a week; a written one takes its week's place. None for a shop without a show.

    A week whose recording day is past and that has no file is left out, as is one that the shop is closed over, and an
    episode already recorded.
    """
    if not shop.makes_show:
        return ()
    show = shop.settings.show
    found = [Slot(e.date, shop.recorded_on(e), length_of(shop, e), e) for e in to_air(shop, today) if shop.recorded_on(e) >= today]
    taken = {week_of(e.date) for e in shop.episodes}
    day, free = _air_day(show, today), 0
    while free < weeks:
        if week_of(day) not in taken and shop.records_for(day) >= today and not _closed_over(shop, day):
            found.append(Slot(day, shop.records_for(day), show.minutes, None))
            free += 1
        day += _WEEK
    return tuple(sorted(found, key=lambda slot: slot.airs)[:weeks])


def _closed_over(shop: Shop, airs: date) -> bool:
    """Whether the shop is closed from the recording day of an episode until it airs: nobody is there, and without a file none is meant."""
    day = shop.records_for(airs)
    while day <= airs and shop.settings.closed_on(day):  # two times may follow each other
        day += _DAY
    return day > airs


class Dated(Protocol):
    """An episode to come, as a slot or as lined up."""

    @property
    def airs(self) -> date:
        """The day it airs."""

    @property
    def records(self) -> date:
        """The day it is recorded."""


def episode_days(shop: Shop, coming: Iterable[Dated], today: date) -> tuple[EpisodeDay, ...]:
    """Every episode from today on, by day: those of `coming`, and those with a file, recorded already or not."""
    found = {one.airs: EpisodeDay(one.airs, one.records) for one in coming}
    written = [e for e in shop.episodes if e.date >= today]
    found |= {e.date: EpisodeDay(e.date, shop.recorded_on(e), e.sheet.title) for e in reversed(written)}
    return tuple(found[airs] for airs in sorted(found))
