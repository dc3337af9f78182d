"""What was promised on air, in which episode, and what became of it.

Invariant: judges nothing; states are the show's.
"""

from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from purfle.show.model import PromiseState
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Link, Noted, OfficeDesk, Source


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """Something promised on air."""

    episode: str
    """The day it was said."""
    build: Link | None
    words: str
    state: str
    due: str
    became: str
    """The episode that kept it, or the day it was taken back and why."""
    source: Source | None


@dataclass(frozen=True, slots=True)
class SaidIn:
    """What one episode promised."""

    id: str
    airs: str
    title: str
    promises: tuple[PromiseRow, ...]


@dataclass(frozen=True, slots=True)
class PromisesView:
    """Every promise, the latest episode first."""

    counts: tuple[tuple[str, int], ...]
    """How many are in each state that occurs."""
    episodes: tuple[SaidIn, ...]
    noted: tuple[Noted, ...]


_STATES = ("late", "due", "open", "kept", "kept late", "withdrawn")
"""What may have become of a promise, the most pressing first."""


def promises_view_of(desk: OfficeDesk) -> PromisesView:
    """The page of promises."""
    desk = replace(desk, within="journal/episodes/")
    counts = tuple((state, n) for state in _STATES if (n := sum(p.state == state for p in desk.show.promises)))
    by_episode = groupby(desk.show.promises, key=lambda p: (p.episode, p.title, p.at.file))
    episodes = [
        SaidIn(f"said-{number}", desk.write.date(day), title, tuple(_row(desk, p) for p in own)) for number, ((day, title, _), own) in enumerate(by_episode, 1)
    ]
    return PromisesView(counts, tuple(reversed(episodes)), desk.noted(row.source for episode in episodes for row in episode.promises))


def unmet_rows(desk: OfficeDesk) -> tuple[PromiseRow, ...]:
    """Promises not kept yet: the late ones first, then what is due, each by its day."""
    unmet = sorted(desk.show.unmet, key=lambda p: (_STATES.index(p.state), p.due or date.max, p.episode, p.at))
    return tuple(_row(desk, promise) for promise in unmet)


def _row(desk: OfficeDesk, promise: PromiseState) -> PromiseRow:
    return PromiseRow(
        episode=desk.write.date(promise.episode),
        build=desk.build_or_none(promise.build),
        words=spoken(promise),
        state=promise.state,
        due=desk.write.date(promise.due),
        became=_became(desk, promise),
        source=desk.source(promise.at),
    )


def spoken(promise: PromiseState) -> str:
    """What was promised: the words said, and the stage to be shown."""
    do = promise.do if promise.do == "start" else f"show {promise.do}"
    return f"{promise.words}: {do}" if promise.words else do


def _became(desk: OfficeDesk, promise: PromiseState) -> str:
    if promise.state in ("kept", "kept late"):
        title = f", {promise.kept_in}" if promise.kept_in else ""
        return f"{desk.write.date(promise.kept_on)}{title}"
    if promise.state == "withdrawn":
        why = f": {promise.withdrawn_why}" if promise.withdrawn_why else ""
        return f"taken back {desk.write.date(promise.withdrawn_on)}{why}"
    return NOTHING
