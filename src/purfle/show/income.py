"""What the show earned, shared over the builds it showed, and the hours it took.

An episode's income is shared by screen time, by largest remainders, so the shares add up to the cent; so are its
hours, to the hundredth. A piece without minutes counts the usual ones; talk and pieces without a build bear nothing.
Invariant: shares only what is the builds'; income of an episode without a build stays whole elsewhere.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO, split, unit
from purfle.notes.model import Episode, Shop
from purfle.notes.records.show import Piece
from purfle.show.airing import aired_episodes
from purfle.show.minutes import minutes_of, usual_minutes
from purfle.show.model import AirIncome

_HUNDREDTH = Decimal("0.01")


def air_income(shop: Shop, today: date) -> tuple[AirIncome, ...]:
    """What each build earned and took on air up to `today`, by build; builds that were on and earned nothing too."""
    found: dict[str, AirIncome] = {}
    usual = usual_minutes(shop, today)
    for episode in aired_episodes(shop, today):
        times = _screen_time(shop, episode, usual)
        earned, took = shares(shop, episode, times, today), _hours_shared(episode, times)
        for build, time in times.items():
            so_far = found.get(build, AirIncome(build, ZERO, ZERO))
            found[build] = AirIncome(build, so_far.amount + earned[build], so_far.minutes + time, so_far.hours + took[build])
    return tuple(found[build] for build in sorted(found))


def _screen_time(shop: Shop, episode: Episode, usual: Mapping[Piece, Decimal]) -> dict[str, Decimal]:
    """Minutes of each build in an episode, in the order they come."""
    found: dict[str, Decimal] = {}
    for segment in episode.sheet.segments:
        build = shop.find(segment.build)
        if build is not None:
            found[build] = found.get(build, ZERO) + minutes_of(segment, None, usual)
    return found


def shares(shop: Shop, episode: Episode, times: dict[str, Decimal], today: date) -> dict[str, Decimal]:
    """What of an episode's income that has come by `today` falls to each build."""
    found = dict.fromkeys(times, ZERO)
    smallest = unit(shop.settings.currency)
    for income in episode.sheet.income:
        if times and (income.date or episode.date) <= today:
            for build, part in zip(times, split(income.amount, tuple(times.values()), smallest), strict=True):
                found[build] += part
    return found


def _hours_shared(episode: Episode, times: dict[str, Decimal]) -> dict[str, Decimal]:
    """An episode's filming and editing hours by build."""
    if not times:
        return {}
    return dict(zip(times, split(hours_of(episode), tuple(times.values()), _HUNDREDTH), strict=True))


def hours_of(episode: Episode) -> Decimal:
    """Filming and editing hours of one episode."""
    return episode.sheet.hours.total if episode.sheet.hours else ZERO


def show_hours(shop: Shop, today: date) -> Decimal:
    """Filming and editing hours of the business year to date, by the day of recording."""
    begins = shop.settings.first_of_year(shop.settings.year_with(today))
    return sum((hours_of(e) for e in shop.episodes if begins <= shop.recorded_on(e) <= today), ZERO)
