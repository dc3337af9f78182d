"""A better order by trying: a stage with all it follows pulled forward, or with all that follows it pushed back.

Now and then a worse order is taken over, less and less often, so that a dead end is left again (annealing). Half of
the tries pull or push what a date waits for, for it is whole builds that have to change places. A start for the
solver: the less lateness it starts from, the less there is to search. Deterministic: the same picks every time and a
number of tries, no clock.
Invariant: never gives an order with more weighted lateness than the one it was given.
"""

import hashlib
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from purfle.bench.place import lateness, lay
from purfle.bench.quick import lateness_of
from purfle.bench.steps import Situation
from purfle.progress.routes import reached

TRIES = 1.7
"""Tries for each pair of steps in the order."""
EFFORT = 3_000_000
"""The most steps laid out in all tries together, so that a very large shop is not kept waiting."""
LAID, LAID_EFFORT = 20, 30_000
"""The same for tries that lay out each order, which takes about twenty times as long: tries for each pair, and the most steps laid."""
_WARM, _COLD = 0.06, 0.005
"""How much worse an order may be to be taken over, at first and at last, as parts of the lateness begun with."""
_NEAR = 12
"""Places that a small move goes at most."""


def improved(situation: Situation, order: Sequence[int]) -> tuple[int, ...]:
    """An order of the same steps with no more weighted lateness. `order` must hold every step of the situation once."""
    before = reached({number: step.after for number, step in enumerate(situation.steps)})
    after = reached(dict(enumerate(situation.followers())))

    def laid(one: Sequence[int]) -> float:
        return lateness(situation, lay(situation, one))

    size = max(len(order), 1)
    tries = min(int(TRIES * size**2), EFFORT // size)
    best = min(tuple(order), tuple(_annealed(situation, list(order), before, after, lateness_of(situation), tries)), key=laid)
    if not any(step.cure_quarters or step.cured for step in situation.steps):
        return best
    # Cures of hours are left out of the quick lateness: from there on the laid one is tried, fewer times.
    return min(best, tuple(_annealed(situation, list(best), before, after, laid, min(LAID * size**2, LAID_EFFORT // size))), key=laid)


Lateness = Callable[[Sequence[int]], float]


def _annealed(
    situation: Situation, order: list[int], before: dict[int, frozenset[int]], after: dict[int, frozenset[int]], late_of: Lateness, tries: int
) -> list[int]:
    picks = _picks()
    best, now = order, order
    least = late = begun = late_of(order)
    for count in range(tries):
        if least == 0 or len(order) < 2:
            break
        at, to = _move(situation, now, picks)
        if at == to:
            continue
        trial = _pulled(now, at, to, before) if to < at else _pushed(now, at, to, after)
        worse = late_of(trial) - late
        if worse <= 0 or worse < -begun * _WARM * (_COLD / _WARM) ** (count / tries) * math.log(1 - next(picks)):
            now, late = trial, late + worse
            if late < least:
                best, least = now, late
    return best


def _picks() -> Iterator[float]:
    """Numbers from 0 to below 1, without a pattern and always the same."""
    for count in itertools.count():
        digest = hashlib.sha256(count.to_bytes(8, "big")).digest()
        yield from (int.from_bytes(digest[i : i + 4], "big") / 2**32 for i in range(0, len(digest), 4))


def _move(situation: Situation, order: list[int], picks: Iterator[float]) -> tuple[int, int]:
    """The place of a step, and the place it is to go to."""
    count = len(order)
    kind, place = next(picks), int(next(picks) * count)
    if kind < 0.3:  # what a date waits for, pulled forward; or any step and what follows it, pushed back
        due = situation.dues[int(next(picks) * len(situation.dues))]
        last = order.index(due.steps[-1]) if due.steps else place
        return (last, place) if place < last else (int(next(picks) * count), place)
    if kind < 0.8:
        return place, max(0, min(count - 1, place + int(next(picks) * (2 * _NEAR + 1)) - _NEAR))
    return place, int(next(picks) * count)


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
