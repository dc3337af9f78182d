"""What the notes say of each build's coats and of what was used on them, gathered once for all builds.

Invariant: one look through the notes; a shop of many builds is not read through for each.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from purfle.base.names import folded
from purfle.events.work import lines_of
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import Bench, Used


@dataclass(slots=True)
class Noted:
    """The notes about one build."""

    work: list[tuple[date, Bench]] = field(default_factory=list)
    """Lines of work on a stage, in order; warranty work is none."""
    used: defaultdict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    """Stage, folded → stock used on it: by a note on nothing else of the build, or that names no stage of it on a day of nothing else."""


def noted_in(shop: Shop, today: date) -> Mapping[str, Noted]:
    """What is noted up to a day, by build; nothing for a build without notes."""
    found: defaultdict[str, Noted] = defaultdict(Noted)
    stages: defaultdict[tuple[str, date], set[str]] = defaultdict(set)
    notes = [note for note in shop.notes if note.date <= today]
    for note in notes:
        for build, line, stage in _work(shop, note):
            stages[build, note.date].add(folded(stage))
            if not (line.after_sale or note.sheet.after_sale):
                found[build].work.append((note.date, line))
    for note in notes:
        for used in note.sheet.used:
            for build in _used_on(shop, note, used):
                own = {folded(line.stage) for line in shop.on_stages(note, build) if line.stage} or stages[build, note.date]
                if len(own) == 1:
                    found[build].used[next(iter(own))].append(used.item)
    return found


def _work(shop: Shop, note: Note) -> Iterator[tuple[str, Bench, str]]:
    """Each line of a note that is work on a stage, with the build and the stage as written."""
    for line in lines_of(note):
        build = shop.worked_on(note, line)
        if build is not None and line.stage is not None:
            yield build, line, line.stage


def _used_on(shop: Shop, note: Note, used: Used) -> Iterator[str]:
    """The builds on which something was used; none for what the shop itself used."""
    names = () if used.place is not None else used.over or (used.build,)
    yield from filter(None, (shop.find(name) if name else note.build for name in names))
