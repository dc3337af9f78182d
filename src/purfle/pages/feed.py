"""The showroom's feed (Atom, RFC 4287) and its list of pages for search engines (sitemaps.org protocol).

Identifiers are made from public things alone (the shop's name, a page's address, an anchor), so they stay when the site
moves and tell nothing. Days carry no hour: an entry's time is the start of its day, UTC.
Invariant: nothing here is newer than the newest public note; the day of compiling is in no feed.
"""

import re
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from xml.etree import ElementTree

from markupsafe import Markup

from purfle.base.memo import Memo
from purfle.pages.feed_content import alone, still, told, watch
from purfle.views.markdown import excerpt
from purfle.views.public import Showroom

_ATOM = "http://www.w3.org/2005/Atom"
_SITEMAP = "http://www.sitemaps.org/schemas/sitemap/0.9"
_MOST_ENTRIES = 60
_WORDS = 400
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 can't hold (section 2.2, Char)."""


@dataclass(frozen=True, slots=True)
class _Entry:
    title: str
    path: str
    day: date
    words: str
    html: Markup
    """As on its page."""


def atom_feed(view: Showroom) -> bytes:
    """The latest public notes, episodes and bulletins, the newest first; only called when there is at least one."""
    entries = _entries(view)
    name, root = view.site.name, view.site.address or ""
    return _MADE.get("feed", (name, root, entries, view.site.language), lambda: _feed(name, root, entries, view.site.language))


_MADE = Memo()
"""The last feed and map by what stands in them: most changes are to older notes, and change no latest day."""


def _feed(name: str, root: str, entries: tuple[_Entry, ...], language: str) -> bytes:
    feed = ElementTree.Element("feed", {"xmlns": _ATOM, **({"xml:lang": language} if language else {})})
    _add(feed, "id", _identifier(name, ""))
    _add(feed, "title", name)
    _add(feed, "updated", _time(entries[0].day))
    _add(_add(feed, "author"), "name", name)
    _add(feed, "link", rel="self", type="application/atom+xml", href=f"{root}feed.xml")
    _add(feed, "link", rel="alternate", type="text/html", href=f"{root}index.html")
    for entry in entries:
        _add_entry(feed, name, root, entry)
    return _written(feed)


def _entries(view: Showroom) -> tuple[_Entry, ...]:
    days = [*(entry.day for build in view.builds for entry in build.log), *(e.day for e in view.episodes), *(b.day for b in view.bulletins)]
    since = sorted(days, reverse=True)[:_MOST_ENTRIES][-1]  # a large shop's log has a hundred times as many as are taken
    every = [*_of_logs(view, since), *_of_episodes(view), *_of_bulletins(view)]
    return tuple(sorted(every, key=lambda e: (-e.day.toordinal(), e.path))[:_MOST_ENTRIES])


def _of_logs(view: Showroom, since: date) -> Iterator[_Entry]:
    for build in view.builds:
        for entry in build.log:
            if entry.day >= since:
                stages = f": {', '.join(entry.stages)}" if entry.stages else ""
                yield _Entry(f"{build.title}{stages}", f"{build.path}#{entry.anchor}", entry.day, entry.text.plain, entry.text.html)


def _of_episodes(view: Showroom) -> Iterator[_Entry]:
    for episode in view.episodes:
        html = still(episode.still, "../") + episode.text.html + watch(episode.link) + told(episode.disclosures)
        yield _Entry(f"Episode: {episode.title}", episode.path, episode.day, episode.text.plain, html)


def _of_bulletins(view: Showroom) -> Iterator[_Entry]:
    for bulletin in view.bulletins:
        title = bulletin.build.title if bulletin.build else excerpt(bulletin.text.plain, 60)
        gifts = "".join(f" ({given.what}: {given.how})" for given in bulletin.disclosures)
        where = f"bulletins.html#{bulletin.anchor}"
        yield _Entry(title, where, bulletin.day, bulletin.text.plain + gifts, bulletin.text.html + told(bulletin.disclosures))


def _add_entry(feed: ElementTree.Element, shop: str, root: str, entry: _Entry) -> None:
    element = _add(feed, "entry")
    _add(element, "id", _identifier(shop, entry.path))
    _add(element, "title", entry.title or str(entry.day))
    _add(element, "updated", _time(entry.day))
    _add(element, "published", _time(entry.day))
    _add(element, "link", rel="alternate", type="text/html", href=root + entry.path)
    if entry.words:
        _add(element, "summary", excerpt(entry.words, _WORDS))
    if content := alone(entry.html, root + entry.path.partition("#")[0]):
        _add(element, "content", content, type="html")


def _add(parent: ElementTree.Element, name: str, text: str | None = None, **attributes: str) -> ElementTree.Element:
    child = ElementTree.SubElement(parent, name, attributes)
    if text is not None:
        child.text = _NOT_XML.sub("", text)
    return child


def _identifier(shop: str, path: str) -> str:
    return uuid.uuid5(uuid.NAMESPACE_URL, f"{shop}/{path}").urn


def _time(day: date) -> str:
    return f"{day.isoformat()}T00:00:00Z"


def _written(root: ElementTree.Element) -> bytes:
    ElementTree.indent(root, "  ")
    return bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def sitemap(view: Showroom, paths: list[str]) -> bytes:
    """The pages' whole addresses; only called when the site has an address."""
    days = {build.path: build.latest for build in view.builds} | {episode.path: episode.day for episode in view.episodes}
    places = tuple((f"{view.site.address}{path}", days.get(path)) for path in paths)
    return _MADE.get("map", places, lambda: _map(places))


def _map(places: tuple[tuple[str, date | None], ...]) -> bytes:
    root = ElementTree.Element("urlset", {"xmlns": _SITEMAP})
    for place, day in places:
        page = _add(root, "url")
        _add(page, "loc", place)
        if day:
            _add(page, "lastmod", day.isoformat())
    return _written(root)
