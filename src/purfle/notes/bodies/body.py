"""The Markdown half of a note, with the pictures and sounds that it names, and those that it names in a way that shows none.

Invariant: makes no HTML; what is private was cut before (`purfle.notes.bodies.private`).
"""

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from unicodedata import normalize

from purfle.base.endings import OF_PICTURE
from purfle.base.place import Lookup, Place
from purfle.notes.model import Picture

PICTURE = re.compile(
    r"!\[(?P<alt>(?:[^\[\]\\]|\\[\s\S]|\[(?:[^\[\]\\]|\\[\s\S]|\[[^\[\]]*\])*\])*)\]"
    r"(?:\(\s*(?P<src><[^>\n]{0,2000}>|[^\s)]{0,2000}+)(?P<rest>(?:[^)\n]|\n(?![ \t]*\n)){0,1000}+)\)|\[(?P<ref>[^\]]*)\])"
)
"""A picture. What can't be one is given up soon, wherever in a text of nothing but beginnings."""
MAY_NAME = re.compile(rf"!\[|{OF_PICTURE}".encode(), re.IGNORECASE)
"""What a file holds that names a picture, rightly or not."""
_REFERENCE = re.compile(r"^ {0,3}\[([^\]]+)\]:\s*(<[^>\n]*>|\S+)", re.MULTILINE)


def pictures(text: str, start: Place, folder: str, assets: frozenset[str]) -> Iterator[Picture]:
    """The pictures and sounds that a text shows; `start` is the place of the text and `folder` is where their names begin."""
    if "![" not in text:
        return
    references = {name.casefold(): target for name, target in _REFERENCE.findall(text)}
    at = Lookup(text)
    for match in PICTURE.finditer(text):
        src = match["src"] if match["ref"] is None else references.get((match["ref"] or match["alt"]).casefold(), "")
        src = src.removeprefix("<").removesuffix(">")
        broken = (match["rest"] or "").strip()[:1] not in ("", '"', "'", "(")  # a name with a space in it, which Markdown takes for no picture
        src = f"{src}{match['rest'].rstrip()}" if broken else src
        path = None if broken else picture_path(folder, src, assets)
        yield Picture(src, path, " ".join(match["alt"].split()), at.place(match.start(), start))


def picture_path(folder: str, src: str, assets: frozenset[str]) -> str | None:
    """The asset a picture's name means, relative to its note's folder (empty for the shop's); None when there is no such file inside it."""
    from urllib.parse import unquote

    for name in (src, unquote(src)):
        clean = name.replace("\\", "/").removeprefix("./")
        path = stored(f"{folder}/{clean}" if folder else clean, assets)
        if path in assets and ".." not in clean.split("/"):
            return path
    return None


def stored(path: str, assets: frozenset[str]) -> str:
    """The asset of that name as it is stored, or the path as it stands where there is none.

    A Mac or a syncing program may store é as e and an accent, が as か and its mark, where the note has one letter (Unicode
    Standard Annex #15); the two look the same, so they mean the same file.
    """
    return path if path.isascii() or path in assets else _by_sight(assets).get(normalize("NFC", path), path)


@lru_cache(2)
def _by_sight(assets: frozenset[str]) -> Mapping[str, str]:
    """Names that are not plain letters, by how they look; of two that look the same, the first."""
    return {normalize("NFC", path): path for path in sorted(assets, reverse=True) if not path.isascii()}


_NAMED = re.compile(rf"[(\[<\"'=]\s?(?P<src>[^\s()\[\]<>\"'=]{{1,300}}{OF_PICTURE})\s?[)\]>\"'|]", re.IGNORECASE)
"""A picture in a link without its `!`, in brackets the wrong way round, in HTML."""


def unshown(text: str, start: Place, folder: str, assets: frozenset[str]) -> Iterator[tuple[str, Place]]:
    """Name and place of each picture that is there and that a text names without showing it; the rest as for `pictures`."""
    rest = PICTURE.sub(lambda picture: " " * len(picture[0]), text)
    at = Lookup(text)
    for match in _NAMED.finditer(rest):
        if picture_path(folder, match["src"], assets) is not None:
            yield match["src"], at.place(match.start("src"), start)
