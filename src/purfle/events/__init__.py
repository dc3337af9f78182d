"""Notes become one dated, ordered stream of events.

`work` holds what hands did, `money` what changed hands (made from the notes in `noted`); `stream` puts them in one order: date, then the day's
order (received, salvaged, used, sold, counted), then file and line. An event dated after the day asked for is not in it.
"""

from datetime import date

from purfle.events.money import MoneyEvent
from purfle.events.noted import money_events
from purfle.events.work import Work, work_events
from purfle.notes.model import Shop

Event = MoneyEvent | Work

_WORK_ORDER = 28  # after what came in, before what was used: no figure depends on it


def stream(shop: Shop, today: date) -> tuple[Event, ...]:
    """Everything that happened up to `today`, in order. Work keeps its own order within a day."""
    keyed: list[tuple[tuple[date, int, int, str, int, int], Event]] = []
    for work in work_events(shop, today):
        keyed.append(((work.date, _WORK_ORDER, work.turn, "", 0, 0), work))
    for event in money_events(shop, today):
        keyed.append(((event.date, event.ORDER, 0, event.at.file, event.at.line, event.at.column), event))
    keyed.sort(key=lambda pair: pair[0])
    return tuple(event for _, event in keyed)
