"""The showroom's pages: the public view through the templates, to bytes by path under `out/showroom`.

Links are relative, so the site works in any folder and from a disk; only `404.html`, which a host shows at any depth, has
whole addresses and its style within.
Invariant: sees nothing but the public view, the templates and what they are made with; pictures are copied by others.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from operator import is_
from typing import Any

from markupsafe import Markup

from purfle.base.memo import Memo
from purfle.pages.attributes import first_fault
from purfle.pages.feed import atom_feed, sitemap
from purfle.pages.showroom_filters import filters, has_certificate
from purfle.pages.site_files import is_template
from purfle.pages.templates import TemplateFault, Templates
from purfle.views.public import BuildView, BulletinView, ComingUp, EpisodeView, Showroom, Site
from purfle.views.showroom_builds import STATES

_PAPERS = ("tags/", "sheets/", "certificates/")
_WITHOUT = "/* --- what follows, 404.html does without --- */"
_EVERY: dict[str, Any] = {"site": Site, "root": str, "path": str}
_PAPER = {**_EVERY, "build": BuildView}
_COMING = tuple[ComingUp, ...]
_WORDS = tuple[str, ...]
SEES: dict[str, dict[str, Any]] = {
    "_base.html": _EVERY,
    "_paper.html": _PAPER,
    "_pieces.html": {},
    "index.html": {
        **_EVERY,
        "builds": tuple[BuildView, ...],
        "bulletins": tuple[BulletinView, ...],
        "coming_up": _COMING,
        "states": _WORDS,
        "instruments": _WORDS,
        "makers": _WORDS,
        "finishes": _WORDS,
    },
    "about.html": _EVERY,
    "404.html": {**_EVERY, "style": str},
    "episodes.html": {**_EVERY, "episodes": tuple[EpisodeView, ...], "coming_up": _COMING},
    "bulletins.html": {**_EVERY, "bulletins": tuple[BulletinView, ...]},
    "build.html": {**_EVERY, "build": BuildView},
    "episode.html": {**_EVERY, "episode": EpisodeView, "later": EpisodeView, "earlier": EpisodeView},
    "tag.html": _PAPER,
    "sheet.html": _PAPER,
    "certificate.html": _PAPER,
    "moved.html": {**_EVERY, "title": str},
}
"""What each template is handed; `later` and `earlier` are none for the last and the first episode."""


def pages_of(view: Showroom, templates: Mapping[str, bytes]) -> dict[str, bytes]:
    """Every file of the showroom but its pictures and sounds. Raises `TemplateFault` when a template can't be used."""
    press = Templates("showroom", templates, filters(view.site.locale, view.site.currency))
    texts = {name: data for name, data in templates.items() if is_template(name)}
    if fault := _FAULTS.get((), texts, lambda: first_fault("showroom", texts, SEES)):
        raise TemplateFault(fault)
    pages = dict(_pages(view, press))
    indexed = [path for path in pages if path != "404.html" and not path.startswith(_PAPERS)]
    pages |= _redirects(view, press, pages)
    if view.site.has_feed:
        pages["feed.xml"] = atom_feed(view)
    if view.site.address:
        pages["sitemap.xml"] = sitemap(view, indexed)
    pages["robots.txt"] = _robots(view)
    pages["words.js"] = _words(view)
    return {**press.assets(), **pages}


_FAULTS = Memo()
"""What is wrong with the templates."""


def _pages(view: Showroom, press: Templates) -> Iterator[tuple[str, bytes]]:
    def page(template: str, path: str, root: str = "", **values: Any) -> tuple[str, bytes]:
        return path, press.page(template, site=view.site, root=root, path=path, **values)

    yield page("index.html", "index.html", builds=view.builds, bulletins=view.bulletins[:3], coming_up=view.coming_up, **_choices(view))
    yield page("about.html", "about.html")
    yield page("404.html", "404.html", root=view.site.address or "", style=_style(press))
    if view.site.has_episodes:
        yield page("episodes.html", "episodes.html", episodes=view.episodes, coming_up=view.coming_up)
    if view.site.has_bulletins:
        yield page("bulletins.html", "bulletins.html", bulletins=view.bulletins)
    for build in view.builds:
        yield page("build.html", build.path, root="../", build=build)
        for template, path in _papers_of(build):
            yield page(template, path, root="../", build=build)
    for index, episode in enumerate(view.episodes):
        later = view.episodes[index - 1] if index else None
        earlier = view.episodes[index + 1] if index + 1 < len(view.episodes) else None
        yield page("episode.html", episode.path, root="../", episode=episode, later=later, earlier=earlier)


def _style(press: Templates) -> Markup:
    """The colours and the common style without what they would fetch, as one text; it can't end a style element.

    What stands below the line that 404.html does without is left out; a style of the owner's without that line goes in whole.
    """
    sheets = "\n".join(press.files[name].decode("utf-8", "replace").partition(_WITHOUT)[0] for name in ("tokens.css", "style.css") if name in press.files)
    unfetching = re.sub(r"@font-face\s*\{[^}]*\}|background:\s*url\([^)]*\);?", "", sheets)
    return Markup(unfetching.replace("</", "<\\/"))


def _papers_of(build: BuildView) -> tuple[tuple[str, str], ...]:
    """Templates and paths of what can be printed for a build; the certificate only for work done and handed over."""
    papers = [("tag.html", f"tags/{build.address}.html"), ("sheet.html", f"sheets/{build.address}.html")]
    if has_certificate(build):
        papers.append(("certificate.html", f"certificates/{build.address}.html"))
    return tuple(papers)


def _choices(view: Showroom) -> dict[str, Any]:
    """What the gallery can be narrowed to; each only what some build has."""

    def all_of(read: Callable[[BuildView], str]) -> tuple[str, ...]:
        return tuple(sorted({read(build) for build in view.builds} - {""}, key=str.casefold))

    found = {build.state for build in view.builds}
    return {
        "states": tuple(state for state in STATES if state in found),
        "instruments": all_of(lambda b: b.instrument),
        "makers": all_of(lambda b: b.maker),
        "finishes": all_of(lambda b: b.finish),
    }


def _redirects(view: Showroom, press: Templates, taken: Mapping[str, bytes]) -> dict[str, bytes]:
    """A page at each address that a build or an episode had before."""
    moved = [(f"builds/{was}.html", b.path, b.title) for b in view.builds for was in b.was]
    moved += [(f"episodes/{was}.html", e.path, e.title) for e in view.episodes for was in e.was]
    return {old: press.page("moved.html", site=view.site, root="../", path=new, title=title) for old, new, title in moved if old not in taken}


def _robots(view: Showroom) -> bytes:
    lines = ["User-agent: *", "Allow: /"]
    if view.site.address:
        lines.append(f"Sitemap: {view.site.address}sitemap.xml")
    return ("\n".join(lines) + "\n").encode()


def _words(view: Showroom) -> bytes:
    """The words of specifications, stories and logs, for looking something up without a server."""
    return f"globalThis.showroomWords = {{{', '.join(map(_words_of, view.builds))}}};\n".encode()


_LOOKED_UP = Memo()
"""What each build brings to them, by its page."""


def _words_of(build: BuildView) -> str:
    return _LOOKED_UP.get(build.path, build, lambda: _looked_up(build), is_)


def _looked_up(build: BuildView) -> str:
    words = " ".join((*(line.value for line in build.specs), build.story.plain, *(entry.text.plain for entry in build.log)))
    return f"{json.dumps(build.address)}: {json.dumps(words)}"
