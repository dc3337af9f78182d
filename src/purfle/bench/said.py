"""The order of work as it was when the week began, kept for as long as it serves as well.

Many orders meet the same dates, and which of them is best by a hair changes from day to day. A builder who was told on
Monday to sand on Wednesday sands on Wednesday, unless something happened that makes another order better.
Invariant: keeps no order that is later, weighted, than the one chosen today.
"""

from collections import Counter
from collections.abc import Sequence

from purfle.bench.careful import late_if_slow
from purfle.bench.place import Laid, finishes, lateness, lay
from purfle.bench.rules import topological
from purfle.bench.steps import Situation

BETTER = 0.25
"""By what part another order must be less late when all is slow to be worth a change; common practice, no source."""

SOONER = 0.5
"""By how many days a build another order must finish the builds sooner to be worth a change; the same."""

Said = Sequence[tuple[str, str]]
"""Build and stage in the order of work."""


def said_of(situation: Situation, laid: Laid) -> tuple[tuple[str, str], ...]:
    """An order to be kept."""
    return tuple((situation.steps[number].build, situation.steps[number].stage) for number in laid.order)


def kept(situation: Situation, chosen: Laid, said: Said) -> Laid | None:
    """The order as it was said, with what is new where the chosen one has it; None where the chosen one serves better.

    Better is one that is less late, or by a quarter less late when all is slow, or that finishes the builds half a day earlier each.
    """
    laid = lay(situation, topological(situation, _places(situation, chosen, said).__getitem__))
    if lateness(situation, laid) > lateness(situation, chosen) or any((a is None) != (b is None) for a, b in zip(laid.placed, chosen.placed, strict=True)):
        return None
    if situation.dues and late_if_slow(situation, laid.order) * (1 - BETTER) > late_if_slow(situation, chosen.order):
        return None
    builds = Counter(priority for _, priority in {(step.build, step.priority) for step in situation.steps})
    ends = zip(sorted(builds), finishes(situation, laid), finishes(situation, chosen), strict=True)
    return laid if all(own <= other + SOONER * builds[priority] for priority, own, other in ends) else None


def _places(situation: Situation, chosen: Laid, said: Said) -> dict[int, tuple[float, float]]:
    """What each step is put in order by: its place as it was said, or behind what the chosen order has before it."""
    known = {step: place for place, step in enumerate(said)}
    places: dict[int, tuple[float, float]] = {}
    behind = -1.0
    for place, number in enumerate(chosen.order):
        own = known.get((situation.steps[number].build, situation.steps[number].stage))
        behind = behind if own is None else float(own)
        places[number] = (behind, 0.0 if own is not None else place + 1.0)
    return places
