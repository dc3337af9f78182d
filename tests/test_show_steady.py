"""Of line-ups that are worth the same, the same one each day: against every start, and over whole shops by hand."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from show_texts import build, episode, note, show_of
from test_show_solve import allowed, options, usual

from purfle.show.problem import Option, Problem, worth
from purfle.show.solve import solve
from purfle.show.steady import steadied

TALES = ("ash", "beech", "cedar", "deal")


def looks_back(weeks):
    """Four looks back that are worth the same in each week, as listed; an episode has room for two."""
    return tuple(Option(w, tale, -1, 300, 400 - w, (), False, True, frozenset({-1})) for w in range(weeks) for tale in TALES)


@pytest.mark.parametrize("start", list(combinations(range(4), 2)))
def test_whatever_two_stood_first_the_first_listed_do(start):
    problem = Problem((600, 600), looks_back(2), ())
    others = tuple(4 + i for i in range(4) if i not in start)
    assert steadied(problem, (*start, *others)) == (0, 1, 6, 7)


def test_what_is_worth_more_stays_though_it_is_listed_last():
    tales = looks_back(1)
    problem = Problem((600,), (*tales[:3], replace(tales[3], points=401)), ())
    assert steadied(problem, (2, 3)) == (0, 3)


small = st.lists(options(2).map(usual).map(lambda o: replace(o, units=100, points=5)), max_size=9, unique_by=lambda o: (o.week, o.build, o.position))


@settings(max_examples=150, deadline=None)
@given(small.map(tuple))
def test_no_rule_is_broken_and_nothing_is_lost(found):
    problem = Problem((300, 300), found, ((7, 3),) * 3)
    chosen = solve(problem).chosen
    assert allowed(problem, steadied(problem, chosen)) and worth(problem, steadied(problem, chosen)) == worth(problem, chosen)


GONE = tuple(enumerate(("2025-12-05", "2025-11-14", "2025-11-28", "2025-11-21")))
"""The days on which four builds that are sold were last on: the second longest ago, then the fourth, the third and the first."""


def sold():
    files = {f"builds/{TALES[n]}/build.md": build("sale: {date: 2025-12-08, price: 90}", title=TALES[n]) for n, _ in GONE}
    return files | {f"journal/episodes/{day}.md": episode(f"segments: [{{build: {TALES[n]}, what: reveal, minutes: 4}}]") for n, day in GONE}


def backs(files, weeks):
    return [[s.build for s in e.segments if s.build] for e in show_of(files, weeks=weeks)[0].lineup]


@pytest.mark.parametrize("weeks", [1, 2, 3, 4])
def test_those_longest_unseen_come_first_however_far_one_looks(weeks):
    assert backs(sold(), weeks) == [["beech", "deal"], ["ash", "cedar"], [], []][:weeks]


def test_a_note_on_another_build_moves_none_of_them():
    more = {"builds/heron/2026-02-24.md": note("stage: strip", "hours: 1"), "builds/zander/build.md": build(title="Zander")}
    assert backs({**sold(), **more}, 4) == backs(sold(), 4)
