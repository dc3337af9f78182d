"""The times without hands that lie in a plan: parts on their way, outside work, cures; and what has to be sent out when.

Invariant: reads what was laid out, and lays nothing.
"""

from collections.abc import Collection, Iterator

from purfle.bench.model import PART, Lag
from purfle.bench.place import Laid, Placed
from purfle.bench.steps import Situation, Step, first_day
from purfle.progress.states import CURE, WAIT

Out = Collection[tuple[str, str]]
"""Build and stage of all that outside work has today."""


def lags_of(situation: Situation, laid: Laid, out: Out) -> Iterator[Lag]:
    """Every time without hands that is still to come, or that a part is waited for; not what is out or curing by now."""
    for number in laid.order:
        placed, step = laid.placed[number], situation.steps[number]
        if placed is not None:
            yield from _parts(situation, laid, step, placed)
            yield from _after(situation, step, placed, (step.build, step.stage) in out)


def sent_out(situation: Situation, laid: Laid, out: Out) -> Iterator[tuple[int, int]]:
    """Day and number of each step that takes no hands but has to be sent out."""
    for number in laid.order:
        placed, step = laid.placed[number], situation.steps[number]
        if placed is not None and step.wait is not None and not step.quarters and (step.build, step.stage) not in out:
            yield first_day(placed.ends), number


def _parts(situation: Situation, laid: Laid, step: Step, placed: Placed) -> Iterator[Lag]:
    """Parts that are ordered, until they come; one that is not ordered only where the step could begin without it."""
    before = max((step.release, *(first_day(p.free) for p in (laid.placed[n] for n in step.after) if p is not None)))
    for waiting in step.waiting:
        if waiting.day > 0 and (waiting.ordered or waiting.day > before):
            yield Lag(step.build, step.stage, PART, situation.today, situation.on(waiting.day), waiting.what, waiting.ordered)


def _after(situation: Situation, step: Step, placed: Placed, out: bool) -> Iterator[Lag]:
    over = placed.days[-1][0] + 1 if placed.days else first_day(placed.ends)
    back = max(placed.finished, over) if step.wait is not None else over
    if step.wait is not None and not out:
        yield Lag(step.build, step.stage, WAIT, situation.on(over), situation.on(back))
    if step.cure_days:
        yield Lag(step.build, step.stage, CURE, situation.on(back), situation.on(first_day(placed.free)))
