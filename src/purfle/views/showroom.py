"""The shop, as far as it is public, in the types of `purfle.views.public`.

Order, counts, anchors and days come from public things alone, so a change to anything private changes nothing here.
Invariant: makes no page and reads no clock; who is public is decided in `purfle.views.publication`.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import quote

from purfle.base.memo import Latest, Mark, told
from purfle.notes.model import RECORDS, Build, Bulletin, Episode, Note, Shop
from purfle.notes.records.build import Credit as CreditSheet
from purfle.notes.records.show import Disclosure
from purfle.progress.model import Progress
from purfle.show.model import PromiseState
from purfle.views.finish import lacquer_of
from purfle.views.markdown import Text, excerpt, opening, rendered
from purfle.views.markdown_rules import Surroundings
from purfle.views.pictures import Pictures, Sounds
from purfle.views.public import (
    BuildView,
    BulletinView,
    ComingUp,
    Credit,
    DisclosureView,
    EpisodeLink,
    EpisodeView,
    LogEntry,
    Offer,
    PageLink,
    SegmentView,
    Shown,
    Showroom,
    Site,
)
from purfle.views.publication import (
    build_address,
    build_path,
    cover_path,
    episode_address,
    public_builds,
    public_bulletins,
    public_episodes,
    public_notes,
    still_path,
)
from purfle.views.specs import spec_lines

STATES = ("for sale", "in the works", "finished", "sold", "delivered")
"""The public states, in the gallery's order."""
_UNMET = ("open", "due", "late")
_SUMMARY = 180
_OPENING = 240


def showroom_of(shop: Shop, progress: Mapping[str, Progress], promises: Iterable[PromiseState], pictures: Pictures, sounds: Sounds, today: date) -> Showroom:
    """The public site on a day."""
    desk = _desk(shop, progress, pictures, sounds, today)
    episodes = tuple(_episode(desk, episode) for episode in reversed(desk.episodes))
    builds = sorted((_kept_build(desk, build) for build in desk.builds), key=_gallery_order)
    bulletins = _bulletins(desk)
    return Showroom(
        site=_site(desk, bool(episodes), bool(bulletins), any(b.log for b in builds)),
        builds=tuple(builds),
        episodes=episodes,
        coming_up=_coming_up(desk, promises),
        bulletins=bulletins,
    )


@dataclass(frozen=True, slots=True)
class _Desk:
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


def _desk(shop: Shop, progress: Mapping[str, Progress], pictures: Pictures, sounds: Sounds, today: date) -> _Desk:
    builds = public_builds(shop, progress, today)
    links = {build.id: PageLink(build.sheet.title, build_path(build)) for build in builds}
    pages = {"about": "about.html", "episodes": "episodes.html", "index": "index.html"}
    episodes, visits = public_episodes(shop, today), defaultdict[str, list[Episode]](list)
    for episode in episodes:
        for visited in dict.fromkeys(shop.find(segment.build) for segment in episode.sheet.segments):
            if visited is not None:
                visits[visited].append(episode)
        pages |= {name.casefold(): _episode_path(episode) for name in (str(episode.date), episode_address(episode))}
    for build in builds:
        pages |= {name.casefold(): links[build.id].path for name in (build.id, build_address(build))}
    return _Desk(
        shop=shop,
        progress=progress,
        today=today,
        builds=builds,
        links=links,
        around=Surroundings("", pages, pictures, sounds),
        episodes=episodes,
        visits=visits,
        mark=_AROUND.of((RECORDS.of(shop), progress, pictures, sounds, today)),
    )


_AROUND = Mark[tuple[object, ...]](lambda one, other: one[0] is other[0] and one[1] is other[1] and one[2:] == other[2:])


def _site(desk: _Desk, has_episodes: bool, has_bulletins: bool, has_log: bool) -> Site:
    sheet = desk.shop.settings
    about = rendered(desk.shop.about, replace(desk.around, mark="about"))
    site = Site(
        name=sheet.name,
        place=sheet.place or "",
        contact=sheet.contact,
        address=None if not sheet.site or not sheet.site.casefold().startswith("http") else sheet.site.rstrip("/") + "/",
        currency=sheet.currency,
        locale=sheet.locale,
        about=about,
        opening=opening(about, _OPENING),
        has_episodes=has_episodes,
        has_bulletins=has_bulletins,
        has_feed=has_episodes or has_bulletins or has_log,
    )
    return _SITES.get((), told(site) or object(), lambda: site)


_SITES = Latest()
"""The last site: one that tells the same is the very same, so that pages need not look into it."""


# --- builds ----------------------------------------------------------------------------------------------------------


def _gallery_order(build: BuildView) -> tuple[int, int, str, str]:
    latest = build.latest.toordinal() if build.latest else 0
    return STATES.index(build.state), -latest, build.title.casefold(), build.address


def _kept_build(desk: _Desk, build: Build) -> BuildView:
    """The very view that was made before, for as long as the build, its notes and all around them are the very same."""
    own = (build, *desk.shop.notes_of(build.id))
    return _VIEWS.get(build.id, (desk.mark, *map(id, own)), lambda: (_build(desk, build), own))[0]


_VIEWS = Latest()
"""The view of each build beside what it was made from, which is held so that no other can have its number."""


def _build(desk: _Desk, build: Build) -> BuildView:
    sheet = build.sheet
    known = desk.progress.get(build.id)
    state = known.public_state if known else "in the works"
    story = rendered(build.story, desk.below("story", 3))
    return BuildView(
        address=build_address(build),
        path=desk.links[build.id].path,
        title=sheet.title,
        instrument=sheet.instrument or "",
        maker=sheet.maker or "",
        model=sheet.model or "",
        year=sheet.year or "",
        finish=sheet.finish or "",
        serial=(sheet.serial or "") if sheet.serial_public else "",
        lacquer=lacquer_of(sheet.finish or ""),
        state=state,
        stages_finished=known.finished_stages if known else 0,
        stages=len(known.stages) if known else 0,
        cover=_shown(desk, build, "cover", sheet.title),
        as_found=_shown(desk, build, "as_found", f"{sheet.title} as found"),
        as_left=_shown(desk, build, "as_left", f"{sheet.title} as it left the bench"),
        specs=spec_lines(sheet.specs),
        story=story,
        log=_log(desk, build),
        offer=_offer(desk, build) if state == "for sale" else None,
        credits=_credits_of(build),
        episodes=tuple(_episode_link(e) for e in desk.visits.get(build.id, ())),
        was=sheet.was,
        summary=_summary(build, story),
    )


def _summary(build: Build, story: Text) -> str:
    sheet = build.sheet
    if story.plain:
        return excerpt(story.plain, _SUMMARY)
    made = " ".join(word for word in (sheet.maker, sheet.model) if word)
    return ", ".join(word for word in (sheet.instrument, made, sheet.year, sheet.finish) if word)


def _shown(desk: _Desk, build: Build, part: str, otherwise: str) -> Shown | None:
    """A picture the sheet names; its words are those of the first public text that shows it too."""
    path = cover_path(build, part)
    if path is None or path not in desk.around.pictures:
        return None
    bodies = (build.story, *(note.body for note in public_notes(desk.shop, build, desk.today)))
    alts = (picture.alt for body in bodies for picture in body.pictures if picture.path == path and picture.alt)
    return Shown(desk.around.pictures[path], next(alts, otherwise))


def _log(desk: _Desk, build: Build) -> tuple[LogEntry, ...]:
    days: Counter[date] = Counter()
    entries = []
    for note in _in_public_order(public_notes(desk.shop, build, desk.today)):
        days[note.date] += 1
        anchor = f"log-{note.date}" + (f"-{days[note.date]}" if days[note.date] > 1 else "")
        entries.append(LogEntry(anchor, note.date, _stages_of(note), rendered(note.body, desk.below(anchor, 4))))
    return tuple(entry for entry in entries if entry.text)


def _stages_of(note: Note) -> tuple[str, ...]:
    stages = (note.sheet.stage, *(bench.stage for bench in note.sheet.bench))
    return tuple(dict.fromkeys(stage for stage in stages if stage))


def _in_public_order(notes: tuple[Note, ...]) -> list[Note]:
    """By day; within a day a stage that was met earlier comes first, then by the words. File names, being private, decide nothing."""
    first: dict[str, date] = {}
    for note in notes:
        for stage in _stages_of(note):
            first.setdefault(stage, note.date)
    return sorted(notes, key=lambda n: (n.date, min((first[s] for s in _stages_of(n)), default=n.date), n.body.text.split()))


def _offer(desk: _Desk, build: Build) -> Offer | None:
    asked = build.sheet.for_sale
    return None if asked is None else Offer(asked.asking, _about(asked.enquire or desk.shop.settings.contact, build.sheet.title))


def _about(contact: str | None, title: str) -> str | None:
    """Where to ask; a bare mail address gets the build's name as its subject (RFC 6068)."""
    if contact and contact.casefold().startswith("mailto:") and "?" not in contact:
        return f"{contact}?subject={quote(title)}"
    return contact


def _credits(credits: Iterable[CreditSheet]) -> tuple[Credit, ...]:
    return tuple(Credit(c.name, c.done or "", c.link) for c in credits if c.consent)


def _credits_of(build: Build) -> tuple[Credit, ...]:
    consent = build.sheet.commission.consent if build.sheet.commission else None
    customer = (Credit(consent.credit_as, "the order", None),) if consent and consent.show and consent.credit_as else ()
    return (*customer, *_credits(build.sheet.credits))


# --- episodes --------------------------------------------------------------------------------------------------------


def _episode_path(episode: Episode) -> str:
    return f"episodes/{episode_address(episode)}.html"


def _episode_link(episode: Episode) -> EpisodeLink:
    return EpisodeLink(episode.sheet.title, _episode_path(episode), episode.date)


def _episode(desk: _Desk, episode: Episode) -> EpisodeView:
    sheet = episode.sheet
    text = rendered(episode.body, desk.below("episode", 2))
    segments = _segments(desk, episode)
    still = desk.around.pictures.get(still_path(episode) or "")
    return EpisodeView(
        address=episode_address(episode),
        path=_episode_path(episode),
        title=sheet.title,
        day=episode.date,
        link=sheet.link,
        still=Shown(still, f"A still from {sheet.title}") if still else None,
        segments=segments,
        text=text,
        disclosures=_disclosures(desk, sheet.disclosures),
        credits=_credits(sheet.credits),
        was=sheet.was,
        summary=excerpt(text.plain, _SUMMARY),
    )


def _disclosures(desk: _Desk, written: Iterable[Disclosure]) -> tuple[DisclosureView, ...]:
    """What is said of gifts, less what is about a build that is not public."""
    return tuple(DisclosureView(d.what, d.how) for d in written if d.build is None or desk.shop.find(d.build) in desk.links)


def _segments(desk: _Desk, episode: Episode) -> tuple[SegmentView, ...]:
    found = []
    for segment in episode.sheet.segments:
        link = desk.links.get(desk.shop.find(segment.build) or "")
        if link:
            found.append(SegmentView(link, segment.what, segment.stage or ""))
    return tuple(found)


def _coming_up(desk: _Desk, promises: Iterable[PromiseState]) -> tuple[ComingUp, ...]:
    """What was promised by a public episode about a public build, or about none yet, and not yet done."""
    aired = {(episode.date, episode.sheet.title): episode for episode in desk.episodes}
    found = []
    for promise in sorted(promises, key=lambda p: (p.episode, p.title)):  # of one day's episodes the file's name decides nothing
        episode = aired.get((promise.episode, promise.title))
        if not promise.public or promise.state not in _UNMET or episode is None or (promise.build and promise.build not in desk.links):
            continue
        link = desk.links[promise.build] if promise.build else None
        found.append(ComingUp(link, promise.words or "", promise.do, _episode_link(episode)))
    return tuple(found)


# --- bulletins -------------------------------------------------------------------------------------------------------


def _bulletins(desk: _Desk) -> tuple[BulletinView, ...]:
    days: Counter[date] = Counter()
    found = []
    for bulletin in public_bulletins(desk.shop, frozenset(desk.links), desk.today):
        days[bulletin.date] += 1
        anchor = f"post-{bulletin.date}" + (f"-{days[bulletin.date]}" if days[bulletin.date] > 1 else "")
        found.append(_bulletin(desk, bulletin, anchor))
    return tuple(reversed(found))


def _bulletin(desk: _Desk, bulletin: Bulletin, anchor: str) -> BulletinView:
    link = desk.links.get(desk.shop.find(bulletin.sheet.build) or "")
    text = rendered(bulletin.body, replace(desk.around, mark=anchor, top_heading=3))
    return BulletinView(anchor, bulletin.date, link, bulletin.sheet.stage or "", text, _disclosures(desk, bulletin.sheet.disclosures))
