"""The order of events: by day, then that of a day (received, salvaged, used, sold, counted), then by file and line.

Invariant: makes no event and leaves none out.
"""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from operator import attrgetter

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
        ordered += slots[slot] if _DAY[slot[1]] is _WORK else sorted(slots[slot], key=_place)
    return tuple(ordered)
