"""Names that are nearly others: what one that is not known may have been meant for.

How near is near enough is the caller's to say: 0.6 where one of a few must be meant, 0.8 where the name may well be another thing.
Invariant: takes no name for another; what is near is told, and proposed.
"""

import difflib
from collections.abc import Container, Iterable
from functools import lru_cache

from purfle.base.names import folded


def nearest(name: str, known: Iterable[str], cutoff: float = 0.7) -> str | None:
    """The known name most like `name`, case ignored, or None when none is near (difflib ratio)."""
    by_fold = {folded(k): k for k in known}
    hits = difflib.get_close_matches(folded(name), by_fold, n=1, cutoff=cutoff)
    return by_fold[hits[0]] if hits else None


def misspelt_for(name: str, known: Iterable[str]) -> str | None:
    """The known name that a name can hardly be else: the same but for spaces, or nearly the same letters and whatever tells the likes of it apart the same."""
    closed = _closed(name)
    alike = [other for other in known if _closed(other) == closed or _tells_apart(other) == _tells_apart(name)]
    return nearest(name, alike, 0.8) if alike else None


def whole_name(part: str, known: Iterable[str]) -> str | None:
    """The one known name of several words of which `part` is some: `buff` for `flat and buff`. None when there are several, or none."""
    words = set(folded(part).split())
    whole = [name for name in known if words <= set(folded(name).split())]
    return whole[0] if words and len(whole) == 1 else None


def _closed(name: str) -> str:
    return "".join(filter(str.isalnum, name.casefold()))


def nearest_first(name: str, known: Iterable[str]) -> list[str]:
    """The known names in the order given, but for the one most like `name`, if any is like it at all, which comes first."""
    names = list(known)
    near = nearest(name, names, 0.6)
    return names if near is None else [near, *(other for other in names if other != near)]


@lru_cache(maxsize=4096)
def _tells_apart(name: str) -> tuple[tuple[str, ...], str]:
    """How the words of a name begin, short ones whole, and its figures: an E string is no G string, and amber is not umber."""
    return tuple(word if len(word) < _SHORT else word[0] for word in name.casefold().split()), "".join(filter(str.isdigit, name))


_SHORT = 3
"""From so many letters on a word may be misspelt."""


def swapped(name: str, known: Container[str]) -> str | None:
    """The known name of which two letters changed places, which makes much of a short one: `wern` for `wren`. Both are folded."""
    swaps = (name[:at] + name[at + 1] + name[at] + name[at + 2 :] for at in range(min(len(name), _LONGEST) - 1))
    return next((other for other in swaps if other in known), None) if len(name) > _SHORT else None


_LONGEST = 60
"""Letters of a name that are looked at so."""
