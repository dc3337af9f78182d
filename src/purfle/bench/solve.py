"""The order of the dated builds by a solver: least weighted lateness, proved where the budget lasts.

Only dated builds decide lateness, so the model holds those alone. A stage is one interval on the axis of bench time; a
cure is a row of yes-or-no variables, "ends on this day or later", each of which moves what follows past the cure. The
list rule's lateness narrows where a stage can lie before the search begins. One worker and a budget in the solver's
own steps make it deterministic.
Invariant: gives an order and a bound, never a schedule; laying out is `place`'s, which also fills the gaps.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from purfle.bench.network import Link, Network
from purfle.bench.place import Laid, days_late
from purfle.bench.steps import Due, Situation, first_day

BUDGET = 0.3
"""Deterministic time in the solver's own units; about a second of a slow core where it is used up."""
SAFETY = 60.0
"""Seconds of wall clock after which the solver is stopped whatever it has; the proof admits it."""
_SCALE = 100
_MOST_STEPS = 400


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver found."""

    starts: Mapping[int, int]
    """By step: where on the axis of bench time it starts; empty when nothing beats the list rule."""
    bound: float
    """No order that keeps each stage in one piece has less weighted lateness than this."""
    stopped_by_clock: bool


def solve(situation: Situation, laid: Laid, reached: float) -> Solved | None:
    """The best order of the dated steps found within the budget; None when there are too many.

    `laid` is the best list rule's plan and `reached` its weighted lateness.
    """
    network = Network(situation, laid)
    if not network.hands:
        return Solved({}, reached, False)  # what is late waits for no hands: no order changes it
    if len(network.hands) > _MOST_STEPS:
        return None
    earliest, latest = network.earliest, network.latest(reached)
    if any(earliest[n] + situation.steps[n].quarters > latest[n] for n in network.hands):
        return Solved({}, reached, False)
    return _Model(network, reached).solved()


class _Model:
    """The solver's model of a network."""

    def __init__(self, network: Network, reached: float) -> None:
        from ortools.sat.python import cp_model

        self.cp, self.model = cp_model, cp_model.CpModel()
        self.network, self.steps, self.reached = network, network.steps, reached
        self.earliest, self.latest = network.earliest, network.latest(reached)
        self.starts: dict[int, Any] = {n: self._start(n) for n in network.hands}
        self.days: dict[int, list[tuple[int, Any]]] = {}

    def _start(self, number: int) -> Any:
        step, opens = self.steps[number], self.network.opens
        first, last = self.earliest[number], self.latest[number] - step.quarters
        if not step.whole:
            return self.model.new_int_var(first, last, f"s{number}")
        spans = []
        for day, quarters in enumerate(self.network.situation.free):
            low, high = max(opens(day), first), min(opens(day) + quarters - step.quarters, last)
            if low <= high:
                spans.append([low, high])
        return self.model.new_int_var_from_domain(self.cp.Domain.from_intervals(spans or [[first, last]]), f"s{number}")

    def solved(self) -> Solved | None:
        """Run the solver."""
        model, hands = self.model, self.network.hands
        model.add_no_overlap([model.new_fixed_size_interval_var(self.starts[n], self.steps[n].quarters, f"i{n}") for n in hands])
        for number in hands:
            for link in self.network.links[number]:
                self._precede(number, link)
        terms, fixed = [], 0
        for due in self.network.situation.dues:
            more, settled = self._late(due)
            terms += more
            fixed += settled
        model.add(sum(terms) + fixed <= round(self.reached * _SCALE))
        model.minimize(sum(terms) + fixed)
        for number, start in self.network.hint.items():
            model.add_hint(self.starts[number], start)
        return self._run()

    def _from_day(self, number: int) -> list[tuple[int, Any]]:
        """For each open day a step's hands could be over on, but the first: whether they are over on it or later."""
        if number not in self.days:
            network, quarters = self.network, self.steps[number].quarters
            first, last = network.day_of(self.earliest[number] + quarters), network.day_of(self.latest[number])
            found: list[tuple[int, Any]] = []
            for day in range(first + 1, last + 1):
                if network.situation.free[day]:
                    reached = self.model.new_bool_var(f"e{number}_{day}")
                    self.model.add(self.starts[number] + quarters > network.opens(day)).only_enforce_if(reached)
                    self.model.add(self.starts[number] + quarters <= network.opens(day)).only_enforce_if(~reached)
                    if found:
                        self.model.add_implication(reached, found[-1][1])
                    found.append((day, reached))
            self.days[number] = found
        return self.days[number]

    def _precede(self, number: int, link: Link) -> None:
        start, end = self.starts[number], self.starts[link.before] + self.steps[link.before].quarters
        days, opens = first_day(link.days), self.network.opens
        self.model.add(start >= end)
        if days:
            for day, reached in self._from_day(link.before):
                if opens(day + days) > self.earliest[number]:
                    self.model.add(start >= opens(day + days)).only_enforce_if(reached)
        elif link.quarters:
            today = self.model.new_bool_var(f"t{link.before}_{number}")
            self.model.add(start >= end + link.quarters).only_enforce_if(today)
            first = self.network.day_of(self.earliest[link.before] + self.steps[link.before].quarters)
            self.model.add(start >= opens(first + 1)).only_enforce_if(~today)
            for day, reached in self._from_day(link.before):
                self.model.add(start >= opens(day + 1)).only_enforce_if(~today, reached)

    def _late(self, due: Due) -> tuple[list[Any], int]:
        """A due date's weighted lateness as terms of the objective, and what no order can change."""
        weight = round(due.weight * _SCALE)
        network = self.network
        if any(network.laid.placed[n] is None for n in due.steps):
            return [], weight * days_late(due, network.laid, network.situation.horizon)
        links, settled = network.until_done(due)
        least = max((settled, *(self._first_end(link) for link in links)))
        known = max(0, least - due.day)
        if len(links) == 1:
            return [weight * term for term in self._days_late(links[0], due.day + known)], weight * known
        late = self.model.new_int_var(0, network.situation.horizon, f"l{due.build}_{due.stage}")
        for link in links:
            self.model.add(late >= sum(self._days_late(link, due.day + known)))
        return [weight * late], weight * known

    def _first_end(self, link: Link) -> int:
        return self.network.day_of(self.earliest[link.before] + self.steps[link.before].quarters) + first_day(link.days)

    def _days_late(self, link: Link, day: int) -> list[Any]:
        """Days past `day`, as a sum of steps: each open day reached adds the days since the one before it."""
        terms, before = [], day
        for open_day, reached in self._from_day(link.before):
            done = open_day + first_day(link.days)
            if done > before:
                terms.append((done - before) * reached)
                before = done
        return terms

    def _run(self) -> Solved | None:
        cp, solver = self.cp, self.cp.CpSolver()
        settings = solver.parameters
        settings.num_workers = 1
        settings.random_seed = 1
        settings.catch_sigint_signal = False  # else it takes the handler of Ctrl-C away from whoever called
        settings.max_deterministic_time = BUDGET
        settings.max_time_in_seconds = SAFETY
        settings.linearization_level = 0
        settings.cp_model_probing_level = 0
        settings.symmetry_level = 0
        status = solver.solve(self.model)
        if status == cp.INFEASIBLE:
            return Solved({}, self.reached, False)
        stopped = status != cp.OPTIMAL and solver.wall_time >= SAFETY
        bound = max(0.0, min(self.reached, solver.best_objective_bound / _SCALE)) if status in (cp.OPTIMAL, cp.FEASIBLE) else 0.0
        found = {n: solver.value(start) for n, start in self.starts.items()} if status in (cp.OPTIMAL, cp.FEASIBLE) else {}
        return Solved(found, bound, stopped)
