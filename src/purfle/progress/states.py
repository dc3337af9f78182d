"""A build's state in one word, and the day its route was closed.

Invariant: a state is worked out from dated facts up to one day, never typed and never guessed ahead.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final, Literal

from purfle.base.times import HAIR
from purfle.notes.model import Build
from purfle.notes.records.build import BuildSheet, HowEnded, MovedBuild, Part
from purfle.progress.model import PublicState, StageProgress, State
from purfle.progress.passes import back_on
from purfle.progress.routes import waits_for

_ENDS: dict[HowEnded, State] = {"scrapped": "scrapped", "given": "given away", "lost": "lost", "taken back": "taken back"}
ENDED = frozenset(_ENDS.values())
"""States of what was not sold and of which no more will come."""
_PUBLIC: dict[State, PublicState] = {
    "sold": "sold", "delivered": "delivered", "for sale": "for sale", "finished": "finished", "kept": "finished", "given away": "delivered",
    # of what will never be finished no more is said than that the work on it is over: how it ended is in the log if the owner wrote it there
    "scrapped": "finished", "lost": "finished", "taken back": "finished",
}  # fmt: skip


Rest = Literal["wait", "cure"]
"""What takes time and no hands: outside work, or a cure."""
WAIT: Final = "wait"
CURE: Final = "cure"

Passed = tuple[date, int]
"""A day, and the units that went out on it; below nothing those that came back."""


def gone_on(sheet: BuildSheet, bundled: Sequence[Passed], today: date) -> date | None:
    """The day its last unit was sold or delivered and did not come back; None while one is still here.

    `bundled` are the days on which one of it went with another build's sale, or came back with it.
    """
    gone, closed = 0, None
    for day, units in _passed(sheet, bundled, today):
        gone += units
        if gone < max(sheet.units, 1):
            closed = None
        elif closed is None:
            closed = day
    return closed


def _passed(sheet: BuildSheet, bundled: Sequence[Passed], today: date) -> list[Passed]:
    """What went out and came back up to that day; of one day, what came back first: it may be sold again."""
    moves = [(sale.date, sale.units) for sale in sheet.sale]
    moves += [(back.date, -back.units) for sale in sheet.sale for back in sale.back if back.goods]
    moves += [*_handed_over(sheet), *bundled]
    return sorted(move for move in moves if move[0] <= today)


def _handed_over(sheet: BuildSheet) -> list[Passed]:
    """What went to the customer who ordered it, and came back from them."""
    order = sheet.commission
    if order is None:
        return []
    return [(given.date, given.units) for given in order.delivered] + [(back.date, -back.units) for back in order.back if back.goods]


def ended_on(sheet: BuildSheet, today: date) -> date | None:
    """The day it was scrapped, given away, lost or taken back, up to today."""
    return sheet.ended.date if sheet.ended is not None and sheet.ended.date <= today else None


def kept_since(sheet: BuildSheet, today: date) -> date | None:
    """The day it last went into the owner's collection and stayed; None when it is the shop's."""
    last = _last_move(sheet, today)
    return last.date if last is not None and last.to == "collection" else None


def is_collection(sheet: BuildSheet, today: date) -> bool:
    """Whether it is the owner's own piece on that day: of that kind and never moved to the shop, or moved there."""
    last = _last_move(sheet, today)
    return sheet.kind == "collection" if last is None else last.to == "collection"


def _last_move(sheet: BuildSheet, today: date) -> MovedBuild | None:
    """Of one day, the one that is written last."""
    moves = sorted((move for move in sheet.moved if move.date <= today), key=lambda move: move.date)
    return moves[-1] if moves else None


def offered(sheet: BuildSheet, today: date) -> bool:
    """Whether it is offered to the public that day."""
    offer = sheet.for_sale
    return offer is not None and (offer.since is None or offer.since <= today) and (offer.until is None or today <= offer.until)


def held(sheet: BuildSheet, today: date) -> bool:
    """Whether it is set aside that day."""
    return any(hold.since <= today and (hold.until is None or today <= hold.until) for hold in sheet.hold)


def state_of(build: Build, stages: Sequence[StageProgress], last_work: date | None, bundled: Sequence[Passed], today: date) -> State:
    """The first state that holds, in the order the shop's words give them.

    A piece of the collection is kept once nothing is left to do on it; one that was moved there is kept unless work
    went on after the move. What its owner offers since is kept no longer.
    """
    sheet = build.sheet
    if sheet.ended is not None and ended_on(sheet, today) is not None:
        return _ENDS[sheet.ended.how]
    gone = gone_on(sheet, bundled, today)
    if gone is None and is_collection(sheet, today) and _settled(sheet, stages, last_work, today) and not _offered_since(sheet, today):
        return "kept"
    if gone is not None:
        return "delivered" if sum(units for day, units in _handed_over(sheet) if day <= today) > 0 else "sold"
    if held(sheet, today):
        return "on hold"
    if offered(sheet, today):
        return "for sale"
    out = [units for _, units in _passed(sheet, bundled, today)]
    if out and not stages and sheet.commission is None and min(out) > 0:
        return "finished"  # of small goods without a route some are sold, and none came back to be worked on, so they are made; what is ordered may not be
    return _of_work(sheet, stages, last_work, today)


def _settled(sheet: BuildSheet, stages: Sequence[StageProgress], last_work: date | None, today: date) -> bool:
    if all(stage.finished for stage in stages):
        return True
    moved = kept_since(sheet, today)
    return moved is not None and (last_work is None or last_work <= moved)


def _offered_since(sheet: BuildSheet, today: date) -> bool:
    """Whether the owner offers what is their own: an offer from before it was moved to the collection is past."""
    moved, offer = kept_since(sheet, today), sheet.for_sale
    return offer is not None and offered(sheet, today) and (moved is None or (offer.since is not None and offer.since >= moved))


def _of_work(sheet: BuildSheet, stages: Sequence[StageProgress], last_work: date | None, today: date) -> State:
    resting = {one.why for stage in stages if (one := awaited(stage, today)) is not None}
    if stages and all(stage.finished for stage in stages) and not resting:
        return "finished"
    open_now = [stage for stage in stages if not stage.finished and may_begin(stage, stages, today)]
    workable = [stage for stage in open_now if not missing_parts(sheet, stage, today) and not stage_is_away(stage)]
    if not workable and CURE in resting:
        return "curing"
    if not workable and (open_now or WAIT in resting):
        return "waiting for a part"
    begun = last_work is not None or any(stage.current.begun and not stage.current.by_itself for stage in stages)
    return "on the bench" if begun else "in the rack"


def stage_is_away(stage: StageProgress) -> bool:
    """Whether outside work has it: its hours are noted and it was not said to be back."""
    return (
        stage.stage.wait is not None and not stage.finished and bool(stage.current.sessions) and stage.current.hours > stage.stage.hours.likely - Decimal(HAIR)
    )


def stage_is_out(stage: StageProgress, today: date) -> bool:
    """Whether its hands are done, so that it counts as finished, and its outside work is not back."""
    back = back_on(stage.stage, stage.current)
    return back is not None and back > today


@dataclass(frozen=True, slots=True)
class Awaited:
    """What a stage that needs no hands just now is waited for."""

    why: Rest
    """wait, while outside work has it; cure, once that is over."""
    until: date
    """The day it is expected back, or cured."""


def expected_in(late: int) -> int:
    """Days until what is so many days overdue is expected: tomorrow, or, long overdue, after a quarter as many days again; a guess."""
    return max(1, late // 4)


def awaited(stage: StageProgress, today: date) -> Awaited | None:
    """Whether a stage is out for work or curing, and until when; None for one that is neither. What is overdue may come any day."""
    if stage.stage.wait is not None and stage_is_away(stage):
        sent, wait = stage.current.sessions[-1].date, stage.stage.wait
        late = (today - sent).days - math.ceil(wait.high)
        return Awaited(WAIT, max(sent + timedelta(days=math.ceil(wait.mean)), today + timedelta(days=expected_in(late))))
    expected = back_on(stage.stage, stage.current)
    if expected is not None and expected > today:
        return Awaited(WAIT, expected)
    return Awaited(CURE, stage.free_on) if stage.free_on is not None and stage.free_on > today else None


def may_begin(stage: StageProgress, stages: Sequence[StageProgress], today: date) -> bool:
    """Whether everything it follows is finished and cured; a stage already begun may go on."""
    needed = [s for s in stages if s.stage.name in stage.stage.follows]
    if not all(s.finished for s in needed):
        return False
    return bool(stage.current.sessions) or all(s.free_on is not None and s.free_on <= today for s in needed)


def missing_parts(sheet: BuildSheet, stage: StageProgress, today: date) -> tuple[str, ...]:
    """The parts of the bill of materials that the stage waits for and that are not here."""
    return tuple(part.part for part in sheet.parts if waits_for(stage.stage, part) and not is_here(part, today))


def is_here(part: Part, today: date) -> bool:
    """Whether the part had come by that day."""
    return part.arrived is not None and part.arrived <= today


def public_state(state: State, stages: Sequence[StageProgress]) -> PublicState:
    """The state as the showroom says it."""
    if state in _PUBLIC:
        return _PUBLIC[state]
    return "finished" if stages and all(stage.finished for stage in stages) else "in the works"
