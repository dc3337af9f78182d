"""Of line-ups that are worth the same, always the same one: like pieces change places until those listed first stand first.

A solver gives any of the best, and another one once a day has passed or a note has come that has nothing to do with it.
Invariant: what it gives keeps every rule that the choice kept, and is worth what that was worth.
"""

from collections.abc import Iterator, Sequence
from operator import attrgetter

from purfle.show.problem import Option, Problem, broken


def steadied(problem: Problem, chosen: Sequence[int]) -> tuple[int, ...]:
    """The choice with like pieces exchanged, by the order in which the options of a week are listed, the earlier weeks first."""
    picked = set(chosen)
    at = {(o.week, o.build, o.position): i for i, o in enumerate(problem.options)}
    for index in sorted(range(len(problem.options)), key=lambda i: problem.options[i].week):
        if index not in picked:
            trials = _trials(problem.options, picked, at, index)
            picked = next((trial for trial in trials if broken(problem, sorted(trial)) is None), picked)
    return tuple(sorted(picked))


def _trials(options: Sequence[Option], picked: set[int], at: dict[tuple[int, str, int], int], index: int) -> Iterator[set[int]]:
    """The choice with this option in place of a like one of its week that is listed later; where it is chosen in a later week, the two change places."""
    wanted = options[index]
    for given in sorted((i for i in picked if i > index and _alike(options[i], wanted)), reverse=True):
        back = {at.get((o.week, options[given].build, options[given].position)): i for i, o in _later(options, picked, wanted)}
        if all(new is not None and _alike(options[new], options[old]) for new, old in back.items()):
            yield (picked - {given, *back.values()}) | {index, *(new for new in back if new is not None)}


def _later(options: Sequence[Option], picked: set[int], wanted: Option) -> Iterator[tuple[int, Option]]:
    """The same piece where it is chosen for a later week."""
    found = ((i, options[i]) for i in picked)
    return ((i, o) for i, o in found if (o.build, o.position) == (wanted.build, wanted.position) and o.week > wanted.week)


_WEIGHED = attrgetter("week", "units", "points", "keeps", "reveal", "filler")


def _alike(one: Option, other: Option) -> bool:
    """Whether one may stand for the other in the same week without the choice being worth more or less."""
    return bool(_WEIGHED(one) == _WEIGHED(other))
