"""Promises made on air, and what became of them.

A promise is made by an episode that aired. It is kept by a later aired segment of that build at that stage, or at one
that follows it in the route (`start`: any segment of it; `reveal`: a reveal). A reveal that names no stage shows the
whole route. A promise in words that names no build stays open until its day; it can be kept once its line says `build:`.
Invariant: rework does not unkeep a promise, and nothing is kept by an episode that did not air.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta

from purfle.notes.model import Build, Episode, Shop
from purfle.notes.records.show import Promise, Segment
from purfle.progress.model import Progress
from purfle.show.airing import aired_episodes, next_airing, next_episode_after, record_day, recorded_on, slots
from purfle.show.consent import bar
from purfle.show.model import PromiseState
from purfle.show.route import fold, order_of, reaches

ANY = "start"
REVEAL = "reveal"
UNMET = ("open", "due", "late")


def promises_of(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[PromiseState, ...]:
    """Every promise said on air up to `today`, by the day it was made, with its state on `today`."""
    coming = next_airing(shop, today)
    return tuple(_state(shop, progress, episode, promise, coming, today) for episode in aired_episodes(shop, today) for promise in episode.sheet.promises)


def _state(shop: Shop, progress: Mapping[str, Progress], made: Episode, promise: Promise, coming: date, today: date) -> PromiseState:
    build = _build(shop, promise.build)
    due = due_day(shop, promise, made.date, today)
    keeper = _kept_by(shop, progress, build, promise, made.date, today) if build else None
    kept = keeper.date if keeper else None
    public = made.sheet.showroom and (build is None or bar(build, progress.get(build.id), today) is None)
    words = promise.words if build or promise.words else promise.build
    withdrawn = promise.withdrawn if promise.withdrawn and promise.withdrawn.date <= today else None
    state = _word(shop, due, kept, withdrawn.date if withdrawn else None, coming, today)
    said = PromiseState(made.date, build.id if build else None, words, promise.do, state, due, kept, promise.at, public, made.sheet.title)
    return replace(
        said,
        withdrawn_on=withdrawn.date if withdrawn else None,
        withdrawn_why=withdrawn.why if withdrawn else None,
        kept_in=keeper.sheet.title if keeper else "",
    )


def _build(shop: Shop, name: str | None) -> Build | None:
    found = shop.find(name)
    return shop.build(found) if found else None


def due_day(shop: Shop, promise: Promise, made: date, today: date) -> date | None:
    """The day of the last episode that keeps the promise in time; None when none was named. Of two, the earlier."""
    days = [promise.by] if promise.by else []
    if promise.due_in == "next":
        days.append(next_episode_after(shop, made, today))
    return min(days, default=None)


def _word(shop: Shop, due: date | None, kept: date | None, withdrawn: date | None, coming: date, today: date) -> str:
    if kept and not (withdrawn and withdrawn < kept):
        return "kept late" if due and kept > due else "kept"
    if withdrawn:
        return "withdrawn"
    if due is None:
        return "open"
    if due < today or any(e.date == due for e in aired_episodes(shop, today)):
        return "late"
    return "due" if due <= coming else "open"


def _kept_by(shop: Shop, progress: Mapping[str, Progress], build: Build, promise: Promise, made: date, today: date) -> Episode | None:
    order = order_of(shop, build, progress.get(build.id))
    for episode in aired_episodes(shop, today):
        if episode.date > made and any(keeps(order, promise.do, s) for s in _segments(shop, episode, build.id)):
            return episode
    return None


def _segments(shop: Shop, episode: Episode, build: str) -> Iterator[Segment]:
    return (segment for segment in episode.sheet.segments if shop.find(segment.build) == build)


def keeps(order: tuple[str, ...], do: str, segment: Segment) -> bool:
    """Whether a segment of the promised build keeps a promise to `do`, given the build's order of stages."""
    return shows(order, do, segment.stage, segment.what)


def shows(order: tuple[str, ...], do: str, stage: str | None, what: str) -> bool:
    """Whether showing `stage` of a build (None for none named) as a piece of kind `what` does what was promised."""
    wanted = fold(do)
    if wanted == ANY or (wanted == REVEAL and what == REVEAL):
        return True
    if stage is not None:
        return reaches(order, stage, do)
    return what == REVEAL and wanted in order


def finish_days(shop: Shop, progress: Mapping[str, Progress], promises: tuple[PromiseState, ...], today: date) -> tuple[tuple[str, str, date], ...]:
    """What unmet promises ask of the bench: build, stage and the day it must be finished by, the day before recording.

    `start` asks for the first stage, `reveal` for the last. A late one asks for the next episode that can be recorded.
    """
    (coming,) = slots(shop, today, 1)
    wanted = []
    for promise in promises:
        stage = _stage_of(progress.get(promise.build or ""), promise.do)
        if promise.state in UNMET and promise.due and promise.build and stage:
            day = _recorded_for(shop, promise.due) - timedelta(days=1)
            wanted.append((promise.build, stage, day if day >= today else max(coming.cut_off, today)))
    return tuple(dict.fromkeys(wanted))


def _stage_of(progress: Progress | None, do: str) -> str | None:
    if progress is None or not progress.stages:
        return None
    names = [s.stage.name for s in progress.stages]
    named = next((name for name in names if fold(name) == fold(do)), None)
    return named or {ANY: names[0], REVEAL: names[-1]}.get(fold(do))


def _recorded_for(shop: Shop, airs: date) -> date:
    written = next((e for e in shop.episodes if e.date == airs), None)
    return recorded_on(shop, written) if written else record_day(shop.settings.show, airs)
