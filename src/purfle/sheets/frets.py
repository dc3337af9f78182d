"""Fret positions in equal temperament, the width and radius of a board along its length, and what a refret takes.

Lengths are plain numbers in one unit, whichever; what comes out is in the unit that went in.
Error: the formulas are exact and double precision keeps them below 1e-12 of the scale; strings stretch when they are
pressed and saddles are set back for it, which no figure here allows for.
Invariant: knows nothing of notes or pages.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

STEPS = 12
"""Steps to the octave."""
CLOSEST_MM = 2.0
"""The narrowest space that still has room for a fret's crown and a fingertip's edge; common practice, no source."""
ENDS_MM = 6.0
"""Wire left over for each fret, 3 mm at either end, to cut and file; common practice, no source."""
WASTE = 0.10
"""Wire lost to bends, kinks and frets done over, of the whole; common practice, no source."""


def from_nut(scale: float, fret: int, steps: int = STEPS) -> float:
    """Distance from the nut to a fret: scale × (1 − 2^(−fret ÷ steps)), the equal temperament of any textbook of acoustics."""
    return scale * -math.expm1(-fret / steps * math.log(2))


SCALES_MM = (100.0, 2000.0)
"""Shortest and longest scale of anything with frets; common practice, no source."""


def plausible(scale_mm: float) -> bool:
    """Whether a scale length can be meant."""
    return SCALES_MM[0] <= scale_mm <= SCALES_MM[1]


@lru_cache(256)
def room_for(scale_mm: float) -> int:
    """How many frets a scale has room for: the last that is still `CLOSEST_MM` from the one before it; at most 200."""
    number = 0
    while number < 200 and from_nut(scale_mm, number + 1) - from_nut(scale_mm, number) >= CLOSEST_MM:
        number += 1
    return number


def figure_at(nut: float, last: float, along: float, board: float) -> float:
    """Width of a board of straight sides, or radius of a compound one, which grows as on the side of a cone, at a distance from the nut.

    `nut` and `last` are the two that are given; `board` is the distance between them. The saddle lies beyond; there the line goes on.
    """
    return nut + (last - nut) * (along / board)


@dataclass(frozen=True, slots=True)
class Fret:
    """One fret; lengths in millimetres."""

    number: int
    from_nut: float
    gap: float
    """From the fret before it, or from the nut."""
    width: float | None
    """Of the board there; None unless both of its widths are known."""
    radius: float | None
    """Of the board there; None unless a radius is known."""


@dataclass(frozen=True, slots=True)
class Refret:
    """What a refret takes."""

    frets: int
    wire: float
    """Millimetres of wire with ends and waste."""
    at_least: bool
    """The board's width at the last fret is not known, so that every fret is counted as wide as the nut."""


@dataclass(frozen=True, slots=True)
class Board:
    """A fretted board worked out; lengths in millimetres."""

    scale: float
    nut_width: float | None
    heel_width: float | None
    bound: bool
    frets: tuple[Fret, ...]
    saddle_radius: float | None
    """Where a compound radius comes to at the saddle."""
    refret: Refret | None
    """None without a nut width."""

    @property
    def last(self) -> float:
        """From the nut to the last fret."""
        return self.frets[-1].from_nut


def board_of(
    scale: float, count: int, nut_width: float | None = None, heel_width: float | None = None, radii: tuple[float, ...] = (), bound: bool = False
) -> Board:
    """The board of a scale and a count of frets above nothing; lengths in millimetres, radii at the nut and at the last fret."""
    end = from_nut(scale, count)
    frets = tuple(_fret(scale, number, end, nut_width, heel_width, radii) for number in range(1, count + 1))
    saddle = figure_at(radii[0], radii[-1], scale, end) if len(radii) > 1 else None
    return Board(scale, nut_width, heel_width, bound, frets, saddle, None if nut_width is None else refret(frets, nut_width))


def _fret(scale: float, number: int, end: float, nut_width: float | None, heel_width: float | None, radii: tuple[float, ...]) -> Fret:
    along = from_nut(scale, number)
    width = None if nut_width is None or heel_width is None else figure_at(nut_width, heel_width, along, end)
    radius = figure_at(radii[0], radii[-1], along, end) if radii else None
    return Fret(number, along, along - from_nut(scale, number - 1), width, radius)


def refret(frets: tuple[Fret, ...], nut_width: float) -> Refret:
    """Wire for these frets: each as wide as the board there, with its ends, and waste on the whole; millimetres."""
    bare = sum(nut_width if fret.width is None else fret.width for fret in frets)
    return Refret(len(frets), (bare + ENDS_MM * len(frets)) * (1 + WASTE), any(fret.width is None for fret in frets))
