"""What the owner's own pictures in `site_templates/showroom/` would tell beside what is seen of them.

They are published as they are, unlike the pictures of notes, which are made anew; so a phone's photo among them would say where it was taken.
Invariant: pure functions of bytes; no pixel is decoded, and what is no JPEG, PNG, WebP or SVG passes.
"""

import re
import struct
from collections.abc import Iterator, Mapping

from purfle.base.place import Place
from purfle.base.trouble import Trouble

_SITE = "showroom/"
_CAMERA = "a camera's data (EXIF)"
_EDITOR = "an editor's data (XMP or IPTC)"
_DRAWING = "a drawing program's data"
_COMMENT = "a comment"
_MEND = "save it for the web without metadata, or show it on the about page as ![what it shows](photos/…), where that is taken out"


def telling(owner: Mapping[str, bytes]) -> Iterator[Trouble]:
    """Those of the owner's files, by path in `site_templates/`, with data of a camera or a program in them."""
    for path, data in sorted(owner.items()):
        if path.startswith(_SITE) and (what := next(_carried(data), None)):
            yield Trouble(Place(f"site_templates/{path}", 0), "asset-tells", f"it carries {what}, which would be published with it", _MEND)


def _carried(data: bytes) -> Iterator[str]:
    """What a file carries beside what is seen."""
    if data.startswith(b"\xff\xd8\xff"):
        yield from _of_jpeg(data)
    elif data.startswith(b"\x89PNG\r\n\x1a\n"):
        yield from _of_png(data)
    elif data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        yield from (_CAMERA if name == b"EXIF" else _EDITOR for name, body in _chunks(data) if name == b"XMP " or (name == b"EXIF" and _exif_tells(body)))
    elif b"<svg" in data[:2000]:
        yield from [_DRAWING] if _DRAWN.search(data) else []


_DRAWN = re.compile(rb"<metadata\b|<rdf:|(?:docname|export-filename)\s*=")
"""What drawing programs leave in an SVG: who drew it, and where on which disk it lies."""


def _of_jpeg(data: bytes) -> Iterator[str]:
    """The segments before the pixels (ITU-T T.81, B.1.1)."""
    at = 2
    while data[at : at + 1] == b"\xff" and len(data) >= at + 4 and data[at + 1] != 0xDA:
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        body = data[at + 4 : at + 2 + length]
        if body.startswith(b"Exif\0") and _exif_tells(body[6:]):
            yield _CAMERA
        elif body.startswith((b"http://ns.adobe.com/x", b"Photoshop 3.0")):
            yield _EDITOR
        elif data[at + 1] == 0xFE:
            yield _COMMENT
        at += 2 + length


def _of_png(data: bytes) -> Iterator[str]:
    """The chunks beside the pixels (W3C PNG, 11.3)."""
    at = 8
    while len(data) >= at + 8:
        length, name = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        if name == b"eXIf" and _exif_tells(body):
            yield _CAMERA
        elif name in (b"tEXt", b"zTXt", b"iTXt") and not body.startswith(b"Software\0"):
            yield _EDITOR if body.startswith(b"XML:com.adobe.xmp") else _COMMENT
        at += 12 + length


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Name and body of each chunk of a RIFF file, but for the header."""
    at = 12
    while len(data) >= at + 8:
        name, length = struct.unpack("<4sI", data[at : at + 8])
        yield name, data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2


_PIXELS = frozenset((254, 256, 257, 258, 259, 262, 274, 277, 282, 283, 284, 296, 301, 318, 319, 529, 531, 532, 34665))
"""Tags of EXIF 2.32 that say how the pixels lie and are to be shown; 34665 leads to those below."""
_PIXELS_TOO = frozenset((36864, 37121, 40960, 40961, 40962, 40963))


def _exif_tells(block: bytes) -> bool:
    import warnings

    from PIL.Image import Exif

    exif = Exif()
    try:
        with warnings.catch_warnings(action="ignore"):
            exif.load(block)
            return bool(exif.keys() - _PIXELS or exif.get_ifd(34665).keys() - _PIXELS_TOO)
    except Exception:  # a block that can't be read may say anything
        return True
