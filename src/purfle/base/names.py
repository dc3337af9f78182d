"""How names are compared.

Invariant: knows no name.
"""

import re
import unicodedata
from functools import lru_cache

_NO_ROOM = re.compile("[\u00ad\u200b\u200e\u200f\u2060\ufeff]")
"""Letters that take no room and join none: they come along with what is copied from a page, and nobody sees them."""


def visible(text: str) -> str:
    """A text without letters that take no room."""
    return text if text.isascii() else _NO_ROOM.sub("", text)


@lru_cache(maxsize=4096)
def folded(name: str) -> str:
    """A name as it is compared: case, runs of space and letters that take no room are no matter."""
    return " ".join(visible(name).casefold().split())


_ALONE = str.maketrans({"ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "æ": "ae", "Æ": "Ae", "œ": "oe", "Œ": "Oe", "ß": "ss", "ı": "i", "’": "'", "‘": "'", "ʼ": "'", "′": "'"})  # fmt: skip
"""Letters that Unicode does not take apart, as people write them who have no such key; and the signs used for an apostrophe."""
_COMPATIBLE = ("L", "Nd", "Sc", "Zs", "M")


def plain(text: str) -> str:
    """The text without accents, wide letters and curly apostrophes: two spellings of one name are the same in it."""
    return text if text.isascii() else "".join(map(_plain, text))


@lru_cache(maxsize=4096)
def _plain(letter: str) -> str:
    if not unicodedata.category(letter).startswith(_COMPATIBLE):
        return letter.translate(_ALONE)
    return "".join(part for part in unicodedata.normalize("NFKD", letter) if unicodedata.category(part) != "Mn").translate(_ALONE)
