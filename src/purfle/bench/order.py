"""The order of the steps: the best list rule, bettered by trying, and where dates are still late the solver on top; what does not press goes back behind what has no date.

Invariant: what it gives is never later, weighted, than any list rule; the sentence of proof says no more than was proved.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

from purfle.bench.careful import worth
from purfle.bench.improve import improved, only
from purfle.bench.loosen import loosened
from purfle.bench.network import dated
from purfle.bench.place import Laid, lateness, lay
from purfle.bench.rules import Ruled, best_of, every_rule, topological
from purfle.bench.said import Said, kept
from purfle.bench.solve import Solved, solve
from purfle.bench.steps import Situation

_EXACT = 1e-6
_COUNTS = "Weighted lateness is the number of days planned late, each multiplied by its weight under lateness in shop.md."


@dataclass(frozen=True, slots=True)
class Ordered:
    """The order chosen and how good it is known to be."""

    laid: Laid
    lateness: float
    proof: str


def ordered(situation: Situation, said: Said = ()) -> Ordered:
    """The order of the plan: least weighted lateness found, then the least when all is slow, then the earliest finishes, priority by priority.

    `said` is the order as it was when the week began: it is kept where it serves as well.
    """
    chosen, rule = _chosen(situation)
    laid = kept(situation, chosen.laid, said) if said else None
    if laid is None:
        return replace(chosen, proof=chosen.proof.format(how=f"by rule: {rule}"))
    return replace(chosen, laid=laid, proof=chosen.proof.format(how="as it was when the week began"))


def _chosen(situation: Situation) -> tuple[Ordered, str]:
    """The best order found, whatever was said before, and the list rule it began with; its proof has `{how}` where that is told."""
    rules = every_rule(situation)
    best = best_of(situation, rules)
    if not situation.dues:
        return Ordered(best.laid, 0.0, "Nothing still to do is due or promised; the order of work is {how}."), best.rule
    if all(any(best.laid.placed[n] is None for n in due.steps) for due in situation.dues):
        return Ordered(best.laid, best.lateness, "No date can be met: what each waits for could not be placed. The order of work is {how}."), best.rule
    if best.lateness == 0:
        return Ordered(best.laid, 0.0, "Proved best for the dates: nothing is planned late. The order of work is {how}."), best.rule
    tried = _tried(situation, best)
    solved = solve(situation, tried, lateness(situation, tried))
    found = [best.laid, tried]
    if solved is not None and solved.starts:
        found.append(_dated_first(situation, best, solved.starts))
    laid = loosened(situation, min(found, key=partial(worth, situation)), [ruled.laid.order for ruled in rules])
    late = lateness(situation, laid)
    return Ordered(laid, late, _proof(late, solved)), best.rule


def _tried(situation: Situation, best: Ruled) -> Laid:
    """The rule's order of the dated steps bettered by trying, the others after."""
    chosen = dated(situation, best.laid)
    few, old = only(situation, chosen)
    new = {number: i for i, number in enumerate(old)}
    order = improved(few, [new[n] for n in chosen])
    return _dated_first(situation, best, {old[n]: place for place, n in enumerate(order)})


def _dated_first(situation: Situation, best: Ruled, places: Mapping[int, int]) -> Laid:
    """The dated steps in a given order first; the others as the list rule has them, in what is left."""
    place = {number: i for i, number in enumerate(best.laid.order)}
    chosen = frozenset(dated(situation, best.laid))

    def key(number: int) -> tuple[float, ...]:
        if number in places:
            return 0.0, float(places[number])
        # A dated step without hands takes no bench time, so it may come as soon as what it follows is laid.
        return (0.0, -1.0) if number in chosen else (1.0, float(place.get(number, 0)))

    return lay(situation, topological(situation, key))


def _proof(late: float, solved: Solved | None) -> str:
    if solved is None:
        return f"Not proved best: weighted lateness is {late:g}, the least found by several list rules and by trying. {_COUNTS}"
    if late <= solved.bound + _EXACT:
        return (
            f"Proved best: with each stage kept in one piece, no order has less weighted lateness than {solved.bound:g}, and this one has {late:g}. {_COUNTS}"
        )
    stopped = " The solver was stopped by the clock, so another run may differ." if solved.stopped_by_clock else ""
    return f"Not proved best: weighted lateness is {late:g}, and no less than {solved.bound:g} is possible. {_COUNTS}{stopped}"
