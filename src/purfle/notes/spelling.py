"""Names as they may be written in running text: in any case, with other signs between their words, in the plural or possessive.

Invariant: knows nothing of whose names they are.
"""

import re
from collections.abc import Iterable

from purfle.notes.seen import plain

_SIGN = r"(?:[^\w\s]|_|\s++)"
"""What may stand between two words of a name: a sign, or space however long."""
_RUN_TOGETHER = 8
"""Letters of a name from which on it is known without anything between its words, as in an address."""
_WORD = re.compile(r"[^\W_]+|[&+]")


def any_of(names: Iterable[str], flags: re.RegexFlag, after: str = "", before: str = "") -> re.Pattern[str] | None:
    """A search for any of the names, `name` in what it finds, as whole words in words that are `seen`, between what `after` and `before` say; None for no name."""
    spelt = {pattern for name in names if (pattern := _spelt(name))}
    longest_first = sorted(spelt, key=lambda pattern: (-len(pattern), pattern))
    return re.compile(rf"{after}(?<![^\W_])(?P<name>{'|'.join(longest_first)})(?:e?s)?(?![^\W_]){before}", flags) if longest_first else None


def _spelt(name: str) -> str:
    words = _WORD.findall(plain(name))
    least = 0 if sum(map(len, words)) >= _RUN_TOGETHER else 1
    gap = rf"{_SIGN}{{{least},6}}"
    return gap.join(r"(?:[&+]|and)" if word in "&+" else re.escape(word) for word in words)


def run_together(name: str) -> str:
    """A name as it is looked up, whatever stands between its words."""
    return "".join("and" if word in "&+" else word for word in _WORD.findall(plain(name))).casefold()
