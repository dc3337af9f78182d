"""The Markdown half of a note: what is private is blanked out, then headings and pictures are found.

Private text is cut from the raw lines before any Markdown is parsed, and fails closed: a block that is misspelt,
unclosed or of an unknown name is cut and told. Cutting blanks lines, so that every line keeps its number.
Invariant: makes no HTML.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from purfle.base.place import Lookup, Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Body, Picture

_COLONS = "[:：∶﹕꞉]"
_MARKERS = r"(?:[\s>*+\-\u200b-\u200f\u2060\ufeff]|\d{1,9}[.)](?=\s)|\[[ xX]\](?=\s))*"
"""What may stand before a block's mark: signs of quotes, lists and tasks, and letters that take no room."""
_OPENER = re.compile(rf"{_MARKERS}{_COLONS}{{2,}}\s*([^\s:：]+)?")
_CLOSER = re.compile(rf"{_MARKERS}{_COLONS}{{2,}}\s*")
_INLINE = re.compile(rf"{_COLONS}(?: ?{_COLONS}){{2,}}|{_COLONS}{{2,}}\s*(?=priv)", re.IGNORECASE)
"""A block's mark where none can stand: after other words or signs."""
_COMMENT = re.compile(r"(?P<indent>^[ \t]*)?<!--.*?-->(?(indent)[ \t]*)", re.DOTALL | re.MULTILINE)
_COMMENT_OPENS = re.compile(r"<!\s?[-\u2010-\u2015\u2212]")
"""Also as a phone writes it, which makes one dash of two hyphens; where such a comment ends can't be told."""

_MOST_NESTED = 8
"""Comments made of comments deeper than this are no slip of a builder's: all that follows is kept private."""


def without_private(text: str, file: str, first_line: int, troubles: Troubles) -> str:
    """The text without private blocks and comments, line for line; a column after a comment is that of what is left."""
    lines = text.split("\n")
    opened: int | None = None
    depth = 0
    cut: list[str] = []
    for index, line in enumerate(lines):
        if _COLON.search(line) is None and not depth:
            continue
        closes = _CLOSER.fullmatch(line)
        word = None if closes else _OPENER.match(line)
        if word and word[1]:
            _check_word(word[1], Place(file, first_line + index), troubles)
            opened = index if depth == 0 else opened
            depth += 1
        elif not depth and not closes and (mark := _INLINE.search(line)):
            _tell_inline(Place(file, first_line + index, mark.start() + 1), troubles)
            lines[index] = line[: mark.start()]
            opened, depth = None, 1
            continue
        if closes and not depth:
            _tell_stray(Place(file, first_line + index), troubles)
        if depth or closes:
            cut.append(line)
            lines[index] = ""
            if closes and (depth := max(0, depth - 1)) == 0:
                if opened is not None and _goes_on(cut):
                    _tell_parted(Place(file, first_line + index), troubles)
                opened, cut = None, []
    if depth and opened is not None:
        troubles.add(
            Place(file, first_line + opened),
            "private-unclosed",
            "a private block opens here and has no closing :::; everything after it is kept private",
            "write ::: on a line of its own where the private words end",
        )
    return _without_comments("\n".join(lines), file, first_line, troubles)


_COLON = re.compile(rf"{_COLONS} ?{_COLONS}")
"""What is in every mark of a block; most lines have none."""


def _check_word(word: str, at: Place, troubles: Troubles) -> None:
    if word.casefold() != "private":
        troubles.add(at, "private-misspelt", f"a block named “{word}” is not known; it is kept private", "write ::: private")


def _tell_inline(at: Place, troubles: Troubles) -> None:
    troubles.add(
        at,
        "private-misspelt",
        "the ::: of a block stands behind other words; what follows is kept private",
        "write ::: private on a line of its own, and ::: on another where the private words end",
    )


def _tell_stray(at: Place, troubles: Troubles) -> None:
    troubles.add(
        at,
        "private-unopened",
        "a ::: without a name stands here, and no block is open that it could close; nothing is kept private by it",
        "write ::: private where the private words begin, or take it away",
    )


def _goes_on(cut: Sequence[str]) -> bool:
    """Whether what was cut ends within a comment or a code fence, so that its writer may have taken the ::: in it for words of it."""
    return _COMMENT_OPENS.search(_once_without("\n".join(cut))) is not None or len(cut) in _code([*cut, ""])


def _tell_parted(at: Place, troubles: Troubles) -> None:
    troubles.add(
        at,
        "private-unclosed",
        "a private block ends here, within a comment or a code fence that it opened; what follows is public",
        "close the comment with --> or the fence with ``` above this :::",
    )


def _without_comments(text: str, file: str, first_line: int, troubles: Troubles) -> str:
    if (nested := _nested(text)) is not None:
        troubles.add(
            Place(file, first_line + text.count("\n", 0, nested)),
            "private-unclosed",
            "a comment opens here within another, which ends at the first -->; what follows that is public",
            "write each comment for itself, or ::: private and ::: about them all",
        )
    for _ in range(_MOST_NESTED):  # again, for what only becomes a comment when one inside it is gone
        if (less := _once_without(text)) == text:
            opens = _COMMENT_OPENS.search(text)
            start = opens.start() if opens else -1
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
        "write <!-- where the comment begins and --> where it ends",
    )
    return text[:start] + "\n" * text.count("\n", start)


def _nested(text: str) -> int | None:
    """Where a comment opens that stands in another."""
    for comment in _COMMENT.finditer(text, 0, text.rfind("-->") + 3):
        if (inner := comment[0].find("<!--", comment[0].find("<!--") + 4)) >= 0:
            return comment.start() + inner
    return None


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


_ATX = re.compile(r" {0,3}(#{1,6})(?![^ \t])(.*)")
_GLUED = re.compile(r" {0,3}(#{1,6})([^\s#].*)")
_CODE_FENCE = re.compile(r"(?P<before>(?:[ \t]*(?:[-*+>]|\d{1,9}[.)]))*[ \t]*)(?P<mark>`{3,}|~{3,})(?P<info>.*)")
_UNDERLINE = re.compile(r" {0,3}(=+|-+)[ \t]*")


def outside_code(lines: Sequence[str]) -> Iterator[tuple[int, str]]:
    """The lines that stand in no code fence, each with its number from 0."""
    code = _code(lines)
    return ((number, line) for number, line in enumerate(lines) if number not in code)


def headings(text: str) -> Iterator[Heading]:
    """The headings of a text in order; lines inside code fences are none."""
    code = _code(lines := text.split("\n"))
    return (heading for heading in _headings(lines) if heading.line not in code)


def endings(lines: Sequence[str]) -> Iterator[Heading]:
    """All that may be meant as a heading and so ends what stands above it: headings, those without a space after two signs or more, and those in code
    unless it is sure that they are code, and those in lists and quotes or further in. A fence that is never closed would else let what follows run on."""
    code = _code(lines)
    return (heading for heading in _headings([meant(line) for line in lines], glued=2) if not code.get(heading.line))


_MEANT = re.compile(rf"{_MARKERS}\\?(?P<signs>[#＃]+)(?P<words>.*)")
_QUOTED = re.compile(r"(?:[ \t]*>)+[ \t]?")


def meant(line: str) -> str:
    """A line as the heading that it may be meant as: without signs of lists and quotes, and whatever else may stand before it."""
    if ">" in line and (quote := _QUOTED.match(line)):
        line = line[quote.end() :]
    if ("#" in line or "＃" in line) and (found := _MEANT.fullmatch(line)):
        return "#" * len(found["signs"]) + found["words"]
    return line


def headings_in_code(lines: Sequence[str]) -> Iterator[Heading]:
    """What would be a heading if it did not stand inside a code fence."""
    code = _code(lines)
    return (heading for heading in _headings(lines) if heading.line in code) if code else iter(())


def _headings(lines: Sequence[str], glued: int = 7) -> Iterator[Heading]:
    """Lines that read as headings, in code too; with so many signs or more, also those without a space after them."""
    for number, line in enumerate(lines):
        if (found := _ATX.fullmatch(line)) or ((found := _GLUED.fullmatch(line)) and len(found[1]) >= glued):
            yield Heading(len(found[1]), _without_end(found[2]), number)
        elif number and lines[number - 1].strip() and (under := _UNDERLINE.fullmatch(line)) and not _ATX.fullmatch(lines[number - 1]):
            yield Heading(1 if under[1][0] == "=" else 2, lines[number - 1].strip(), number - 1, 2)


def _without_end(words: str) -> str:
    """A heading's words without the signs that may close it."""
    words = words.strip(" \t")
    bare = words.rstrip("#")
    return bare.rstrip(" \t") if not bare or bare[-1] in " \t" else words


def _code(lines: Sequence[str]) -> dict[int, bool]:
    """The lines of code fences, each with whether it is surely code: the fence is closed, stands in no list or quote, and so did all before it."""
    found: dict[int, bool] = {}
    opened, start, sure = "", 0, True
    for number, line in enumerate(lines):
        fence = _CODE_FENCE.fullmatch(line) if "```" in line or "~~~" in line else None
        if fence is None:
            continue
        if not opened:
            if "`" not in fence["info"] or fence["mark"][0] == "~":
                opened, start, sure = fence["mark"], number, sure and re.fullmatch(" {0,3}", fence["before"]) is not None
        elif fence["mark"].startswith(opened) and not fence["info"].strip():
            found |= dict.fromkeys(range(start, number + 1), sure)
            opened = ""
    return found | dict.fromkeys(range(start, len(lines)), False) if opened else found


PICTURE = re.compile(
    r"!\[(?P<alt>(?:[^\[\]\\]|\\[\s\S]|\[(?:[^\[\]\\]|\\[\s\S]|\[[^\[\]]*\])*\])*)\]"
    r"(?:\(\s*(?P<src><[^>\n]{0,2000}>|[^\s)]{0,2000}+)(?P<rest>(?:[^)\n]|\n(?![ \t]*\n)){0,1000}+)\)|\[(?P<ref>[^\]]*)\])"
)
"""A picture. What can't be one is given up soon, wherever in a text of nothing but beginnings."""
_REFERENCE = re.compile(r"^ {0,3}\[([^\]]+)\]:\s*(<[^>\n]*>|\S+)", re.MULTILINE)


def body_of(text: str, file: str, first_line: int, folder: str, assets: frozenset[str]) -> Body:
    """The body with its pictures found; `folder` is where their names begin."""
    pictures = tuple(_pictures(text, file, first_line, folder, assets))
    return Body(text, file, first_line, pictures)


def _pictures(text: str, file: str, first_line: int, folder: str, assets: frozenset[str]) -> Iterator[Picture]:
    if "![" not in text:
        return
    references = {name.casefold(): target for name, target in _REFERENCE.findall(text)}
    at = Lookup(text)
    for match in PICTURE.finditer(text):
        src = match["src"] if match["ref"] is None else references.get((match["ref"] or match["alt"]).casefold(), "")
        src = src.removeprefix("<").removesuffix(">")
        broken = (match["rest"] or "").strip()[:1] not in ("", '"', "'", "(")  # a name with a space in it, which Markdown takes for no picture
        src = f"{src}{match['rest'].rstrip()}" if broken else src
        path = None if broken else picture_path(folder, src, assets)
        yield Picture(src, path, " ".join(match["alt"].split()), at.place(match.start(), Place(file, first_line)))


def picture_path(folder: str, src: str, assets: frozenset[str]) -> str | None:
    """The asset a picture's name means, relative to its note's folder (empty for the shop's); None when there is no such file inside it."""
    from urllib.parse import unquote

    for name in (src, unquote(src)):
        clean = name.replace("\\", "/").removeprefix("./")
        path = f"{folder}/{clean}" if folder else clean
        if path in assets and ".." not in clean.split("/"):
            return path
    return None
