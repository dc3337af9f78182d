"""The what-ifs of `purfle week`: options as changes of the plan, and what moves as text and JSON.

Invariant: works nothing out; a name or day that means nothing is wrong usage, told with those that would do.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import click

from purfle.base.counts import counted
from purfle.base.names import folded
from purfle.shell.contract import day, fixed
from purfle.shell.report import hours, on, percent
from purfle.shell.terminal import Printer, safe

if TYPE_CHECKING:
    from purfle.bench.what_if import Change, Moved
    from purfle.compile import Analysis


@dataclass(frozen=True, slots=True)
class Suppose:
    """The what-if options as they were typed."""

    jobs: tuple[Decimal, ...] = ()
    late: tuple[tuple[str, int], ...] = ()
    """Part, or build/part, and days."""
    without: tuple[date, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.jobs or self.late or self.without)


def changes_of(suppose: Suppose, analysis: "Analysis") -> "tuple[Change, ...]":
    """The changes that are supposed. Raises wrong usage for a part nothing waits for, or a day that is past."""
    from purfle.bench.what_if import DayLost, JobAdded

    if any(job <= 0 for job in suppose.jobs):
        raise click.BadParameter("a job takes more than 0 hours", param_hint="--job")
    for lost in suppose.without:
        if lost < analysis.today:
            raise click.BadParameter(f"{lost} is past; today is {analysis.today}", param_hint="--without")
    late = [change for words, days in suppose.late for change in _late(words, days, analysis)]
    return (*map(JobAdded, suppose.jobs), *late, *map(DayLost, suppose.without))


def _late(words: str, days: int, analysis: "Analysis") -> "list[Change]":
    """The part by its name, in every build that waits for it, or in the one that is named before a slash; by a word of its name where no other has it."""
    from purfle.base.near import nearest
    from purfle.bench.what_if import PartLate, awaited

    known = awaited(analysis.shop, analysis.progress, analysis.today)
    names = {f"{build}/{part}": (build, part) for build, part in known}
    wanted = folded(words)
    found = [(build, part) for name, (build, part) in names.items() if wanted in (folded(part), folded(name))]
    named_so = [name for name in names if not found and set(wanted.replace("/", " ").split()) <= set(folded(name).replace("/", " ").split())]
    if len(named_so) == 1:
        found = [names[named_so[0]]]
    if not found:
        near = nearest(words, [*names, *(part for _, part in known)])
        does = f"did you mean {near}?" if near else f"the parts waited for: {', '.join(named_so or names) or 'nothing'}"
        raise click.BadParameter(safe(f"no stage still to come waits for {words}; {does}"), param_hint="--late")
    return [PartLate(build, part, days) for build, part in found]


def _words(change: "Change") -> str:
    from purfle.bench.what_if import DayLost, JobAdded

    if isinstance(change, JobAdded):
        return f"a job of {hours(change.hours)} h comes in and is done first"
    if isinstance(change, DayLost):
        return f"no bench work on {on(change.day)}"
    return f"{change.part} for {change.build} comes {counted(change.days, 'day')} later"


def answer(changes: "Sequence[Change]", moves: "Sequence[Moved]") -> dict[str, Any]:
    """The `what_if` of `purfle week --json`."""
    rows = [
        {
            "build": m.build,
            "stage": m.stage,
            "due": day(m.due),
            "now": day(m.before),
            "then": day(m.after),
            "chance_now": fixed(m.chance_before),
            "chance_then": fixed(m.chance_after),
        }
        for m in moves
    ]
    return {"supposed": [_words(change) for change in changes], "moves": rows}


def show(changes: "Sequence[Change]", moves: "Sequence[Moved]", out: Printer) -> None:
    """What is supposed, and what it moves."""
    out.heading(f"If {'; '.join(map(_words, changes))}:")
    if moves:
        rows = [
            (m.build, m.stage or "whole build", _day(m.before), _day(m.after), _later(m), on(m.due), percent(m.chance_before), percent(m.chance_after))
            for m in moves
        ]
        out.table(("build", "stage", "done by", "then", "moved", "due", "chance", "then"), rows, frozenset({4, 6, 7}), keys=2)
        out.words("Done by: the day by which it is 80 % likely to be finished. The order of work is chosen anew, so some things may come earlier.")
    else:
        out.line("Nothing moves.")


def _day(value: date | None) -> str:
    return on(value) if value else "beyond"


def _later(moved: "Moved") -> str:
    if moved.before is None or moved.after is None:
        return "?"
    return f"{(moved.after - moved.before).days:+d} d".replace("+0 d", "0 d")
