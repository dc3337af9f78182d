"""Promises made on air, and what became of them.

A promise is made by an episode that aired. It is kept by a later aired segment of that build at that stage, or at one
that follows it in the route, so that it must be done (`start`: any segment of it; `reveal`: a reveal). A reveal that names no stage shows the
whole route. A promise in words that names no build stays open until its day; it can be kept once its line says `build:`.
Invariant: rework does not unkeep a promise, and nothing is kept by an episode that did not air.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from purfle.base.names import folded
from purfle.notes.model import Build, Episode, Shop
from purfle.notes.records.show import Piece, Promise, Segment
from purfle.progress.model import Progress
from purfle.progress.states import ENDED
from purfle.show.airing import Slot, aired_episodes, next_airings, next_episode_after, slots
from purfle.show.consent import bar
from purfle.show.model import PromiseState, PromiseWord
from purfle.show.route import Order, order_of, reaches

ANY = "start"
REVEAL = "reveal"
_FARTHEST = timedelta(days=1830)
"""Beyond five years nothing is planned."""


def promises_of(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[PromiseState, ...]:
    """Every promise said on air up to `today`, by the day it was made, with its state on `today`."""
    coming = next_airings(shop, today)
    return tuple(_state(shop, progress, episode, promise, coming, today) for episode in aired_episodes(shop, today) for promise in episode.sheet.promises)


def _state(shop: Shop, progress: Mapping[str, Progress], made: Episode, promise: Promise, coming: tuple[date, date], today: date) -> PromiseState:
    build = _build(shop, promise.build)
    due = _due_day(shop, promise, made.date, today)
    keeper = _kept_by(shop, build, promise, made.date, today) if build else None
    kept = keeper.date if keeper else None
    public = made.sheet.showroom and (build is None or _may_come(build, progress[build.id], today))
    words = promise.words if build or promise.words else promise.build
    withdrawn = promise.withdrawn if promise.withdrawn and promise.withdrawn.date <= today else None
    state = _word(kept, withdrawn.date if withdrawn else None, due) or _unmet_word(shop, made.date, due, coming, today)
    return PromiseState(
        episode=made.date,
        build=build.id if build else None,
        words=words,
        do=promise.do,
        when=None if state == "late" else promise.when,
        state=state,
        due=due,
        kept_on=kept,
        at=promise.at,
        public=public,
        title=made.sheet.title,
        withdrawn_on=withdrawn.date if withdrawn else None,
        withdrawn_why=withdrawn.why if withdrawn else None,
        kept_in=keeper.sheet.title if keeper else "",
    )


def _may_come(build: Build, told: Progress, today: date) -> bool:
    """Whether the public may wait for more of a build: it may be shown, and was not scrapped, lost, given away or taken back."""
    return bar(build, told, today) is None and told.state not in ENDED


def _build(shop: Shop, name: str | None) -> Build | None:
    found = shop.find(name)
    return shop.build(found) if found else None


def _due_day(shop: Shop, promise: Promise, made: date, today: date) -> date | None:
    """The last day on which an episode keeps the promise in time; None when none was named. Of two, the earlier."""
    days = [promise.by] if promise.by else []
    if promise.due_in == "next":
        days.append(next_episode_after(shop, made, today))
    return min(days, default=None)


def _word(kept: date | None, withdrawn: date | None, due: date | None) -> PromiseWord | None:
    """The state of a promise that is settled; None for one that is not."""
    if kept and not (withdrawn and withdrawn < kept):
        return "kept late" if due and kept > due else "kept"
    return "withdrawn" if withdrawn else None


def _unmet_word(shop: Shop, made: date, due: date | None, coming: tuple[date, date], today: date) -> PromiseWord:
    """Open; due once the coming episode is the last that can keep it in time; late once that aired without it, or the day is past."""
    if due is None:
        return "open"
    first, then = coming
    if due < today or (due < first and any(made < e.date <= due for e in aired_episodes(shop, today))):
        return "late"
    return "due" if due < then else "open"


def _kept_by(shop: Shop, build: Build, promise: Promise, made: date, today: date) -> Episode | None:
    order = order_of(shop, build)
    for episode in aired_episodes(shop, today):
        if episode.date > made and any(shows(order, promise.do, s.stage, s.what) for s in _segments(shop, episode, build.id)):
            return episode
    return None


def _segments(shop: Shop, episode: Episode, build: str) -> Iterator[Segment]:
    return (segment for segment in episode.sheet.segments if shop.find(segment.build) == build)


def shows(order: Order, do: str, stage: str | None, what: Piece) -> bool:
    """Whether showing `stage` of a build (None for none named) as a piece of kind `what` does what was promised."""
    wanted = folded(do)
    if wanted == ANY or (wanted == REVEAL and what == REVEAL):
        return True
    if stage is not None:
        return reaches(order, stage, do)
    return what == REVEAL and wanted in order


def finish_days(shop: Shop, progress: Mapping[str, Progress], promises: tuple[PromiseState, ...], today: date) -> tuple[tuple[str, str, date], ...]:
    """What unmet promises ask of the bench: build, stage and the day it must be finished by.

    That is the day before the recording of the last episode that airs in time, or, for one that is late or can't be in
    time any more, of the next that work can still be shown in.
    """
    asked = []
    for promise in promises:
        if promise.unmet and promise.due and promise.build:
            stage = stage_of(order_of(shop, shop.build(promise.build)), progress[promise.build], promise.do)
            if stage:
                asked.append((promise.build, stage, min(promise.due, today + _FARTHEST)))
    coming = still_to_make(shop, today, max((due for _, _, due in asked), default=today))
    return tuple(dict.fromkeys((build, stage, last_in_time(coming, due).cut_off) for build, stage, due in asked))


def still_to_make(shop: Shop, today: date, until: date) -> tuple[Slot, ...]:
    """The episodes that today's work can still be shown in, at least as far as a day; never none, however long that day is past."""
    weeks = max(until - today, timedelta()).days // 7 + len(shop.episodes) + shop.settings.show.lead.days // 7 + 3
    return tuple(slot for slot in slots(shop, today, weeks) if slot.cut_off >= today)


def last_in_time(coming: Sequence[Slot], due: date) -> Slot:
    """The last of the coming episodes that airs by a day; the first of them when none does."""
    return max((slot for slot in coming if slot.airs <= due), key=lambda slot: slot.cut_off, default=coming[0])


def stage_of(order: Order, progress: Progress, do: str) -> str | None:
    """The stage of the build's route that a promise to `do` asks for; None where it has none.

    `start` asks for the first, `reveal` for the last, and a stage that the build skips for the first that follows it.
    """
    if not progress.stages:
        return None
    names = [s.stage.name for s in progress.stages]
    named = next((name for name in names if folded(name) == folded(do)), None)
    return named or {ANY: names[0], REVEAL: names[-1]}.get(folded(do)) or next((name for name in names if reaches(order, name, do)), None)
