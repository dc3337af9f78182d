"""The Markdown half of a note: what is private is blanked out, then headings and pictures are found.

Private text is cut from the raw lines before any Markdown is parsed, and fails closed: a block that is misspelt,
unclosed or of an unknown name is cut and told. Cutting blanks lines, so that every line keeps its number.
Invariant: makes no HTML.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Body, Picture

_OPENER = re.compile(r"^[\s>*+\-]*[:：]{2,}\s*([^\s:：]+)?")
_CLOSER = re.compile(r"^[\s>*+\-]*[:：]{2,}\s*$")
_COMMENT = re.compile(r"(?P<indent>^[ \t]*)?<!--.*?-->(?(indent)[ \t]*)", re.DOTALL | re.MULTILINE)

_MOST_NESTED = 8
"""Comments made of comments deeper than this are no slip of a builder's: all that follows is kept private."""


def without_private(text: str, file: str, first_line: int, troubles: Troubles) -> str:
    """The text without private blocks and comments, line for line; a column after a comment is that of what is left."""
    lines = text.split("\n")
    opened: int | None = None
    depth = 0
    for index, line in enumerate(lines):
        word = None if _CLOSER.match(line) else _OPENER.match(line)
        if word and word[1]:
            _check_word(word[1], Place(file, first_line + index), troubles)
            opened = index if depth == 0 else opened
            depth += 1
        if depth or _CLOSER.match(line):
            lines[index] = ""
            if _CLOSER.match(line):
                depth = max(0, depth - 1)
    if depth and opened is not None:
        troubles.add(
            Place(file, first_line + opened),
            "private-unclosed",
            "a private block opens here and has no closing :::; everything after it is kept private",
            "write ::: on a line of its own where the private words end",
        )
    return _without_comments("\n".join(lines), file, first_line, troubles)


def _check_word(word: str, at: Place, troubles: Troubles) -> None:
    if word.casefold() != "private":
        troubles.add(at, "private-misspelt", f"a block named “{word}” is not known; it is kept private", "write ::: private")


def _without_comments(text: str, file: str, first_line: int, troubles: Troubles) -> str:
    for _ in range(_MOST_NESTED):  # again, for what only becomes a comment when one inside it is gone
        if (less := _once_without(text)) == text:
            start = text.find("<!--")
            break
        text = less
    else:
        start = text.find("<!")
    if start < 0:
        return text
    line = text.count("\n", 0, start)
    troubles.add(
        Place(file, first_line + line),
        "private-unclosed",
        "a comment opens here and is never closed; everything after it is kept private",
        "write --> where the comment ends",
    )
    return text[:start] + "\n" * text.count("\n", start)


def _once_without(text: str) -> str:
    """The text without the comments that stand in it. What follows the last closing mark is set apart, or each opener in it would be looked through to the end."""
    end = text.rfind("-->") + 3
    if end < 3:
        return text
    while text[end : end + 1] in (" ", "\t"):
        end += 1
    return _COMMENT.sub(_line_ends, text[:end]) + text[end:]


def _line_ends(comment: re.Match[str]) -> str:
    """What stays of a comment: its line ends, and how far in it stood, so that what follows it is never taken for indented code."""
    return "\n" * comment[0].count("\n") + (comment["indent"] or "")


@dataclass(frozen=True, slots=True)
class Heading:
    """A Markdown heading, `## Heron` or a line with another of === or --- under it."""

    level: int
    words: str
    line: int
    """Line of the text, counted from 0."""
    length: int = field(default=1, compare=False)
    """Lines it takes."""


_ATX = re.compile(r"^ {0,3}(#{1,6})(?:[ \t]+(.*?))?(?:[ \t]+#+)?[ \t]*$")
_CODE_FENCE = re.compile(r"^ {0,3}(`{3,}|~{3,})")
_UNDERLINE = re.compile(r"^ {0,3}(=+|-+)[ \t]*$")


def outside_code(lines: Sequence[str]) -> Iterator[tuple[int, str]]:
    """The lines that stand in no code fence, each with its number from 0."""
    fence = ""
    for number, line in enumerate(lines):
        if code := _CODE_FENCE.match(line):
            mark = code[1]
            if not fence:
                fence = mark
            elif mark[0] == fence[0] and len(mark) >= len(fence):
                fence = ""
        elif not fence:
            yield number, line


def headings(text: str) -> Iterator[Heading]:
    """The headings of a text in order; lines inside code fences are none."""
    lines = text.split("\n")
    for number, line in outside_code(lines):
        if found := _ATX.match(line):
            yield Heading(len(found[1]), (found[2] or "").strip(), number)
        elif number and lines[number - 1].strip() and (under := _UNDERLINE.match(line)) and not _ATX.match(lines[number - 1]):
            yield Heading(1 if under[1][0] == "=" else 2, lines[number - 1].strip(), number - 1, 2)


_PICTURE = re.compile(r"!\[(?P<alt>(?:[^\[\]]|\\.|\[[^\]]*\])*)\](?:\(\s*(?P<src><[^>\n]*>|[^\s)]*)[^)]*\)|\[(?P<ref>[^\]]*)\])")
_REFERENCE = re.compile(r"^ {0,3}\[([^\]]+)\]:\s*(<[^>\n]*>|\S+)", re.MULTILINE)


def body_of(text: str, file: str, first_line: int, folder: str, assets: frozenset[str]) -> Body:
    """The body with its pictures found; `folder` is where their names begin."""
    pictures = tuple(_pictures(text, file, first_line, folder, assets))
    return Body(text, file, first_line, pictures)


def _pictures(text: str, file: str, first_line: int, folder: str, assets: frozenset[str]) -> Iterator[Picture]:
    if "![" not in text:
        return
    references = {name.casefold(): target for name, target in _REFERENCE.findall(text)}
    for match in _PICTURE.finditer(text):
        src = match["src"] if match["ref"] is None else references.get((match["ref"] or match["alt"]).casefold(), "")
        src = src.removeprefix("<").removesuffix(">")
        line = text.count("\n", 0, match.start())
        column = match.start() - (text.rfind("\n", 0, match.start()) + 1) + 1
        yield Picture(src, picture_path(folder, src, assets), " ".join(match["alt"].split()), Place(file, first_line + line, column))


def picture_path(folder: str, src: str, assets: frozenset[str]) -> str | None:
    """The asset a picture's name means, relative to its note's folder (empty for the shop's); None when there is no such file inside it."""
    from urllib.parse import unquote

    for name in (src, unquote(src)):
        clean = name.replace("\\", "/").removeprefix("./")
        path = f"{folder}/{clean}" if folder else clean
        if path in assets and ".." not in clean.split("/"):
            return path
    return None
