"""The shop and its progress as a situation: what is left to do, what it waits for, what is due.

Invariant: places nothing; everything it says follows from the notes up to today.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import accumulate
from operator import itemgetter

from purfle.base.groups import grouped
from purfle.base.times import QUARTERS, quarters, whole
from purfle.bench.arrivals import Supply, supply_of, waiting_of
from purfle.bench.calendar import bench_quarters, index_of
from purfle.bench.learn import Habit, Habits, habits_of, mean, vague
from purfle.bench.shelf import Shelf, moves_of, shelf_on
from purfle.bench.steps import Doubt, Due, Situation, Step, Waiting, followers_of
from purfle.events.work import hours_of
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import Hold
from purfle.progress.model import Progress, StageProgress
from purfle.progress.routes import beyond, circle
from purfle.progress.standing import arrived_on
from purfle.progress.states import stage_is_away, stage_is_out

FARTHEST = 1830
"""Days beyond which nothing is planned: five years."""
YEAR = 366
ROOM = 1.5
"""Bench hours looked ahead to, as a multiple of those needed: a tighter horizon can make a poor order look best."""

Promised = tuple[str, str, date]


def situation_of(shop: Shop, progress: Mapping[str, Progress], promised: Sequence[Promised], today: date, more: int = 0) -> Situation:
    """What the plan starts from on a day, by all that the notes say up to it; `more` as for `gather`."""
    return gather(shop, shelf_on(moves_of(shop), today), progress, habits_of(progress.values()), promised, today, more)


def gather(shop: Shop, shelf: Shelf, progress: Mapping[str, Progress], habits: Habits, promised: Sequence[Promised], today: date, more: int = 0) -> Situation:
    """The same by what is known of shelf and habits; `more` are quarter hours to look ahead for beyond the work there is."""
    steps: list[Step] = []
    dues: list[Due] = []
    wholes: list[Due] = []
    doubts: list[Doubt] = []
    barred: dict[int, str] = {}
    supply, by_build = supply_of(shop.settings, shelf, today), grouped(promised, itemgetter(0))
    for build in shop.builds:
        told = progress.get(build.id)
        if told is None or told.closed_on is not None or told.state == "kept":
            continue
        numbers = _steps(build, told, supply, habits, today, steps, barred)
        doubts += _doubts(build, told, numbers, habits, today)
        whole = _whole(shop, build, told, numbers, today)
        if whole.steps or whole.settled:
            wholes.append(whole)
            dues += [whole] if build.sheet.due is not None else []
        dues += _promises(shop, build, told, numbers, by_build.get(build.id, ()), today)
    steps = _hours_waited_out(steps)
    free = _free(shop, steps, today, more)
    widest = max(free, default=0)
    return Situation(today, free, tuple(_fitted(step, widest) for step in steps), tuple(dues), barred, tuple(doubts), tuple(wholes))


def _hours_waited_out(steps: Sequence[Step]) -> list[Step]:
    """The steps with each rest of hours waited out: what takes no hands has no place in a day, so the hands before it bear its hours, and what follows it follows them."""
    found, followers = list(steps), followers_of(steps)
    rests = [number for number, step in enumerate(steps) if not step.quarters and step.wait is None and step.cure_quarters]
    rests.sort(key=lambda rest: len(beyond([rest], lambda one: steps[one].after)))  # of two in a row the first one first, wherever the sheet has them
    for number in rests:
        rest, after = steps[number], found[number].after
        for before in after:
            if found[before].quarters and not found[before].lag:
                found[before] = replace(found[before], cure_quarters=found[before].cure_quarters + rest.cure_quarters)
        for follower in followers[number]:
            step = found[follower]
            found[follower] = replace(step, after=tuple(dict.fromkeys((*step.after, *after))))
    return found


def _fitted(step: Step, widest: int) -> Step:
    """A stage of one day whose likely hours fit into the longest takes all of that day, not more, where what the shop is used to says more."""
    likely = whole((float(step.hours.likely) - step.done) * QUARTERS)
    return replace(step, quarters=widest) if step.whole and widest and likely <= widest < step.quarters else step


def _steps(build: Build, told: Progress, supply: Supply, habits: Habits, today: date, steps: list[Step], barred: dict[int, str]) -> dict[str, int]:
    """Add the build's unfinished stages to `steps`, and those whose outside work is not back; gives their numbers by stage."""
    open_stages = [stage for stage in told.stages if not stage.finished or stage_is_out(stage, today)]
    numbers = {stage.stage.name: len(steps) + i for i, stage in enumerate(open_stages)}
    in_circle = bool(circle([s.stage for s in told.stages]))
    endless = any(hold.since <= today and hold.until is None for hold in build.sheet.hold)
    for stage in open_stages:
        waiting = () if stage.finished else tuple(waiting_of(build.sheet, stage.stage, supply, bool(stage.current.sessions)))
        unknown = [words for words in waiting if isinstance(words, str)]
        if in_circle:
            barred[len(steps)] = "stages of its route wait for each other in a circle"
        elif endless:
            barred[len(steps)] = "the build is on hold and no last day is written"
        elif unknown:
            barred[len(steps)] = unknown[0]
        here = tuple(w for w in waiting if isinstance(w, Waiting))
        steps.append(_step(build, told.stages, stage, here, numbers, habits.of(stage.stage.name), today))
    return numbers


def _step(
    build: Build, stages: Sequence[StageProgress], stage: StageProgress, waiting: tuple[Waiting, ...], numbers: Mapping[str, int], habit: Habit, today: date
) -> Step:
    begun, away = bool(stage.current.sessions), stage_is_away(stage) or stage_is_out(stage, today)
    done = float(stage.current.hours)
    cure = stage.stage.cure
    return Step(
        build=build.id,
        stage=stage.stage.name,
        pass_number=stage.current.number,
        quarters=0 if away else _quarters_left(stage, habit, done),
        hours=stage.stage.hours,
        done=done,
        factor=habit.factor,
        spread=habit.spread,
        off=habit.off * vague(stage.stage.hours),
        own_off=habit.own_off * vague(stage.stage.hours),
        rework=habit.rework,
        whole=stage.stage.whole,
        after=tuple(numbers[name] for name in stage.stage.follows if name in numbers),
        release=0 if begun else _release(build, stages, stage, today),
        waiting=waiting,
        cured=0 if begun else _cured(stages, stage, today),
        cure_days=cure.days if cure is not None else 0,
        cure_quarters=quarters(cure.hours) if cure is not None else 0,
        wait=stage.stage.wait,
        away=max(0, (today - stage.current.sessions[-1].date).days) if away else 0,
        closed=tuple(_held(build.sheet.hold, today)),
        priority=build.sheet.priority,
    )


def _doubts(build: Build, told: Progress, numbers: Mapping[str, int], habits: Habits, today: date) -> Iterable[Doubt]:
    """Finished stages with hands that something follows, when nobody has worked on that yet."""
    for stage in told.stages:
        followers, rests = _hands_next(told.stages, stage)
        tried = not followers or any(other.finished or other.current.sessions for other in followers)
        habit = habits.of(stage.stage.name)
        if tried or stage.free_on is None or stage.current.by_itself or not habit.rework or mean(stage.stage.hours) <= 0 or stage_is_out(stage, today):
            continue
        step = _step(build, told.stages, stage, (), numbers, habit, today)
        release = max(0, index_of(today, stage.free_on))
        cure = step.cure_days + rests
        again = replace(step, pass_number=step.pass_number + 1, done=0.0, wait=None, away=0, cured=0, cure_days=cure, release=release, after=())
        yield Doubt(again, tuple(numbers[other.stage.name] for other in followers))


def _hands_next(stages: Sequence[StageProgress], stage: StageProgress, past: frozenset[str] = frozenset()) -> tuple[list[StageProgress], int]:
    """What follows a stage, beyond rests that began by themselves, which show no fault; and the days that those take. None is passed twice, in a circle."""
    found, rests = [], 0
    for other in (s for s in stages if stage.stage.name in s.stage.follows and s.stage.name not in past):
        if not other.current.by_itself:
            found.append(other)
            continue
        further, days = _hands_next(stages, other, past | {other.stage.name})
        found += further
        rests = max(rests, days + (other.stage.cure.days if other.stage.cure is not None else 0))
    return found, rests


def _quarters_left(stage: StageProgress, habit: Habit, done: float) -> int:
    """Expected quarter hours left; at least one on a stage with hands that is not finished."""
    expected = mean(stage.stage.hours)
    if expected <= 0 and not stage.current.sessions:
        return 0
    return max(1, whole((expected * habit.factor - done) * QUARTERS))


def _release(build: Build, stages: Sequence[StageProgress], stage: StageProgress, today: date) -> int:
    """The first day it may begin by what is finished, by when the instrument is here, and, where it is sent out without hands, by its holds."""
    frees = (s.free_on for s in stages if s.stage.name in stage.stage.follows and s.free_on is not None and not stage_is_out(s, today))
    day = max((_here(build, today), *(index_of(today, free) for free in frees)))
    for first, last in _held(build.sheet.hold, today) if stage.stage.wait is not None else ():
        day = last + 1 if first <= day <= last else day
    return day


def _cured(stages: Sequence[StageProgress], stage: StageProgress, today: date) -> int:
    """Quarter hours of today that a cure of hours still takes, when what the stage follows was finished today."""
    over = (
        s.stage.cure_on(today) for s in stages if s.stage.name in stage.stage.follows and s.free_on == s.current.finished == today and not s.current.assumed
    )
    return max((0, *(quarters(cure.hours) for cure in over if cure is not None)))


def _here(build: Build, today: date) -> int:
    """The day the instrument itself is here: one that is bought and on its way can't be worked on."""
    day = arrived_on(build)
    return 0 if day is None else max(0, index_of(today, day))


def _held(holds: Iterable[Hold], today: date) -> Iterable[tuple[int, int]]:
    for hold in sorted(holds, key=lambda h: h.since):
        last = FARTHEST if hold.until is None else index_of(today, hold.until)
        if last >= 0:
            yield max(0, index_of(today, hold.since)), last


def _whole(shop: Shop, build: Build, told: Progress, numbers: Mapping[str, int], today: date) -> Due:
    """The whole build, cured, by its date; where it has none, by the last day there is."""
    day = FARTHEST if build.sheet.due is None else index_of(today, build.sheet.due)
    settled = max((0, *(index_of(today, s.free_on) for s in told.stages if s.free_on is not None and not stage_is_out(s, today))))
    return Due(build.id, None, tuple(numbers.values()), day, float(shop.settings.lateness.due), True, settled)


def _promises(shop: Shop, build: Build, told: Progress, numbers: Mapping[str, int], promised: Iterable[Promised], today: date) -> Iterable[Due]:
    for _, name, day in promised:
        stage = told.stage(name)
        if stage is not None and not stage.finished:
            yield Due(build.id, stage.stage.name, (numbers[stage.stage.name],), index_of(today, day), float(shop.settings.lateness.promise), False)


def _free(shop: Shop, steps: Sequence[Step], today: date, more: int) -> tuple[int, ...]:
    """Quarter hours a day, as far ahead as the work can need with room to spare."""
    noted = hours_of(shop.notes_on(today))
    lags: dict[str, float] = {}
    for step in steps:
        lags[step.build] = lags.get(step.build, 0.0) + step.lag
    closed = max((last + 1 for step in steps for _, last in step.closed if last < FARTHEST), default=0)
    begins = max((step.begins for step in steps), default=0)
    waits = int(ROOM * max(lags.values(), default=0.0)) + begins + closed + 60
    off = max((math.hypot(step.off, step.own_off) for step in steps), default=0.0)
    needed = max(ROOM, math.exp(2 * off)) * sum(step.quarters for step in steps) + more  # two deviations: the 95 % day of a new shop lies within
    for days in (2 * YEAR, FARTHEST):
        free = bench_quarters(shop, today, days, noted)
        worked = next((day for day, sum_ in enumerate(accumulate(free, initial=0)) if sum_ >= needed), FARTHEST)
        if worked + waits <= days:
            return free[: worked + waits]
    return free
