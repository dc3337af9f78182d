"""The public episodes, what they promised that is still to come, and the short posts.

Invariant: a segment, promise or post about a build that is not public drops whole.
"""

from collections.abc import Iterable
from dataclasses import replace

from purfle.notes.model import Bulletin, Episode
from purfle.notes.records.show import Disclosure
from purfle.show.model import PromiseState
from purfle.show.publication import episode_address, public_bulletins
from purfle.views.markdown import excerpt, rendered
from purfle.views.public import BulletinView, ComingUp, DisclosureView, EpisodeView, SegmentView, Shown
from purfle.views.showroom_desk import SUMMARY, ShowroomDesk, anchors, credits_given, episode_link, episode_path


def episode_view(desk: ShowroomDesk, episode: Episode) -> EpisodeView:
    """A public episode."""
    sheet = episode.sheet
    text = rendered(episode.body, desk.below("episode", 2))
    segments = _segments(desk, episode)
    still = desk.around.pictures.get(episode.still or "")
    return EpisodeView(
        address=episode_address(episode),
        path=episode_path(episode),
        title=sheet.title,
        day=episode.date,
        link=sheet.link,
        still=Shown(still, f"A still from {sheet.title}") if still else None,
        segments=segments,
        text=text,
        disclosures=_disclosures(desk, sheet.disclosures),
        credits=credits_given(sheet.credits),
        was=sheet.was,
        summary=excerpt(text.plain, SUMMARY),
    )


def _disclosures(desk: ShowroomDesk, written: Iterable[Disclosure]) -> tuple[DisclosureView, ...]:
    """What is said of gifts, less what is about a build that is not public."""
    return tuple(DisclosureView(d.what, d.how) for d in written if d.build is None or desk.shop.find(d.build) in desk.links)


def _segments(desk: ShowroomDesk, episode: Episode) -> tuple[SegmentView, ...]:
    named = ((segment, desk.shop.find(segment.build)) for segment in episode.sheet.segments)
    return tuple(SegmentView(desk.links[build], s.what, desk.stage(build, s.stage or "")) for s, build in named if build and build in desk.links)


def coming_up(desk: ShowroomDesk, promises: Iterable[PromiseState]) -> tuple[ComingUp, ...]:
    """What was promised by a public episode about a public build, or about none yet, and not yet done."""
    aired = {(episode.date, episode.sheet.title): episode for episode in desk.episodes}
    found = []
    for promise in sorted(promises, key=lambda p: (p.episode, p.title)):  # of one day's episodes the file's name decides nothing
        episode = aired.get((promise.episode, promise.title))
        if not promise.public or not promise.unmet or episode is None or (promise.build and promise.build not in desk.links):
            continue
        link = desk.links[promise.build] if promise.build else None
        found.append(ComingUp(link, promise.words or "", desk.stage(promise.build, promise.do), promise.when or "", episode_link(episode)))
    return tuple(found)


def bulletin_views(desk: ShowroomDesk) -> tuple[BulletinView, ...]:
    """The public short posts, the latest first."""
    shown = public_bulletins(desk.shop, frozenset(desk.links), desk.today)
    found = [_bulletin(desk, bulletin, anchor) for bulletin, anchor in zip(shown, anchors("post", (b.date for b in shown)), strict=True)]
    return tuple(reversed(found))


def _bulletin(desk: ShowroomDesk, bulletin: Bulletin, anchor: str) -> BulletinView:
    build = desk.shop.find(bulletin.sheet.build)
    link = desk.links.get(build or "")
    text = rendered(bulletin.body, replace(desk.around, mark=anchor, top_heading=3))
    return BulletinView(anchor, bulletin.date, link, desk.stage(build, bulletin.sheet.stage or ""), text, _disclosures(desk, bulletin.sheet.disclosures))
