"""The showroom's pages: the public view through the templates, to bytes by path under `out/showroom`.

Links are relative, so the site works in any folder and from a disk; only `404.html`, which a host shows at any depth, has
whole addresses and its style within.
Invariant: sees nothing but the public view, the templates and what they are made with; pictures are copied by others.
"""

import base64
import hashlib
import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

from markupsafe import Markup

from purfle.base.memo import Each
from purfle.base.trouble import Trouble
from purfle.pages.attributes import first_fault
from purfle.pages.feed import atom_feed, sitemap
from purfle.pages.site_files import is_template
from purfle.pages.templates import TemplateFault, Templates
from purfle.views.amounts import Writer
from purfle.views.picture_html import largest, picture_html
from purfle.views.public import BuildView, BulletinView, ComingUp, EpisodeView, Shown, Showroom, Site
from purfle.views.showroom_builds import STATES
from purfle.views.words import stop, tight

STATE_CLASSES = {"for sale": "sale", "in the works": "works", "finished": "finished", "sold": "sold", "delivered": "delivered"}
_PAPERS = ("tags/", "sheets/", "certificates/")
_WITHOUT = "/* --- what follows, 404.html does without --- */"
_LYING = 1.1  # from this width for one of height on, a picture lies; squares stand
_CARD_WIDTH = 1000  # pixels: a card is never wider than 31rem, so a wider file would be waste even on a dense screen


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
    press = Templates("showroom", templates, _filters(view.site.locale, view.site.currency))
    if fault := _first_fault(tuple((name, data) for name, data in templates.items() if is_template(name))):
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


@lru_cache(maxsize=8)
def _first_fault(texts: tuple[tuple[str, bytes], ...]) -> Trouble | None:
    return first_fault("showroom", dict(texts), SEES)


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
        for template, path in papers_of(build):
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


def papers_of(build: BuildView) -> tuple[tuple[str, str], ...]:
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
    return f"globalThis.showroomWords = {{{', '.join(_LOOKED_UP.of(view.builds, (), _words_of))}}};\n".encode()


_LOOKED_UP = Each()
"""What each build brings to them."""


def _words_of(build: BuildView) -> str:
    words = " ".join((*(line.value for line in build.specs), build.story.plain, *(entry.text.plain for entry in build.log)))
    return f"{json.dumps(build.address)}: {json.dumps(words)}"


# --- what templates may use after a bar --------------------------------------------------------------------------------


@cache
def _filters(locale: str, currency: str) -> Mapping[str, Callable[..., Any]]:
    """Kept, so that equal sites share one set of functions and with it the compiled templates."""
    writer = Writer(locale, currency)
    return {
        "money": writer.price,
        "long_date": writer.date,
        "short_date": writer.short,
        "plate": state_class,
        "picture": picture,
        "card_picture": card_picture,
        "largest": _largest,
        "outward": _rel,
        "qr": qr,
        "stages_shown": stages_shown,
        "lies": lies,
        "stands": stands,
        "bare_address": bare_address,
        "has_certificate": has_certificate,
        "digest": digest,
        "stop": stop,
        "tight": tight,
    }


def filter_words() -> dict[str, str]:
    """What each filter does, in the first sentence of its own words."""
    return {name: (function.__doc__ or "").strip().split("\n")[0] for name, function in _filters("en_US", "USD").items()}


def state_class(state: str) -> str:
    """The class of a public state in the style sheet."""
    return STATE_CLASSES[state]


def picture(shown: Shown, root: str, sizes: str = "(min-width: 60rem) 46rem, 94vw", lazy: bool = True) -> Markup:
    """A responsive picture with its words."""
    return picture_html(shown.picture, shown.alt, root, sizes, lazy)


def card_picture(shown: Shown, root: str, lazy: bool = True, sizes: str = "") -> Markup:
    """A picture for a card of the gallery: the small files alone, which keeps a long gallery light."""
    small = tuple(v for v in shown.picture.variants if v.width <= _CARD_WIDTH) or shown.picture.variants[:1]
    return picture_html(replace(shown.picture, variants=small), shown.alt, root, sizes or ("34rem" if _lies(shown) else "20rem"), lazy, tinted=True)


def lies(build: BuildView) -> bool:
    """Whether its cover is wider than high, so that it takes two hooks of the rack."""
    return build.cover is not None and _lies(build.cover)


def _lies(shown: Shown) -> bool:
    return shown.picture.width > shown.picture.height * _LYING


def stands(build: BuildView) -> bool:
    """Whether its cover is higher than wide, so that its tag and story find room beside it."""
    return build.cover is not None and not _lies(build.cover)


def bare_address(address: str) -> str:
    """A web address as people write it on paper, without the scheme."""
    return re.sub(r"^https?://", "", address, flags=re.IGNORECASE)


def _largest(shown: Shown) -> str:
    """The path of a picture's widest file."""
    return largest(shown.picture)


def _rel(link: str) -> Markup:
    """The `rel` of a link that leaves the site."""
    return Markup(' rel="noopener"') if link.casefold().startswith(("http:", "https:")) else Markup("")


def stages_shown(build: BuildView) -> tuple[str, ...]:
    """The stages that the public log tells of, in the order they were met."""
    return tuple(dict.fromkeys(stage for entry in build.log for stage in entry.stages))


def has_certificate(build: BuildView) -> bool:
    """Whether there is a certificate to print: work was done on it, and it is sold or delivered."""
    return build.stages_finished > 0 and build.state in ("sold", "delivered")


@lru_cache(maxsize=1024)
def qr(text: str) -> Markup:
    """A QR code (ISO/IEC 18004) as a drawing in the page, with the quiet zone of four modules the standard wants."""
    import segno

    code = segno.make_qr(text, error="m")
    return Markup(code.svg_inline(omitsize=True, border=4, svgclass=None, lineclass=None, dark="#000", light="#fff"))


def digest(text: str) -> str:
    """The source expression that lets a page's policy admit this very text (Content Security Policy 3, hash-source)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
