"""What a page tells, as a feed reader shows it: alone, without the page's style, from anywhere.

Our own HTML comes in, whose attributes are all in double quotes and hold no bare bracket.
Invariant: adds no word that a page does not have.
"""

import re
from collections.abc import Iterable
from urllib.parse import urljoin

from markupsafe import Markup

from purfle.views.public import DisclosureView, Shown

_SOURCE = re.compile(r"<source [^>]*>|</?picture>")
_BOX = re.compile(r'<span class="box( ticked)?"[^>]*></span>')
_OF_THE_PAGE = re.compile(r' (?:class|id|loading|fetchpriority|preload|sizes)="[^"]*"')
_ADDRESS = re.compile(r'(?<= )(href|src)="([^"]*)"')


def alone(html: str, page: str) -> str:
    """The HTML of a page's text with whole addresses, by the page's own; each picture in its one file that every reader knows."""
    plain = _BOX.sub(lambda box: "☑" if box[1] else "☐", _SOURCE.sub("", html))
    return _ADDRESS.sub(lambda found: f'{found[1]}="{urljoin(page, found[2])}"', _OF_THE_PAGE.sub("", plain)).strip()


def still(shown: Shown | None, root: str) -> Markup:
    """An episode's picture; `root` leads from its page to the site's root."""
    if shown is None:
        return Markup()
    file = shown.picture.fallback
    return Markup('<p><img src="{}" width="{}" height="{}" alt="{}"></p>').format(root + file.path, file.width, file.height, shown.alt)


def watch(link: str | None) -> Markup:
    """Where an episode is to be seen."""
    return Markup('<p><a href="{}">Watch the episode</a></p>').format(link) if link else Markup()


def told(given: Iterable[DisclosureView]) -> Markup:
    """What was given or paid for, in one sentence."""
    words = "; ".join(f"{gift.what}, {gift.how}" for gift in given)
    return Markup("<p>Disclosure: {}</p>").format(words) if words else Markup()
