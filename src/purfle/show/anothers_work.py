"""Pictures of another's work: what a shot with `credit:` and no `consent:` shows may stand in no public text.

A picture is known by the shot's name in its file name or alt text. In a text about other builds it must name the shot's
build, too, for each of them has a front. Invariant: reports, and mends nothing.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.notes.model import HEAD_PICTURES, Body, Build, Episode, Note, Picture, Shop
from purfle.notes.records.note import ShotTaken
from purfle.show.consent import ADDRESS_OF_CONSENT
from purfle.show.publication import public_builds, public_bulletins, public_episodes, public_notes
from purfle.show.scene import Scene
from purfle.show.taken import picture_shows, unconsented


class _Page(NamedTuple):
    """Public text, or the head of a page, with what it shows."""

    builds: frozenset[str]
    """Those it is about; empty when it is about none."""
    pictures: tuple[Picture, ...]


def anothers_work(scene: Scene) -> Iterator[Trouble]:
    """Each shot of another's work without their consent; where a picture of it would be published, it is told there."""
    shop = scene.shop
    found = [(note, shot) for note in shop.notes for shot in note.sheet.shots if unconsented(shot)]
    pages = tuple(_public_pages(scene)) if found else ()
    for note, shot in found:
        yield from _told(note, shot, tuple(_pictures_of(shop, shot, shop.find(shot.build) or note.build, pages)))


def _public_pages(scene: Scene) -> Iterator[_Page]:
    shop, today = scene.shop, scene.today
    yield _Page(frozenset(), shop.about.pictures)
    builds = public_builds(shop, scene.progress, today)
    for build in builds:
        public = [build.story, *(note.body for note in public_notes(shop, build, today))]
        yield _Page(frozenset([build.id]), (*_all(public), *_at_the_head(shop, build)))
    for episode in public_episodes(shop, today):
        about = frozenset(id for segment in episode.sheet.segments if (id := shop.find(segment.build)))
        yield _Page(about, (*episode.body.pictures, *_still(shop, episode)))
    for bulletin in public_bulletins(shop, frozenset(build.id for build in builds), today):
        about = frozenset(id for id in [shop.find(bulletin.sheet.build)] if id)
        yield _Page(about, bulletin.body.pictures)


def _at_the_head(shop: Shop, build: Build) -> Iterator[Picture]:
    known = _all([build.story, *(note.body for note in shop.notes_of(build.id))])
    for field in HEAD_PICTURES:
        if path := build.head_picture(field):
            yield _named(getattr(build.sheet, field), path, build.sheet.where(field), known)


def _still(shop: Shop, episode: Episode) -> Iterator[Picture]:
    if episode.sheet.still:
        yield _named(episode.sheet.still, episode.still, episode.sheet.where("still"), _all(one.body for one in shop.episodes))


def _named(src: str, path: str | None, at: Place, known: tuple[Picture, ...]) -> Picture:
    """A picture that a key names. The key gives it no words, so those count that any text beside it has for the same file."""
    return Picture(src, path, " ".join(picture.alt for picture in known if picture.path == path), at)


def _all(bodies: Iterable[Body]) -> tuple[Picture, ...]:
    return tuple(picture for body in bodies for picture in body.pictures)


def _pictures_of(shop: Shop, shot: ShotTaken, id: str | None, pages: tuple[_Page, ...]) -> Iterator[Picture]:
    names = (id, shop.build(id).sheet.title) if id else ()
    for page in pages:
        own = not page.builds or id in page.builds
        for picture in page.pictures:
            if picture_shows(picture, shot.shot) and (own or any(picture_shows(picture, name) for name in names)):
                yield picture


def _told(note: Note, shot: ShotTaken, pictures: tuple[Picture, ...]) -> Iterator[Trouble]:
    if not pictures:
        found, mend = f"“{shot.shot}” shows the work of {shot.credit}, who has not agreed", "ask, then write consent: yes on the shot, or take it out"
        yield Trouble(shot.where("credit"), "shot-without-consent", found, f"{mend} ({ADDRESS_OF_CONSENT})")
    for picture in pictures:
        yield Trouble(
            picture.at,
            "picture-without-consent",
            f"the picture is “{shot.shot}” of {note.date.isoformat()}, the work of {shot.credit}, who has not agreed to it",
            f"ask, then write consent: yes on that shot, or take both that shot and the picture out ({ADDRESS_OF_CONSENT})",
        )
