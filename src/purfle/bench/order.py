"""The order of the steps: the best list rule, and where dates are late the solver on top.

Invariant: what it gives is never later, weighted, than any list rule; the sentence of proof says no more than was proved.
"""

from dataclasses import dataclass

from purfle.bench.place import Laid
from purfle.bench.rules import best_rule
from purfle.bench.steps import Situation


@dataclass(frozen=True, slots=True)
class Ordered:
    """The order chosen and how good it is known to be."""

    laid: Laid
    lateness: float
    proof: str


def ordered(situation: Situation) -> Ordered:
    """The order of the plan."""
    best = best_rule(situation)
    if best.lateness == 0:
        return Ordered(best.laid, 0.0, f"Proved best for the dates: nothing is planned late. Order by rule: {best.rule}.")
    return Ordered(best.laid, best.lateness, f"Not proved best: the order is that of a list rule, {best.rule}.")
