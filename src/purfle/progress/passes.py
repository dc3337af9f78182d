"""What was done of each stage: sessions, finishes and passes, told from the events in their order.

A stage that only rests needs no note: its time runs from the day on which all it follows is free and its parts are here, or, where it stands
first, from the day the instrument is here, or has its first note. A note on it says no other day, for nothing else began that time;
but one that says it is to rest again does.

Invariant: looks at one build's own events once, in order; knows nothing of other builds or of the future.
"""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Troubles, listed
from purfle.events.work import Finished, Redone, SentOut, Work, Worked
from purfle.progress.model import Pass, RouteStage, Session, StageProgress
from purfle.progress.routes import after, before

EARLY, AGAIN = "stage-begun-early", "stage-finished-already"


@dataclass(slots=True)
class _Open:
    """A pass being told."""

    number: int
    since: date | None = None
    """The day of the note that opened it again; None for the first."""
    sessions: list[Session] = field(default_factory=list)
    finished: date | None = None
    finished_at: Place | None = None
    assumed: bool = False
    by_itself: bool = False

    @property
    def begun(self) -> bool:
        return bool(self.sessions) or self.finished is not None

    def closed(self) -> Pass:
        return Pass(self.number, tuple(self.sessions), self.finished, self.finished_at, self.assumed, self.by_itself, self.since)


def stages_of(route: Sequence[RouteStage], events: Iterable[Work], here: date | None, today: date, troubles: Troubles) -> tuple[StageProgress, ...]:
    """The stages of one route on `today`, with what the build's events, in order, did to them; `here` is the day the instrument came.

    Warranty work (`after_sale`) is no pass. A stage that the route has not is passed over.
    """
    tale = _Tale(route, here, troubles)
    for event in _in_turn(route, events):
        tale.rested(event.date)
        if isinstance(event, Worked):
            tale.worked(event)
        elif isinstance(event, Finished):
            tale.finished(event)
        elif isinstance(event, Redone):
            tale.redone(event)
        else:
            tale.sent_out(event)
    tale.rested(today)
    return tuple(_told(stage, tale.passes[stage.name]) for stage in route)


def _in_turn(route: Sequence[RouteStage], events: Iterable[Work]) -> Iterator[Work]:
    """The events, those of one day by the route and each stage's finish after its hours: which of a day's notes is read first is up to their names.

    A day on which something was scraped off keeps the order of its notes, which says what came before that and what after.
    """
    places = {folded(stage.name): place for place, stage in enumerate(route)}

    def turn(event: Work) -> tuple[int, bool]:
        return places.get(folded(event.stage or ""), -1), isinstance(event, Finished)

    for _, day in groupby(events, lambda event: event.date):
        noted = list(day)
        again = any(isinstance(event, Redone) for event in noted)
        yield from noted if again or len(noted) == 1 else sorted(noted, key=turn)


def _told(stage: RouteStage, passes: Sequence[_Open]) -> StageProgress:
    closed = tuple(p.closed() for p in passes)
    return StageProgress(stage, closed, free_on(stage, closed[-1]))


def free_on(stage: RouteStage, current: Pass) -> date | None:
    """The first day on which what follows may begin; None while the pass is not finished.

    Work that ends on day D with N days of cure frees day D + N; a cure of hours frees the same day. Outside work
    begins with the last hours noted. A finish that is noted later, without hours or once the shortest wait is over,
    says that the work is back.
    """
    if current.finished is None:
        return None
    cure = stage.cure_on(current.finished)
    days = 0 if cure is None or current.assumed else cure.days
    return (back_on(stage, current) or current.finished) + timedelta(days=days)


def back_on(stage: RouteStage, current: Pass) -> date | None:
    """The day on which the outside work of a finished pass is expected back; None where there is none, or it was said to be back."""
    if stage.wait is None or current.finished is None or current.assumed or _is_back(stage, current):
        return None
    return current.finished + timedelta(days=math.ceil(stage.wait.mean))


def _is_back(stage: RouteStage, current: Pass) -> bool:
    assert stage.wait is not None and current.finished is not None
    worked_that_day = any(s.date == current.finished for s in current.sessions)
    if not worked_that_day:
        return True
    return (current.finished - current.sessions[0].date).days >= max(math.ceil(stage.wait.low), 1)


class _Tale:
    """The passes of one build while its events are told one by one."""

    def __init__(self, route: Sequence[RouteStage], here: date | None, troubles: Troubles) -> None:
        self.route, self.here, self.troubles = route, here, troubles
        self.resting = [s for s in route if s.rests]
        self.names = {folded(s.name): s.name for s in route}
        self.waits = {s.name for s in route if s.wait is not None}
        self.before: Mapping[str, frozenset[str]] = before(route)
        self.follows = {s.name: s.follows for s in route}
        self.after: Mapping[str, frozenset[str]] = after(route)
        self.passes = {s.name: [_Open(1)] for s in route}
        self.told_again: set[tuple[str, str]] = set()
        """Stage and file, where work on what was finished was told."""
        self.told_uncured: set[tuple[str, str, int]] = set()
        """Stage, the one it follows and the pass of that, where it was told that this was still curing."""
        self.told_early: set[tuple[str, str]] = set()
        """Stage and the unfinished one before it, where it was told that it was begun early."""

    def rested(self, day: date) -> None:
        """Begin the time of every stage that rests and whose turn came up to a day, in the route's order; one may free the next."""
        begun = True
        while begun:
            begun = False
            for stage in self.resting:
                current = self.passes[stage.name][-1]
                free = None if current.finished else self._free(stage)
                start = max(free, current.since or free, stage.parts_here or free) if free else None
                if start is not None and start <= day:
                    current.finished, current.by_itself, begun = start, True, True

    def _free(self, stage: RouteStage) -> date | None:
        """The day on which all that a stage follows is free; None while that is not known."""
        if not stage.follows:
            return self.here
        days = [free_on(s, self.passes[s.name][-1].closed()) for s in self.route if s.name in stage.follows]
        known = [day for day in days if day is not None]
        return max(known) if len(known) == len(days) else None

    def worked(self, event: Worked) -> None:
        if event.stage is None or event.after_sale or (name := self._name(event.stage)) is None:
            return
        current = self.passes[name][-1]
        if current.assumed:
            current.finished, current.finished_at, current.assumed = None, None, False
        elif current.finished is not None and name not in self.waits and not current.by_itself:
            self._finished_already(name, event.at, current, "hours stand on")
        self._session(name, event, event.hours)

    def sent_out(self, event: SentOut) -> None:
        name = self._name(event.stage)
        if name is not None and name in self.waits and self.passes[name][-1].finished is None:
            self._session(name, event, Decimal(0))

    def finished(self, event: Finished) -> None:
        if event.after_sale or (name := self._name(event.stage)) is None:
            return
        current = self.passes[name][-1]
        if current.by_itself:
            current.finished_at = current.finished_at or event.at
            return
        if current.finished is not None and not current.assumed and name not in self.waits:
            self._finished_already(name, event.at, current, "a finish stands on")
            return
        self._earlier(name, event)
        current.finished, current.finished_at, current.assumed = event.date, event.at, False

    def redone(self, event: Redone) -> None:
        if event.after_sale or (name := self._name(event.stage)) is None:
            return
        if not self.passes[name][-1].begun:
            # Named beside an earlier stage that has just reopened it: said twice, meant once.
            if len(self.passes[name]) == 1:
                self.troubles.add(
                    event.at, "redo-never-done", f"{name} is to be done again and was never begun", "take it out of redo, or note the work that was scraped off"
                )
            return
        for again in (name, *self.after[name]):
            last = self.passes[again][-1]
            if last.begun:
                self.passes[again].append(_Open(last.number + 1, event.date))

    def _session(self, name: str, event: Worked | SentOut, hours: Decimal) -> None:
        """Work on a stage, which takes those before it as finished and may begin on what still cures."""
        current = self.passes[name][-1]
        self._earlier(name, event)
        if not current.sessions:
            self._cured(name, event)
        current.sessions.append(Session(event.date, hours, event.at))

    def _name(self, stage: str) -> str | None:
        """The stage as the route spells it; None for one that is not there, which is told elsewhere."""
        return self.names.get(folded(stage))

    def _finished_already(self, name: str, at: Place, current: _Open, what: str) -> None:
        """Tell it once a note: hours and a finish on one line are one slip."""
        if (key := (name, at.file)) in self.told_again:
            return
        self.told_again.add(key)
        found = f"{what} {name}, which was finished on {current.finished}"
        mend = f"write redo: [{name}] if it was scraped off, take its stage: out if this is other work since, or finished: yes out of the note of {current.finished}"
        self.troubles.add(at, AGAIN, found, mend)

    def _cured(self, name: str, event: Worked | SentOut) -> None:
        """Tell work that begins on something that is still curing, as far as the notes say."""
        for stage in self.route:
            current = self.passes[stage.name][-1]
            if stage.name not in self.follows[name] or stage.cure is None or current.finished is None or current.assumed:
                continue
            cure = stage.cure_on(current.finished) or stage.cure
            free = current.finished + timedelta(days=cure.days)
            if event.date < free and (key := (name, stage.name, current.number)) not in self.told_uncured:
                self.told_uncured.add(key)
                found = f"{name} was begun on {event.date} and {stage.name} cures until {free}"
                self.troubles.add(
                    event.stage_at, "cure-cut-short", found, f"check the cure of {stage.name} against the product's data sheet, or the day of the note"
                )

    def _earlier(self, name: str, event: Worked | Finished | SentOut) -> None:
        """Take the unfinished stages before this one as finished, and say so."""
        unfinished = [s.name for s in self.route if s.name in self.before[name] and s.name != name and self.passes[s.name][-1].finished is None]
        if not unfinished:
            return
        for earlier in unfinished:
            current = self.passes[earlier][-1]
            current.finished, current.finished_at, current.assumed = event.date, event.at, True
        pairs = {(name, earlier) for earlier in unfinished}
        if not pairs <= self.told_early:
            self.told_early |= pairs
            names = listed(unfinished, last="and")
            are = "is" if len(unfinished) == 1 else "are"
            found = f"{name} was begun and {names} {are} not finished; taken as finished"
            waiting = [s.name for s in self.route if s.name in unfinished and s.parts_here == date.max]
            parts = f"add arrived: to the parts that {listed(waiting, last='and')} waited for, " if waiting else ""
            self.troubles.add(
                event.stage_at,
                EARLY,
                found,
                f"{parts}note finished: yes on {names}, or write another stage here; under stages: on the build sheet, skip: yes is for what was left out, and follows: on {name} says what it does wait for",
            )
