"""An index that finds names in public words by the words they begin with: a shop has hundreds, and hardly one stands in any one text.

Invariant: knows nothing of whose names they are.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from functools import lru_cache

from purfle.notes.leaks.lone_names import is_name
from purfle.notes.leaks.seen import Seen
from purfle.notes.leaks.spelling import PLURAL, begins_with, run_together, search_for, words_of


class _Kind(IntEnum):
    WHOLE = 0
    SINGLE = 1
    WORD = 2


_Name = tuple[_Kind, str]
"""A private name with how surely it is one."""
_ADDRESS = r"(?:(?<=@)|(?<=//)|(?<=www\.))"
"""Where an address or a handle begins, which has no capitals."""
_TAG = rf"(?:(?<=#)|{_ADDRESS})"
_INFLECTED = (*PLURAL, "a", "e", "i", "n", "u", "an", "em", "en", "in", "om", "ow", "owi", "lla", "lle", "lta", "ssa", "sta")
"""Endings of names in languages that inflect them; with shorter names than these they make other words."""
_LONG = 5


@dataclass(frozen=True, slots=True)
class NameIndex:
    """Names of each kind by the words with which they may begin."""

    by_word: Mapping[str, tuple[_Name, ...]]
    numbers: tuple[str, ...] = ()
    """The last figures of telephone numbers."""

    def hits(self, seen: Seen) -> Iterator[re.Match[str]]:
        """Where a name stands, `name` in what was found; names in full before single ones, telephone numbers last."""
        yield from self._names(seen)
        yield from self._numbers(seen)

    def _names(self, seen: Seen) -> Iterator[re.Match[str]]:
        words = seen.words if seen.text.isascii() else words_of(seen.text)
        if self.by_word.keys().isdisjoint(words):  # so it is with nearly every text
            return
        met = {sought for word in self.by_word.keys() & words for sought in self.by_word[word]}
        for kind, name in sorted(met, key=lambda sought: (sought[0], -len(sought[1]), sought[1])):
            yield from _hits(kind, name, seen.text)

    def _numbers(self, seen: Seen) -> Iterator[re.Match[str]]:
        if not self.numbers:
            return
        figures = _NO_FIGURE.sub("", seen.text)
        for number in self.numbers:
            if number in figures:
                yield from _number(number).finditer(seen.text)


@dataclass(slots=True)
class Names:
    """Names by how surely they are ones, each with the file in which it stands."""

    whole: dict[str, str] = field(default_factory=dict)
    """To be found in any case."""
    single: dict[str, str] = field(default_factory=dict)
    """To be found as written, and in any case in an address."""
    words: dict[str, str] = field(default_factory=dict)
    """The same, but where they are meant as a name: they are words too."""
    numbers: dict[str, str] = field(default_factory=dict)
    """The last figures of telephone numbers."""

    def index(self) -> NameIndex:
        """What finds them in words that are `seen`."""
        by_word: dict[str, list[_Name]] = {}
        for kind, names in zip(_Kind, (self.whole, self.single, self.words), strict=True):
            for name in names:
                for word in begins_with(name, _endings(kind, name)):
                    by_word.setdefault(word, []).append((kind, name))
        return NameIndex({word: tuple(sought) for word, sought in by_word.items()}, tuple(sorted(self.numbers)))

    def files(self) -> Mapping[str, str]:
        """The file in which each stands, by the name run together; no lines, for those move with every key that is added above."""
        return {run_together(name): file for names in (self.words, self.single, self.whole, self.numbers) for name, file in names.items()}


def _hits(kind: _Kind, name: str, text: str) -> Iterator[re.Match[str]]:
    as_written, in_address = _searches(kind, name)
    for hit in as_written.finditer(text):
        if kind is not _Kind.WORD or is_name(text, hit.start("name"), hit.end(), plural=hit.end() > hit.end("name")):
            yield hit
    if in_address:
        yield from in_address.finditer(text)


@lru_cache(maxsize=4096)
def _searches(kind: _Kind, name: str) -> tuple[re.Pattern[str], re.Pattern[str] | None]:
    if kind is _Kind.WHOLE:
        return search_for(name, re.IGNORECASE), None
    return search_for(name, re.NOFLAG, _endings(kind, name)), search_for(name, re.IGNORECASE, after=_TAG if kind is _Kind.SINGLE else _ADDRESS)


_NO_FIGURE = re.compile(r"[^0-9]+")


@lru_cache(maxsize=4096)
def _number(figures: str) -> re.Pattern[str]:
    """A search for a telephone number that ends with these figures, whatever parts them and whatever country or trunk prefix stands before."""
    return re.compile(rf"(?P<name>{r'[^0-9A-Za-z]{0,4}'.join(figures)})(?![0-9])")


def _endings(kind: _Kind, name: str) -> tuple[str, ...]:
    return _INFLECTED if kind is _Kind.SINGLE and len(name) >= _LONG and name.isalpha() else PLURAL
