"""Recoat windows: whether a coat went on within the window of the one under it, and whether it may lie on that at all.

A window is judged by the hours that certainly lay between two coats: exactly where the notes say the time of day, else by the
most and the least that two days allow.
Error: a day without times of day is known only to within 24 hours either way, and then only what is surely outside is told.
Invariant: the product's data sheet is the authority; nothing here permits anything.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import pairwise

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.times import wait
from purfle.base.trouble import Wrong
from purfle.notes.records.note import Bench
from purfle.notes.records.shop import CureSheet, ShopSheet
from purfle.progress.model import Progress, RouteStage, StageProgress
from purfle.progress.routes import before


@dataclass(frozen=True, slots=True)
class Window:
    """When the next coat may go on, in hours after the last; None leaves that side open, and never both."""

    within: float | None
    after: float | None

    def missed(self, least: float, most: float) -> bool:
        """Whether a gap that lies surely between `least` and `most` hours is surely outside."""
        return (self.within is None or least > self.within) and (self.after is None or most < self.after)


_MEND = "write within 2 h or after 24 h, as the product's data sheet has it"
_SIDE = re.compile(r"(within|after)\s+(.+?)(?=\s+or\s+|\s*[,;]\s*|$)")


def window(words: str) -> Window:
    """A recoat window as written: `within 2 h or after 24 h`, `after 12 h`, `within 3 days`. Raises `Wrong` for other words."""
    text = folded(words)
    sides = {match[1]: match[2] for match in _SIDE.finditer(text)}
    rest = re.sub(r"\bor\b|[,;\s]", "", _SIDE.sub("", text))
    if not sides or rest:
        raise Wrong("recoat-unreadable", f"recoat window “{words}” is neither within nor after a time", _MEND)
    try:
        found = {side: _hours(time_words) for side, time_words in sides.items()}
    except Wrong as wrong:
        raise Wrong("recoat-unreadable", f"recoat window “{words}”: {wrong.found}", _MEND) from None
    return Window(found.get("within"), found.get("after"))


_MINUTES = re.compile(r"([0-9]+)\s*(?:min|minutes?)")
_HOURS = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(?:h|hours?|hrs?)")


def _hours(words: str) -> float:
    if match := _MINUTES.fullmatch(words.strip()):
        return float(match[1]) / 60
    if match := _HOURS.fullmatch(words.strip()):  # 36 h is 36 h here; as a cure it would round up to whole days
        return float(match[1])
    found = wait(words)
    return found.days * 24 + float(found.hours)


# --- coats that were noted --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Moment:
    """A coat, or a day of work on a coat whose time is not noted."""

    date: date
    time: time | None
    at: Place


Times = Mapping[str, Sequence[Moment]]
"""Coats by the stage's name, folded, in order of time."""
Work = Sequence[tuple[date, Bench]]
"""Lines of work on one build with their day, in order."""


def coats_noted(work: Work) -> dict[str, list[Moment]]:
    """Every coat of a build by its stage's name, folded, in order of time."""
    found: dict[str, list[Moment]] = {}
    for day, line in work:
        if line.stage is not None and (line.coats or line.hours):
            at = line.where("coats") if line.wrote("coats") else line.where("stage")
            found.setdefault(folded(line.stage), []).extend([Moment(day, clock, at) for clock in sorted(line.coats)] or [Moment(day, None, at)])
    return found


def cure_table(settings: ShopSheet) -> dict[str, CureSheet]:
    """The shop's cure table by the name that a stage's coat has."""
    return {entry.name: entry.value for entry in settings.cures}


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
    times = coats_noted(work)
    table = cure_table(settings)
    stages = {stage.stage.name: stage for stage in progress.stages}
    for upper, lower in _layers([stage.stage for stage in progress.stages]):
        yield from _judged(stages[lower], of_pass(stages[lower], times)[-1:], stages[upper], of_pass(stages[upper], times)[:1], table)
    for stage in progress.stages:
        for one, other in pairwise(of_pass(stage, times)):
            yield from _judged(stage, [one], stage, [other], table)


def window_of(stage: StageProgress) -> Window | None:
    """The window of a stage's coat; None without one, or where it can't be read, which is told where the cure table is checked."""
    try:
        return None if stage.stage.recoat is None else window(stage.stage.recoat)
    except Wrong:
        return None


def of_pass(stage: StageProgress, times: Times) -> list[Moment]:
    """The coats of the pass a stage is in."""
    first = stage.current.begun
    return [moment for moment in times.get(folded(stage.stage.name), ()) if first is not None and first <= moment.date]


def _judged(lower: StageProgress, under: Sequence[Moment], upper: StageProgress, over: Sequence[Moment], table: Mapping[str, CureSheet]) -> Iterator[Missed]:
    allowed = window_of(lower)
    if allowed is None or not under or not over:
        return
    least, most = _between(under[0], over[0])
    if most > 0 and allowed.missed(least, most):
        entry = table.get(lower.stage.coat or "")
        yield Missed(upper.stage.name, lower.stage.name, lower.stage.recoat or "", least, most, (entry.sheet if entry else None) or "", over[0].at)


def _between(one: Moment, other: Moment) -> tuple[float, float]:
    """The least and the most hours that can lie between two coats."""
    last = datetime.combine(one.date, one.time or time.max)
    first = datetime.combine(one.date, one.time or time.min)
    earliest = datetime.combine(other.date, other.time or time.min)
    latest = datetime.combine(other.date, other.time or time.max)
    return (earliest - last).total_seconds() / 3600, (latest - first).total_seconds() / 3600


# --- what lies on what ------------------------------------------------------------------------------------------------


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
    table = cure_table(settings)
    stages = {stage.stage.name: stage.stage for stage in progress.stages}
    for upper, lower in _layers([stage.stage for stage in progress.stages]):
        entry = table[stages[upper].coat or ""]
        if folded(stages[lower].coat or "") in {folded(name) for name in entry.not_over}:
            yield stages[upper], stages[lower], entry
