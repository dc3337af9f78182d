"""The page of promises: what was said in which episode, and what became of it.

Invariant: judges nothing; states are the show's.
"""

from dataclasses import dataclass, replace
from itertools import groupby

from purfle.show.model import PromiseState, ShowPlan
from purfle.views.amounts import NOTHING
from purfle.views.office_desk import Desk, Link, Noted, Source


@dataclass(frozen=True, slots=True)
class Said:
    """One promise."""

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
    promises: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class PromisesView:
    """Every promise, the latest episode first."""

    counts: tuple[tuple[str, int], ...]
    """How many are in each state that occurs."""
    episodes: tuple[SaidIn, ...]
    noted: tuple[Noted, ...]


_STATES = ("late", "due", "open", "kept", "kept late", "withdrawn")


def promises_view_of(desk: Desk, show: ShowPlan) -> PromisesView:
    """The page of promises."""
    desk = replace(desk, within="journal/episodes/")
    counts = tuple((state, n) for state in _STATES if (n := sum(p.state == state for p in show.promises)))
    by_episode = groupby(show.promises, key=lambda p: (p.episode, p.title, p.at.file))
    episodes = [
        SaidIn(f"said-{number}", desk.write.date(day), title, tuple(_said(desk, p) for p in own)) for number, ((day, title, _), own) in enumerate(by_episode, 1)
    ]
    sources = [said.source for episode in episodes for said in episode.promises]
    return PromisesView(counts, tuple(reversed(episodes)), desk.noted(sources))


def _said(desk: Desk, promise: PromiseState) -> Said:
    return Said(
        desk.build_or_none(promise.build), spoken(promise), promise.state, desk.write.date(promise.due), _became(desk, promise), desk.source(promise.at)
    )


def spoken(promise: PromiseState) -> str:
    """What was promised: the words said, and the stage to be shown."""
    do = promise.do if promise.do == "start" else f"show {promise.do}"
    return f"{promise.words}: {do}" if promise.words else do


def _became(desk: Desk, promise: PromiseState) -> str:
    if promise.state in ("kept", "kept late"):
        title = f", {promise.kept_in}" if promise.kept_in else ""
        return f"{desk.write.date(promise.kept_on)}{title}"
    if promise.state == "withdrawn":
        why = f": {promise.withdrawn_why}" if promise.withdrawn_why else ""
        return f"taken back {desk.write.date(promise.withdrawn_on)}{why}"
    return NOTHING
