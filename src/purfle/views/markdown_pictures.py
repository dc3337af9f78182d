"""Pictures among the tokens of a text: those at its edges stand apart from the words, those that follow each other together.

Invariant: moves tokens; what is published, and how it is written, is decided in `markdown_rules`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the library is loaded when a text is first converted
    from markdown_it.token import Token

OUTWARD = re.compile(r"(https?://|mailto:)", re.IGNORECASE)
"""How an address begins that leads out of the site."""
_WORDS: dict[str, Callable[[Token], str]] = {
    "text": lambda t: t.content,
    "code_inline": lambda t: t.content,
    "softbreak": lambda t: " ",
    "hardbreak": lambda t: " ",
}


def inline_words(children: Sequence[Token]) -> list[str]:
    """The words of a line's tokens, without pictures."""
    return [_WORDS[t.type](t) for t in children if t.type in _WORDS]


def pictures_apart(tokens: list[Token]) -> list[Token]:
    """The tokens with the pictures that begin or end a paragraph of words in paragraphs of their own: nobody need leave a blank line for them."""
    found: list[Token] = []
    for index, token in enumerate(tokens):
        if token.type == "inline" and found[-1].type == "paragraph_open" and not found[-1].hidden:
            first, *others = _parts(token.children or [])
            found.append(token.copy(children=first))
            end = next(after for after in tokens[index:] if after.type == "paragraph_close")  # a footnote's way back stands before it
            for part in others:
                found += [end, tokens[index - 1], token.copy(children=part)]
        else:
            found.append(token)
    return found


def _parts(children: list[Token]) -> list[list[Token]]:
    """A paragraph's pictures before its words, the words with what stands among them, and the pictures behind them, as far as there are any."""
    units = _units(children)
    words = [at for at, unit in enumerate(units) if not _is_blank(unit) and not _is_shown(unit)]
    if not words:
        return [children]
    before, behind = units[: words[0]], units[words[-1] + 1 :]
    parts = [before, units[words[0] : words[-1] + 1], behind]
    kept = [part for part in parts if part is parts[1] or any(_is_shown(unit) for unit in part)]
    return [[token for unit in part for token in unit] for part in kept] if len(kept) > 1 else [children]


def _units(children: list[Token]) -> list[list[Token]]:
    """The tokens of a line, those between an opening and its end with them."""
    found: list[list[Token]] = []
    depth = 0
    for token in children:
        if depth:
            found[-1].append(token)
        else:
            found.append([token])
        depth += token.nesting
    return found


def _is_blank(unit: list[Token]) -> bool:
    return unit[0].type in ("softbreak", "hardbreak") or (unit[0].type == "text" and not unit[0].content.strip())


def _is_shown(unit: list[Token]) -> bool:
    """Whether it is a picture or a sound of the shop's, or a link that is nothing else."""
    pictures = [token for token in unit if token.type == "image"]
    return (
        unit[0].type in ("image", "link_open")
        and bool(pictures)
        and not any(OUTWARD.match(str(token.attrs.get("src", ""))) for token in pictures)
        and all(_is_blank([token]) for token in unit if token.type not in ("image", "link_open", "link_close"))
    )


def pictures_together(tokens: list[Token]) -> list[Token]:
    """The tokens with paragraphs of pictures that follow each other made one, so that a page can lay them side by side."""
    found: list[Token] = []
    for index, token in enumerate(tokens):
        joins = token.type == "paragraph_open" and len(found) >= 3 and found[-1].type == "paragraph_close" and found[-3].type == "paragraph_open"
        if joins and found[-1].level == token.level and only_pictures(found, len(found) - 3) and only_pictures(tokens, index):
            tokens[index + 1].children = [*(found[-2].children or ()), *(tokens[index + 1].children or ())]
            del found[-3:]
        found.append(token)
    return found


def only_pictures(tokens: Sequence[Token], index: int) -> bool:
    """Whether the paragraph that opens at a token holds pictures or sounds and nothing else."""
    inline = tokens[index + 1]
    kinds = {child.type for child in inline.children or ()}
    blank = all(not child.content.strip() for child in inline.children or () if child.type == "text")
    return "image" in kinds and blank and kinds <= {"image", "softbreak", "hardbreak", "text", "link_open", "link_close"}
