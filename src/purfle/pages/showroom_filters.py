"""What the showroom's templates may use after a bar, such as `{{ day | long_date }}`.

Invariant: each is a function of what stands before the bar and of its arguments; its first sentence is what the reference says of it.
"""

import base64
import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache, lru_cache
from typing import Any

from markupsafe import Markup

from purfle.views.amounts import Writer
from purfle.views.picture_html import largest, picture_html, sound_html
from purfle.views.public import BuildView, Heard, Shown
from purfle.views.words import stop, tight

_LYING = 1.1  # from this width for one of height on, a picture lies; squares stand
_CARD_WIDTH = 1000  # pixels: a card is never wider than 31rem, so a wider file would be waste even on a dense screen


@cache
def filters(locale: str, currency: str) -> Mapping[str, Callable[..., Any]]:
    """Kept, so that equal sites share one set of functions and with it the compiled templates."""
    writer = Writer(locale, currency)
    return {
        "money": writer.price,
        "long_date": writer.date,
        "short_date": writer.short,
        "plate": state_class,
        "picture": picture,
        "card_picture": card_picture,
        "player": player,
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
    return {name: (function.__doc__ or "").strip().split("\n")[0] for name, function in filters("en_US", "USD").items()}


def state_class(state: str) -> str:
    """The class of a public state in the style sheet: its last word."""
    return state.rpartition(" ")[2]


def picture(shown: Shown, root: str, sizes: str = "(min-width: 60rem) 46rem, 94vw", lazy: bool = True) -> Markup:
    """A responsive picture with its words."""
    return picture_html(shown.picture, shown.alt, root, sizes, lazy)


def card_picture(shown: Shown, root: str, lazy: bool = True, sizes: str = "") -> Markup:
    """A picture for a card of the gallery, in small files only, which keeps a long gallery light."""
    small = tuple(v for v in shown.picture.variants if v.width <= _CARD_WIDTH) or shown.picture.variants[:1]
    return picture_html(replace(shown.picture, variants=small), shown.alt, root, sizes or ("34rem" if _lies(shown) else "20rem"), lazy, tinted=True)


def player(heard: Heard, root: str) -> Markup:
    """A sound with its words, in the browser's own player."""
    return Markup(sound_html(heard.sound, heard.alt, root))


def lies(build: BuildView) -> bool:
    """Whether its cover is landscape, so that it takes two hooks of the rack."""
    return build.cover is not None and _lies(build.cover)


def _lies(shown: Shown) -> bool:
    return shown.picture.width > shown.picture.height * _LYING


def stands(build: BuildView) -> bool:
    """Whether its cover is portrait, so that its tag and story have room beside it."""
    return build.cover is not None and not _lies(build.cover)


def bare_address(address: str) -> str:
    """A web address as written on paper, in its own letters and without the scheme."""
    from markdown_it.common.normalize_url import normalizeLinkText

    return re.sub(r"^https?://", "", normalizeLinkText(address).replace(" ", "%20"), flags=re.IGNORECASE)


def _largest(shown: Shown) -> str:
    """The path of a picture's widest file."""
    return largest(shown.picture)


def _rel(link: str) -> Markup:
    """The `rel` attribute of a link that leaves the site."""
    return Markup(' rel="noopener"') if link.casefold().startswith(("http:", "https:")) else Markup("")


def stages_shown(build: BuildView) -> tuple[str, ...]:
    """The stages its public notes name, by the day that first has each."""
    return build.stages_done


def has_certificate(build: BuildView) -> bool:
    """Whether there is a certificate to print: work was done on it, and it is sold or delivered."""
    return build.stages_finished > 0 and build.state in ("sold", "delivered")


@lru_cache(maxsize=1024)
def qr(text: str) -> Markup:
    """A QR code (ISO/IEC 18004) as a drawing in the page, with the quiet zone of four modules that the standard asks for."""
    import segno

    code = segno.make_qr(text, error="m")
    return Markup(code.svg_inline(omitsize=True, border=4, svgclass=None, lineclass=None, dark="#000", light="#fff"))


def digest(text: str) -> str:
    """The source expression that lets a page's policy admit this very text (Content Security Policy 3, hash-source)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
