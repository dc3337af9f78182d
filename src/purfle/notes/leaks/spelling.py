"""Names as they may be written in running text: in any case, with other signs between their words, in the plural or possessive.

Invariant: knows nothing of whose names they are.
"""

import re
from collections.abc import Iterable

from purfle.base.names import plain

_SIGN = r"(?:[^\w\s]|_|\s++)"
"""What may stand between two words of a name: a sign, or space however long."""
_RUN_TOGETHER = 8
"""Letters of a name from which on it is known without anything between its words, as in an address."""
_WORD = re.compile(r"[^\W_]+|[&+]")
PLURAL = ("", "s", "es")


def any_of(names: Iterable[str]) -> re.Pattern[str] | None:
    """A search for any of the names in any case, `name` in what it finds, as whole words in words that are `seen`; None for no name."""
    spelt = {pattern for name in names if (pattern := _spelt(name))}
    longest_first = sorted(spelt, key=lambda pattern: (-len(pattern), pattern))
    return _whole_word("|".join(longest_first), PLURAL, re.IGNORECASE) if longest_first else None


def search_for(name: str, flags: re.RegexFlag, endings: tuple[str, ...] = PLURAL, after: str = "") -> re.Pattern[str]:
    """A search for one name with one of the endings, behind what `after` says, as `any_of`."""
    return _whole_word(_spelt(name), endings, flags, after)


def _whole_word(spelt: str, endings: tuple[str, ...], flags: re.RegexFlag, after: str = "") -> re.Pattern[str]:
    return re.compile(rf"{after}(?<![^\W_])(?P<name>{spelt})(?:{'|'.join(endings)})(?![^\W_])", flags)


def begins_with(name: str, endings: tuple[str, ...]) -> set[str]:
    """What a name may begin with in a text, as far as the first sign between its words: each of these small and without any sign."""
    words = _WORD.findall(plain(name).casefold().lstrip("&+"))
    runs = {"".join("and" if word in "&+" else word for word in words[: end + 1]) for end in range(len(words))}
    return {run + ending for run in runs for ending in endings}


def words_of(text: str) -> list[str]:
    """The words of a text in any script, small: what `begins_with` is looked up among."""
    return _LETTERS.findall(text.casefold())


_LETTERS = re.compile(r"[^\W_]+")


def _spelt(name: str) -> str:
    words = _WORD.findall(plain(name))
    least = 0 if sum(map(len, words)) >= _RUN_TOGETHER else 1
    gap = rf"{_SIGN}{{{least},6}}"
    return gap.join(r"(?:[&+]|and)" if word in "&+" else re.escape(word) for word in words)


def run_together(name: str) -> str:
    """A name as it is looked up, whatever stands between its words."""
    return "".join("and" if word in "&+" else word for word in _WORD.findall(plain(name))).casefold()
