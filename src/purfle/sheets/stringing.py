"""The strings of a build worked out: pitch, pull and place of each, and how the load on the neck has moved.

Forces in newtons, lengths in millimetres, pitches in hertz; errors as in `purfle.sheets.strings`.
Invariant: tells no trouble; what can't be worked out is None, with the reason in words where a reader needs it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from purfle.base.measures import Length
from purfle.base.trouble import Wrong
from purfle.notes.records.specs import SpecItem, Specs
from purfle.sheets import strings as physics

EDGE_MM = 3.0
"""From the board's edge to the outer string's own edge at the nut, where no spread is written; common practice, no source."""
_MM = 1000.0


@dataclass(frozen=True, slots=True)
class StringRow:
    """One string."""

    name: str
    """Its note, or its number from the thick side."""
    pitch: float | None
    gauge: Length | None
    wound: bool
    pull: float | None
    unknown: str
    """Why there is no tension; empty when there is one."""


@dataclass(frozen=True, slots=True)
class Spacing:
    """Where the strings lie across the board, in millimetres from the centre of the first."""

    spread: float
    assumed: bool
    """The spread is worked out from the board's width and an edge of common practice."""
    gap: float | None
    equal_gaps: tuple[float, ...]
    """Empty without all the gauges."""
    equal_centres: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """By what part the strings' load has moved, between these bounds; the same twice when it is known exactly."""

    low: float
    high: float

    def past(self, share: float) -> bool:
        """Whether it has surely moved by more than a share, up or down."""
        return self.low > share or self.high < -share


@dataclass(frozen=True, slots=True)
class Stringing:
    """All strings of a build."""

    a4: float
    rows: tuple[StringRow, ...]
    load: float
    """Of the strings whose tension is known."""
    unknown: int
    """How many have none."""
    at_nut: Spacing | None
    at_bridge: Spacing | None
    courses: bool
    """The strings stand in pairs, whose spacing is a matter of taste and not worked out."""
    moved: Moved | None
    """Against what it was strung and tuned to before."""


def stringing_of(specs: Specs) -> Stringing | None:
    """The strings of a specification; None when it names neither strings nor a tuning."""
    steps = _steps_of(specs.tuning, specs.strings)
    if not steps:
        return None
    a4 = _a4(specs)
    rows = _rows_of(specs, specs.strings, specs.tuning, a4)
    known = [row.pull for row in rows if row.pull is not None]
    paired = courses(steps)
    nut, bridge = (None, None) if paired else (_at_nut(specs), _at_bridge(specs))
    return Stringing(a4, rows, sum(known), len(rows) - len(known), nut, bridge, paired, moved_of(specs))


def _a4(specs: Specs) -> float:
    return float(specs.a4) if specs.a4 else physics.CONCERT_A


def _steps_of(tuning: str | None, strings: Sequence[SpecItem]) -> tuple[int | None, ...]:
    """Each string's pitch in semitones from A4: by the tuning where it fits, else by the string's own note; None where neither can be read."""
    if tuning is not None:
        try:
            tuned = physics.tuning_steps(tuning)
        except Wrong:
            tuned = ()
        if tuned and len(strings) in (0, len(tuned)):
            return tuned
    return tuple(_own(item) for item in strings)


def _own(item: SpecItem) -> int | None:
    try:
        return None if item.note is None else physics.steps_from_a4(item.note.strip())
    except Wrong:
        return None


def _rows_of(specs: Specs, strings: Sequence[SpecItem], tuning: str | None, a4: float) -> tuple[StringRow, ...]:
    """One row a string; of the tuning's notes alone when no strings are written."""
    steps = _steps_of(tuning, strings)
    names = physics.notes_of(tuning) if tuning is not None and len(physics.notes_of(tuning)) == len(steps) else ()
    scale = None if specs.scale_length is None else float(specs.scale_length.mm) / _MM
    items = strings or [SpecItem() for _ in steps]
    return tuple(
        _row(item, step, names[n] if names else item.note or f"string {n + 1}", scale, a4) for n, (item, step) in enumerate(zip(items, steps, strict=True))
    )


def _row(item: SpecItem, step: int | None, name: str, scale: float | None, a4: float) -> StringRow:
    pitch = None if step is None else physics.frequency(step, a4)
    mass, unknown = _mass_of(item)
    if not unknown:
        unknown = "its note is not known" if pitch is None else "the scale length is not written" if scale is None else ""
    pull = None if mass is None or pitch is None or scale is None else physics.tension(mass, scale, pitch)
    return StringRow(name, pitch, item.gauge, bool(item.wound), pull, unknown)


def _mass_of(item: SpecItem) -> tuple[float | None, str]:
    """A string's kilograms a metre, or why they are not known; never guessed."""
    if item.unit_weight is not None:
        return float(item.unit_weight.kg_per_m), ""
    if item.gauge is None:
        return None, "no gauge is written"
    if item.wound:
        return None, "wound: needs the unit_weight its maker gives"
    if item.material is not None and "steel" not in item.material.casefold():
        return None, f"{item.material}: needs the unit_weight its maker gives"
    return physics.plain_mass(float(item.gauge.mm) / _MM), ""


# --- across the board --------------------------------------------------------------------------------------------------


def courses(steps: Sequence[int | None]) -> bool:
    """Whether strings stand in pairs: eight or more, each pair of one note or an octave apart."""
    pairs = list(zip(steps[::2], steps[1::2], strict=False))
    return len(steps) >= 8 and len(steps) % 2 == 0 and all(a is not None and b is not None and (b - a) % 12 == 0 for a, b in pairs)


def diameters(strings: Sequence[SpecItem]) -> tuple[float, ...]:
    """Millimetres of each string; empty when any is not known."""
    found = [float(item.gauge.mm) for item in strings if item.gauge is not None]
    return tuple(found) if len(found) == len(strings) else ()


def _at_nut(specs: Specs) -> Spacing | None:
    thick = diameters(specs.strings)
    if specs.nut_spread is not None:
        return _spacing(specs, float(specs.nut_spread.mm), assumed=False)
    if specs.nut_width is None or len(thick) < 2:
        return None
    return _spacing(specs, float(specs.nut_width.mm) - 2 * EDGE_MM - (thick[0] + thick[-1]) / 2, assumed=True)


def _at_bridge(specs: Specs) -> Spacing | None:
    return None if specs.bridge_spread is None else _spacing(specs, float(specs.bridge_spread.mm), assumed=False)


def _spacing(specs: Specs, spread: float, *, assumed: bool) -> Spacing | None:
    count, thick = len(_steps_of(specs.tuning, specs.strings)), diameters(specs.strings)
    if count < 2:
        return None
    gap = physics.gap_between(thick, spread) if len(thick) >= 2 else None
    gaps = physics.equal_gaps(thick, spread) if gap is not None and gap > 0 else ()
    return Spacing(spread, assumed, gap, gaps, physics.equal_centres(count, spread))


# --- against before ----------------------------------------------------------------------------------------------------


def moved_of(specs: Specs) -> Moved | None:
    """How the load has moved since it was `strung_before`; None when nothing is written of it or too little is known.

    Where a wound string's weight is not known and the string is still the same, its pull has moved as the square of its
    pitch, whatever it weighs; then the whole lies between the least and the most of the strings.
    """
    before = specs.strung_before
    if before is None:
        return None
    was = before.strings or specs.strings
    now = _rows_of(specs, specs.strings, specs.tuning, _a4(specs))
    old = _rows_of(specs, was, before.tuning or specs.tuning, float(before.a4) if before.a4 else _a4(specs))
    load, old_load = _whole_load(now), _whole_load(old)
    if load is not None and old_load is not None:
        return Moved(load / old_load - 1, load / old_load - 1)
    if len(now) != len(old):
        return None
    same = len(was) == len(specs.strings)
    parts = [_part(one, other, same and (not was or _made(specs.strings[n]) == _made(was[n]))) for n, (one, other) in enumerate(zip(now, old, strict=True))]
    known = [part for part in parts if part is not None]
    return Moved(min(known) - 1, max(known) - 1) if known and len(known) == len(parts) else None


def _whole_load(rows: Sequence[StringRow]) -> float | None:
    """The load of all strings together; None when there are none, or the tension of one is not known."""
    pulls = [row.pull for row in rows if row.pull is not None]
    return sum(pulls) if pulls and len(pulls) == len(rows) else None


def _made(item: SpecItem) -> tuple[object, ...]:
    """What a string is made of and how; two of the same weigh the same."""
    return item.gauge, item.wound, item.material, item.unit_weight


def _part(now: StringRow, old: StringRow, alike: bool) -> float | None:
    if now.pull is not None and old.pull is not None:
        return now.pull / old.pull
    if alike and now.pitch is not None and old.pitch is not None:
        return (now.pitch / old.pitch) ** 2
    return None


def neighbours_touch(spacing: Spacing | None) -> bool:
    """Whether the strings would lie on each other."""
    return spacing is not None and ((spacing.gap is not None and spacing.gap <= 0) or any(b <= a for a, b in pairwise(spacing.equal_centres)))
