"""A fret template at true size, cut into sheets of paper that join at registration marks.

All coordinates are millimetres on the paper from the drawing's top left, which pages write as SVG units of a millimetre.
The nut's face is at the top; a joint is drawn on both sheets that meet there.
Invariant: places what `purfle.sheets.frets` worked out; rounds to a thousandth of a millimetre.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from purfle.base.counts import counted
from purfle.base.measures import MM_PER_INCH, in_inches
from purfle.sheets.frets import Board, Fret, figure_at

WIDTH, HEIGHT = 180, 250
"""The drawing: it fits within the margins of A4 (ISO 216) and of letter paper (ANSI/ASME Y14.1 A)."""
TOP, STEP = 15.0, 220.0
"""Where a sheet's own piece of the board begins, and how long it is."""
LAP = 6.0
"""How much of the neighbours' pieces is drawn beyond each joint."""
AXIS = 66.0
"""The board's middle line."""
MARKS = (10.0, 148.0)
"""Registration marks lie on the joints at these distances from the left."""
PLAIN_WIDTH = 60.0
"""Fret lines of a board whose widths are not written."""
MOST_WIDTH = 94.0
"""Wider boards are drawn so wide, and say so."""


@dataclass(frozen=True, slots=True)
class FretLine:
    """One fret on one sheet."""

    number: int
    """0 for the nut."""
    y: float
    left: float
    right: float
    words: str


@dataclass(frozen=True, slots=True)
class Leaf:
    """One sheet of paper."""

    number: int
    lines: tuple[FretLine, ...]
    edges: tuple[tuple[float, float, float, float], ...]
    """The board's edges and middle line: x and y of either end."""
    joints: tuple[float, ...]
    """Where it meets its neighbours."""
    span: str
    """What of the board it shows, in words."""


@dataclass(frozen=True, slots=True)
class FretTemplate:
    """All sheets of one board."""

    page: str
    title: str
    words: str
    paper: str
    """`a4` or `letter`."""
    leaves: tuple[Leaf, ...]
    remark: str
    """What the drawing does not show truly; empty for nothing."""
    marks = MARKS
    width, height = WIDTH, HEIGHT
    ruler_mm = tuple(30 + 10.0 * n for n in range(11))
    """Ticks of the check ruler, 100 mm from first to last."""
    ruler_in = tuple(round(30 + float(MM_PER_INCH) * n, 3) for n in range(5))
    """Ticks of the other, 4 in from first to last."""


def template_of(title: str, page: str, board: Board, paper: str) -> FretTemplate:
    """The template of a board, on so many sheets as it takes."""
    words = f"scale {board.scale:.2f} mm ({in_inches(board.scale):.3f} in), {counted(len(board.frets), 'fret')}"
    return FretTemplate(page, title, words, paper.casefold(), _leaves(board), _remark(board))


def _remark(board: Board) -> str:
    if board.nut_width is None or board.heel_width is None:
        return "The board's edges are not drawn: to have them, write nut_width and heel_width under specs."
    return (
        f"The board is wider than the paper has room for: its edges are drawn {MOST_WIDTH:g} mm apart at most."
        if max(board.nut_width, board.heel_width) > MOST_WIDTH
        else ""
    )


@lru_cache(maxsize=64)
def _leaves(board: Board) -> tuple[Leaf, ...]:
    """A board on its sheets of paper; kept, for most boards of a shop have one of a few scales."""
    count = math.ceil((board.last + 1) / STEP)
    return tuple(_leaf(board, n, count) for n in range(count))


def _leaf(board: Board, n: int, count: int) -> Leaf:
    start = n * STEP
    first, last = start - (LAP if n else 0), min(start + STEP + (LAP if n + 1 < count else 0), board.last)
    nut = Fret(0, 0.0, 0.0, board.nut_width if board.frets[0].width is not None else None, None)
    lines = tuple(_line(fret, start) for fret in (nut, *board.frets) if first <= fret.from_nut <= last)
    joints = (*((TOP,) if n else ()), *((TOP + STEP,) if n + 1 < count else ()))
    span = f"{max(start, 0):.0f} to {min(start + STEP, board.last):.1f} mm from the nut"
    return Leaf(n + 1, lines, _edges(board, start, first, last), joints, span)


def _line(fret: Fret, start: float) -> FretLine:
    half = min(fret.width or PLAIN_WIDTH, MOST_WIDTH) / 2
    words = "nut" if fret.number == 0 else f"{fret.number}: {fret.from_nut:.2f} mm, {in_inches(fret.from_nut):.3f} in"
    return FretLine(fret.number, round(TOP + fret.from_nut - start, 3), round(AXIS - half, 3), round(AXIS + half, 3), words)


def _edges(board: Board, start: float, first: float, last: float) -> tuple[tuple[float, float, float, float], ...]:
    top, bottom = round(TOP + first - start, 3), round(TOP + last - start, 3)
    middle = (AXIS, top, AXIS, bottom)
    if board.nut_width is None or board.heel_width is None:
        return (middle,)
    one, other = (min(figure_at(board.nut_width, board.heel_width, along, board.last), MOST_WIDTH) / 2 for along in (first, last))
    return (middle, *((round(AXIS + side * one, 3), top, round(AXIS + side * other, 3), bottom) for side in (-1, 1)))
