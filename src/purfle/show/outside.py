"""Why a candidate is not in an episode's line-up.

Invariant: explains a choice that was made; changes nothing in it.
"""

from collections.abc import Iterator, Sequence

from purfle.show.airing import Slot
from purfle.show.candidates import Offer
from purfle.show.problem import FILLERS, Problem
from purfle.show.ready import NO, Scene


def why_out(scene: Scene, slot: Slot, week: int, offers: Sequence[Offer], chosen: Sequence[Offer], problem: Problem) -> Iterator[tuple[Offer, str]]:
    """Every candidate that is not in the episode, with the reason. Of a build's unready stages only the next and the promised ones."""
    told: set[str] = set()
    for offer in offers:
        if offer.week != week or any(offer is c for c in chosen):
            continue
        later = offer.verdict.ready == NO and offer.candidate.build.id in told and not offer.keeps
        if offer.verdict.ready == NO:
            told.add(offer.candidate.build.id)
        if not later:
            yield offer, _promised(scene, offer) + _reason(offer, slot, chosen, problem)


def _promised(scene: Scene, offer: Offer) -> str:
    if not offer.keeps:
        return ""
    promise = scene.promises[offer.keeps[0]]
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
        on = sum(1 for c in chosen if c.candidate.build.id == mine and c.week in streak.weeks)
        if streak.build == mine and offer.week in streak.weeks and on >= streak.most:
            return "it has been on as many weeks in a row as the shop allows and has not moved on"
    here = [c for c in chosen if c.week == offer.week]
    if offer.candidate.stage is None and sum(1 for c in here if c.candidate.stage is None) >= FILLERS:
        return "the episode has its looks back already"
    free = problem.room[offer.week] - sum(int(c.candidate.minutes * 100) for c in here)
    return f"it takes {offer.candidate.minutes.normalize():f} min and {max(free, 0) / 100:g} min are free of {slot.length.normalize():f}"
