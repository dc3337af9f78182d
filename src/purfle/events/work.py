"""What hands did: hours, stages finished and done again, shots taken, parts that came.

Each event carries `turn`, its place in the order of work, because a sort by file and line alone would put a pass
that is opened after the hours that belong to it.
Invariant: repeats what the notes say; whether a stage exists or was finished before is not known here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.place import Place
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import Bench


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A stage said to be finished."""

    date: date
    at: Place
    turn: int
    build: str
    stage: str
    stage_at: Place
    """Where the stage's name stands."""
    after_sale: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Redone:
    """A stage scraped off, to be done again with those that follow it."""

    date: date
    at: Place
    turn: int
    build: str
    stage: str
    after_sale: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotTaken:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class PartHere:
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
    return tuple(sorted(_all(shop, today), key=lambda event: (event.date, event.turn)))


def _all(shop: Shop, today: date) -> Iterator[Work]:
    turn = 0
    for build in shop.builds:
        for part in build.sheet.parts:
            if part.arrived is not None and part.arrived <= today:
                turn += 1
                yield PartHere(date=part.arrived, at=part.where("arrived"), turn=turn, build=build.id, part=part.part, qty=part.qty, stage=part.stage)
    for note in shop.notes:
        if note.date <= today:
            for event in _of_note(shop, note, turn + 1):
                turn = event.turn
                yield event


def _of_note(shop: Shop, note: Note, turn: int) -> Iterator[Work]:
    """Events of one note. Work on a stage the note itself redoes belongs to the new pass; its other work came before."""
    own = note.build or shop.find(note.sheet.build)
    redone = tuple(name.casefold() for name in note.sheet.redo)
    lines = sorted(lines_of(note), key=lambda line: line.stage is not None and line.stage.casefold() in redone)
    before = sum(1 for line in lines if line.stage is None or line.stage.casefold() not in redone)
    for line in lines[:before]:
        yield from _of_line(shop, note, own, line, turn)
        turn += 2
    if own is not None:
        for stage in note.sheet.redo:
            yield Redone(date=note.date, at=note.sheet.where("redo"), turn=turn, build=own, stage=stage, after_sale=note.sheet.after_sale)
            turn += 1
    for line in lines[before:]:
        yield from _of_line(shop, note, own, line, turn)
        turn += 2
    yield from _shots(shop, note, own, turn)


def lines_of(note: Note) -> tuple[Bench, ...]:
    """The note's work: the flat stage and hours, then the list."""
    sheet = note.sheet
    if sheet.stage is None and sheet.hours is None:
        return sheet.bench
    at = sheet.where("stage") if sheet.wrote("stage") else sheet.where("hours")
    return (Bench(stage=sheet.stage, hours=sheet.hours, finished=sheet.finished, coats=sheet.coats, at=at, marks=sheet.marks), *sheet.bench)


def _of_line(shop: Shop, note: Note, own: str | None, line: Bench, turn: int) -> Iterator[Worked | Finished]:
    build = shop.find(line.build) if line.build is not None else own
    if line.place is not None:
        build = None
    elif build is None and (line.build is not None or line.stage is not None):
        return
    after = note.sheet.after_sale or line.after_sale
    if line.hours is not None:
        yield Worked(date=note.date, at=line.where("hours"), turn=turn, build=build, stage=line.stage, stage_at=line.where("stage"), hours=line.hours, after_sale=after, what=line.what)
    if line.finished and line.stage is not None and build is not None:
        yield Finished(date=note.date, at=line.where("finished"), turn=turn + 1, build=build, stage=line.stage, stage_at=line.where("stage"), after_sale=after)


def _shots(shop: Shop, note: Note, own: str | None, turn: int) -> Iterator[ShotTaken]:
    single = _only_stage(note)
    for shot in note.sheet.shots:
        build = shop.find(shot.build) if shot.build is not None else own
        if build is not None:
            yield ShotTaken(date=note.date, at=shot.at, turn=turn, build=build, stage=shot.stage or single, shot=shot.shot, minutes=shot.minutes, speed=shot.speed)
            turn += 1


def _only_stage(note: Note) -> str | None:
    stages = {line.stage for line in lines_of(note) if line.stage is not None}
    return stages.pop() if len(stages) == 1 else None
