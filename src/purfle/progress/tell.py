"""Every build's progress on a day, and the troubles of the work.

Invariant: reads the notes' values and the events up to that day, nothing else.
"""

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base import meant
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles, listed, nearest
from purfle.events.work import SentOut, Work, Worked, lines_of
from purfle.notes.model import Build, Note, Shop
from purfle.notes.records.build import Part
from purfle.notes.records.sales import Sale
from purfle.progress.model import Progress, RouteStage, StageProgress
from purfle.progress.passes import stages_of
from purfle.progress.routes import route_of
from purfle.progress.states import Passed, ended_on, gone_on, public_state, state_of, waits_for


def progress_of(shop: Shop, events: Iterable[object], today: date) -> tuple[Mapping[str, Progress], tuple[Trouble, ...]]:
    """Progress by build id, and what is wrong with the work noted. Events of other kinds are passed over.

    One place is told once, though several builds share a route.
    """
    work = work_by_build(events, today)
    bundles = bundled_of(shop)
    troubles = Troubles()
    told: dict[str, Progress] = {}
    left = _parts_that_left(shop, today)
    for build in shop.builds:
        done = done_of(route_of(shop, build, troubles, today), work[build.id], arrived_on(build) or came_in(shop, build), today, troubles)
        told[build.id] = standing(build, done, bundles[build.id], came_in(shop, build), today)
        _sheet_troubles(build, told[build.id], today, troubles)
        _overdue_parts(build, told[build.id], left, today, troubles)
        _late_work(work[build.id], told[build.id].closed_on, troubles)
    _unknown_stages(shop, told, today, troubles)
    return told, tuple(sorted(dict.fromkeys(troubles.found)))


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
    for build in shop.builds:
        for sale in build.sheet.sale:
            back = _all_back(sale) if sale.bundled else None
            for name in sale.bundled:
                if (id := shop.find(name)) is not None:
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


def came_in(shop: Shop, build: Build) -> date | None:
    """The day a build came in, or that of its first note when that is earlier; None when the notes say neither."""
    acquired = build.sheet.acquired
    days = (*(note.date for note in shop.notes_of(build.id)[:1]), acquired.date if acquired is not None else None)
    return min((day for day in days if day is not None), default=None)


def _unknown_stages(shop: Shop, told: Mapping[str, Progress], today: date, troubles: Troubles) -> None:
    """Tell of stages in notes that their build's route has not. A build without a route may be told of in any words."""
    names = {id: {folded(s.stage.name): s.stage.name for s in progress.stages} for id, progress in told.items()}
    for note in shop.notes:
        if note.date > today:
            continue
        for build, stage, at in _named_in(shop, note):
            known = names.get(build or "", {})
            if known and folded(stage) not in known:
                troubles.add(at, "stage-unknown", f"the route of {build} has no stage “{stage}”", _stage_mend(stage, known, stage in note.sheet.redo))


def _stage_mend(stage: str, known: Mapping[str, str], redo: bool) -> str:
    """What to write for a name that is no stage: each by itself where it is several, the near one, or what there is."""
    parts = [known.get(folded(name), "") for name in meant.several(stage)]
    if len(parts) > 1 and all(parts):
        lines = ", ".join(f"{{stage: {part}, hours: …}}" for part in parts)
        return f"write [{', '.join(parts)}]" if redo else f"write a line for each: bench: [{lines}]"
    near = nearest(stage, known.values(), 0.6)
    return f"write {near}" if near else f"write one of {listed(known.values())}, or add it to the stages of build.md"


def _named_in(shop: Shop, note: Note) -> Iterator[tuple[str | None, str, Place]]:
    """Each stage that a note names, with the build and the place."""
    own = note.build
    for line in lines_of(note):
        if line.stage is not None and line.place is None:
            yield (shop.find(line.build) if line.build else own), line.stage, line.where("stage")
    for stage in note.sheet.redo:
        yield own, stage, note.sheet.where("redo")
    for shot in note.sheet.shots:
        if shot.stage is not None:
            yield (shop.find(shot.build) if shot.build else own), shot.stage, shot.where("stage")


def _late_work(work: Sequence[Work], closed: date | None, troubles: Troubles) -> None:
    """Tell work after the sale, delivery or end that is not said to be warranty work; once a note."""
    told: set[str] = set()
    for event in work:
        if closed is None or event.date <= closed or event.at.file in told or isinstance(event, SentOut) or event.after_sale:
            continue
        told.add(event.at.file)
        troubles.add(
            event.at,
            "work-after-close",
            f"work stands here after the build was closed on {closed}",
            "write after_sale: yes for warranty work, or mend the date of the sale, delivery or end",
        )


def _sheet_troubles(build: Build, told: Progress, today: date, troubles: Troubles) -> None:
    sheet = build.sheet
    if sheet.due is not None and sheet.due < today and told.closed_on is None and told.state not in ("finished", "kept", "for sale"):
        troubles.add(
            sheet.where("due"),
            "due-past",
            f"due: {sheet.due} is past and the build is {told.state}",
            "set a new day with the customer, or finish and deliver it",
        )
    for part in sheet.parts:
        if part.ordered is not None and part.arrived is not None and part.arrived < part.ordered:
            troubles.add(part.where("arrived"), "part-before-order", f"arrived: {part.arrived} is before ordered: {part.ordered}", "mend one of the two days")
        elif part.ordered is not None and part.eta is not None and part.eta < part.ordered and part.arrived is None:
            troubles.add(part.where("eta"), "part-before-order", f"eta: {part.eta} is before ordered: {part.ordered}", "mend one of the two days")


def _parts_that_left(shop: Shop, today: date) -> frozenset[tuple[str | None, str]]:
    """Build and folded name of each part that notes send back or move on: the books tell where one of them never came."""
    notes = [note for note in shop.notes if note.date <= today and (note.sheet.returned or note.sheet.moved)]
    named = [(note, line.build, line.item) for note in notes for line in note.sheet.returned]
    named += [(note, line.origin, line.part) for note in notes for line in note.sheet.moved]
    return frozenset((shop.find(build) if build else note.build, folded(name)) for note, build, name in named)


def _overdue_parts(build: Build, told: Progress, left: Container[tuple[str | None, str]], today: date, troubles: Troubles) -> None:
    """Tell of parts that should be here, while the build is."""
    for part in build.sheet.parts if told.closed_on is None else ():
        if part.arrived is None and (build.id, folded(part.part)) not in left and (why := _overdue(part, told, today)):
            troubles.add(
                part.where("eta") if part.eta is not None else part.at,
                "part-overdue",
                f"{why}, and nothing says that {part.part} is here",
                "write arrived: and the day it came, or a new eta: once you have asked",
            )


def _overdue(part: Part, told: Progress, today: date) -> str:
    """Why a part that is on its way should be here, in words; empty when it need not be, or when its days are wrong, which is told."""
    if part.eta is not None and part.ordered is not None and part.eta < part.ordered:
        return ""
    if part.eta is not None and part.eta < today:
        return f"eta: {part.eta} is past"
    if part.how == "bought" and not any(day is not None and day <= today for day in (part.ordered, part.paid)):
        return ""
    done = next((stage.stage.name for stage in told.stages if waits_for(stage.stage, part) and stage.finished), None)
    return f"{done} is finished" if done else ""
