"""What every part of the showroom is made from: who and what is public, where it is linked, and small parts that all have.

Invariant: who is public is decided in `purfle.show.publication`; file names, being private, decide no order and no address.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from purfle.base.memo import Memo, very
from purfle.notes.model import Build, Episode, Shop
from purfle.notes.records.build import Credit as CreditSheet
from purfle.notes.same import mark_of_records
from purfle.progress.model import Progress
from purfle.show.publication import build_address, build_path, episode_address, public_builds, public_episodes
from purfle.views.markdown_rules import Surroundings
from purfle.views.pictures import Pictures, Sounds
from purfle.views.public import Credit, EpisodeLink, PageLink

SUMMARY = 180
"""Characters of a page's summary at most."""


@dataclass(frozen=True, slots=True)
class ShowroomDesk:
    """What every part of the site is made from."""

    shop: Shop
    progress: Mapping[str, Progress]
    today: date
    builds: tuple[Build, ...]
    """The public ones."""
    links: Mapping[str, PageLink]
    """Of public builds, by id."""
    around: Surroundings
    """As seen from the site's root."""
    episodes: Sequence[Episode]
    """The public ones, by day."""
    visits: Mapping[str, Sequence[Episode]]
    """Of them, those that visit a build, by its id."""
    mark: object
    """Of all that a build's page is made from beside its own story and notes."""

    def below(self, mark: str, top_heading: int) -> Surroundings:
        """As seen from a page one folder down."""
        return replace(self.around, root="../", mark=mark, top_heading=top_heading)

    def stage(self, build: str | None, words: str) -> str:
        """A stage that a public note names, as the build's route spells it: in notes case is no matter."""
        found = self.progress[build].stage(words) if build and words else None
        return found.stage.name if found else words


def desk_of(shop: Shop, progress: Mapping[str, Progress], pictures: Pictures, sounds: Sounds, today: date) -> ShowroomDesk:
    """The desk of a day's public site."""
    builds = public_builds(shop, progress, today)
    links = {build.id: PageLink(build.sheet.title, build_path(build)) for build in builds}
    pages = {"about": "about.html", "episodes": "episodes.html", "index": "index.html"}
    episodes, visits = public_episodes(shop, today), defaultdict[str, list[Episode]](list)
    for episode in episodes:
        for visited in dict.fromkeys(shop.find(segment.build) for segment in episode.sheet.segments):
            if visited is not None:
                visits[visited].append(episode)
        pages |= {name.casefold(): episode_path(episode) for name in (str(episode.date), episode_address(episode))}
    for build in builds:
        pages |= {name.casefold(): links[build.id].path for name in (build.id, build_address(build))}
    return ShowroomDesk(
        shop=shop,
        progress=progress,
        today=today,
        builds=builds,
        links=links,
        around=Surroundings("", pages, pictures, sounds),
        episodes=episodes,
        visits=visits,
        mark=_AROUND.get((), ((mark_of_records(shop), progress), pictures, sounds, today), object, _same_around),
    )


_AROUND = Memo()
_Around = tuple[tuple[object, ...], Pictures, Sounds, date]


def _same_around(one: _Around, other: _Around) -> bool:
    return very(one[0], other[0]) and one[1:] == other[1:]


def episode_path(episode: Episode) -> str:
    """An episode's page, from the site's root."""
    return f"episodes/{episode_address(episode)}.html"


def episode_link(episode: Episode) -> EpisodeLink:
    """The link to an episode's page."""
    return EpisodeLink(episode.sheet.title, episode_path(episode), episode.date)


def anchors(prefix: str, days: Iterable[date]) -> Iterator[str]:
    """An id for each day: the prefix and the day, numbered from the second of the same day on."""
    seen: Counter[date] = Counter()
    for day in days:
        seen[day] += 1
        yield f"{prefix}-{day}" + (f"-{seen[day]}" if seen[day] > 1 else "")


def credits_given(credits: Iterable[CreditSheet]) -> tuple[Credit, ...]:
    """Those who are thanked and have agreed to it."""
    return tuple(Credit(c.name, c.done or "", c.link) for c in credits if c.consent)
