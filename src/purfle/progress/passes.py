"""What was done of each stage: sessions, finishes and passes, told from the events in their order.

A stage that only rests needs no note: its time runs from the day on which all it follows is free and its parts are here, or, where it stands
first, from the day the instrument is here, or has its first note. A note on it says no other day, for nothing else began that time;
but one that says it is to rest again does.

Invariant: looks at one build's own events once, in order; knows nothing of other builds or of the future.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
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
    return tuple(StageProgress(stage, (*tale.over[stage.name], tale.current[stage.name]), free_on(stage, tale.current[stage.name])) for stage in route)


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
        self.stages = {folded(s.name): s for s in route}
        self.before, self.after = before(route), after(route)
        self.current = {s.name: Pass(1) for s in route}
        """The pass that each stage is in."""
        self.over: dict[str, list[Pass]] = {s.name: [] for s in route}
        """Those that were opened again."""
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
                current = self.current[stage.name]
                free = None if current.finished else self._free(stage)
                start = max(free, current.since or free, stage.parts_here or free) if free else None
                if start is not None and start <= day:
                    self.current[stage.name] = current._replace(finished=start, by_itself=True)
                    begun = True

    def _free(self, stage: RouteStage) -> date | None:
        """The day on which all that a stage follows is free; None while that is not known."""
        if not stage.follows:
            return self.here
        days = [free_on(s, self.current[s.name]) for s in self.route if s.name in stage.follows]
        known = [day for day in days if day is not None]
        return max(known) if len(known) == len(days) else None

    def worked(self, event: Worked) -> None:
        if event.stage is None or event.after_sale or (stage := self._stage(event.stage)) is None:
            return
        current = self.current[stage.name]
        if current.assumed:
            self.current[stage.name] = current._replace(finished=None, finished_at=None, assumed=False)
        elif current.finished is not None and stage.wait is None and not current.by_itself:
            self._finished_already(stage.name, event.at, current, "hours stand on")
        self._session(stage, event, event.hours)

    def sent_out(self, event: SentOut) -> None:
        stage = self._stage(event.stage)
        if stage is not None and stage.wait is not None and self.current[stage.name].finished is None:
            self._session(stage, event, Decimal(0))

    def finished(self, event: Finished) -> None:
        if event.after_sale or (stage := self._stage(event.stage)) is None:
            return
        current = self.current[stage.name]
        if current.by_itself:
            self.current[stage.name] = current._replace(finished_at=current.finished_at or event.at)
        elif current.finished is not None and not current.assumed and stage.wait is None:
            self._finished_already(stage.name, event.at, current, "a finish stands on")
        else:
            self._earlier(stage, event)
            self.current[stage.name] = current._replace(finished=event.date, finished_at=event.at, assumed=False)

    def redone(self, event: Redone) -> None:
        if event.after_sale or (stage := self._stage(event.stage)) is None:
            return
        name = stage.name
        if not self.current[name].begun:
            # Named beside an earlier stage that has just reopened it: said twice, meant once.
            if self.current[name].number == 1:
                self.troubles.add(
                    event.at, "redo-never-done", f"{name} is to be done again and was never begun", "take it out of redo, or note the work that was scraped off"
                )
            return
        for again in (name, *self.after[name]):
            last = self.current[again]
            if last.begun:
                self.over[again].append(last)
                self.current[again] = Pass(last.number + 1, since=event.date)

    def _session(self, stage: RouteStage, event: Worked | SentOut, hours: Decimal) -> None:
        """Work on a stage, which takes those before it as finished and may begin on what still cures."""
        self._earlier(stage, event)
        current = self.current[stage.name]
        if not current.sessions:
            self._cured(stage, event)
        self.current[stage.name] = current._replace(sessions=(*current.sessions, Session(event.date, hours, event.at)))

    def _stage(self, name: str) -> RouteStage | None:
        """The stage that a note names; None for one that the route has not, which is told elsewhere."""
        return self.stages.get(folded(name))

    def _finished_already(self, name: str, at: Place, current: Pass, what: str) -> None:
        """Tell it once a note: hours and a finish on one line are one slip."""
        if (key := (name, at.file)) in self.told_again:
            return
        self.told_again.add(key)
        found = f"{what} {name}, which was finished on {current.finished}"
        mend = f"write redo: [{name}] if it was scraped off, take its stage: out if this is other work since, or finished: yes out of the note of {current.finished}"
        self.troubles.add(at, AGAIN, found, mend)

    def _cured(self, begun: RouteStage, event: Worked | SentOut) -> None:
        """Tell work that begins on something that is still curing, as far as the notes say."""
        for stage in self.route:
            current = self.current[stage.name]
            cure = None if current.finished is None else stage.cure_on(current.finished)
            if stage.name not in begun.follows or current.finished is None or cure is None or current.assumed:
                continue
            free = current.finished + timedelta(days=cure.days)
            if event.date < free and (key := (begun.name, stage.name, current.number)) not in self.told_uncured:
                self.told_uncured.add(key)
                found = f"{begun.name} was begun on {event.date} and {stage.name} cures until {free}"
                self.troubles.add(
                    event.stage_at, "cure-cut-short", found, f"check the cure of {stage.name} against the product's data sheet, or the day of the note"
                )

    def _earlier(self, begun: RouteStage, event: Worked | Finished | SentOut) -> None:
        """Take the unfinished stages before this one as finished, and say so."""
        name, before = begun.name, self.before[begun.name]
        unfinished = [s for s in self.route if s.name in before and s.name != name and self.current[s.name].finished is None]
        if not unfinished:
            return
        for earlier in unfinished:
            self.current[earlier.name] = self.current[earlier.name]._replace(finished=event.date, finished_at=event.at, assumed=True)
        pairs = {(name, earlier.name) for earlier in unfinished}
        if not pairs <= self.told_early:
            self.told_early |= pairs
            names = listed([earlier.name for earlier in unfinished], last="and")
            are = "is" if len(unfinished) == 1 else "are"
            found = f"{name} was begun and {names} {are} not finished; taken as finished"
            waiting = [earlier.name for earlier in unfinished if earlier.parts_here == date.max]
            parts = f"add arrived: to the parts that {listed(waiting, last='and')} waited for, " if waiting else ""
            self.troubles.add(
                event.stage_at,
                EARLY,
                found,
                f"{parts}note finished: yes on {names}, or write another stage here; under stages: on the build sheet, skip: yes is for what was left out, and follows: on {name} says what it does wait for",
            )
