"""Parts of the page of worked-out sheets, and how their figures are written: with a point, in either unit.

Invariant: writes figures; works out none.
"""

import re
from dataclasses import dataclass

from purfle.base.measures import Weight, in_inches
from purfle.sheets import strings
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Fact, Source

_FIGURE = re.compile(r"\d+(\.\d+)?( (in|mm|N|Ω|kΩ|mA|W|%)( \(\d+\.\d+ lbf\))?)?")
"""A figure, with its unit if it has one of its own."""


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of worked-out figures."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def measured(self) -> tuple[bool, ...]:
        """Of each column, whether it holds figures alone, which stand under each other from the right."""
        return tuple(all(_FIGURE.fullmatch(cell) for cell in column if cell != NOTHING) for column in zip(*self.rows, strict=True))


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One part of the page."""

    id: str
    title: str
    facts: tuple[Fact, ...]
    tables: tuple[SheetTable, ...]
    remarks: tuple[str, ...]
    """What the figures hold for, and where they come from."""
    source: Source | None


def both(mm: float, inch_first: bool = False) -> str:
    """A length in both units: `647.70 mm (25.500 in)`, the one it was written in first."""
    (one, other), (unit, others) = pair(mm, inch_first), columns(inch_first)
    return f"{one} {unit} ({other} {others})"


def force(newtons: float) -> str:
    """A force in both units: `72.5 N (16.3 lbf)`."""
    return f"{newtons:.1f} N ({strings.pounds_of_force(newtons):.1f} lbf)"


def columns(inch_first: bool) -> tuple[str, str]:
    """The two units, the one it was written in first."""
    return ("in", "mm") if inch_first else ("mm", "in")


def pair(mm: float, inch_first: bool) -> tuple[str, str]:
    """A length in both units, in that order."""
    metric, imperial = f"{mm:.2f}", f"{in_inches(mm):.3f}"
    return (imperial, metric) if inch_first else (metric, imperial)


def weight(found: Weight | None) -> str | None:
    """A weight in both units: `7.20 kg (15.87 lb)`."""
    if found is None:
        return None
    metric, imperial = f"{found.kg:.2f} kg", f"{found.pounds:.2f} lb"
    return f"{imperial} ({metric})" if found.unit == "lb" else f"{metric} ({imperial})"
