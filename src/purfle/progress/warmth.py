"""Cures bent by the warmth of the room: a rule of thumb, off until shop.md says how warm the room is.

A reaction goes about twice as fast for each 10 °C (OpenStax, Chemistry 2e, 12.5). It bends only entries of the cure
table that say what temperature their figure holds for and name no data sheet: one always wins.
Invariant: never bends by more than a factor of two, beyond which the rule is no guide; every bent cure says that it is.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal

from purfle.base.times import QUARTERS, Wait, whole
from purfle.notes.records.shop import CureSheet, RoomSheet

DOUBLES = 10
"""Degrees Celsius that double the rate; also the most that a cure is bent by."""

_DEGREES = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)\s*°?\s*([cf])(?:elsius|ahrenheit)?")


@dataclass(frozen=True, slots=True)
class Bent:
    """A cure as the room's warmth makes it, from a day on."""

    since: date | None
    """None from the beginning."""
    cure: Wait
    words: str | None
    """What was done to the figure; None where the room is as warm as the figure supposes."""


def bent(entry: CureSheet, room: Sequence[RoomSheet]) -> tuple[Bent, ...]:
    """The entry's cure by day, the first from the beginning; empty when it is as written."""
    holds_for = None if entry.at_temperature is None else celsius(entry.at_temperature)
    if entry.sheet is not None or holds_for is None or not entry.bends:
        return ()
    ordered = sorted(room, key=lambda r: (r.since is not None, r.since or date.min))
    before = [Bent(None, entry.cure, None)] if ordered and ordered[0].since is not None else []
    return (*before, *(_bent(entry.cure, holds_for, one) for one in ordered))


def room_on(room: Sequence[RoomSheet], day: date) -> RoomSheet | None:
    """How the room is on a day; None where nothing says."""
    said = [one for one in room if one.since is None or one.since <= day]
    return max(said, key=lambda one: one.since or date.min, default=None)


def celsius(text: str) -> Decimal | None:
    """Degrees Celsius of `20 C` or `68 F`; None for other words."""
    match = _DEGREES.fullmatch(text.strip().casefold())
    if match is None:
        return None
    value = Decimal(match[1])
    return value if match[2] == "c" else (value - 32) * 5 / 9


def _bent(cure: Wait, holds_for: Decimal, room: RoomSheet) -> Bent:
    off = max(Decimal(-DOUBLES), min(Decimal(DOUBLES), room.celsius - holds_for))
    if not off:
        return Bent(room.since, cure, None)
    changed = _times(cure, 2.0 ** (-float(off) / DOUBLES))
    words = f"adjusted by a rule of thumb for {_figure(room.celsius)} °C, {cure} at {_figure(holds_for)} °C"
    return Bent(room.since, changed, words)


def _times(cure: Wait, factor: float) -> Wait:
    """A cure made longer or shorter: whole days up, or quarter hours up while it is within a day."""
    if cure.hours:
        hours = Decimal(whole(float(cure.hours) * factor * QUARTERS)) / QUARTERS
        return Wait(0, hours) if hours < 24 else Wait(int((hours / 24).to_integral_value(ROUND_CEILING)))
    return Wait(whole(cure.days * factor))


def _figure(value: Decimal) -> str:
    text = f"{value:.1f}"
    return text.removesuffix(".0")
