"""Notes become one dated, ordered stream of events.

`work` holds what hands did, `money` what changed hands (made from the notes in `noted`); `stream` puts them in one order: date, then the day's
order (received, salvaged, used, sold, counted), then file and line. An event dated after the day asked for is not in it.
"""

from datetime import date
from operator import itemgetter

from purfle.events.money import ORDER, MoneyEvent
from purfle.events.noted import money_events
from purfle.events.work import Work, work_events
from purfle.notes.model import Shop

Event = MoneyEvent | Work

_A_DAY = 100  # above any order within a day, so that day and order are one number to compare
_WORK_ORDER = 28  # after what came in, before what was used: no figure depends on it


def stream(shop: Shop, today: date) -> tuple[Event, ...]:
    """Everything that happened up to `today`, in order. Work keeps its own order within a day, the sort being stable."""
    keyed: list[tuple[tuple[object, ...], Event]] = [((work.date.toordinal() * _A_DAY + _WORK_ORDER,), work) for work in work_events(shop, today)]
    for event in money_events(shop, today):
        at = event.at
        keyed.append(((event.date.toordinal() * _A_DAY + ORDER[type(event)], at.file, at.line, at.column), event))
    keyed.sort(key=itemgetter(0))
    return tuple([event for _, event in keyed])
