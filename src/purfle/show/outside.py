"""Why a candidate is not in an episode's line-up.

Invariant: explains a choice that was made; changes nothing in it.
"""

from collections.abc import Iterator, Sequence, Set

from purfle.show.airing import Slot
from purfle.show.candidates import Offer
from purfle.show.consent import bar
from purfle.show.model import PromiseState
from purfle.show.problem import FILLERS, Problem
from purfle.show.promises import ANY, REVEAL
from purfle.show.ready import NO, Scene
from purfle.show.route import fold


def why_out(scene: Scene, slot: Slot, week: int, offers: Sequence[Offer], chosen: Sequence[Offer], problem: Problem) -> Iterator[tuple[Offer, str]]:
    """Every candidate that is not in the episode, with the reason.

    Of stages not finished yet only the build's next one and those promised are told, of a build that may not be shown one
    stage alone, and of a build that is in the episode no look back.
    """
    here = [c for c in chosen if c.week == week]
    builds = {c.candidate.build.id for c in here}
    told: set[str] = set()
    named = {(o.candidate.build.id, fold(o.candidate.stage.stage.name)) for o in offers if o.week == week and o.candidate.stage}
    for offer in offers:
        id = offer.candidate.build.id
        if offer.week != week or any(offer is c for c in here) or (offer.candidate.stage is None and id in builds):
            continue
        promise = _promise(scene, offer, id in told, named)
        if offer.verdict.ready == NO and _one_tells_all(scene, offer, slot):
            if id in told and not promise:
                continue
            told.add(id)
        yield offer, _promised(promise) + _reason(offer, slot, chosen, problem)


def _one_tells_all(scene: Scene, offer: Offer, slot: Slot) -> bool:
    """Whether the reason of one such stage goes for the build's further ones too."""
    candidate = offer.candidate
    unfinished = candidate.stage is not None and not candidate.stage.finished
    return unfinished or bar(candidate.build, scene.progress.get(candidate.build.id), slot.airs) is not None


def _promise(scene: Scene, offer: Offer, told: bool, named: Set[tuple[str, str]]) -> PromiseState | None:
    """The promise of this very stage; `start`, or a stage that is none of the `named`, is about the build's first that is not ready."""
    name = fold(offer.candidate.stage.stage.name) if offer.candidate.stage else None
    for number in offer.keeps:
        wanted = fold(scene.promises[number].do)
        first = not told and wanted != REVEAL and (wanted == ANY or (offer.candidate.build.id, wanted) not in named)
        if wanted == name or first or (wanted == REVEAL and offer.candidate.what == REVEAL):
            return scene.promises[number]
    return None


def _promised(promise: PromiseState | None) -> str:
    if promise is None:
        return ""
    due = f" for {promise.due.isoformat()}" if promise.due else ""
    return f"promised on {promise.episode.isoformat()}{due}, but "


def _reason(offer: Offer, slot: Slot, chosen: Sequence[Offer], problem: Problem) -> str:
    if offer.verdict.ready == NO:
        return offer.verdict.why
    mine = offer.candidate
    own = [c for c in chosen if c.candidate.build.id == mine.build.id]
    for other in own:
        if other.candidate is mine:
            return "it is in another episode of this line-up"
        if other.week == offer.week:
            return f"the episode shows its {_stage(other)} already"
        if (other.week < offer.week) == (other.candidate.position > mine.position):
            return f"its {_stage(other)} is in another episode of this line-up"
    return _crowded(offer, slot, chosen, problem)


def _stage(offer: Offer) -> str:
    return offer.candidate.stage.stage.name if offer.candidate.stage else offer.candidate.what


def _crowded(offer: Offer, slot: Slot, chosen: Sequence[Offer], problem: Problem) -> str:
    mine = offer.candidate.build.id
    for streak in problem.streaks:
        if streak.build == mine and offer.week in streak.weeks and sum(c.candidate.build.id == mine and c.week in streak.weeks for c in chosen) >= streak.most:
            return "it would be on more weeks in a row than the shop allows without having moved on"
    here = [c for c in chosen if c.week == offer.week]
    if offer.candidate.stage is None and sum(1 for c in here if c.candidate.stage is None) >= FILLERS:
        return "the episode has its looks back already"
    free = problem.room[offer.week] - sum(int(c.candidate.minutes * 100) for c in here)
    return f"it takes {offer.candidate.minutes.normalize():f} min and {max(free, 0) / 100:g} min are free of {slot.length.normalize():f}"
