"""The finish schedule: coats, recoat windows, and from when what follows can be done.

Cures are the route's own, which the plan uses too. A window is judged by the hours that certainly lay between two coats:
exactly where the notes say the time of day, else by the most and the least that two days allow.
Error: a day without times of day is known only to within 24 hours either way, and then only what is surely outside is told.
Invariant: the product's data sheet is the authority; nothing here permits anything.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.quantities import wait
from purfle.base.trouble import Wrong
from purfle.notes.records.note import Bench
from purfle.notes.records.shop import CureSheet, ShopSheet
from purfle.progress.model import Progress, RouteStage, StageProgress
from purfle.progress.routes import before


@dataclass(frozen=True, slots=True)
class Window:
    """When the next coat may go on, in hours after the last; None leaves that side open."""

    within: float | None
    after: float | None

    def missed(self, least: float, most: float) -> bool:
        """Whether a gap that lies surely between `least` and `most` hours is surely outside."""
        late = self.within is None or least > self.within
        early = self.after is None or most < self.after
        if self.within is None or self.after is None:
            return (self.within is not None and late) or (self.after is not None and early)
        return late and early


_SIDE = re.compile(r"(within|after)\s+(.+?)(?=\s+or\s+|\s*[,;]\s*|$)")


def window(words: str) -> Window:
    """A recoat window as written: `within 2 h or after 24 h`, `after 12 h`, `within 3 days`. Raises `Wrong` for other words."""
    text = folded(words)
    sides = {match[1]: match[2] for match in _SIDE.finditer(text)}
    rest = re.sub(r"\bor\b|[,;\s]", "", _SIDE.sub("", text))
    if not sides or rest:
        raise Wrong(
            "recoat-unreadable", f"recoat window “{words}” is neither within nor after a time", "write within 2 h or after 24 h, as the product's sheet has it"
        )
    try:
        found = {side: _hours(time_words) for side, time_words in sides.items()}
    except Wrong as wrong:
        raise Wrong("recoat-unreadable", f"recoat window “{words}”: {wrong.found}", "write within 2 h or after 24 h, as the product's sheet has it") from None
    return Window(found.get("within"), found.get("after"))


_MINUTES = re.compile(r"([0-9]+)\s*(?:min|minutes?)")
_HALVES = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(?:h|hours?|hrs?)")


def _hours(words: str) -> float:
    if match := _MINUTES.fullmatch(words.strip()):
        return float(match[1]) / 60
    if match := _HALVES.fullmatch(words.strip()):  # 36 h is 36 h here; as a cure it would round up to whole days
        return float(match[1])
    found = wait(words)
    return found.days * 24 + float(found.hours)


# --- the schedule ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Moment:
    """A coat, or a day of work on a coat whose time is not noted."""

    date: date
    time: time | None
    at: Place


_Times = Mapping[str, Sequence[Moment]]
Work = Sequence[tuple[date, Bench]]
"""Lines of work on one build with their day, in order."""


@dataclass(frozen=True, slots=True)
class CoatRow:
    """A stage that leaves something to cure."""

    stage: str
    coat: str
    """The entry of the cure table; empty for a cure written as a time."""
    cure: str
    window: str
    """As the cure table words it."""
    coats: int
    """Coats noted with their time, else days of work on it, in the pass it is in."""
    finished: date | None
    expected: bool
    """The day is the plan's, not yet noted."""
    free: date | None
    """The first day on which it can be worked on."""
    warm: str
    """The warmth the figures hold for; empty when not given."""
    sheet: str
    """Where the product's sheet is kept; empty when not given."""
    at: Place
    until: datetime | None = None
    """While the stage is not finished and its last coat's time is noted: when the first part of the window closes."""
    again: datetime | None = None
    """And when the next coat may go on after that."""


@dataclass(frozen=True, slots=True)
class NextRow:
    """A stage that waits for a coat: from when it can be begun, as far as coats and cures go."""

    stage: str
    does: str
    """What it is to a finisher: sand, buff, assemble or string; empty for other work."""
    opens: date | None
    """None while a coat before it has no day yet."""
    expected: bool
    begun: date | None


@dataclass(frozen=True, slots=True)
class Schedule:
    """Coats and what follows them, in the route's order."""

    coats: tuple[CoatRow, ...]
    follow: tuple[NextRow, ...]


_DOES = (
    ("buff", ("buff", "rub", "polish", "gloss")),
    ("sand", ("sand", "level", "flat", "scuff")),
    ("string", ("string", "setup", "set-up", "set up")),
    ("assemble", ("assembl", "wiring", "hardware", "fit", "mount", "line")),
)
"""Words in a stage's name that say what is done to the finish there; the shop's own words are shown beside it."""


def schedule_of(settings: ShopSheet, progress: Progress, work: Work, expected: Mapping[str, date]) -> Schedule | None:
    """The schedule of one build; None when no stage of its route cures.

    `work` is what is noted of it, `expected` is the plan's likely last day of each stage that is not finished, by name.
    """
    table = {entry.name: entry.value for entry in settings.cures}
    coated = [stage for stage in progress.stages if stage.stage.cure is not None]
    if not coated:
        return None
    times = _noted(work)
    free = {stage.stage.name: _free(stage, expected) for stage in progress.stages}
    coats = tuple(_coat(stage, table.get(stage.stage.coat or ""), times, free) for stage in coated)
    needed = before([stage.stage for stage in progress.stages])
    names = {stage.stage.name for stage in coated}
    follow = tuple(
        _next(stage, names & needed[stage.stage.name], free) for stage in progress.stages if names & needed[stage.stage.name] and stage.stage.cure is None
    )
    return Schedule(coats, follow)


_Free = tuple[date | None, date | None, bool]


def _free(stage: StageProgress, expected: Mapping[str, date]) -> _Free:
    """The last day of work, the first free day, and whether both are only expected."""
    if stage.finished:
        return stage.current.finished, stage.free_on, False
    day = expected.get(stage.stage.name)
    cure = None if day is None else stage.stage.cure_on(day)
    return day, None if day is None else day + timedelta(days=0 if cure is None else cure.days), True


def _coat(stage: StageProgress, entry: CureSheet | None, times: _Times, free: Mapping[str, _Free]) -> CoatRow:
    finished, opens, expected = free[stage.stage.name]
    noted = _of_pass(stage, times)
    exact = sum(1 for moment in noted if moment.time is not None)
    return CoatRow(
        stage.stage.name,
        stage.stage.coat or "",
        stage.stage.cure_words if finished is None else stage.stage.cure_words_on(finished),
        stage.stage.recoat or "",
        exact or len(stage.current.sessions),
        finished,
        expected and finished is not None,
        opens,
        (entry.at_temperature if entry else None) or "",
        (entry.sheet if entry else None) or "",
        stage.stage.at,
        *_next_coat(stage, noted),
    )


def _next_coat(stage: StageProgress, noted: Sequence[Moment]) -> tuple[datetime | None, datetime | None]:
    """Until when, and from when again, the next coat of an open stage may go on."""
    last = noted[-1] if noted and not stage.finished else None
    if last is None or last.time is None or stage.stage.recoat is None:
        return None, None
    try:
        allowed = window(stage.stage.recoat)
    except Wrong:
        return None, None
    at = datetime.combine(last.date, last.time)
    return tuple(None if hours is None else at + timedelta(hours=min(hours, 10_000)) for hours in (allowed.within, allowed.after))  # type: ignore[return-value]


def _next(stage: StageProgress, coats: set[str] | frozenset[str], free: Mapping[str, _Free]) -> NextRow:
    days = [free[name] for name in coats]
    opens = None if any(day is None for _, day, _ in days) else max(day for _, day, _ in days if day is not None)
    name = stage.stage.name.casefold()
    does = next((word for word, starts in _DOES if any(start in name for start in starts)), "")
    return NextRow(stage.stage.name, does, opens, any(expected for _, _, expected in days), stage.current.begun)


# --- the windows -------------------------------------------------------------------------------------------------------


def _noted(work: Work) -> dict[str, list[Moment]]:
    """Every coat of a build by its stage's name, folded, in order of time."""
    found: dict[str, list[Moment]] = {}
    for day, line in work:
        if line.stage is not None and (line.coats or line.hours):
            at = line.where("coats") if line.wrote("coats") else line.where("stage")
            found.setdefault(folded(line.stage), []).extend([Moment(day, clock, at) for clock in sorted(line.coats)] or [Moment(day, None, at)])
    return found


@dataclass(frozen=True, slots=True)
class Missed:
    """A coat that surely went on outside the window of the one under it."""

    stage: str
    under: str
    """The stage of the coat under it; the same for the next coat of one stage."""
    window: str
    least: float
    most: float
    """Hours between the two; the same twice when both times are noted."""
    sheet: str
    at: Place


def missed_windows(settings: ShopSheet, progress: Progress, work: Work) -> Iterator[Missed]:
    """Coats outside the window of the one under them, in the pass each stage is in."""
    times = _noted(work)
    table = {entry.name: entry.value for entry in settings.cures}
    stages = {stage.stage.name: stage for stage in progress.stages}
    for upper, lower in _layers([stage.stage for stage in progress.stages]):
        yield from _judged(stages[lower], _of_pass(stages[lower], times)[-1:], stages[upper], _of_pass(stages[upper], times)[:1], table)
    for stage in progress.stages:
        for one, other in pairwise(_of_pass(stage, times)):
            yield from _judged(stage, [one], stage, [other], table)


def _of_pass(stage: StageProgress, times: _Times) -> list[Moment]:
    """The coats of the pass a stage is in."""
    first = stage.current.begun
    return [moment for moment in times.get(folded(stage.stage.name), ()) if first is not None and first <= moment.date]


def _judged(lower: StageProgress, under: Sequence[Moment], upper: StageProgress, over: Sequence[Moment], table: Mapping[str, CureSheet]) -> Iterator[Missed]:
    words = lower.stage.recoat
    if words is None or not under or not over:
        return
    try:
        allowed = window(words)
    except Wrong:  # told where the cure table is checked
        return
    least, most = _between(under[0], over[0])
    if most > 0 and allowed.missed(least, most):
        entry = table.get(lower.stage.coat or "")
        yield Missed(upper.stage.name, lower.stage.name, words, least, most, (entry.sheet if entry else None) or "", over[0].at)


def _between(one: Moment, other: Moment) -> tuple[float, float]:
    """The least and the most hours that can lie between two coats."""
    last = datetime.combine(one.date, one.time or time.max)
    first = datetime.combine(one.date, one.time or time.min)
    earliest = datetime.combine(other.date, other.time or time.min)
    latest = datetime.combine(other.date, other.time or time.max)
    return (earliest - last).total_seconds() / 3600, (latest - first).total_seconds() / 3600


# --- what lies on what -------------------------------------------------------------------------------------------------


def _layers(route: Sequence[RouteStage]) -> Iterator[tuple[str, str]]:
    """Each coat with the coats straight under it: those before it with no other coat in between."""
    needed = before(route)
    coats = [stage.name for stage in route if stage.coat is not None]
    for upper in coats:
        under = [name for name in coats if name in needed[upper] and name != upper]
        for lower in under:
            if not any(lower in needed[other] for other in under if other != lower):
                yield upper, lower


def refused_layers(settings: ShopSheet, progress: Progress) -> Iterator[tuple[RouteStage, RouteStage, CureSheet]]:
    """Coats that the cure table marks as not to go over the one under them: upper, lower, and the upper's entry."""
    table = {entry.name: entry.value for entry in settings.cures}
    stages = {stage.stage.name: stage.stage for stage in progress.stages}
    for upper, lower in _layers([stage.stage for stage in progress.stages]):
        entry = table[stages[upper].coat or ""]
        if folded(stages[lower].coat or "") in {folded(name) for name in entry.not_over}:
            yield stages[upper], stages[lower], entry
