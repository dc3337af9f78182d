"""Notes become one dated, ordered stream of events.

`work` holds what hands did, `money` what changed hands (made from the notes in `noted`); `stream` puts them in one order: date, then the day's
order (received, salvaged, used, sold, counted), then file and line. An event dated after the day asked for is not in it.
"""

from collections import defaultdict
from datetime import date
from operator import attrgetter

from purfle.events.money import ORDER, MoneyEvent
from purfle.events.noted import money_events
from purfle.events.work import Work, work_events
from purfle.notes.model import Shop

Event = MoneyEvent | Work

_WORK_ORDER = 28  # after what came in, before what was used: no figure depends on it
_place = attrgetter("at.file", "at.line", "at.column")


def stream(shop: Shop, today: date) -> tuple[Event, ...]:
    """Everything that happened up to `today`, in order. Work keeps the order of its notes within a day."""
    slots: defaultdict[tuple[date, int], list[Event]] = defaultdict(list)
    for work in work_events(shop, today):
        slots[work.date, _WORK_ORDER].append(work)
    for event in money_events(shop, today):
        slots[event.date, ORDER[type(event)]].append(event)
    events: list[Event] = []
    for day, order in sorted(slot for slot in slots if slot[0] <= today):
        at_once = slots[day, order]
        events += at_once if order == _WORK_ORDER else sorted(at_once, key=_place)
    return tuple(events)
