"""How names are compared.

Invariant: knows no name.
"""

import re
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
