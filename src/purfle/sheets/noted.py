"""What the notes say of each build's coats and of what was used on them, gathered once for all builds.

Invariant: one look through the notes; a shop of many builds is not read through for each.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from purfle.base.names import folded
from purfle.events.work import lines_of
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import Bench


@dataclass(slots=True)
class Noted:
    """The notes about one build."""

    work: list[tuple[date, Bench]] = field(default_factory=list)
    """Lines of work on a stage, in order; warranty work is none."""
    used: defaultdict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Stage, folded → stock used in notes on nothing but that stage."""


def noted_in(shop: Shop, today: date) -> Mapping[str, Noted]:
    """What is noted up to a day, by build; nothing for a build without notes."""
    found: defaultdict[str, Noted] = defaultdict(Noted)
    for note in shop.notes:
        if note.date <= today:
            _add(shop, note, found)
    return found


def _add(shop: Shop, note: Note, found: defaultdict[str, Noted]) -> None:
    own = note.build
    lines = lines_of(note)
    for line in lines:
        build = shop.find(line.build) if line.build is not None else own
        if build is not None and line.stage is not None and line.place is None and not (line.after_sale or note.sheet.after_sale):
            found[build].work.append((note.date, line))
    stages = {folded(line.stage) for line in lines if line.stage is not None}
    if own is not None and len(stages) == 1:
        found[own].used[stages.pop()] += [used.item for used in note.sheet.used if used.build is None and used.place is None]
