"""Pitch, tension and spacing of strings.

SI units throughout unless a docstring says otherwise. Error: an ideal string without stiffness; the tension of a real
plain string comes out about half a percent lower, of a wound one as near as the unit weight its maker gives.
Invariant: guesses no weight: a string that is not plain steel has a tension only when its unit weight is given.
"""

import math
import re
from collections.abc import Sequence
from itertools import pairwise

from purfle.base.trouble import Wrong

CONCERT_A = 440.0
"""Hertz: ISO 16."""
STEEL = 7850.0
"""Density of plain steel wire, kg/m³: that of EN 1992-1-1 for carbon steel; tables of materials give music wire (ASTM A228) 7.8 g/cm³."""
NEWTONS_PER_POUND = 4.4482216152605
"""Exact by definition: 0.45359237 kg × 9.80665 m/s²."""

_SEMITONE = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = {"": 0, "#": 1, "♯": 1, "##": 2, "b": -1, "♭": -1, "bb": -2}
_NOTE = re.compile(r"([A-Ga-g])(##|bb|[#♯b♭]?)([0-8])")
_GERMAN = re.compile(r"([A-Ha-h])(isis|eses|is|es|s|#|b|)([0-8]?)")
_SPLIT = re.compile(r"[^\s,;/|–-]+")


def steps_from_a4(note: str) -> int:
    """Semitones from A4 to a note written as a letter, a sign and an octave: `E2`, `F#3`, `Bb1`; C4 is the middle C.

    Raises `Wrong` with the spelling to use.
    """
    match = _NOTE.fullmatch(note)
    if not match:
        raise Wrong("tuning-unreadable", f"“{note}” is not a note with its octave", _note_mend(note))
    return _SEMITONE[match[1].upper()] + _SIGNS[match[2]] + 12 * int(match[3]) - 57


def _note_mend(note: str) -> str:
    german = _GERMAN.fullmatch(note)
    if not german:
        return "write each note as a letter, a sign if it has one, and its octave, such as E2, F#3 or Bb1"
    letter, sign, octave = german[1].upper(), {"is": "#", "isis": "##", "es": "b", "s": "b", "eses": "bb"}.get(german[2], german[2]), german[3]
    plain = ("B" if letter == "H" else letter) + sign + octave
    if not octave:
        return f"write the octave after it, such as {plain}2; C4 is the middle C"
    if letter == "H":
        return f"write {plain}, if the German H is meant; the German B is written Bb"
    return f"write {plain}"


def frequency(steps: float, a4: float = CONCERT_A) -> float:
    """Frequency of a note so many equal-tempered semitones above A4, in the unit of `a4`."""
    ratio: float = 2.0 ** (steps / 12)
    return a4 * ratio


def notes_of(tuning: str) -> tuple[str, ...]:
    """The notes of a tuning as written, split at spaces, commas and dashes."""
    return tuple(match[0] for match in _SPLIT.finditer(tuning))


def tuning_steps(tuning: str) -> tuple[int, ...]:
    """Each note of a tuning as semitones from A4. Raises `Wrong` at the first that can't be read, with its offset."""
    found = []
    for match in _SPLIT.finditer(tuning):
        try:
            found.append(steps_from_a4(match[0]))
        except Wrong as wrong:
            raise Wrong(wrong.code, wrong.found, wrong.mend, match.start()) from None
    return tuple(found)


def plain_mass(diameter: float, density: float = STEEL) -> float:
    """Mass for each length of a plain round wire: π ÷ 4 × d² × density."""
    return math.pi / 4 * diameter**2 * density


def tension(mass: float, scale: float, pitch: float) -> float:
    """Tension of an ideal string: mass for each length × (2 × scale × pitch)², in newtons.

    Source: OpenStax, University Physics 1, 16.3: the wave's speed is √(tension ÷ mass for each length), and an open string
    sounds half a wave.
    """
    return mass * (2 * scale * pitch) ** 2


def pounds_of_force(newtons: float) -> float:
    """Newtons as pounds of force."""
    return newtons / NEWTONS_PER_POUND


def equal_gaps(diameters: Sequence[float], spread: float) -> tuple[float, ...]:
    """Centres of strings with the same gap between each and the next, from 0 to `spread`, the outer centres' distance.

    `diameters` in order across the board, at least two, in the unit of `spread`.
    """
    gap = gap_between(diameters, spread)
    centres = [0.0 * spread]
    for one, other in pairwise(diameters):
        centres.append(centres[-1] + one / 2 + gap + other / 2)
    return tuple(centres)


def gap_between(diameters: Sequence[float], spread: float) -> float:
    """The gap that `equal_gaps` leaves; below nothing when the strings would touch."""
    inside = (diameters[0] + diameters[-1]) / 2 + sum(diameters[1:-1])
    return (spread - inside) / (len(diameters) - 1)


def equal_centres(count: int, spread: float) -> tuple[float, ...]:
    """Centres of strings with the same distance from each centre to the next, from 0 to `spread`."""
    return tuple(spread * (n / (count - 1)) for n in range(count))
