"""The order of events: by day, then that of a day (received, salvaged, used, sold, counted), then by note and line.

Of several notes of one day in one folder, what they say of the kind decides which comes first: what they are named moves
no cent from one delivery, or one build, to another.
Invariant: makes no event and leaves none out.
"""

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from operator import attrgetter

from purfle.base.groups import grouped
from purfle.events import money
from purfle.events.work import Finished, Redone, SentOut, Work, Worked

Event = money.MoneyEvent | Work
_WORK = (Worked, Finished, Redone, SentOut)
_DAY: tuple[tuple[type, ...], ...] = (
    (money.PaidAhead,),
    (money.GoodsHere,),
    (money.CameIn, money.GiftedPart),
    (money.BroughtIn,),
    (money.MoneyIn,),
    (money.SalvagedPart,),
    (money.PartMoved,),
    _WORK,
    (money.UsedUp,),
    (money.MoneyOut, money.StandingDue),
    (money.SentBack,),
    (money.WroteOff,),
    (money.TookOut,),
    (money.StockSold,),
    (money.StockCameBack,),
    (money.CameBack,),
    (money.HandedOver,),
    (money.AgreedLate,),
    (money.HandedBack,),
    (money.BuildSold, money.CameBackAtOnce),
    (money.CameToEnd,),
    (money.Kept,),
    (money.Drive, money.EpisodeIncome),
    (money.StockCounted,),
)
"""The order of a day: what came in before what was used, and the count of the shelf last."""
_TURN = {kind: turn for turn, kinds in enumerate(_DAY) for kind in kinds}
_place = attrgetter("at.file", "at.line", "at.column")


def in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    """The events in order; work keeps within a day that of its notes."""
    slots: defaultdict[tuple[date, int], list[Event]] = defaultdict(list)
    for event in events:
        slots[event.date, _TURN[type(event)]].append(event)
    ordered: list[Event] = []
    for slot in sorted(slots):
        ordered += slots[slot] if _DAY[slot[1]] is _WORK else _by_note(slots[slot])
    return tuple(ordered)


_NAMED = re.compile(r"(?<=/\d{4}-\d\d-\d\d)[^/]*$")
"""What the owner calls a note of a day."""
_WHERE = re.compile(r"Place\(file=.*?, line=\d+, column=\d+\)")


def _by_note(events: Sequence[Event]) -> list[Event]:
    """Events of one kind and day by the folder and day of their note, what it says of them, and line."""
    notes = grouped(sorted(events, key=_place), attrgetter("at.file"))
    if len(notes) == 1:
        return next(iter(notes.values()))
    days = {note: _NAMED.sub("", note) for note in notes}
    several = Counter(days.values())
    ranks = {note: (days[note], [_WHERE.sub("", repr(event)) for event in own] if several[days[note]] > 1 else []) for note, own in notes.items()}
    return [event for note in sorted(notes, key=lambda note: (ranks[note], note)) for event in notes[note]]
