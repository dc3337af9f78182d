"""Where a page first differs from what it was, in the words a reader sees.

Invariant: compares; knows nothing of notes, and so never says which of them it was.
"""

import re
from difflib import SequenceMatcher
from html import unescape

_UNSEEN = re.compile(r"<(script|style)\b.*?</\1\s*>|<[^>]*>", re.DOTALL)
_MOST = 6
"""Words shown of each side."""
_AHEAD = 60
"""Words looked at to find where both go on alike."""
TEXTS = (".html", ".xml", ".txt", ".ics", ".svg", ".css", ".js")
"""Endings of the files that can be told by their words."""


def difference(old: str, new: str) -> str:
    """The first words that are not the same, and what stands there now; of pages that read alike, that only their markup differs."""
    before, after = _words(old), _words(new)
    if before == after:
        return "it reads the same, only its markup differs"
    start = next((n for n, (one, other) in enumerate(zip(before, after, strict=False)) if one != other), min(len(before), len(after)))
    ahead = (before[start : start + _AHEAD], after[start : start + _AHEAD])
    _, i, until, j, till = next(step for step in SequenceMatcher(None, *ahead, autojunk=False).get_opcodes() if step[0] != "equal")
    gone, come = _shown(ahead[0][i:until]), _shown(ahead[1][j:till])
    near = _shown(after[max(0, start - 3) : start])
    behind = f" after {near}" if near else ""
    if not gone:
        return f"{come} is new{behind}"
    return f"{gone} became {come}{behind}" if come else f"{gone} is gone{behind}"


def _words(page: str) -> list[str]:
    return unescape(_UNSEEN.sub(" ", page)).split()


def _shown(words: list[str]) -> str:
    return f"“{' '.join(words[:_MOST])}{' …' if len(words) > _MOST else ''}”" if words else ""
