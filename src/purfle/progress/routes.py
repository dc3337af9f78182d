"""A build's own route: the shop's route with the changes of the build sheet.

A stage without `follows:` follows every stage before it that nothing else follows yet; in a plain list that is the
one before it, and a side branch such as fretwork is waited for where the branches come together.
Invariant: knows nothing of what was done; the same sheet always gives the same route.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import TypeVar

from purfle.base import times
from purfle.base.names import folded
from purfle.base.times import Estimate, Wait
from purfle.base.trouble import Troubles, Wrong, listed
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import Part
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.stages import StageSheet
from purfle.notes.vocabulary.named import Named, called
from purfle.progress.model import RouteStage
from purfle.progress.warmth import bent

K = TypeVar("K", bound=Hashable)
_NONE = Estimate(Decimal(0), Decimal(0), Decimal(0))
_HOUR = Estimate(Decimal(1), Decimal(1), Decimal(1))
LONG_CURE = 365
"""Days from which a cure is told as a likely slip."""


def route_of(shop: Shop, build: Build, troubles: Troubles, today: date) -> tuple[RouteStage, ...]:
    """The stages of a build in order, without those it skips; empty when it has no route, or names one that there is not.

    Names that mean nothing are passed over; the check of names tells them. A circle in `follows` is told and left as
    it is: whoever walks the route must not trust it to end.
    """
    sheets = _sheets(shop.settings, build, troubles)
    stages = tuple(_stage(sheet, follows, shop.settings, troubles) for sheet, follows in _followed(sheets))
    ended = _without_skipped(_ended(stages, build), {folded(s.stage) for s in sheets if s.skip})
    if names := circle(ended):
        stage = next(s for s in ended if s.name == names[0])
        troubles.add(stage.at, "follows-cycle", f"{stage.name} waits, by way of its follows, for itself", "take one name out of the follows of these stages")
    return tuple(_with_parts(_warmed(stage, shop.settings, today), build) for stage in ended)


def waits_for(stage: RouteStage, part: Part) -> bool:
    """Whether a stage waits for a part of its build: the part is for it, or the stage needs it by name."""
    return (part.stage is not None and folded(part.stage) == folded(stage.name)) or folded(part.part) in {folded(n) for n in stage.needs}


def _with_parts(stage: RouteStage, build: Build) -> RouteStage:
    """A stage that rests with the day from which its parts are here: nobody's note begins it, so that nobody's note says that they are."""
    days = [part.arrived or date.max for part in build.sheet.parts if waits_for(stage, part)] if stage.rests else []
    return replace(stage, parts_here=max(days)) if days else stage


def whole_route(shop: Shop, build: Build) -> dict[str, tuple[str, ...]]:
    """Every stage a build has or could have, in order, with those it follows: the stages it skips and those past its `ends_at` too."""
    sheets = _sheets(shop.settings, build, Troubles())
    return {sheet.stage: follows for sheet, follows in _followed(sheets)}


def _warmed(stage: RouteStage, settings: ShopSheet, today: date) -> RouteStage:
    """The stage with its cure as the room's warmth makes it."""
    entry = called(stage.coat, settings.cures)
    warmth = () if entry is None else bent(entry.value, settings.room)
    if stage.cure is None or not warmth:
        return stage
    warm = replace(stage, warmth=warmth)
    return replace(warm, cure=warm.cure_on(today), bent=warm.bent_on(today))


def _sheets(settings: ShopSheet, build: Build, troubles: Troubles) -> list[StageSheet]:
    """The stages of the shop's route as the build's sheet changes them; none of a route that there is not: before that is mended nothing can be said of them."""
    name = build.sheet.route
    if name is None:
        return _changed([], build, troubles)
    route = called(name, settings.routes)
    return [] if route is None else _changed(_once(route.value, troubles), build, troubles)


def _once(sheets: Iterable[StageSheet], troubles: Troubles) -> list[StageSheet]:
    stages: dict[str, StageSheet] = {}
    for sheet in sheets:
        if folded(sheet.stage) in stages:
            troubles.add(
                sheet.where("stage"), "name-twice", f"the route has a stage {sheet.stage} twice", "give the second one a name of its own, such as second coat"
            )
        else:
            stages[folded(sheet.stage)] = sheet
    return list(stages.values())


def _changed(route: list[StageSheet], build: Build, troubles: Troubles) -> list[StageSheet]:
    """The route's stages with the sheet's own laid over them; a new one stands after the last it follows, else at the end."""
    stages = list(route)
    added: set[str] = set()
    for change in build.sheet.stages:
        index = _index(stages, change.stage)
        if index is not None:
            stages[index] = _laid_over(stages[index], change)
        elif change.skip:
            found = f"the route has no stage {change.stage} to skip"
            troubles.add(change.where("stage"), "stage-unknown", found, f"write one of {listed(s.stage for s in stages)}, or take the line out")
        else:
            stages.insert(_place_for(stages, change, added), change)
            added.add(folded(change.stage))
    return stages


def _index(stages: Sequence[StageSheet], name: str) -> int | None:
    return next((i for i, s in enumerate(stages) if folded(s.stage) == folded(name)), None)


def _place_for(stages: Sequence[StageSheet], change: StageSheet, added: set[str]) -> int:
    known = [i for i in (_index(stages, name) for name in change.follows or ()) if i is not None]
    if not known:
        return len(stages)
    after = max(known) + 1
    while after < len(stages) and folded(stages[after].stage) in added:
        after += 1
    return after


def _laid_over(stage: StageSheet, change: StageSheet) -> StageSheet:
    names = ("hours", "cure", "wait", "whole", "skip", "follows", "needs", "shots")
    said = {name: getattr(change, name) for name in names if change.wrote(name)}
    marks = tuple((n, p) for n, p in stage.marks if n not in said) + tuple((n, p) for n, p in change.marks if n in said)
    return replace(stage, marks=marks, **said)


def _followed(sheets: Sequence[StageSheet]) -> Iterator[tuple[StageSheet, tuple[str, ...]]]:
    """Each stage with those it follows."""
    names = {folded(s.stage): s.stage for s in sheets}
    loose: list[str] = []
    for sheet in sheets:
        follows = tuple(loose) if sheet.follows is None else tuple(names[folded(name)] for name in sheet.follows if folded(name) in names)
        loose = [name for name in loose if name not in follows] + [sheet.stage]
        yield sheet, follows


def _stage(sheet: StageSheet, follows: tuple[str, ...], settings: ShopSheet, troubles: Troubles) -> RouteStage:
    entry = called(sheet.cure, settings.cures)
    cure = _cure(sheet, entry, troubles)
    unwritten = _NONE if cure is not None or sheet.wait is not None else _HOUR  # no hours on a stage with nothing else: an hour is assumed
    hours = unwritten if sheet.hours is None else sheet.hours
    recoat, coat = (None, None) if entry is None else (entry.value.recoat, entry.name)
    return RouteStage(
        name=sheet.stage,
        hours=hours,
        cure=cure if cure is not None and (cure.days or cure.hours) else None,
        wait=sheet.wait if sheet.wait is not None and sheet.wait.high else None,  # a wait of nothing is none, and the stage never goes out
        whole=sheet.whole,
        follows=follows,
        needs=sheet.needs,
        shots=sheet.shots,
        at=sheet.at,
        recoat=recoat,
        coat=coat,
    )


def _cure(sheet: StageSheet, entry: Named | None, troubles: Troubles) -> Wait | None:
    """The cure of a stage: that of an `entry` of the cure table, or a time of its own."""
    if sheet.cure is None:
        return None
    try:
        cure: Wait = times.wait(sheet.cure) if entry is None else entry.value.cure
    except Wrong:  # the check of names tells it
        return None
    if cure.days > LONG_CURE:
        troubles.add(sheet.where("cure"), "cure-very-long", f"the cure of {sheet.stage} takes {cure}", "check the figure against the product's data sheet")
    return cure


def _without_skipped(stages: Sequence[RouteStage], skipped: set[str]) -> tuple[RouteStage, ...]:
    """The stages less the skipped ones; what followed a skipped stage follows what that one followed."""
    out = {s.name: s.follows for s in stages if folded(s.name) in skipped}

    def through(names: tuple[str, ...], seen: frozenset[str]) -> Iterable[str]:
        for name in names:
            if name not in out:
                yield name
            elif name not in seen:
                yield from through(out[name], seen | {name})

    return tuple(replace(s, follows=tuple(dict.fromkeys(through(s.follows, frozenset())))) for s in stages if s.name not in out)


def _ended(stages: tuple[RouteStage, ...], build: Build) -> tuple[RouteStage, ...]:
    last = build.sheet.ends_at
    if last is None or not stages:
        return stages
    index = next((i for i, s in enumerate(stages) if folded(s.name) == folded(last)), None)
    if index is None:
        return stages
    kept = stages[: index + 1]
    names_kept = {s.name for s in kept}
    return tuple(replace(s, follows=tuple(f for f in s.follows if f in names_kept)) for s in kept)


def before(stages: Sequence[RouteStage]) -> dict[str, frozenset[str]]:
    """For each stage, every stage that must be finished before it, near or far; ends even when they go in a circle."""
    return reached({s.name: s.follows for s in stages})


def after(stages: Sequence[RouteStage]) -> dict[str, frozenset[str]]:
    """For each stage, every stage that follows it, near or far."""
    direct: dict[str, list[str]] = {s.name: [] for s in stages}
    for stage in stages:
        for name in stage.follows:
            direct[name].append(stage.name)
    return reached(direct)


def reached(direct: Mapping[K, Iterable[K]]) -> dict[K, frozenset[K]]:
    """For each name all that it leads to, near or far, where `direct` has the near ones."""
    return {name: beyond([name], direct.__getitem__) for name in direct}


def beyond(starts: Iterable[K], near: Callable[[K], Iterable[K]]) -> frozenset[K]:
    """All that some things lead to, near or far, by what each of them leads to; ends even when they go in a circle."""
    seen: set[K] = set()
    waiting = list(starts)
    while waiting:
        for one in near(waiting.pop()):
            if one not in seen:
                seen.add(one)
                waiting.append(one)
    return frozenset(seen)


def circle(stages: Sequence[RouteStage]) -> tuple[str, ...]:
    """The stages that wait for themselves; empty for a sound route."""
    return tuple(name for name, needed in before(stages).items() if name in needed)
