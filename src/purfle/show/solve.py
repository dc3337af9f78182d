"""The best line-up, exactly: one episode by a table of sums, several by an integer programme.

The programme is OR-tools' CP-SAT, imported only for several weeks, with one worker and a budget of work, not of
seconds. Invariant: returns indexes of options; knows nothing of why they are worth what they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any, NamedTuple

from purfle.base.groups import grouped
from purfle.show.problem import FILLERS, PROMISE, REVEAL_MISSED, Option, Problem, Streak

_WORK = 10.0
"""Deterministic work the programme may take; some ten times what 30 builds over 8 weeks take."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A choice of options."""

    chosen: tuple[int, ...]
    """Indexes of the problem's options, rising."""
    proved: bool
    """Whether it is proved to be the best."""


def solve(problem: Problem) -> Solution:
    """The best choice for the problem's episodes."""
    if len(problem.room) <= 1:
        return Solution(_one_week(problem), True)
    return _many_weeks(problem)


def solve_filled(problem: Problem) -> tuple[Problem, Solution]:
    """The best choice, where no episode stays empty for a streak alone; with the problem it solves, less the streaks that gave way.

    One more week of a build is better than an episode without any; the soonest empty one is filled first.
    """
    solution = solve(problem)
    while (kept := _without_emptying_streaks(problem, solution.chosen)) is not None:
        problem = replace(problem, streaks=kept)
        solution = solve(problem)
    return problem, solution


def _without_emptying_streaks(problem: Problem, chosen: Sequence[int]) -> tuple[Streak, ...] | None:
    """The streaks that are left when some of the first episode that is empty give way, of builds that could be in it; None when there are none.

    First those that end in it, then those that go on after it: what a build shows later may as well keep it out.
    """
    shown = {problem.options[i].week for i in chosen}
    could = {(option.week, option.build) for option in problem.options if option.week not in shown}
    over = sorted((week, s.weeks[-1] > week, n) for n, s in enumerate(problem.streaks) for week in s.weeks if (week, s.build) in could)
    if not over:
        return None
    given = {n for *found, n in over if found == list(over[0][:2])}
    return tuple(streak for n, streak in enumerate(problem.streaks) if n not in given)


# --- one episode -------------------------------------------------------------------------------------------------------


class _State(NamedTuple):
    """What a choice takes of the episode: of two alike, the one that is worth less can be forgotten."""

    used: int
    """Screen time in hundredths of a minute."""
    reveal: bool
    fillers: int


class _Best(NamedTuple):
    """The choice of options that is worth most in one state."""

    worth: int
    chosen: tuple[int, ...]


def _one_week(problem: Problem) -> tuple[int, ...]:
    """At most one option a build, best worth within the room, of alike the shorter and then the first listed; promises are worth what they are in that week."""
    best = {_State(0, False, 0): _Best(0, ())}
    for group in _by_build(problem):
        best = _with_group(problem, best, group)
    missed = REVEAL_MISSED * len(problem.reveals)
    state = max(best, key=lambda s: (best[s].worth - (0 if s.reveal else missed), -s.used, [-i for i in best[s].chosen]))
    return tuple(sorted(best[state].chosen))


def _by_build(problem: Problem) -> list[list[int]]:
    barred = {s.build for s in problem.streaks if s.most <= 0 and 0 in s.weeks}
    groups = grouped(range(len(problem.options)), lambda index: problem.options[index].build)
    return [group for build, group in groups.items() if build not in barred]


def _with_group(problem: Problem, best: dict[_State, _Best], group: list[int]) -> dict[_State, _Best]:
    """The best choices once one more build, whose options these are, may be in too."""
    grown = dict(best)
    for before, so_far in best.items():
        for index in group:
            option = problem.options[index]
            state = _State(before.used + option.units, before.reveal or option.reveal, before.fillers + option.filler)
            if state.used > problem.room[0] or state.fillers > FILLERS:
                continue
            worth = so_far.worth + option.points + PROMISE * sum(problem.rewards[n][0] for n in option.keeps)
            if state not in grown or worth > grown[state].worth:
                grown[state] = _Best(worth, (*so_far.chosen, index))
    return grown


# --- several episodes --------------------------------------------------------------------------------------------------


def _many_weeks(problem: Problem) -> Solution:
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    take = [model.new_bool_var(f"o{i}") for i in range(len(problem.options))]
    _within_each_week(model, problem, take)
    _across_weeks(model, problem, take)
    value = sum(o.points * x for o, x in zip(problem.options, take, strict=True))
    model.maximize(value + _kept(model, problem, take) - REVEAL_MISSED * sum(_missing(model, problem, take)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False  # else it takes the handler of Ctrl-C away from whoever called
    solver.parameters.max_deterministic_time = _WORK
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solution((), False)
    return Solution(tuple(i for i, x in enumerate(take) if solver.value(x)), status == cp_model.OPTIMAL)


def _within_each_week(model: Any, problem: Problem, take: list[Any]) -> None:
    for week, room in enumerate(problem.room):
        here = [(o, x) for o, x in zip(problem.options, take, strict=True) if o.week == week]
        model.add(sum(o.units * x for o, x in here) <= room)
        model.add(sum(x for o, x in here if o.filler) <= FILLERS)
        for own in grouped(here, _build_of).values():
            model.add_at_most_one(x for _, x in own)


def _across_weeks(model: Any, problem: Problem, take: list[Any]) -> None:
    by_build = grouped(zip(problem.options, take, strict=True), _build_of)
    for own in by_build.values():
        _further_each_time(model, own)
    for streak in problem.streaks:
        on_air = [x for o, x in by_build.get(streak.build, ()) if o.week in streak.weeks]
        if on_air:
            model.add(sum(on_air) <= streak.most)


def _build_of(pair: tuple[Option, Any]) -> str:
    return pair[0].build


def _further_each_time(model: Any, own: list[tuple[Option, Any]]) -> None:
    """One build's pieces: at a place or beyond it in an earlier week, or at that place or behind it in a later one, never both.

    The same as forbidding each pair that clashes, in far fewer and tighter constraints, since a week has one of them.
    """
    weeks, places = sorted({o.week for o, _ in own}), {o.position: o for o, _ in own}
    for first, second in combinations(weeks, 2):
        for place, there in sorted(places.items()):
            beyond = [x for o, x in own if o.week == first and place in o.leaves]
            before = [x for o, x in own if o.week == second and o.position in there.leaves]
            if beyond and before:
                model.add_at_most_one(beyond + before)


def _kept(model: Any, problem: Problem, take: list[Any]) -> Any:
    """What the promises kept are worth; each counts once, in its best episode."""
    terms = []
    for number, rewards in enumerate(problem.rewards):
        kept = [model.new_bool_var(f"p{number}w{week}") for week in range(len(problem.room))]
        model.add_at_most_one(kept)
        for week, y in enumerate(kept):
            keeping = [x for o, x in zip(problem.options, take, strict=True) if o.week == week and number in o.keeps]
            model.add(y <= sum(keeping))
        terms += [PROMISE * reward * y for reward, y in zip(rewards, kept, strict=True)]
    return sum(terms)


def _missing(model: Any, problem: Problem, take: list[Any]) -> list[Any]:
    found = []
    for number, stretch in enumerate(problem.reveals):
        missing = model.new_bool_var(f"r{number}")
        reveals = [x for o, x in zip(problem.options, take, strict=True) if o.reveal and o.week in stretch]
        model.add(missing + sum(reveals) >= 1)
        found.append(missing)
    return found
