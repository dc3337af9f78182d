"""The line-up as a sum to be made as large as the rules allow, without a word about instruments.

Invariant: whole numbers only, so that the same notes give the same line-up.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

REVEAL_MISSED = 10**6
"""What a stretch of weeks without a possible reveal costs: less than any promise, more than all screen time."""
PROMISE = 10**8
"""The unit of what keeping a promise is worth: more than everything else together."""
FILLERS = 2
"""Looks back and updates an episode may have."""


@dataclass(frozen=True, slots=True)
class Option:
    """One piece that could be in one episode."""

    week: int
    """Which of the episodes, from 0."""
    build: str
    position: int
    """The stage's place in the build's route, from 0; -1 for a piece about no stage."""
    units: int
    """Screen time in hundredths of a minute."""
    points: int
    """What it is worth in itself."""
    keeps: tuple[int, ...] = ()
    """Numbers of the promises it keeps."""
    reveal: bool = False
    filler: bool = False
    """A look back or an update."""
    leaves: frozenset[int] = frozenset()
    """The places at which nothing is new once it was shown: its own, those of the stages it follows, and -1."""


@dataclass(frozen=True, slots=True)
class Streak:
    """At most so many episodes among these weeks may show the build."""

    build: str
    weeks: tuple[int, ...]
    most: int


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything the choice depends on."""

    room: tuple[int, ...]
    """Screen time of each episode, in hundredths of a minute."""
    options: tuple[Option, ...]
    rewards: tuple[tuple[int, ...], ...]
    """For each promise, what keeping it in each episode is worth, in units of `PROMISE`; it counts once."""
    streaks: tuple[Streak, ...] = ()
    reveals: tuple[tuple[int, ...], ...] = ()
    """Stretches of episodes that should have a reveal between them."""


def broken(problem: Problem, chosen: Iterable[int]) -> str | None:
    """The first rule that a choice of options (by index) breaks, or None."""
    picked = [problem.options[i] for i in chosen]
    for week, room in enumerate(problem.room):
        here = [o for o in picked if o.week == week]
        if sum(o.units for o in here) > room:
            return f"episode {week} is over its length"
        if len({o.build for o in here}) < len(here):
            return f"episode {week} visits a build twice"
        if sum(o.filler for o in here) > FILLERS:
            return f"episode {week} has too many looks back"
    for first in picked:
        for second in picked:
            if first.week < second.week and clashes(first, second):
                return f"{first.build} is shown again without being further"
    for streak in problem.streaks:
        if sum(1 for o in picked if o.build == streak.build and o.week in streak.weeks) > streak.most:
            return f"{streak.build} is on too many weeks in a row"
    return None


def clashes(first: Option, second: Option) -> bool:
    """Whether two pieces of different weeks, the first one earlier, can't both be.

    The later one must be further on; a piece about no stage says that there is nothing new, so it follows no other.
    """
    return first.build == second.build and second.position in first.leaves


def worth(problem: Problem, chosen: Sequence[int]) -> int:
    """What a choice is worth: promises, then reveals, then screen time."""
    picked = [problem.options[i] for i in chosen]
    total = sum(o.points for o in picked)
    for number, rewards in enumerate(problem.rewards):
        total += PROMISE * max((rewards[o.week] for o in picked if number in o.keeps), default=0)
    shown = {o.week for o in picked if o.reveal}
    return total - REVEAL_MISSED * sum(1 for stretch in problem.reveals if not shown & set(stretch))
