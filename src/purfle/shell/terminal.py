"""Plain text for a terminal: troubles with a mark under the place, and tables.

Whatever comes from notes is shown and never obeyed: control characters, escape codes, marks that turn the direction
of writing and invisible characters appear as `\\x1b` or `\\u202e`.
Invariant: opens no file but the two streams it is given; knows nothing of what the figures mean.
"""

import re
import sys
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import TextIO

from purfle.base.codes import CODES
from purfle.base.counts import counted
from purfle.base.trouble import Stops, Trouble
from purfle.notes.frontmatter.text import lines_of
from purfle.shell.manner import colourful, width_of

_JOINER = "\u200d"  # holds emoji together; harmless, and its absence would pull them apart
_CODES = {"bold": "1", "red": "31", "yellow": "33", "dim": "2"}
SAYS = {
    Stops.BOTH: "stops the books and the showroom",
    Stops.BOOKS: "stops the books",
    Stops.SHOWROOM: "stops the showroom",
    Stops.NOTHING: "warns",
}
"""What a trouble stops, in words."""


def safe(text: str) -> str:
    """The text with everything a terminal might obey, or an eye might miss, written out; a tab is one space."""
    return "".join(map(_shown, text))


def _shown(char: str) -> str:
    if char.isascii() and char.isprintable():
        return char
    if char == "\t":
        return " "
    if char == _JOINER or unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        return char
    code = ord(char)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def columns(text: str) -> int:
    """How many columns of a terminal the text takes (UAX #11: wide and fullwidth take two, marks that combine none)."""
    return len(text) if text.isascii() else sum(map(_columns, text))


def _columns(char: str) -> int:
    if char == _JOINER or unicodedata.category(char) in ("Mn", "Me") or char in "\ufe0e\ufe0f":
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def cut(text: str, most: int) -> str:
    """The text in at most `most` columns, ending in … when something is left out."""
    if columns(text) <= most:
        return text
    kept, used = [], 0
    for char in text:
        used += _columns(char)
        if used > most - 1:
            break
        kept.append(char)
    return "".join(kept) + "…"


def _escaped(char: str, encoding: str) -> str:
    """A character, or its escape in UTF-16 units where the stream can't hold it: what JSON reads back as the same (RFC 8259, 7)."""
    try:
        char.encode(encoding)
    except UnicodeEncodeError:
        units = char.encode("utf-16-be", "surrogatepass")
        return "".join(f"\\u{units[i]:02x}{units[i + 1]:02x}" for i in range(0, len(units), 2))
    return char


_PLAIN = {"–": "-", "—": "-", "−": "-", "…": "~", "“": '"', "”": '"', "‘": "'", "’": "'", "×": "x", "→": ">", "·": "."}
"""Signs of print with plain ones as wide, for a terminal that has no UTF-8."""


def _instead_of(encoding: str) -> dict[int, str]:
    """By sign, what is shown in its place where the encoding has it not; empty with UTF-8."""
    return {ord(sign): other for sign, other in _PLAIN.items() if _escaped(sign, encoding) != sign}


class Printer:
    """Writes to one stream, with or without colour, safely."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self.stream = stream or sys.stdout
        self.colour, self.width = colourful(self.stream), width_of(self.stream)
        self._instead = _instead_of(self.stream.encoding or "utf-8")

    def line(self, text: str = "") -> None:
        """One line, as it is: the caller has made it safe."""
        try:
            self.stream.write(text + "\n")
        except UnicodeEncodeError:
            self.stream.write("".join(_escaped(char, self.stream.encoding or "ascii") for char in text) + "\n")

    def ink(self, text: str, colour: str) -> str:
        """The text in a colour, where colour is welcome."""
        return f"\033[{_CODES[colour]}m{text}\033[0m" if self.colour else text

    def _told(self, text: str) -> str:
        """The text with plain signs for those of print that the stream can't hold."""
        return text.translate(self._instead) if self._instead else text

    def heading(self, text: str) -> None:
        """A heading; whatever comes from notes in it is made safe here. On a terminal it goes on below as a sentence does."""
        told = self._told(safe(text))
        for part in _wrapped(told, self.width) if self.stream.isatty() else [told]:
            self.line(self.ink(part, "bold"))

    def title(self, text: str) -> None:
        """A heading with a blank line before it."""
        self.line()
        self.heading(text)

    def words(self, text: str, hang: int = 0) -> None:
        """A sentence already made safe; on a terminal it goes on below at a space, `hang` columns in. Into a pipe it stays one line."""
        text = self._told(text)
        if not self.stream.isatty():
            self.line(text)
            return
        for n, part in enumerate(_wrapped(text[hang:], self.width - hang)):
            self.line((" " * hang if n else text[:hang]) + part)

    def table(self, heads: Sequence[str], rows: Iterable[Sequence[str]], right: frozenset[int] = frozenset(), keys: int = 0) -> None:
        """Columns under heads, figures (`right`, by index) to the right; on a narrow terminal columns of words, the widest first, go on below.

        Days, names and figures are never cut: where they alone are too wide, the last column stands under its row, if the
        others then fit; but where the first `keys` columns name a row, what does not fit beside them stands in a table
        below, named by them again.
        """
        cells = [[self._told(safe(cell)) for cell in row] for row in rows]
        for columns_of in self._parts(heads, cells, keys):
            self._table(
                [heads[i] for i in columns_of], [[row[i] for i in columns_of] for row in cells], frozenset(n for n, i in enumerate(columns_of) if i in right)
            )

    def _parts(self, heads: Sequence[str], cells: Sequence[Sequence[str]], keys: int) -> Iterator[Sequence[int]]:
        """The columns of each table that these make, by index; one without a head is a remark on its row and makes none of its own."""
        widths = [max(columns(cell) for cell in column) + 2 for column in zip(heads, *cells, strict=True)]
        part = list(range(keys))
        for i in range(keys, len(widths)):
            if keys and len(part) > keys and heads[i] and sum(widths[n] for n in (*part, i)) - 2 > self.width:
                yield part
                part = list(range(keys))
            part.append(i)
        yield part

    def _in_order(self, row: str) -> str:
        """A row whose columns a terminal that turns words round leaves in their order: what runs from the right ends in a mark that runs from the left."""
        if row.isascii() or not self.stream.isatty() or not (self.stream.encoding or "").lower().startswith("utf"):
            return row
        return _TURNING.sub(rf"{_FROM_LEFT}\g<0>{_FROM_LEFT}", row)

    def _table(self, heads: Sequence[str], cells: Sequence[Sequence[str]], right: frozenset[int]) -> None:
        widths, below = _widths(heads, cells, right, self.width), False
        if _whole(widths) > self.width and len(widths) > 2 and len(widths) - 1 not in right and self.stream.isatty():
            without = _widths(heads[:-1], [row[:-1] for row in cells], right, self.width)
            if below := _whole(without) <= self.width:
                widths = without
        if any(heads[: len(widths)]):
            self.line(self.ink(_row(heads[: len(widths)], widths, right), "dim"))
        for row in cells:
            for line in zip_longest(*(_wrapped(cell, width) for cell, width in zip(row, widths, strict=not below)), fillvalue=""):
                self.line(self._in_order(_row(line, widths, right)))
            if below and row[-1]:
                self.words(" " * _BELOW + row[-1], _BELOW)


_FROM_LEFT = "\u200e"
_TURNING = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff](?:.*?(?=  |$))")
"""What runs from the right in a row, up to the next column (Unicode Standard Annex #9: Hebrew, Arabic and their like)."""
_BELOW = 4
"""Columns by which the last cell of a row stands in, where it stands under its row."""


def _widths(heads: Sequence[str], cells: Sequence[Sequence[str]], right: frozenset[int], most: int) -> list[int]:
    """How wide each column is; where all are wider than `most`, those of words have given way if that is enough."""
    widths = [max(columns(cell) for cell in column) for column in zip(heads, *cells, strict=True)]
    wordy = [i for i in range(len(widths)) if i not in right and any(" " in row[i] and not _DAY.fullmatch(row[i]) for row in cells)]
    least = {i: max(_NARROW, *(columns(word) for row in cells for word in (*row[i].split(), heads[i]))) for i in wordy}
    return _given_way(widths, least, _whole(widths) - most)


def _whole(widths: Sequence[int]) -> int:
    """How wide a table of such columns is."""
    return sum(widths) + 2 * (len(widths) - 1)


_NARROW = 10
"""Columns that a column of words keeps at least."""


def _given_way(widths: list[int], least: Mapping[int, int], excess: int) -> list[int]:
    """The widths with as much off as is too much, the widest column of words first, down to its `least`; unchanged where that is not enough."""
    left = list(widths)
    for i in sorted(least, key=lambda i: -widths[i]):
        off = max(0, min(excess, left[i] - least[i]))
        left[i], excess = left[i] - off, excess - off
    return left if excess <= 0 else widths


_DAY = re.compile(r"\w+ \d{4}-\d{2}-\d{2}")
"""A day with its weekday, which is one thing and not words."""


def _wrapped(text: str, width: int) -> list[str]:
    """A cell on as many lines as its words take."""
    if columns(text) <= width:
        return [text]
    lines: list[str] = []
    for word in text.split(" "):
        if lines and columns(lines[-1]) + 1 + columns(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _row(cells: Sequence[str], widths: Sequence[int], right: frozenset[int]) -> str:
    shown = []
    for index, (cell, width) in enumerate(zip(cells, widths, strict=True)):
        pad = " " * (width - columns(cell))
        shown.append(pad + cell if index in right else cell + pad)
    return "  ".join(shown).rstrip()


# --- troubles --------------------------------------------------------------------------------------------------------


def show_troubles(troubles: Sequence[Trouble], files: Mapping[str, bytes], out: Printer) -> None:
    """Every trouble with its line and a mark under the place, then how many there are and what they stop."""
    lines: dict[str, tuple[str, ...]] = {}
    for trouble in troubles:
        place = trouble.place
        if place.file not in lines:
            lines[place.file] = lines_of(files[place.file]) if place.file in files else ()
        _show_trouble(trouble, lines[place.file], out)
    if troubles:
        out.line(summary(troubles))


def _show_trouble(trouble: Trouble, lines: Sequence[str], out: Printer) -> None:
    place = trouble.place
    stops = CODES[trouble.code].stops
    colour = "yellow" if stops is Stops.NOTHING else "red"
    out.line(f"{out.ink(safe(str(place)), 'bold')}  {out.ink(trouble.code, colour)}  {SAYS[stops]}")
    if 0 < place.line <= len(lines):
        shown, mark = marked(lines[place.line - 1], place.column, out.width - 4)
        out.line(f"    {shown}")
        out.line(f"    {' ' * mark}{out.ink('^', colour)}")
    out.words(f"found: {safe(trouble.found)}", 7)
    out.line(f"mend:  {safe(trouble.mend)}")  # whole, for it may be copied
    out.line()


def marked(line: str, column: int, most: int) -> tuple[str, int]:
    """A source line as shown in at most `most` columns, and the column (from 0) of the mark under character `column` (from 1)."""
    before, after = safe(line[: column - 1].rstrip("\n")), safe(line[column - 1 :].rstrip())
    if columns(before) + columns(after) > most:
        room = most * 2 // 3
        if columns(before) > room:
            before = "…" + cut(before[::-1], room)[:-1][::-1]
        after = cut(after, most - columns(before))
    return before + after, columns(before)


def summary(troubles: Sequence[Trouble]) -> str:
    """How many troubles there are and what they stop, in one sentence."""
    stops = [CODES[trouble.code].stops for trouble in troubles]
    held = [(sum(s.books() for s in stops), "the books"), (sum(s.showroom() for s in stops), "the showroom")]
    said = [f"{count} {'stops' if count == 1 else 'stop'} {what}" for count, what in held if count]
    warnings = stops.count(Stops.NOTHING)
    if warnings:
        said.append(f"{warnings} {'warns' if warnings == 1 else 'warn'}")
    return f"{counted(len(stops), 'trouble')}: {', '.join(said)}."
