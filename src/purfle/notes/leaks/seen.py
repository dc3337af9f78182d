"""Public words as a visitor will see them, and the place in the note of each letter.

A name may be broken by a line end, by emphasis, by a link, by an entity or by letters that take no room; it is read on the page all the same,
and with or without its accents. What is never seen, such as the file a picture comes from, is left out.
Invariant: judges nothing.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from html import unescape
from operator import itemgetter

from purfle.base.names import plain
from purfle.base.place import Lookup, Place
from purfle.notes.openly import Words

_NO_ROOM = "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\U000e0000-\U000e0fff"
"""Letters that take no room: Default_Ignorable_Code_Point of the Unicode Character Database."""
_UNSEEN = re.compile(f"[*`\\\\\\[\\]{_NO_ROOM}]|~~")
_APART = "\0" * 7
"""Stands between words that are not next to each other on the page; more than a name may have between its words."""
_TO = r"(?:<[^>\n]{0,2000}>|[^\s()]{0,2000}+(?:\([^\s()]{0,500}+\)[^\s()]{0,500}+){0,9}+)"
_TAIL = rf"""\]\(\s*+(?P<to>{_TO})(?P<title>\s{{1,100}}+(?:"[^"]{{0,1000}}+"|'[^']{{0,1000}}+'|\([^()]{{0,1000}}+\)))?\s{{0,100}}+\)"""
_LINK = re.compile(_TAIL)
"""A link or picture from the end of its words on."""
_LABEL = r"\]\[[^\[\]\n]{0,200}\](?!\()|\[\^[^\]\s]{1,100}\]:?"
"""That of a link, from the end of its words on, or of a footnote."""
_SIGN = r"\]\[|&(?:\#\d{1,7}|\#x[0-9a-f]{1,6}|[a-z]\w{1,30});|~~|."
_PIECE = re.compile(rf"(?P<plain>[^*`\\&~_\[\]!\x80-\U0010ffff]+)|(?P<link>{_TAIL})|(?P<label>{_LABEL})|{_SIGN}", re.IGNORECASE | re.DOTALL)
_BARE_PIECE = re.compile(rf"(?P<plain>[^*`\\&~_!\x80-\U0010ffff]+)|{_SIGN}", re.IGNORECASE | re.DOTALL)
"""The same where brackets are seen."""
_PLAIN = re.compile(r"[^*`\\&~_\[\]!\x80-\U0010ffff]*\Z")
_DEFINED = re.compile(rf"^ {{0,3}}\[(?!\^)[^\]\n]{{1,200}}\]:\s*{_TO}", re.MULTILINE)
"""Where a link or picture leads that is named elsewhere in the text."""
_OUTWARD = re.compile(r"\s*<?(?:https?:|mailto:)", re.IGNORECASE)


_Piece = tuple[int, int, bool]
"""Letters from which one on, where the first of them was written, and whether the others follow it there or all come from that place."""


@dataclass(frozen=True, slots=True)
class Seen:
    """Words as they are seen."""

    text: str
    written: Words
    words: list[str]
    """Its words in small letters, figures counted as letters and all other signs left out, in their order."""
    _pieces: tuple[_Piece, ...] | None
    """Where the letters stand in what was written; None when nothing was changed."""
    _lines: Lookup = field(compare=False, repr=False)

    def at(self, position: int) -> Place:
        """The place in the note of a letter that is seen."""
        return self._lines.place(self._start(position), self.written.at)

    def before(self, position: int) -> str:
        """The sign that was written before a letter that is seen, whatever space stands between; empty for none."""
        return self.written.text[: self._start(position)].rstrip(" ")[-1:]

    def _start(self, position: int) -> int:
        if self._pieces is None:
            return position
        first, start, runs = self._pieces[bisect_right(self._pieces, position, key=itemgetter(0)) - 1]
        return start + position - first if runs else start


def readings(words: Words) -> Iterator[Seen]:
    """The words without what is not seen, entities and accented letters made plain; where links lead, as far as that is published, stands after them.

    Where brackets stand there is a second reading, in which they are no links: in code, and where one of them is missing, they are seen as they are.
    """
    lines = Lookup(words.text)
    if _PLAIN.match(words.text):
        yield _seen(words.text, words, None, lines)
        return
    source = _DEFINED.sub(_definition, words.text) if "]:" in words.text else words.text
    yield _read(source, _PIECE, words, lines)
    if "](" in source or "][" in source or "[^" in source:
        yield _read(_LINK.sub(_without_inside, source), _BARE_PIECE, words, lines)


def _read(source: str, pieces: re.Pattern[str], words: Words, lines: Lookup) -> Seen:
    told, later = _Letters(), _Letters()
    for match in pieces.finditer(source):
        at, piece, kind = match.start(), match[0], match.lastgroup
        if kind == "plain":
            told.add(piece, at)
        elif kind == "link":
            _add_link(match, later)
        elif kind == "label":
            later.add_apart(piece, at)
        elif _is_seen(piece, source, at):
            told.add_at(_shown(piece), at)
    told.append(later)
    return _seen("".join(told.letters), words, tuple(told.pieces), lines)


def _add_link(match: re.Match[str], later: "_Letters") -> None:
    """What is published of where a link leads, and the words shown beside it."""
    if _OUTWARD.match(match["to"]):
        later.add_apart(match["to"], match.start("to"))
        if "%" in match["to"]:
            from urllib.parse import unquote

            later.add_at(_APART + unquote(match["to"]), match.start("to"))
    if match["title"]:
        later.add_apart(match["title"], match.start("title"))


def _without_inside(link: re.Match[str]) -> str:
    """A link with what it leads to blanked when that is within the site."""
    to, start = link["to"], link.start("to") - link.start()
    return link[0] if _OUTWARD.match(to) else f"{link[0][:start]}{' ' * len(to)}{link[0][start + len(to) :]}"


def _is_seen(piece: str, text: str, at: int) -> bool:
    """Whether a sign is one: a low line that does not join letters is emphasis, and the mark before a bracket is that of a picture."""
    if piece == "_":
        return text[at - 1 : at].isalnum() and text[at + 1 : at + 2].isalnum()
    return piece != "!" or text[at + 1 : at + 2] != "["


class _Letters:
    """Letters with where they stand."""

    def __init__(self) -> None:
        self.letters: list[str] = []
        self.pieces: list[_Piece] = []
        self.length = 0

    def add(self, text: str, start: int, runs: bool = True) -> None:
        """Letters that stand one after the other from `start` on."""
        self.letters.append(text)
        self.pieces.append((self.length, start, runs))
        self.length += len(text)

    def add_at(self, text: str, start: int) -> None:
        """Letters that all come from what stands at `start`."""
        self.add(text, start, runs=False)

    def add_apart(self, text: str, start: int) -> None:
        """The same as `add`, apart from the letters before."""
        self.add_at(_APART, start)
        self.add(text, start)

    def append(self, other: "_Letters") -> None:
        """The other's letters after these."""
        self.letters += other.letters
        self.pieces += ((self.length + first, start, runs) for first, start, runs in other.pieces)
        self.length += other.length


_WORD = re.compile("[a-z0-9]+")


def _seen(text: str, words: Words, pieces: tuple[_Piece, ...] | None, lines: Lookup) -> Seen:
    return Seen(text, words, _WORD.findall(text.casefold()), pieces, lines)


def _definition(match: re.Match[str]) -> str:
    """A definition's label and where it leads, blanked as far as they are not published."""
    text, end = match[0], match[0].index("]:") + 2
    return " " * end + text[end:] if _OUTWARD.match(text, end) else " " * len(text)


@lru_cache(maxsize=4096)
def _shown(piece: str) -> str:
    """An entity, a letter or a sign of Markdown as the plain letters that are seen of it."""
    return piece if piece == "][" else plain(_UNSEEN.sub("", unescape(piece)))
