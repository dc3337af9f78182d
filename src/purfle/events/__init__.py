"""Notes become one dated, ordered stream of events.

`work` holds what hands did, `money` what changed hands (made from the notes in `noted`); `order` says which comes first.
An event dated after the day asked for is not in the stream.
"""

from datetime import date
from itertools import chain

from purfle.events.noted import money_events
from purfle.events.order import Event, in_order
from purfle.events.work import work_events
from purfle.notes.model import Shop

__all__ = ["Event", "stream"]


def stream(shop: Shop, today: date) -> tuple[Event, ...]:
    """Everything that happened up to `today`, in order."""
    return in_order(event for event in chain(work_events(shop, today), money_events(shop, today)) if event.date <= today)
