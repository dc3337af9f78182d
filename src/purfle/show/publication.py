"""What is public on a day: the one place where the showroom decides who may be seen.

Invariant: unsure means private; nothing here looks at money, hours, people or parts.
"""

from collections.abc import Iterator, Mapping
from datetime import date

from purfle.notes.model import HEAD_PICTURES, Body, Build, Bulletin, Episode, Note, Shop
from purfle.progress.model import Progress
from purfle.show.consent import bar


def public_builds(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[Build, ...]:
    """The builds that may be seen: `showroom` is on, and a customer whose instrument it is has agreed."""
    return tuple(build for build in shop.builds if bar(build, progress[build.id], today) is None)


def public_notes(shop: Shop, build: Build, today: date) -> tuple[Note, ...]:
    """The notes of a public build that say something and are not kept off the log."""
    return tuple(note for note in open_notes(shop, build, today) if note.body.text.strip())


def open_notes(shop: Shop, build: Build, today: date) -> tuple[Note, ...]:
    """The notes of a public build whose stages anybody may know, those without a word too."""
    return tuple(note for note in shop.notes_of(build.id) if note.sheet.showroom and note.date <= today)


def public_episodes(shop: Shop, today: date) -> tuple[Episode, ...]:
    """Episodes with `showroom: yes` whose day has come, by day, then address."""
    shown = (episode for episode in shop.episodes if episode.sheet.showroom and episode.date <= today)
    return tuple(sorted(shown, key=lambda e: (e.date, episode_address(e), e.sheet.title)))


def public_bulletins(shop: Shop, shown: frozenset[str], today: date) -> tuple[Bulletin, ...]:
    """Bulletins with `showroom: yes` whose day has come and whose build, if they name one, is among `shown`; by day, then words."""
    due = (b for b in shop.bulletins if b.sheet.showroom and b.date <= today and b.body.text.strip())
    allowed = (b for b in due if b.sheet.build is None or shop.find(b.sheet.build) in shown)
    return tuple(sorted(allowed, key=lambda b: (b.date, b.body.text.split())))


def build_address(build: Build) -> str:
    """The name of a build's page, without folder or ending."""
    return build.sheet.address or build.id


def build_path(build: Build) -> str:
    """A build's page, from the site's root."""
    return f"builds/{build_address(build)}.html"


def episode_address(episode: Episode) -> str:
    """The name of an episode's page: its day, unless another was asked for. Never the file's name, which is private."""
    return episode.sheet.address or str(episode.date)


def wanted_pictures(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[str, ...]:
    """Every picture and sound the showroom shows, relative to the shop folder, sorted."""
    builds = public_builds(shop, progress, today)
    named = {path for build in builds for path in map(build.head_picture, HEAD_PICTURES) if path}
    episodes = public_episodes(shop, today)
    named |= {episode.still for episode in episodes if episode.still}
    for body in _bodies(shop, builds, episodes, today):
        named |= {picture.path for picture in body.pictures if picture.path}
    return tuple(sorted(named & shop.assets))


def _bodies(shop: Shop, builds: tuple[Build, ...], episodes: tuple[Episode, ...], today: date) -> Iterator[Body]:
    yield shop.about
    for build in builds:
        yield build.story
        yield from (note.body for note in public_notes(shop, build, today))
    yield from (episode.body for episode in episodes)
    yield from (b.body for b in public_bulletins(shop, frozenset(build.id for build in builds), today))
