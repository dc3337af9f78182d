"""A better order by trying: a stage with all it follows pulled forward, or with all that follows it pushed back.

A start for the solver: the less lateness it starts from, the less there is to search. Deterministic: the same picks
every time and a number of tries, no clock.
Invariant: never gives an order with more weighted lateness than the one it was given.
"""

import hashlib
import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from purfle.bench.place import lateness, lay
from purfle.bench.steps import Situation

TRIES = 6
"""Tries for each step of the order."""
EFFORT = 60_000
"""The most steps laid out in all tries together, so that a very large shop is not kept waiting."""


def improved(situation: Situation, order: Sequence[int]) -> tuple[int, ...]:
    """An order of the same steps with no more weighted lateness. `order` must hold every step of the situation once."""
    picks = _picks()
    steps = range(len(situation.steps))
    before = _closure(order, {n: situation.steps[n].after for n in steps})
    followers = situation.followers()
    after = _closure(tuple(reversed(order)), {n: followers[n] for n in steps})
    best, least = list(order), lateness(situation, lay(situation, order))
    for _ in range(min(TRIES * len(steps), EFFORT // max(len(steps), 1))):
        if least == 0 or len(best) < 2:
            break
        at, to = next(picks) % len(best), next(picks) % len(best)
        trial = _pulled(best, at, to, before) if to < at else _pushed(best, at, to, after)
        late = lateness(situation, lay(situation, trial))
        if late <= least:
            best, least = trial, late
    return tuple(best)


def _picks() -> Iterator[int]:
    """Numbers without a pattern and always the same."""
    for count in itertools.count():
        digest = hashlib.sha256(count.to_bytes(8, "big")).digest()
        yield from (int.from_bytes(digest[i : i + 4], "big") for i in range(0, len(digest), 4))


def _closure(order: Sequence[int], near: dict[int, tuple[int, ...]]) -> dict[int, frozenset[int]]:
    found: dict[int, frozenset[int]] = {}
    for number in order:
        found[number] = frozenset(near[number]).union(*(found[n] for n in near[number]))
    return found


def _pulled(order: list[int], at: int, to: int, before: dict[int, frozenset[int]]) -> list[int]:
    """The step at `at` moved forward to `to`, and with it what it follows."""
    moved = {order[at], *before[order[at]]}
    between = order[to : at + 1]
    return order[:to] + [n for n in between if n in moved] + [n for n in between if n not in moved] + order[at + 1 :]


def _pushed(order: list[int], at: int, to: int, after: dict[int, frozenset[int]]) -> list[int]:
    """The step at `at` moved back to `to`, and with it what follows it."""
    moved = {order[at], *after[order[at]]}
    between = order[at : to + 1]
    return order[:at] + [n for n in between if n not in moved] + [n for n in between if n in moved] + order[to + 1 :]


def only(situation: Situation, numbers: Iterable[int]) -> tuple[Situation, tuple[int, ...]]:
    """The situation of some steps alone, closed under what they follow; and the old number of each new one."""
    kept = tuple(sorted(numbers))
    new = {old: i for i, old in enumerate(kept)}
    steps = tuple(replace(situation.steps[old], after=tuple(new[a] for a in situation.steps[old].after if a in new)) for old in kept)
    dues = tuple(replace(due, steps=tuple(new[s] for s in due.steps)) for due in situation.dues if all(s in new for s in due.steps))
    return Situation(situation.today, situation.free, steps, dues), kept
