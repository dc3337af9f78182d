"""What hands did: hours, stages finished and done again, shots taken, parts that came.

Each event carries `turn`, its place in the order of work, because a sort by file and line alone would put a pass
that is opened after the hours that belong to it.
Invariant: repeats what the notes say; whether a stage exists or was finished before is not known here.
"""

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.place import Place
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import Bench, NoteSheet


class Worked(NamedTuple):
    """Hours at the bench."""

    date: date
    at: Place
    turn: int
    build: str | None
    """None for work on no build."""
    stage: str | None
    """As written; None when the note names none."""
    stage_at: Place
    """Where the stage's name stands."""
    hours: Decimal
    after_sale: bool = False
    what: str | None = None
    """For work on no build: what was done."""


class Finished(NamedTuple):
    """A stage said to be finished."""

    date: date
    at: Place
    turn: int
    build: str
    stage: str
    stage_at: Place
    """Where the stage's name stands."""
    after_sale: bool = False


class Redone(NamedTuple):
    """A stage scraped off, to be done again with those that follow it."""

    date: date
    at: Place
    turn: int
    build: str
    stage: str
    after_sale: bool = False


class ShotTaken(NamedTuple):
    """A shot in the can."""

    date: date
    at: Place
    turn: int
    build: str
    stage: str | None
    """The stage it was taken in, where the note says."""
    shot: str
    minutes: Decimal | None = None
    speed: str | None = None


class PartHere(NamedTuple):
    """A part of a bill of materials that has come."""

    date: date
    at: Place
    turn: int
    build: str
    part: str
    qty: Decimal
    stage: str | None
    """The stage that waits for it."""


Work = Worked | Finished | Redone | ShotTaken | PartHere


def work_events(shop: Shop, today: date) -> tuple[Work, ...]:
    """Every event of work up to and on `today`, by day and then in the order of the notes.

    A line that names no known build is left out: the reader of the notes tells it.
    """
    events = _of_parts(shop, today)
    turn = len(events)
    for note in shop.notes:
        if note.date <= today:
            turn = _of_note(shop, note, turn + 1, events)
    return tuple(sorted(events, key=lambda event: (event.date, event.turn)))


def _of_parts(shop: Shop, today: date) -> list[Work]:
    events: list[Work] = []
    for build in shop.builds:
        for part in build.sheet.parts:
            if part.arrived is not None and part.arrived <= today:
                here = PartHere(date=part.arrived, at=part.where("arrived"), turn=len(events) + 1, build=build.id, part=part.part, qty=part.qty, stage=part.stage)
                events.append(here)
    return events


def _of_note(shop: Shop, note: Note, turn: int, events: list[Work]) -> int:
    """Add the events of one note from `turn` on; gives the next turn. Work on a stage the note itself redoes belongs to the new pass, its other work came before."""
    sheet = note.sheet
    own = note.build or shop.find(sheet.build)
    if not sheet.bench and not sheet.redo:
        return _of_flat(shop, note, own, turn, events)
    lines = lines_of(note)
    redone = tuple(name.casefold() for name in sheet.redo)
    later = tuple(line for line in lines if line.stage is not None and line.stage.casefold() in redone) if redone else ()
    for line in (line for line in lines if line not in later) if later else lines:
        _of_line(shop, note, own, line, turn, events)
        turn += 2
    if own is not None:
        for stage in sheet.redo:
            events.append(Redone(date=note.date, at=sheet.where("redo"), turn=turn, build=own, stage=stage, after_sale=sheet.after_sale))
            turn += 1
    for line in later:
        _of_line(shop, note, own, line, turn, events)
        turn += 2
    if sheet.shots:
        turn = _shots(shop, note, own, turn, _only_stage(lines), events)
    return turn


def _of_flat(shop: Shop, note: Note, own: str | None, turn: int, events: list[Work]) -> int:
    """The same for the usual note, which has its one stage and hours written flat and nothing redone: it needs no lines made of it."""
    sheet = note.sheet
    noted = sheet.stage is not None or sheet.hours is not None
    if noted and (own is not None or sheet.stage is None):
        stage_at = sheet.where("stage") if sheet.wrote("stage") else sheet.where("hours")
        _done(note.date, own, sheet, stage_at, sheet.after_sale, None, turn, events)
    if noted:
        turn += 2
    if sheet.shots:
        turn = _shots(shop, note, own, turn, sheet.stage, events)
    return turn


def lines_of(note: Note) -> tuple[Bench, ...]:
    """The note's work: the flat stage and hours, then the list."""
    sheet = note.sheet
    if sheet.stage is None and sheet.hours is None:
        return sheet.bench
    at = sheet.where("stage") if sheet.wrote("stage") else sheet.where("hours")
    return (Bench(stage=sheet.stage, hours=sheet.hours, finished=sheet.finished, coats=sheet.coats, at=at, marks=sheet.marks), *sheet.bench)


def _of_line(shop: Shop, note: Note, own: str | None, line: Bench, turn: int, events: list[Work]) -> None:
    build = shop.find(line.build) if line.build is not None else own
    if line.place is not None:
        build = None
    elif build is None and (line.build is not None or line.stage is not None):
        return
    _done(note.date, build, line, line.where("stage"), note.sheet.after_sale or line.after_sale, line.what, turn, events)


def _done(day: date, build: str | None, line: Bench | NoteSheet, stage_at: Place, after: bool, what: str | None, turn: int, events: list[Work]) -> None:
    stage = line.stage
    if line.hours is not None:
        events.append(Worked(day, line.where("hours"), turn, build, stage, stage_at, line.hours, after, what))
    if line.finished and stage is not None and build is not None:
        events.append(Finished(day, line.where("finished"), turn + 1, build, stage, stage_at, after))


def _shots(shop: Shop, note: Note, own: str | None, turn: int, single: str | None, events: list[Work]) -> int:
    for shot in note.sheet.shots:
        build = shop.find(shot.build) if shot.build is not None else own
        if build is not None:
            events.append(ShotTaken(date=note.date, at=shot.at, turn=turn, build=build, stage=shot.stage or single, shot=shot.shot, minutes=shot.minutes, speed=shot.speed))
            turn += 1
    return turn


def _only_stage(lines: tuple[Bench, ...]) -> str | None:
    stages = {line.stage for line in lines if line.stage is not None}
    return stages.pop() if len(stages) == 1 else None
