"""How each build stands on a day: what was done of it, told along its route, and the days it came and went.

Invariant: tells no trouble but those of the passes; the same work gives the same standing, from whatever day it is looked back at.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.trouble import Troubles
from purfle.events.work import SentOut, Work, Worked
from purfle.notes.model import Build, Shop
from purfle.notes.records.sales import Sale
from purfle.progress.model import Progress, RouteStage, StageProgress
from purfle.progress.passes import stages_of
from purfle.progress.states import Passed, ended_on, gone_on, public_state, state_of


def work_by_build(events: Iterable[object], today: date) -> defaultdict[str | None, list[Work]]:
    """The work up to a day that moves stages, by build, in the order of the events."""
    work: defaultdict[str | None, list[Work]] = defaultdict(list)
    for event in events:
        if isinstance(event, Work) and event.date <= today:
            work[event.build].append(event)
    return work


def bundled_of(shop: Shop) -> defaultdict[str, list[Passed]]:
    """The days on which one of each build went with another's sale, or came back with all that was sold."""
    days: defaultdict[str, list[Passed]] = defaultdict(list)
    for sale in (sale for build in shop.builds for sale in build.sheet.sale if sale.bundled):
        back = _all_back(sale)
        for id in filter(None, map(shop.find, sale.bundled)):
            days[id] += [(sale.date, 1), *([(back, -1)] if back else [])]
    return days


def _all_back(sale: Sale) -> date | None:
    """The day the last unit of a sale came back; None while a buyer has one."""
    units = 0
    for back in sorted((back for back in sale.back if back.goods), key=lambda back: back.date):
        units += back.units
        if units >= sale.units:
            return max(back.date, sale.date)
    return None


@dataclass(frozen=True, slots=True)
class Done:
    """What a build's work came to; whatever the day it is looked at from, but for stages that rest."""

    stages: tuple[StageProgress, ...]
    hours: Decimal
    hours_after_sale: Decimal
    hours_rework: Decimal
    last_work: date | None
    """The last day of work that is no warranty work."""


def done_of(route: Sequence[RouteStage], work: Sequence[Work], here: date | None, today: date, troubles: Troubles) -> Done:
    """A build's own work up to today, in order, told along its route; `here` is the day the instrument came."""
    stages = stages_of(route, work, here, today, troubles)
    hours = [event for event in work if isinstance(event, Worked)]
    return Done(
        stages=stages,
        hours=sum((event.hours for event in hours), Decimal(0)),
        hours_after_sale=sum((event.hours for event in hours if event.after_sale), Decimal(0)),
        hours_rework=sum((p.hours for stage in stages for p in stage.passes if p.number > 1), Decimal(0)),
        last_work=max((event.date for event in work if not isinstance(event, SentOut) and not event.after_sale), default=None),
    )


def standing(build: Build, done: Done, bundled: Sequence[Passed], since: date | None, today: date) -> Progress:
    """How a build stands on a day, by what was done up to then and the days on which it went `bundled` with another's sale."""
    state = state_of(build, done.stages, done.last_work, bundled, today)
    return Progress(
        build=build.id,
        stages=done.stages,
        hours=done.hours,
        hours_after_sale=done.hours_after_sale,
        hours_rework=done.hours_rework,
        state=state,
        public_state=public_state(state, done.stages),
        closed_on=ended_on(build.sheet, today) or gone_on(build.sheet, bundled, today),
        since=since,
    )


def arrived_on(build: Build) -> date | None:
    """The day the instrument itself came, or is to come; None when the sheet does not say."""
    came = build.sheet.acquired
    return None if came is None else came.arrived or came.date


def handed_in(shop: Shop) -> dict[str, date]:
    """The day on which builds came in a lot or as a trade-in, as the lot's line and the sale have it."""
    lots = ((named.name, note.date) for note in shop.notes for lot in note.sheet.lots for named in lot.values)
    trades = ((sale.trade_in.build, sale.date) for build in shop.builds for sale in build.sheet.sale if sale.trade_in)
    return {id: day for name, day in (*lots, *trades) if (id := shop.find(name)) is not None}


def brought_on(build: Build, handed: Mapping[str, date]) -> date | None:
    """The day on which a build came in, by its sheet, else by what it was `handed` in with; None when neither says."""
    acquired = build.sheet.acquired
    return (acquired.date if acquired is not None else None) or handed.get(build.id)


def came_in(shop: Shop, build: Build, handed: Mapping[str, date]) -> date | None:
    """The day a build came in, or that of its first note when that is earlier; None when neither its sheet, its notes nor what it was `handed` in with says."""
    days = (*(note.date for note in shop.notes_of(build.id)[:1]), brought_on(build, handed))
    return min((day for day in days if day is not None), default=None)
