"""Public words as a visitor will see them, each letter with its place in the note.

A name may be broken by a line end, by emphasis, by an entity or by letters that take no room; it is read on the page all the same.
What is never seen, such as the file a picture comes from, is left out.
Invariant: judges nothing.
"""

import re
import unicodedata
from dataclasses import dataclass
from html import unescape

from purfle.base.place import Place
from purfle.notes.openly import Words

_UNSEEN = re.compile("[*`\\\\\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]|~~")
_INSIDE = re.compile(r"(?<=\]\()\s*(?!https?:|mailto:)[^)\s]+", re.IGNORECASE)
"""What a link or picture inside the shop leads to: not published as written."""
_PIECE = re.compile(
    r"(?P<plain>[^*`\\&~\u0300-\u036f\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]+(?![\u0300-\u036f]))|&(?:#\d{1,7}|#x[0-9a-f]{1,6}|[a-z]\w{1,30});|~~|.[\u0300-\u036f]*",
    re.IGNORECASE | re.DOTALL,
)
_PLAIN = re.compile(r"[^*`\\&~\]\u0300-\u036f\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]*\Z")


@dataclass(frozen=True, slots=True)
class Seen:
    """Words as they are seen."""

    text: str
    build: str | None
    written: Words
    starts: tuple[int, ...] | None
    """Where each letter stands in what was written; None when nothing was changed."""

    def at(self, position: int) -> Place:
        """The place in the note of a letter that is seen."""
        start = position if self.starts is None else self.starts[position]
        before = self.written.text[:start]
        line = before.count("\n")
        first = self.written.at
        column = start - (before.rfind("\n") + 1) + (first.column if line == 0 else 1)
        return Place(first.file, first.line + line, column)


def seen(words: Words) -> Seen:
    """The words without what is not seen, entities and split accents made one letter."""
    if _PLAIN.match(words.text):
        return Seen(words.text, words.build, words, None)
    letters: list[str] = []
    starts: list[int] = []
    for match in _PIECE.finditer(_INSIDE.sub(lambda inside: " " * len(inside[0]), words.text)):
        piece = match["plain"] or _shown(match[0])
        letters.append(piece)
        starts += range(match.start(), match.end()) if match["plain"] else [match.start()] * len(piece)
    return Seen("".join(letters), words.build, words, tuple(starts))


def _shown(piece: str) -> str:
    """An entity, an accent or a sign of Markdown as the letters that are seen of it."""
    return _UNSEEN.sub("", unescape(piece) if piece[0] == "&" else unicodedata.normalize("NFC", piece))
