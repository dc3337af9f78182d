"""The page of troubles: the only one that is renewed while the books are held.

It is made from troubles and the lines of notes alone, so that it can be written when nothing else can.
Invariant: needs no shop, no figure and no plan.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from purfle.base.codes import CODES, stops_books, stops_showroom
from purfle.base.groups import grouped
from purfle.base.trouble import Stops, Trouble
from purfle.views.amounts import Writer
from purfle.views.lines import visible

_STOPS = {
    Stops.BOOKS: "holds the books",
    Stops.SHOWROOM: "holds the showroom",
    Stops.BOTH: "holds the books and the showroom",
    Stops.NOTHING: "a warning",
}


@dataclass(frozen=True, slots=True)
class Held:
    """The days of the last good states; None where there was none yet."""

    books: date | None = None
    """Of figures, plan and office pages."""
    showroom: date | None = None


@dataclass(frozen=True, slots=True)
class TroubleRow:
    """One trouble as the page shows it."""

    place: str
    """File, line and column as the command prints them; the file alone for a trouble of the whole file."""
    file: str
    line: int
    code: str
    stops: str
    """What it holds, in words."""
    holds: bool
    before: str
    """The line up to the fault, with tabs as blanks."""
    marked: str
    """The character at the fault and what belongs to it."""
    after: str
    found: str
    mend: str


@dataclass(frozen=True, slots=True)
class TroubleFile:
    """The troubles of one file."""

    file: str
    rows: tuple[TroubleRow, ...]


@dataclass(frozen=True, slots=True)
class Since:
    """A day, for machines and for people."""

    iso: str
    words: str


@dataclass(frozen=True, slots=True)
class TroublesView:
    """Everything that is wrong with the notes, and what is held because of it."""

    files: tuple[TroubleFile, ...]
    total: int
    holding: int
    books_held: bool
    showroom_held: bool
    books_since: Since | None
    """The day of the last good state; None when there was none."""
    showroom_since: Since | None


def troubles_of(troubles: Iterable[Trouble], lines: Mapping[str, Sequence[str]], held: Held, write: Writer) -> TroublesView:
    """Troubles by file, those files first that hold something; `lines` gives each file's lines, `write` words for days."""
    told = sorted(troubles)
    rows = [_row(trouble, lines) for trouble in told]
    ranked = sorted(grouped(rows, lambda row: row.file).items(), key=lambda item: (not any(row.holds for row in item[1]), item[0]))
    return TroublesView(
        tuple(TroubleFile(file, tuple(found)) for file, found in ranked),
        len(rows),
        sum(row.holds for row in rows),
        stops_books(told),
        stops_showroom(told),
        _since(write, held.books),
        _since(write, held.showroom),
    )


def _since(write: Writer, day: date | None) -> Since | None:
    return Since(day.isoformat(), write.date(day)) if day else None


def _row(trouble: Trouble, lines: Mapping[str, Sequence[str]]) -> TroubleRow:
    place, code = trouble.place, CODES[trouble.code]
    before, marked, after = _parts(lines.get(place.file, ()), place.line, place.column)
    return TroubleRow(
        place=str(place),
        file=place.file,
        line=place.line,
        code=trouble.code,
        stops=_STOPS[code.stops],
        holds=code.stops is not Stops.NOTHING,
        before=before,
        marked=marked,
        after=after,
        found=trouble.found,
        mend=trouble.mend,
    )


_ENDS = " \t]}"
_LONGEST = 160


def _parts(lines: Sequence[str], line: int, column: int) -> tuple[str, str, str]:
    """The line before, at and after the fault; empty texts when there is no such line."""
    if not 0 < line <= len(lines):
        return "", "", ""
    text = lines[line - 1].rstrip("\r\n")
    start = min(max(column - 1, 0), len(text))
    end = start + 1
    while end < len(text) and text[end] not in _ENDS and text[end : end + 2] != ", ":
        end += 1
    cut = text[:start] if start <= _LONGEST else "…" + text[start - _LONGEST : start]
    tail = text[end:] if len(text) - end <= _LONGEST else text[end : end + _LONGEST] + "…"
    return visible(cut), visible(text[start:end]), visible(tail)
