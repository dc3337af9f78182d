"""Every build's progress on a day, and the troubles of the work.

Invariant: reads the notes' values and the events up to that day, nothing else.
"""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from datetime import date

from purfle.base import meant
from purfle.base.names import folded
from purfle.base.near import misspelt_for, nearest_first, whole_name
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles, braced, listed
from purfle.events.work import SentOut, Work, lines_of
from purfle.notes.model import Build, Note, Shop
from purfle.notes.records.build import Part
from purfle.notes.records.note import a_line_for_each_stage
from purfle.progress.model import Progress
from purfle.progress.passes import AGAIN, EARLY
from purfle.progress.routes import route_of, waits_for
from purfle.progress.standing import arrived_on, bundled_of, came_in, done_of, handed_in, standing, work_by_build


def progress_of(shop: Shop, events: Iterable[object], today: date) -> tuple[Mapping[str, Progress], tuple[Trouble, ...]]:
    """Progress by build id, and what is wrong with the work noted. Events of other kinds are passed over.

    One place is told once, though several builds share a route.
    """
    work = work_by_build(events, today)
    bundles, handed = bundled_of(shop), handed_in(shop)
    troubles = Troubles()
    told: dict[str, Progress] = {}
    left = _parts_that_left(shop, today)
    for build in shop.builds:
        since, of_work = came_in(shop, build, handed), Troubles()
        done = done_of(route_of(shop, build, troubles, today), work[build.id], arrived_on(build) or since, today, of_work)
        told[build.id] = standing(build, done, bundles[build.id], since, today)
        troubles.found += _still_of_matter(of_work.found, work[build.id], told[build.id].closed_on)
        _sheet_troubles(build, told[build.id], today, troubles)
        _overdue_parts(build, told[build.id], left, today, troubles)
        _late_work(work[build.id], told[build.id].closed_on, troubles)
    _unknown_stages(shop, told, today, troubles)
    return told, tuple(sorted(dict.fromkeys(troubles.found)))


def _still_of_matter(found: Iterable[Trouble], work: Iterable[Work], closed: date | None) -> list[Trouble]:
    """What is wrong with a build's work, of one that is gone without what nothing hangs on: an early start, and that work after its end is on a finished stage."""
    if closed is None:
        return list(found)
    late = {event.at for event in work if event.date > closed}
    return [t for t in found if t.code != EARLY and (t.code != AGAIN or t.place not in late)]


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
    parts = next((found for found in (_known(names, known) for names in (meant.several(stage), stage.split(","))) if all(found)), [])
    if len(parts) > 1:
        return f"write [{', '.join(parts)}]" if redo else a_line_for_each_stage(parts)
    if near := misspelt_for(stage, known.values()) or whole_name(stage, known.values()):
        return f"write {near}"
    return f"write one of {listed(nearest_first(stage, known.values()))}, or add it under stages: on the build sheet"


def _known(names: Iterable[str], known: Mapping[str, str]) -> list[str]:
    """The names as they are known, empty for one that is not."""
    return [known.get(folded(name), "") for name in names]


def _named_in(shop: Shop, note: Note) -> Iterator[tuple[str | None, str, Place]]:
    """Each stage that a note names, with the build and the place."""
    own = note.build
    for line in lines_of(note):
        if line.stage is not None and line.place is None:
            yield shop.worked_on(note, line), line.stage, line.where("stage")
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
        found = f"work stands here after the build was closed on {closed}"
        troubles.add(event.at, "work-after-close", found, "write after_sale: yes for warranty work, or mend the date of the sale, delivery or end")


def _sheet_troubles(build: Build, told: Progress, today: date, troubles: Troubles) -> None:
    sheet = build.sheet
    if sheet.due is not None and sheet.due < today and told.closed_on is None and told.state not in ("finished", "kept", "for sale"):
        found = f"due: {sheet.due} is past and the build is {told.state}"
        troubles.add(sheet.where("due"), "due-past", found, "set a new day with the customer, or finish and deliver it")
    again = [stage.stage.name for stage in told.stages if stage.current.number > 1 and not stage.finished]
    if told.state == "for sale" and sheet.for_sale is not None and again:
        found = f"{build.id} is offered for {sheet.for_sale.asking}, and {listed(again, last='and')} {'is' if len(again) == 1 else 'are'} to be done again"
        mend = "write since: under for_sale: with the day from which it can be offered again, or leave it if it is sold as it is"
        troubles.add(sheet.for_sale.where("asking"), "offered-unfinished", found, mend)
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
                f"write arrived: and the day it came, or a new eta: once you have asked{_if_lost(build, part, today)}",
            )


def _if_lost(build: Build, part: Part, today: date) -> str:
    """How to say of a part that is paid for that it will not come: its cost stays on the build but for what is given back."""
    if part.how != "bought" or part.paid is None or part.paid > today:
        return ""
    given_up = f"returned: {{item: {braced(part.part)}, build: {build.id}, refund: 0}}"
    return f"; if it is lost, arrived: and the day you gave it up, and in that day's note {given_up}, or what came back in place of 0"


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
