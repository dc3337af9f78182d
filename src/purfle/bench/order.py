"""The order of the steps: the best list rule, and where dates are late the solver on top.

Invariant: what it gives is never later, weighted, than any list rule; the sentence of proof says no more than was proved.
"""

from dataclasses import dataclass

from purfle.bench.place import Laid, finishes, lateness, lay
from purfle.bench.rules import Ruled, best_rule, topological
from purfle.bench.solve import Solved, solve
from purfle.bench.steps import Situation

_EXACT = 1e-6


@dataclass(frozen=True, slots=True)
class Ordered:
    """The order chosen and how good it is known to be."""

    laid: Laid
    lateness: float
    proof: str


def ordered(situation: Situation) -> Ordered:
    """The order of the plan: least weighted lateness found, then the earliest finishes."""
    best = best_rule(situation)
    if not situation.dues:
        return Ordered(best.laid, 0.0, f"No dates are to be met; the order is that of a list rule: {best.rule}.")
    if best.lateness == 0:
        return Ordered(best.laid, 0.0, f"Proved best for the dates: nothing is planned late. The order is that of a list rule: {best.rule}.")
    solved = solve(situation, best.laid, best.lateness)
    if solved is None:
        return Ordered(best.laid, best.lateness, f"Not proved best: the order is that of a list rule, {best.rule}.")
    laid = _solved_laid(situation, best, solved) if solved.starts else best.laid
    late = lateness(situation, laid)
    if (late, finishes(situation, laid)) > (best.lateness, best.finishes):
        laid, late = best.laid, best.lateness
    return Ordered(laid, late, _proof(late, solved))


def _solved_laid(situation: Situation, best: Ruled, solved: Solved) -> Laid:
    """The solver's order of the dated steps first; the others as the list rule has them, in what is left."""
    place = {number: i for i, number in enumerate(best.laid.order)}
    dated = {number for due in situation.dues for number in due.steps}
    for number in reversed(best.laid.order):
        if number in dated:
            dated.update(situation.steps[number].after)

    def key(number: int) -> tuple[float, ...]:
        if number in solved.starts:
            return 0.0, float(solved.starts[number])
        return (0.0 if number in dated else 1.0), float(place.get(number, 0)) - len(place)

    return lay(situation, topological(situation, [key(n) for n in range(len(situation.steps))]))


def _proof(late: float, solved: Solved) -> str:
    if late <= solved.bound + _EXACT:
        return f"Proved best: no order that keeps each stage in one piece has less weighted lateness than {solved.bound:g}; this one has {late:g}."
    stopped = " The solver was stopped by the clock, so another run may differ." if solved.stopped_by_clock else ""
    return f"Not proved best: weighted lateness is {late:g}, and no less than {solved.bound:g} is possible.{stopped}"
