"""Markdown of public and private pages: each text to its HTML and its plain words.

Invariant: sees text from which everything private is already cut; opens nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from purfle.base.memo import Memo, keeping
from purfle.notes.model import Body
from purfle.views.markdown_pictures import inline_words, pictures_apart, pictures_together
from purfle.views.markdown_rules import Surroundings, parser

if TYPE_CHECKING:
    from markdown_it.token import Token


@dataclass(frozen=True, slots=True)
class Text:
    """A text ready for a page."""

    html: Markup
    plain: str
    """Its words alone, one space between them, without pictures; a heading or an item of a list that has no stop has one where more follows."""

    def __bool__(self) -> bool:
        return bool(self.html.strip())


def rendered(body: Body, around: Surroundings) -> Text:
    """The HTML and the plain words of a text."""
    if not body.text.strip():
        return Text(Markup(""), "")
    if not keeping():
        return _converted(body, around)
    place = body.text, tuple((picture.src, picture.path) for picture in body.pictures), around.root, around.top_heading, around.mark
    asked = _Asked(around)
    return _TEXTS.get(place, asked, lambda: _converted(body, asked.remembering()), _Asked.answers)


_TEXTS = Memo()
"""Texts by all but what their links and pictures lead to: nearly every note is as it was, and converting is the larger part of making its page."""


@dataclass(slots=True)
class _Asked:
    """What a text asked of its surroundings and was answered."""

    around: Surroundings
    looked_up: list[tuple[str, str, Any]] = field(default_factory=list)
    """Kind, name and answer."""

    def remembering(self) -> Surroundings:
        """The surroundings, which remember what is looked up in them."""
        pages, pictures, sounds = (_Remembering(kind, getattr(self.around, kind), self.looked_up) for kind in ("pages", "pictures", "sounds"))
        return replace(self.around, pages=pages, pictures=pictures, sounds=sounds)

    def answers(self, other: _Asked) -> bool:
        """Whether the other's surroundings answer all that was asked of these the same; then the same was asked of them."""
        if not all(getattr(other.around, kind).get(name) == answer for kind, name, answer in self.looked_up):
            return False
        other.looked_up = self.looked_up
        return True


@dataclass(frozen=True, slots=True)
class _Remembering(Mapping[str, Any]):
    """A mapping that remembers what was looked up in it."""

    kind: str
    answers: Mapping[str, Any]
    looked_up: list[tuple[str, str, Any]]

    def __getitem__(self, name: str) -> Any:
        self.looked_up.append((self.kind, name, self.answers.get(name)))
        return self.answers[name]

    def __iter__(self) -> Iterator[str]:
        raise TypeError("a text asks for single names")

    def __len__(self) -> int:
        raise TypeError("a text asks for single names")


def _converted(body: Body, around: Surroundings) -> Text:
    env: dict[str, Any] = {"around": around, "paths": {p.src: p.path for p in body.pictures}, "open": [], "docId": around.mark}
    tokens = parser().parse(_closed_up(body.text), env)
    tokens = pictures_together(pictures_apart(tokens))
    _shift_headings(tokens, around.top_heading)
    plain = " ".join(" ".join(_plain(tokens)).split())
    return Text(Markup(parser().renderer.render(tokens, parser().options, env)), plain)


_GAP = re.compile(r"\n(?:[ \t]*\n){2,}")
_ODD = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ufdd0-\ufdef" + "".join(f"{chr(plane + 0xFFFE)}{chr(plane + 0xFFFF)}" for plane in range(0, 0x110000, 0x10000)) + "]"
)
"""Control characters and noncharacters: the HTML standard makes each a parse error."""
_SENTENCE_END = re.compile(r"(?<=[.!?…])\s+(?=\W?[^\Wa-z])")
_BLANKED = re.compile(r"(?<=\S) {7,}(?=\S)")


def _closed_up(text: str) -> str:
    """The text without the gaps that cut private blocks and comments leave, so that not even their length shows."""
    text = _ODD.sub("\ufffd", text.replace("\r\n", "\n").replace("\r", "\n"))
    return _BLANKED.sub(" ", _GAP.sub("\n\n", text)).strip("\n") + "\n"


def excerpt(plain: str, most: int) -> str:
    """The first words of a text, cut between words, at most `most` characters and an ellipsis."""
    if len(plain) <= most:
        return plain
    return plain[:most].rsplit(" ", 1)[0].rstrip(" ,;:.–-") + "…"


def opening(text: Text, most: int) -> str:
    """The sentences that begin a text's first paragraph of words, as many as `most` characters hold; the first one cut when it is longer."""
    paragraphs = (Markup(found).striptags() for found in re.findall(r"<p>(.*?)</p>", text.html, re.DOTALL))
    first, *more = _SENTENCE_END.split(next((words for words in paragraphs if words), ""))
    for sentence in more:
        if len(first) + 1 + len(sentence) > most:
            break
        first += f" {sentence}"
    return excerpt(first, most)


def _shift_headings(tokens: Sequence[Token], top: int) -> None:
    levels = [int(t.tag[1]) for t in tokens if t.type == "heading_open"]
    if not levels:
        return
    ranks = {level: min(top + rank, 6) for rank, level in enumerate(sorted(set(levels)))}
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{ranks[int(token.tag[1])]}"


_UNSTOPPED = re.compile(r"\w[)\]»”’\"']*\Z")


def _plain(tokens: Sequence[Token]) -> list[str]:
    """The words of each block; one that others follow has a stop."""
    found: list[tuple[str, bool]] = []
    for before, token in zip((None, *tokens), tokens, strict=False):
        if token.type == "inline":
            words = "".join(inline_words(token.children or ())).strip()
            found.append((words, before is not None and before.type in ("paragraph_open", "heading_open") and _UNSTOPPED.search(words) is not None))
        elif token.type in ("fence", "code_block"):
            found.append((token.content, False))
    told = [block for block in found if block[0]]
    return [f"{words}." if open_ended and at < len(told) else words for at, (words, open_ended) in enumerate(told, 1)]
