"""What hands did: hours, stages finished and done again.

Invariant: repeats what the notes say; whether a stage exists or was finished before is not known here.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import Bench, NoteSheet
from purfle.notes.records.show import EpisodeSheet


class Worked(NamedTuple):
    """Hours at the bench."""

    date: date
    build: str | None
    """None for work on no build."""
    stage: str | None
    """As written; None when the note names none."""
    hours: Decimal
    record: Bench | NoteSheet | EpisodeSheet
    """The line it was read from, or the note where it is written flat; the episode that took them."""
    after_sale: bool = False
    what: str | None = None
    """For work on no build: what was done."""

    @property
    def at(self) -> Place:
        """Where the hours stand. Looked up when asked for: most places are never told to anyone."""
        return self.record.where("hours")

    @property
    def stage_at(self) -> Place:
        """Where the stage's name stands."""
        return stage_at(self.record)


class Finished(NamedTuple):
    """A stage said to be finished."""

    date: date
    build: str
    stage: str
    record: Bench | NoteSheet
    after_sale: bool = False

    @property
    def at(self) -> Place:
        """Where it is said."""
        return self.record.where("finished")

    @property
    def stage_at(self) -> Place:
        """Where the stage's name stands."""
        return stage_at(self.record)


class Redone(NamedTuple):
    """A stage scraped off, to be done again with those that follow it."""

    date: date
    at: Place
    build: str
    stage: str
    after_sale: bool = False


class SentOut(NamedTuple):
    """A stage named without hours and not finished: sent out, where it is one of outside work."""

    date: date
    build: str
    stage: str
    record: Bench | NoteSheet

    @property
    def at(self) -> Place:
        """Where the stage's name stands."""
        return stage_at(self.record)

    @property
    def stage_at(self) -> Place:
        """The same."""
        return self.at


Work = Worked | Finished | Redone | SentOut


def stage_at(record: Bench | NoteSheet | EpisodeSheet) -> Place:
    """Where a line's work begins: at its stage, else at its hours."""
    return record.where("stage" if record.wrote("stage") else "hours")


def work_events(shop: Shop, today: date) -> list[Work]:
    """Every event of work up to and on `today`, in the order of the notes, which is that of the days.

    A line that names no known build is left out: the reader of the notes tells it.
    """
    events: list[Work] = []
    for note in shop.notes:
        if note.date <= today:
            _of_note(shop, note, events)
    return events


def _of_note(shop: Shop, note: Note, events: list[Work]) -> None:
    """Add the events of one note. Work on a stage the note itself redoes belongs to the new pass, its other work came before."""
    sheet = note.sheet
    own = note.build
    if not sheet.bench and not sheet.redo:
        if own is not None or sheet.stage is None:  # as nearly always: one stage and its hours, written flat, or none at all
            _done(note.date, own, sheet, sheet.after_sale, None, events)
        return
    lines = lines_of(note)
    redone = set(map(folded, sheet.redo))
    later = [line for line in lines if line.stage is not None and folded(line.stage) in redone]
    for line in lines:
        if line not in later:
            _of_line(shop, note, line, events)
    if own is not None:
        events += [Redone(note.date, sheet.where("redo"), own, stage, sheet.after_sale) for stage in sheet.redo]
    for line in later:
        _of_line(shop, note, line, events)


def lines_of(note: Note) -> tuple[Bench, ...]:
    """The note's work: the flat stage and hours, then the list."""
    sheet = note.sheet
    if sheet.stage is None and sheet.hours is None:
        return sheet.bench
    return (Bench(stage=sheet.stage, hours=sheet.hours, finished=sheet.finished, coats=sheet.coats, at=stage_at(sheet), marks=sheet.marks), *sheet.bench)


def hours_of(notes: Iterable[Note]) -> Decimal:
    """All bench hours that some notes hold."""
    return sum((line.hours for note in notes for line in lines_of(note) if line.hours), Decimal(0))


def _of_line(shop: Shop, note: Note, line: Bench, events: list[Work]) -> None:
    build = shop.worked_on(note, line)
    if build is None and line.place is None and (line.build is not None or line.stage is not None):
        return
    _done(note.date, build, line, note.sheet.after_sale or line.after_sale, line.what, events)


def _done(day: date, build: str | None, line: Bench | NoteSheet, after: bool, what: str | None, events: list[Work]) -> None:
    stage = line.stage
    if line.hours is not None:
        events.append(Worked(day, build, stage, line.hours, line, after, what))
    if stage is None or build is None:
        return
    if line.finished:
        events.append(Finished(day, build, stage, line, after))
    elif line.hours is None and not after:
        events.append(SentOut(day, build, stage, line))
