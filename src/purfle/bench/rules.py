"""List rules: simple orders a builder might work in.

Earliest due; least slack; longest remaining cure first, because the clock should work while the hands do something
else; and least work left, which serves the finishes: both by priority. Each is tried with the dated builds first and
with all together; and a date may count only once it presses.
Invariant: knows no solver; an order is always one in which each step stands after those it follows.
"""

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from purfle.bench.careful import worth
from purfle.bench.place import Laid, lateness, lay
from purfle.bench.steps import Situation, Step

NEVER = 10**6
"""The due day of what has none."""
PRESSING = (7, 21)
"""Days of slack within which a date presses."""

Key = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Ruled:
    """An order with the rule's name."""

    rule: str
    laid: Laid
    lateness: float


def topological(situation: Situation, key: Callable[[int], Key]) -> tuple[int, ...]:
    """All steps, each after those it follows, the smallest key first among those that may come next; not those that wait for each other in a circle."""
    followers = situation.followers()
    open_before = [len(set(step.after)) for step in situation.steps]
    heap = [(key(i), i) for i, count in enumerate(open_before) if count == 0]
    heapq.heapify(heap)
    order = []
    while heap:
        _, number = heapq.heappop(heap)
        order.append(number)
        for follower in dict.fromkeys(followers[number]):
            open_before[follower] -= 1
            if open_before[follower] == 0:
                heapq.heappush(heap, (key(follower), follower))
    return tuple(order)


def best_rule(situation: Situation) -> Ruled:
    """The order of the best list rule, by `worth`; ties: the first listed."""
    return best_of(situation, every_rule(situation))


def best_of(situation: Situation, found: Sequence[Ruled]) -> Ruled:
    """The same, of rules that are laid out already: what the worth of those that are later would be is not worked out."""
    least = min(ruled.lateness for ruled in found)
    return min((ruled for ruled in found if ruled.lateness == least), key=lambda ruled: worth(situation, ruled.laid))


def every_rule(situation: Situation) -> tuple[Ruled, ...]:
    """Every rule's order, laid out."""
    found: dict[tuple[int, ...], Ruled] = {}
    for rule, keys in _rules(situation):
        order = topological(situation, keys.__getitem__)
        if order not in found:
            laid = lay(situation, order)
            found[order] = Ruled(rule, laid, lateness(situation, laid))
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class _Ahead:
    """What lies ahead of a step."""

    due: float
    slack: float
    cure: float
    """Days of cure and wait still to come on its longest path, its own included."""
    work: float
    """Its build's quarter hours left."""


def _rules(situation: Situation) -> Iterator[tuple[str, list[Key]]]:
    ahead = _ahead(situation)
    steps = situation.steps
    rules: Mapping[str, list[Key]] = {
        "earliest due": [(a.due, s.priority, -a.cure) for a, s in zip(ahead, steps, strict=True)],
        "least slack": [(a.slack, s.priority, -a.cure) for a, s in zip(ahead, steps, strict=True)],
        "longest remaining cure first": [(s.priority, -a.cure, a.due) for a, s in zip(ahead, steps, strict=True)],
        "least work left": [(s.priority, a.work, -a.cure) for a, s in zip(ahead, steps, strict=True)],
    }
    for rule, keys in rules.items():
        yield f"{rule}, dated builds before the others", [(float(a.due >= NEVER), *key) for a, key in zip(ahead, keys, strict=True)]
    for days in PRESSING:
        yield f"what must be begun within {days} days, then priority", [_pressed(days, a, s) for a, s in zip(ahead, steps, strict=True)]
    for rule, keys in rules.items():
        yield rule, keys


def _pressed(days: int, ahead: "_Ahead", step: Step) -> Key:
    """A date that presses counts before everything; one far off as if it were none."""
    return (0.0, ahead.slack, step.priority, -ahead.cure) if ahead.slack <= days else (1.0, step.priority, -ahead.cure, ahead.due)


def _ahead(situation: Situation) -> list[_Ahead]:
    steps, followers = situation.steps, situation.followers()
    order = topological(situation, lambda _: (0.0,))
    pace = max(sum(situation.free) / max(situation.horizon, 1), 0.25)  # quarter hours a day
    due = [float(NEVER)] * len(steps)
    latest = [float(NEVER)] * len(steps)
    for one in situation.dues:
        for number in one.steps:
            due[number] = min(due[number], one.day)
            lag = steps[number].lag if one.with_cure else steps[number].wait_mean
            latest[number] = min(latest[number], one.day - lag)
    cure = [0.0] * len(steps)
    work: dict[str, float] = {}
    for step in steps:
        work[step.build] = work.get(step.build, 0.0) + step.quarters
    for number in reversed(order):
        step = steps[number]
        for follower in followers[number]:
            due[number] = min(due[number], due[follower])
            begin = latest[follower] - steps[follower].quarters / pace
            latest[number] = min(latest[number], begin - step.lag)
        cure[number] = step.lag + max((cure[f] for f in followers[number]), default=0.0)
    # What has no date has no slack to tell it by: there the priority decides, not how long its build still takes.
    slack = [latest[i] - s.quarters / pace if due[i] < NEVER else float(NEVER) for i, s in enumerate(steps)]
    return [_Ahead(due[i], slack[i], cure[i], work[s.build]) for i, s in enumerate(steps)]
