"""The line-up's sum against trying every choice, and its rules derived anew by a separate checker."""

from itertools import chain, combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from purfle.show.problem import Option, Problem, Streak, broken, worth
from purfle.show.solve import solve

BUILDS = ("heron", "wren", "plover")
BEHIND = {-1: {-1}, 0: {-1, 0}, 1: {-1, 0, 1}, 2: {-1, 0, 2}, 3: {-1, 0, 1, 2, 3}}
"""A route of two branches, 1 and 2, between 0 and 3: what has nothing new once a piece at a place was shown."""


def options(weeks):
    return st.builds(
        Option,
        week=st.integers(0, weeks - 1),
        build=st.sampled_from(BUILDS),
        position=st.integers(-1, 3),
        units=st.integers(50, 500),
        points=st.integers(1, 2000),
        keeps=st.sets(st.integers(0, 2), max_size=2).map(lambda s: tuple(sorted(s))),
        reveal=st.booleans(),
    )


def usual(option):
    """A promise is of one build, as on air; a piece without a stage is a look back."""
    keeps = tuple(n for n in option.keeps if BUILDS[n % len(BUILDS)] == option.build)
    return Option(
        option.week, option.build, option.position, option.units, option.points, keeps, option.reveal, option.position < 0, frozenset(BEHIND[option.position])
    )


def problems(weeks):
    streak = st.builds(
        Streak, build=st.sampled_from(BUILDS), weeks=st.sets(st.integers(0, weeks - 1), min_size=1).map(lambda s: tuple(sorted(s))), most=st.integers(0, 2)
    )
    stretch = st.sets(st.integers(0, weeks - 1), min_size=1).map(lambda s: tuple(sorted(s)))
    return st.builds(
        Problem,
        room=st.lists(st.integers(0, 900), min_size=weeks, max_size=weeks).map(tuple),
        options=st.lists(options(weeks).map(usual), max_size=9).map(tuple),
        rewards=st.lists(st.lists(st.integers(0, 20), min_size=weeks, max_size=weeks).map(tuple), min_size=3, max_size=3).map(tuple),
        streaks=st.lists(streak, max_size=2).map(tuple),
        reveals=st.lists(stretch, max_size=2).map(tuple),
    )


def every_choice(problem):
    indexes = range(len(problem.options))
    return chain.from_iterable(combinations(indexes, size) for size in range(len(indexes) + 1))


def allowed(problem, chosen):
    """The rules, derived anew from what they mean on air."""
    pieces = [problem.options[i] for i in chosen]
    minutes, visits, backs = {}, set(), {}
    for p in pieces:
        minutes[p.week] = minutes.get(p.week, 0) + p.units
        backs[p.week] = backs.get(p.week, 0) + (p.position < 0)
        if (p.week, p.build) in visits:
            return False
        visits.add((p.week, p.build))
    stale = {}
    for p in sorted(pieces, key=lambda p: p.week):
        if p.position in stale.setdefault(p.build, set()):
            return False
        stale[p.build] |= BEHIND[p.position]
    on = [sum((w, s.build) in visits for w in s.weeks) <= s.most for s in problem.streaks]
    return all(minutes.get(w, 0) <= room for w, room in enumerate(problem.room)) and all(n <= 2 for n in backs.values()) and all(on)


def best(problem):
    return max(worth(problem, c) for c in every_choice(problem) if allowed(problem, c))


@settings(max_examples=120, deadline=None)
@given(problems(1))
def test_one_episode_is_the_best_of_all_choices(problem):
    chosen = solve(problem).chosen
    assert allowed(problem, chosen)
    assert worth(problem, chosen) == best(problem)


@settings(max_examples=60, deadline=None)
@given(problems(3))
def test_several_episodes_are_the_best_of_all_choices(problem):
    solution = solve(problem)
    assert solution.proved
    assert allowed(problem, solution.chosen)
    assert worth(problem, solution.chosen) == best(problem)


@settings(max_examples=100, deadline=None)
@given(problems(2), st.data())
def test_the_rules_as_written_are_the_rules_derived_anew(problem, data):
    chosen = tuple(data.draw(st.sets(st.integers(0, max(len(problem.options) - 1, 0))))) if problem.options else ()
    assert (broken(problem, chosen) is None) == allowed(problem, chosen)


def test_a_promise_is_worth_more_than_any_screen_time():
    many = tuple(Option(0, f"b{n}", 0, 100, 5000) for n in range(9))
    promised = Option(0, "heron", 0, 900, 1, (0,))
    assert solve(Problem((900,), (*many, promised), ((5,),))).chosen == (9,)


def test_a_reveal_gives_way_to_a_promise_and_to_nothing_else():
    reveal = Option(0, "heron", 5, 500, 1, (), reveal=True)
    step, promised = Option(0, "wren", 0, 500, 9000), Option(0, "plover", 0, 500, 1, (0,))
    assert solve(Problem((500,), (reveal, step), (), (), ((0,),))).chosen == (0,)
    assert solve(Problem((500,), (reveal, promised), ((5,),), (), ((0,),))).chosen == (1,)


def test_an_episode_has_two_looks_back_at_most():
    backs = tuple(Option(0, name, -1, 100, 10, (), False, True) for name in ("heron", "wren", "plover", "knot"))
    assert solve(Problem((900,), backs, ())).chosen == (0, 1)
    assert len(solve(Problem((900, 0), backs, ())).chosen) == 2
