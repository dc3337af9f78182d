"""The bench plan: gather, order, lay, forecast, tell.

Invariant: pure; the day is given, the chances are seeded, and no clock decides what is found.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.times import QUARTERS
from purfle.bench.arrivals import part_waiting, supply_of
from purfle.bench.gather import Promised, gather
from purfle.bench.lags import Out, lags_of, sent_out
from purfle.bench.learn import habits_of, learned
from purfle.bench.model import EARLY, LIKELIHOODS, SURE, AtRisk, Chances, Curing, Forecast, Learned, Low, Order, Overdue, Plan, PlanDay, Task, Unplaced, Whole
from purfle.bench.order import Ordered, ordered
from purfle.bench.place import Laid
from purfle.bench.said import Said, said_of
from purfle.bench.shelf import Move, Shelf, running_low, shelf_on
from purfle.bench.spread import Outcome, Spread
from purfle.bench.steps import Situation, Waiting
from purfle.notes.model import Build, Shop
from purfle.progress.model import Progress, StageProgress
from purfle.progress.routes import waits_for
from purfle.progress.standing import brought_on, came_in
from purfle.progress.states import CURE, WAIT, awaited, is_here

WEEK = 7
_AT_WORK = ("in the rack", "on the bench")


def plan_bench(shop: Shop, moves: Sequence[Move], progress: Mapping[str, Progress], promised: Sequence[Promised], today: date, said: Said = ()) -> Plan:
    """The plan from `today` on.

    `moves`: those of the shelf (`moves_of`); `promised`: build, stage and the day by whose end it must be finished; `said`: the order when the week began.

    What can't be placed is no trouble: it is in `Plan.unplaced` with its reason.
    """
    habits = habits_of(progress.values())
    shelf = shelf_on(moves, today)
    situation = gather(shop, shelf, progress, habits, promised, today)
    names = {folded(s.stage.name): s.stage.name for told in progress.values() for s in told.stages}
    found = computed(situation, said)
    return _told(shop, progress, found, learned(habits, names), running_low(shop.settings, shelf))


@dataclass(frozen=True, slots=True)
class Computed:
    """A situation with its order and what the runs say."""

    situation: Situation
    ordered: Ordered
    outcome: Outcome

    @property
    def laid(self) -> Laid:
        """The order laid into the days."""
        return self.ordered.laid


def order_of(
    shop: Shop, moves: Sequence[Move], progress: Mapping[str, Progress], promised: Sequence[Promised], handed: Mapping[str, date], today: date
) -> tuple[tuple[str, str], ...]:
    """Build and stage in the order of work, as it would have been said on a day by the notes up to it; of what came in later nobody had heard.

    `handed` has the days on which builds came in with others, or with a sale.
    """
    heard = tuple(build for build in shop.builds if _heard_of(shop, build, handed, today))
    situation = gather(replace(shop, builds=heard), shelf_on(moves, today), progress, habits_of(progress.values()), promised, today)
    return said_of(situation, ordered(situation).laid)


def _heard_of(shop: Shop, build: Build, handed: Mapping[str, date], day: date) -> bool:
    """Whether a build was known of on a day, as far as the notes up to it can say: one of which neither its sheet nor what it was `handed` in with says a day counts as known."""
    since = came_in(shop, build, handed) if brought_on(build, handed) else None
    return since is None or since <= day


def computed(situation: Situation, said: Said) -> Computed:
    """Order a situation and forecast it."""
    from purfle.bench.forecast import forecast  # with numpy: only here is it needed

    found = ordered(situation, said)
    return Computed(situation, found, forecast(situation, found.laid))


def _told(shop: Shop, progress: Mapping[str, Progress], found: Computed, habits: tuple[Learned, ...], low: tuple[Low, ...]) -> Plan:
    today = found.situation.today
    curing = tuple(sorted(_curing(progress, today), key=lambda c: (c.until, c.build, c.stage)))
    out, loose = {(c.build, c.stage) for c in curing if c.why == WAIT}, tuple(_loose(shop, progress, found))
    return Plan(
        today=today,
        days=_days(found, out),
        curing=curing,
        lags=tuple(lags_of(found.situation, found.laid, out)),
        order=tuple(sorted(set(_orders(found, loose)), key=lambda o: (o.by, o.build, o.part, o.needed))),
        forecast=tuple(_forecasts(found)),
        unplaced=(
            *(Unplaced(found.situation.steps[n].build, found.situation.steps[n].stage, why) for n, why in found.laid.why),
            *_without_stages(shop, progress),
        ),
        learned=habits,
        proof=found.ordered.proof,
        chances=dict(_chances(found)),
        overdue=tuple(sorted(_overdue(found, loose), key=lambda o: (o.expected, o.build, o.stage, o.part or ""))),
        low=low,
        dates=tuple(sorted(_dates(found), key=lambda r: (r.due, r.build, r.stage or ""))),
        wholes=tuple(_wholes(found)),
    )


def _without_stages(shop: Shop, progress: Mapping[str, Progress]) -> Iterator[Unplaced]:
    """Open builds of which the plan knows no work; one that is offered, kept, set aside or sold in part wants none."""
    for build in shop.builds:
        told = progress[build.id]
        if told.state in _AT_WORK and not (told.stages or build.sheet.route or build.sheet.stages):
            yield Unplaced(build.id, None, "it has no stages: write route: or stages: on its sheet")


def _days(found: Computed, out: Out) -> tuple[PlanDay, ...]:
    """Every day from today to the last with work or something to send out, and a week at least."""
    tasks: dict[int, list[Task]] = {}
    for number in found.laid.order:
        placed, step = found.laid.placed[number], found.situation.steps[number]
        for day, quarters in placed.days if placed is not None else ():
            tasks.setdefault(day, []).append(Task(step.build, step.stage, Decimal(quarters) / QUARTERS))
    for day, number in sent_out(found.situation, found.laid, out):
        step = found.situation.steps[number]
        tasks.setdefault(day, []).append(Task(step.build, step.stage, Decimal(0)))
    last = max(WEEK, *(day + 1 for day in tasks)) if tasks else WEEK
    free = found.situation.free
    return tuple(PlanDay(found.situation.on(day), Decimal(free[day] if day < len(free) else 0) / QUARTERS, tuple(tasks.get(day, ()))) for day in range(last))


def _curing(progress: Mapping[str, Progress], today: date) -> Iterator[Curing]:
    for told in progress.values():
        if told.closed_on is not None:
            continue
        for stage in told.stages:
            waits = awaited(stage, today)
            if waits is not None:
                curing = waits.why == CURE
                yield Curing(told.build, stage.stage.name, waits.until, waits.why, stage.stage.recoat if curing else None, _bent(stage) if curing else None)


def _bent(stage: StageProgress) -> str | None:
    """What the warmth of the room did to the cure of the pass that is finished."""
    return None if stage.current.finished is None else stage.stage.bent_on(stage.current.finished)


def _forecasts(found: Computed) -> Iterator[Forecast]:
    for number, step in enumerate(found.situation.steps):
        if number in found.outcome.finished:
            yield Forecast(step.build, step.stage, *_likely_days(found.situation, found.outcome.finished[number]))


def _wholes(found: Computed) -> Iterator[Whole]:
    for due, done in zip(found.situation.wholes, found.outcome.wholes, strict=True):
        first, *others = _likely_days(found.situation, done)
        if first is not None:
            yield Whole(due.build, first, *others)


def _likely_days(situation: Situation, spread: Spread) -> list[date | None]:
    days = [spread.day(part) for part in LIKELIHOODS]
    return [None if day is None else situation.on(day) for day in days]


def _chances(found: Computed) -> Iterator[tuple[tuple[str, str], Chances]]:
    for number, step in enumerate(found.situation.steps):
        if number in found.outcome.finished:
            yield (step.build, step.stage), tuple((found.situation.on(day), percent) for day, percent in found.outcome.finished[number].percents())


def _dates(found: Computed) -> Iterator[AtRisk]:
    """Every date to be met; one whose 80 % day is past it is at risk."""
    for due, done in zip(found.situation.dues, found.outcome.done, strict=True):
        sure = done.day(SURE)
        chance = Decimal(done.percent(due.day)) / 100
        yield AtRisk(due.build, found.situation.on(due.day), chance, None if sure is None else max(0, sure - due.day), due.stage)


Loose = Sequence[tuple[int, Waiting]]
"""Parts not here that no stage is said to wait for, with the number of the build's last stage, which needs them."""


def _overdue(found: Computed, loose: Loose) -> Iterator[Overdue]:
    """Each part once, by the first stage that waits for it; one that none is said to wait for by the build's last."""
    situation, steps = found.situation, found.situation.steps
    waited = [(step, waiting) for step in steps for waiting in step.waiting] + [(steps[last], waiting) for last, waiting in loose]
    first: dict[tuple[str, str, int], Overdue] = {}
    for step, waiting in waited:
        if waiting.overdue:
            told = Overdue(step.build, step.stage, waiting.what, situation.on(-waiting.overdue))
            first.setdefault((step.build, folded(waiting.what), waiting.overdue), told)
    yield from first.values()
    yield from (Overdue(step.build, step.stage, None, situation.on(-step.late)) for step in steps if step.late)


def _orders(found: Computed, loose: Loose) -> Iterator[Order]:
    """What is neither here nor ordered, by the early date of the stage that needs it."""
    for number, step in enumerate(found.situation.steps):
        for waiting in step.waiting if number in found.outcome.needed else ():
            yield from _order(found.situation, step.build, waiting, found.outcome.needed[number])
    for last, waiting in loose:
        yield from _order(found.situation, found.situation.steps[last].build, waiting, found.outcome.finished[last])


def _loose(shop: Shop, progress: Mapping[str, Progress], found: Computed) -> Iterator[tuple[int, Waiting]]:
    today = found.situation.today
    supply = supply_of(shop.settings, Shelf({}, {}), today)
    last = {step.build: number for number, step in enumerate(found.situation.steps) if number in found.outcome.finished}
    for build in shop.builds:
        stages = [s.stage for s in progress[build.id].stages] if build.id in last else []
        for part in build.sheet.parts if stages else ():
            if is_here(part, today) or any(waits_for(stage, part) for stage in stages) or part.stage is not None:
                continue
            waiting = part_waiting(part, supply)
            if isinstance(waiting, Waiting):
                yield last[build.id], waiting


def _order(situation: Situation, build: str, waiting: Waiting, could: Spread) -> Iterator[Order]:
    """What to order so that it is here by the early date of when it `could` be used; nothing where it is ordered, or never needed."""
    needed = could.day(EARLY)
    if not waiting.ordered and needed is not None:
        by = situation.on(needed - waiting.lead)
        yield Order(build, waiting.what, by, situation.on(needed), by < situation.today)
