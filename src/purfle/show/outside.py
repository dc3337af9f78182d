"""Why a candidate is not in an episode's line-up.

Invariant: explains a choice that was made; changes nothing in it.
"""

from collections.abc import Iterator, Sequence, Set

from purfle.base.groups import grouped
from purfle.base.names import folded
from purfle.show.airing import Slot
from purfle.show.candidates import Offer
from purfle.show.consent import bar
from purfle.show.model import MISSED, NO, PromiseState
from purfle.show.problem import FILLERS, Problem
from purfle.show.promises import ANY, REVEAL
from purfle.show.ready import were_it_shown
from purfle.show.scene import Scene

_TOO_OFTEN = "it would be on for more weeks in a row than the shop allows without moving on"


class Choice:
    """What was chosen for the coming episodes, laid out so that each piece's place in it is found in one step."""

    def __init__(self, chosen: Sequence[Offer], problem: Problem) -> None:
        """Take the chosen offers, by episode, and the problem they solve."""
        self.chosen, self.room = chosen, problem.room
        self.of_week = grouped(chosen, lambda offer: offer.week)
        self.of_build = grouped(chosen, lambda offer: offer.candidate.build.id)
        self.streaks = grouped(problem.streaks, lambda streak: streak.build)
        self._kept = {number: offer.week for offer in reversed(chosen) for number in offer.candidate.keeps}
        """By promise, the first episode that keeps it."""
        self._used = {week: sum(int(c.candidate.minutes * 100) for c in here) for week, here in self.of_week.items()}
        self._fillers = {week: sum(1 for c in here if c.candidate.stage is None) for week, here in self.of_week.items()}

    def keeps(self, number: int, week: int) -> bool:
        """Whether an episode up to that week keeps a promise."""
        return self._kept.get(number, week + 1) <= week

    def free(self, week: int) -> int:
        """Hundredths of a minute left in an episode."""
        return self.room[week] - self._used.get(week, 0)

    def is_over(self, offer: Offer) -> bool:
        """Whether a chosen piece's build is on more weeks in a row than asked: without it the episode would be empty."""
        weeks = [other.week for other in self.of_build[offer.candidate.build.id]]
        mine = self.streaks.get(offer.candidate.build.id, ())
        return any(s.weeks[-1] == offer.week and sum(week in s.weeks for week in weeks) > s.most for s in mine)

    def has_its_fillers(self, week: int) -> bool:
        """Whether an episode has as many looks back and updates as it may."""
        return self._fillers.get(week, 0) >= FILLERS


def why_out(scene: Scene, slot: Slot, week: int, offers: Sequence[Offer], choice: Choice) -> Iterator[tuple[Offer, str]]:
    """Every candidate that is not in the episode, with the reason.

    Of stages not finished yet only the build's next one and those promised are told, of a build that may not be shown one
    stage alone, and of a build that is in the episode no look back.
    """
    here = choice.of_week.get(week, [])
    builds = {c.candidate.build.id for c in here}
    told: set[str] = set()
    named = {(o.candidate.build.id, folded(o.candidate.name)) for o in offers if o.week == week and o.candidate.name}
    for offer in offers:
        id = offer.candidate.build.id
        if offer.week != week or any(offer is c for c in here) or (offer.candidate.stage is None and id in builds):
            continue
        promise = _promise(scene, offer, [n for n in offer.candidate.keeps if not choice.keeps(n, week)], id in told, named)
        if offer.verdict.ready == NO and _one_tells_all(scene, offer, slot):
            if id in told and not promise:
                continue
            told.add(id)
        yield offer, _promised(promise) + _reason(offer, slot, choice)


def _one_tells_all(scene: Scene, offer: Offer, slot: Slot) -> bool:
    """Whether the reason of one such stage goes for the build's further ones too."""
    candidate = offer.candidate
    unfinished = candidate.stage is not None and scene.finished(candidate.stage) is None
    return unfinished or bar(candidate.build, scene.progress[candidate.build.id], slot.airs) is not None


def _promise(scene: Scene, offer: Offer, unkept: Sequence[int], told: bool, named: Set[tuple[str, str]]) -> PromiseState | None:
    """The promise, of those no episode keeps so far, of this very stage; `start`, or a stage that is none of the `named`, is about the build's first that is not ready."""
    name = folded(offer.candidate.name) if offer.candidate.name else None
    for number in unkept:
        wanted = folded(scene.promises[number].do)
        first = not told and wanted != REVEAL and (wanted == ANY or (offer.candidate.build.id, wanted) not in named)
        if wanted == name or first or (wanted == REVEAL and offer.candidate.what == REVEAL):
            return scene.promises[number]
    return None


def _promised(promise: PromiseState | None) -> str:
    if promise is None:
        return ""
    due = f" for {promise.due.isoformat()}" if promise.due else ""
    return f"promised on {promise.episode.isoformat()}{due}, but "


def could_fill(scene: Scene, slot: Slot, offer: Offer, offers: Sequence[Offer], choice: Choice) -> bool:
    """Whether a candidate that is out would fit into what is free, and no more than the bench's likelihood, its sheet or a rule of taste keeps it out."""
    mine = offer.candidate
    if int(mine.minutes * 100) > choice.free(offer.week) or (_elsewhere(offer, choice) is not None and not _put_off(offer, choice)):
        return False
    if offer.verdict.ready != NO:
        return True
    if offer.verdict.unsure and mine.stage is not None:
        return offer.verdict.chance > 0 and not any(shot.status == MISSED for shot in scene.shots_for(mine.build.id, mine.stage.stage.name))
    if bar(mine.build, scene.progress[mine.build.id], slot.airs) is None:
        return False
    own = (o.candidate.stage for o in offers if o.week == offer.week and o.candidate.build is mine.build and o.candidate.stage is not None)
    return any(were_it_shown(scene, mine.build, stage, slot).ready != NO for stage in own)


def _reason(offer: Offer, slot: Slot, choice: Choice) -> str:
    if offer.verdict.ready == NO:
        return offer.verdict.why
    return _TOO_OFTEN if _put_off(offer, choice) else _elsewhere(offer, choice) or _crowded(offer, slot, choice)


def _elsewhere(offer: Offer, choice: Choice) -> str | None:
    """What of its build is in the line-up and leaves nothing new to it; None when nothing does."""
    mine = offer.candidate
    for other in choice.of_build.get(mine.build.id, ()):
        if other.candidate is mine:
            return "it is in another episode of this line-up"
        if other.week == offer.week:
            return f"the episode shows its {_stage(other)} already"
        first, second = (other.candidate, mine) if other.week < offer.week else (mine, other.candidate)
        if second.position in first.leaves:
            return f"its {_stage(other)} is in another episode of this line-up"
    return None


def _put_off(offer: Offer, choice: Choice) -> bool:
    """Whether it waits for a later episode because its build would be on too many weeks in a row."""
    weeks = {other.week for other in choice.of_build.get(offer.candidate.build.id, ()) if other.candidate is offer.candidate}
    return any(week > offer.week for week in weeks) and _too_often(offer, choice)


def _too_often(offer: Offer, choice: Choice) -> bool:
    """Whether the other pieces of its build leave no week of a streak to it; an episode is never left empty for that alone."""
    mine = offer.candidate
    if offer.week not in choice.of_week:
        return False
    weeks = [c.week for c in choice.of_build.get(mine.build.id, ()) if c.candidate is not mine]
    return any(offer.week in s.weeks and sum(week in s.weeks for week in weeks) >= s.most for s in choice.streaks.get(mine.build.id, ()))


def _stage(offer: Offer) -> str:
    return offer.candidate.name or offer.candidate.what


def _crowded(offer: Offer, slot: Slot, choice: Choice) -> str:
    if _too_often(offer, choice):
        return _TOO_OFTEN
    if offer.candidate.stage is None and choice.has_its_fillers(offer.week):
        return "the episode has its looks back already"
    return f"it takes {offer.candidate.minutes.normalize():f} min and {max(choice.free(offer.week), 0) / 100:g} min are free of {slot.length.normalize():f}"
