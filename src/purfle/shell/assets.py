"""What the owner's own pictures in `site_templates/showroom/` would tell beside what is seen of them.

They are published as they are, unlike the pictures of notes, which are made anew; so a phone's photo among them would say where it was taken.
Invariant: pure functions of bytes; what is no JPEG, PNG, WebP, GIF, AVIF, HEIC or SVG passes.
"""

import io
import re
from collections.abc import Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING

from purfle.base.memo import Memo
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong
from purfle.pages.site_files import own_files, shown_path
from purfle.shell.pixels import is_heif, open_heif

if TYPE_CHECKING:
    from PIL.Image import Image

_SITE = "showroom"
_CAMERA = "a camera's data (EXIF)"
_EDITOR = "an editor's data (XMP or IPTC)"
_DRAWING = "a drawing program's data"
_COMMENT = "a comment"
_UNREAD = "data that can't be read"
_MEND = "save it for the web without metadata, or show it on the about page as ![what it shows](photos/…), where that is taken out"


def telling(owner: Mapping[str, bytes]) -> Iterator[Trouble]:
    """Those of the owner's files, by path in `site_templates/`, with data of a camera or a program in them."""
    for name, data in sorted(own_files(_SITE, owner).items()):
        if what := _CARRIED.get(name, data, partial(_carried, data)):
            yield Trouble(Place(shown_path(_SITE, name), 0), "asset-tells", f"it carries {what}, which would be published with it", _MEND)


_CARRIED = Memo()
"""By name: of a PNG the pixels are decoded, which takes a while at every save."""


def _carried(data: bytes) -> str | None:
    """What a file carries beside what is seen; None when it is nothing, or the file no picture."""
    if b"<svg" in data[:2000]:
        return _DRAWING if _DRAWN.search(data) else None
    import warnings

    from PIL import Image

    with warnings.catch_warnings(action="ignore"):
        try:
            if is_heif(data):
                open_heif()
            image = Image.open(io.BytesIO(data), formats=_KINDS)
        except (Image.DecompressionBombError, Wrong):
            return _UNREAD
        except Exception:  # no picture, or none that a browser would show; the decoders raise some twenty kinds of error
            return None
        try:
            return _beside_pixels(image)
        except Exception:  # what begins as a picture and can't be read may say anything
            return _UNREAD


_KINDS = ("JPEG", "PNG", "WEBP", "GIF", "AVIF", "HEIF")
_DRAWN = re.compile(rb"<metadata\b|<rdf:|(?:docname|export-filename)\s*=")
"""What drawing programs leave in an SVG: who drew it, and where on which disk it lies."""


def _beside_pixels(image: "Image") -> str | None:
    texts = {*getattr(image, "text", ())} - {"Software"}  # a PNG may have them behind its pixels, which are decoded for that
    if _exif_tells(image):
        return _CAMERA
    if texts & _EDITORS or image.info.keys() & _EDITORS:
        return _EDITOR
    return _COMMENT if texts or "comment" in image.info else None


_EDITORS = {"xmp", "photoshop", "XML:com.adobe.xmp"}
"""The imaging library's names for them."""
_PIXELS = frozenset((254, 256, 257, 258, 259, 262, 274, 277, 282, 283, 284, 296, 301, 318, 319, 529, 530, 531, 532, 34665))
"""Tags of EXIF 2.32 that say how the pixels lie and are to be shown; 34665 leads to those below."""
_PIXELS_TOO = frozenset((36864, 37121, 40960, 40961, 40962, 40963))


def _exif_tells(image: "Image") -> bool:
    exif = image.getexif()
    if not exif:
        return image.info.get("exif") is not None  # a block in which no tag can be read may say anything
    return bool(exif.keys() - _PIXELS or exif.get_ifd(34665).keys() - _PIXELS_TOO)
