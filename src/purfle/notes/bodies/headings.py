"""The headings of a text, lines that may be meant as headings, and lines inside code fences.

Invariant: knows no build, and judges nothing of what stands under a heading.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

MARKERS = r"(?:[\s>*+\-\u200b-\u200f\u2060\ufeff]|\d{1,9}[.)](?=\s)|\[[ xX]\](?=\s))*"
"""What may stand before the first word of a line: signs of quotes, lists and tasks, and letters that take no room."""


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
    code = code_lines(lines)
    return ((number, line) for number, line in enumerate(lines) if number not in code)


def headings(lines: Sequence[str]) -> Iterator[Heading]:
    """The headings of a text in order; lines inside code fences are none."""
    code = code_lines(lines)
    return (heading for heading in _headings(lines) if heading.line not in code)


def endings(lines: Sequence[str]) -> Iterator[Heading]:
    """All that may be meant as a heading and so ends what stands above it: headings, those without a space after two signs or more, and those in code
    unless it is sure that they are code, and those in lists and quotes or further in. A fence that is never closed would else let what follows run on."""
    code = code_lines(lines)
    return (heading for heading in _headings([meant(line) for line in lines], glued=2) if not code.get(heading.line))


_MEANT = re.compile(rf"{MARKERS}\\?(?P<signs>[#＃]+)(?P<words>.*)")
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
    code = code_lines(lines)
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


def code_lines(lines: Sequence[str]) -> dict[int, bool]:
    """The lines of code fences, by number from 0, each with whether it is surely code: the fence is closed, stands in no list or quote, and so did all before it."""
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
