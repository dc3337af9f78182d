"""Pictures that a text names in a way that shows none: a link without its `!`, brackets the wrong way round, HTML.

Invariant: tells only of files that are there, so that a name in passing is no fault.
"""

import re
from collections.abc import Iterator

from purfle.base.place import Lookup, Place
from purfle.notes.body import PICTURE, picture_path

_NAMED = re.compile(r"[(\[<\"'=]\s?(?P<src>[^\s()\[\]<>\"'=]{1,300}\.(?:jpe?g|png|webp|hei[cf]))\s?[)\]>\"'|]", re.IGNORECASE)
MAY_NAME = re.compile(rb"!\[|\.(?:jpe?g|png|webp|hei[cf])", re.IGNORECASE)
"""What a file holds that names a picture, rightly or not."""


def unshown(text: str, start: Place, folder: str, assets: frozenset[str]) -> Iterator[tuple[str, Place]]:
    """Name and place of each such picture; `start` is the place of the text and `folder` is where its names begin."""
    rest = PICTURE.sub(lambda picture: " " * len(picture[0]), text)
    at = Lookup(text)
    for match in _NAMED.finditer(rest):
        if picture_path(folder, match["src"], assets) is not None:
            yield match["src"], at.place(match.start("src"), start)
