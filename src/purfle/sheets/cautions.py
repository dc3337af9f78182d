"""Cautions, put where the work is: by stage, by what is used there, by what the instrument holds and where it goes.

The texts, their sources and the day they were checked are data (data/cautions.json), never code.
Invariant: a caution informs and permits nothing; that none is shown does not mean that there is no danger.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from purfle.base.names import folded
from purfle.base.packaged import table
from purfle.notes.model import Build
from purfle.progress.model import Progress, StageProgress


@dataclass(frozen=True, slots=True)
class Rule:
    """A caution and when it is shown; lists hold beginnings of words."""

    id: str
    title: str
    says: str
    source: str
    checked: str
    """How the source was checked."""
    checked_on: date
    stages: tuple[str, ...] = ()
    """In a stage's name."""
    materials: tuple[str, ...] = ()
    """In what a stage is coated with, needs or used."""
    things: tuple[str, ...] = ()
    """In what the instrument is, has or is made of."""
    cells: tuple[str, ...] = ()
    """In the kind of its battery."""
    made_before: int | None = None
    """Only for an instrument made before this year, or of no known year."""
    ships: bool = False
    """Only while it may still be sent to somebody."""
    abroad: bool = False
    """About crossing a border."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution that belongs to a build."""

    id: str
    title: str
    says: str
    """With the advice that always stands."""
    source: str
    checked: str
    checked_on: date
    why: str
    """What called for it."""
    to_come: tuple[str, ...]
    """Its stages that are not finished."""
    done: tuple[str, ...]
    """Its stages that are."""

    @property
    def now(self) -> bool:
        """Whether it is about something still to come."""
        return bool(self.to_come) or not self.done


@cache
def _data() -> tuple[tuple[Rule, ...], str]:
    found = table("cautions")
    return tuple(_rule(entry) for entry in found["cautions"]), found["always"]


def _rule(entry: dict[str, object]) -> Rule:
    lists = {name: tuple(value) for name, value in entry.items() if isinstance(value, list)}
    plain = {name: value for name, value in entry.items() if not isinstance(value, list)}
    return Rule(**{**plain, **lists, "checked_on": date.fromisoformat(str(entry["checked_on"]))})  # type: ignore[arg-type]


UNSAID = "a battery of no written kind"
"""What stands for a battery's kind that is not written; the caution of lithium cells asks for it."""
Used = Mapping[str, Sequence[str]]
"""Stage, folded → stock used on it, as far as the notes say."""


def rules() -> tuple[Rule, ...]:
    """Every caution there is, in order."""
    return _data()[0]


def cautions_of(build: Build, progress: Progress, used: Used) -> tuple[Caution, ...]:
    """The cautions of one build, those about work still to come first; `used` is the stock used, by stage."""
    found = [caution for rule in rules() if (caution := _caution(rule, build, progress, used)) is not None]
    return tuple(sorted(found, key=lambda caution: not caution.now))


def _caution(rule: Rule, build: Build, progress: Progress, used: Used) -> Caution | None:
    gone = progress.closed_on is not None
    if (rule.ships and gone) or not _old_enough(rule, build):
        return None
    stages = [stage for stage in progress.stages if _touches(rule, stage, used.get(folded(stage.stage.name), ()))]
    thing = _first(rule.things, _things(build)) or _first(rule.cells, _cells(build))
    if not stages and (thing is None or (gone and not rule.ships)):
        return None
    why = [*([_named(thing)] if thing else []), *([_border(build)] if rule.abroad else []), *([_age(build, rule)] if rule.made_before else [])]
    to_come = () if gone else tuple(stage.stage.name for stage in stages if not stage.finished)
    done = tuple(stage.stage.name for stage in stages if stage.stage.name not in to_come)
    says = f"{rule.says} {_data()[1]}"
    return Caution(rule.id, rule.title, says, rule.source, rule.checked, rule.checked_on, "; ".join(why), to_come, done)


def _named(thing: str) -> str:
    """As it is written: “mahogany-like” is no noun, and “black polyester” only one word of the finish."""
    return f"it has {thing}" if thing == UNSAID else f"its sheet says “{thing}”"


def _touches(rule: Rule, stage: StageProgress, used: Iterable[str]) -> bool:
    own = stage.stage
    return _first(rule.stages, [own.name]) is not None or _first(rule.materials, [own.coat or "", *own.needs, *used]) is not None


def _first(starts: tuple[str, ...], texts: Iterable[str]) -> str | None:
    """The first text that has a word beginning so."""
    pattern = _pattern(starts)
    return None if pattern is None else next((text for text in texts if pattern.search(text.casefold())), None)


@cache
def _pattern(starts: tuple[str, ...]) -> re.Pattern[str] | None:
    words = "|".join(re.escape(start) for start in starts)
    return re.compile(rf"(?<!\w)(?:{words})") if words else None


def _things(build: Build) -> Iterator[str]:
    sheet, specs = build.sheet, build.sheet.specs
    yield from (word for word in (sheet.instrument, sheet.finish) if word)
    yield from (part.part for part in sheet.parts)
    if specs is not None:
        yield from (item.what for item in (*specs.woods, *specs.pickups) if item.what)
        yield from specs.other


def _cells(build: Build) -> Iterator[str]:
    if build.sheet.specs is not None and build.sheet.specs.battery is not None:
        yield build.sheet.specs.battery.kind or UNSAID


def _made(build: Build) -> int | None:
    found = re.search(r"(?:1[6-9]|20)[0-9]{2}", build.sheet.year or "")
    return int(found[0]) if found else None


def _old_enough(rule: Rule, build: Build) -> bool:
    made = _made(build)
    return rule.made_before is None or made is None or made < rule.made_before


def _age(build: Build, rule: Rule) -> str:
    return f"it was made {build.sheet.year}" if _made(build) is not None else f"its year is not known and may be before {rule.made_before}"


def _border(build: Build) -> str:
    return "it crosses a border" if build.sheet.packed is not None and build.sheet.packed.abroad else "if the buyer is abroad"
