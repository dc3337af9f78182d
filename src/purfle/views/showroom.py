"""The shop, as far as it is public, in the types of `purfle.views.public`.

Order, counts, anchors and days come from public things alone, so a change to anything private changes nothing here.
Invariant: makes no page and reads no clock; who is public is decided in `purfle.show.publication`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from unicodedata import normalize

from purfle.base.memo import steady
from purfle.notes.model import Shop
from purfle.progress.model import Progress
from purfle.show.model import PromiseState
from purfle.views.markdown import opening, rendered
from purfle.views.pictures import Pictures, Sounds
from purfle.views.public import Showroom, Site
from purfle.views.showroom_air import bulletin_views, coming_up, episode_view
from purfle.views.showroom_builds import build_view, gallery_order
from purfle.views.showroom_desk import ShowroomDesk, desk_of

_OPENING = 240
"""Characters of the about page at the head of the rack at most."""


def showroom_of(shop: Shop, progress: Mapping[str, Progress], promises: Iterable[PromiseState], pictures: Pictures, sounds: Sounds, today: date) -> Showroom:
    """The public site on a day."""
    desk = desk_of(shop, progress, pictures, sounds, today)
    episodes = tuple(episode_view(desk, episode) for episode in reversed(desk.episodes))
    builds = sorted((build_view(desk, build) for build in desk.builds), key=gallery_order)
    bulletins = bulletin_views(desk)
    return Showroom(
        site=steady("the site", _site(desk, bool(episodes), bool(bulletins), any(b.log for b in builds))),
        builds=tuple(builds),
        episodes=episodes,
        coming_up=coming_up(desk, promises),
        bulletins=bulletins,
    )


def _site(desk: ShowroomDesk, has_episodes: bool, has_bulletins: bool, has_log: bool) -> Site:
    sheet = desk.shop.settings
    about = rendered(desk.shop.about, replace(desk.around, mark="about"))
    return Site(
        name=sheet.name,
        place=sheet.place or "",
        contact=sheet.contact,
        address=None if not sheet.site or not sheet.site.casefold().startswith("http") else _in_ascii(sheet.site.rstrip("/") + "/"),
        currency=sheet.currency,
        locale=sheet.locale,
        language=sheet.language or "",
        about=about,
        opening=opening(about, _OPENING),
        has_episodes=has_episodes,
        has_bulletins=has_bulletins,
        has_feed=has_episodes or has_bulletins or has_log,
    )


def _in_ascii(address: str) -> str:
    """A web address in the letters that maps of pages, feeds and QR readers can take (RFC 3986; the host in Punycode, RFC 3492)."""
    from markdown_it.common.normalize_url import normalizeLink

    scheme, colon, rest = address.partition("://")
    host, slash, path = rest.partition("/")
    return normalizeLink(f"{scheme}{colon}{normalize('NFC', host).lower()}{slash}{normalize('NFC', path)}")
