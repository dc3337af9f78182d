"""The office's calendar file, as RFC 5545 wants it.

icalendar does the writing (folding, escaping) and is imported only when a file is written.
Invariant: the day of making is handed in; the same entries and day give the same bytes.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from purfle.views.office_calendar import CalendarEntry

_PRODUCT = "-//purfle//office calendar//EN"


def calendar_file(entries: Sequence[CalendarEntry], shop: str, today: date) -> bytes:
    """A calendar of whole-day entries; DTEND is the day after the last (RFC 5545, 3.6.1), DTSTAMP the day of making."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{shop}: the bench")
    for entry in entries:
        calendar.add_component(_event(entry, today))
    return bytes(calendar.to_ical())


def _event(entry: CalendarEntry, today: date):  # type: ignore[no-untyped-def]  # the type would import the library
    from icalendar import Event

    event = Event()
    event.add("uid", f"{entry.id}@office.purfle")
    event.add("dtstamp", datetime.combine(today, time(), UTC))
    # A later file of the same entry must win when it is taken in again (RFC 5545, 3.8.7.4).
    event.add("sequence", (today - date(2000, 1, 1)).days)
    event.add("dtstart", entry.first)
    event.add("dtend", entry.last + timedelta(1))
    event.add("summary", entry.summary)
    if entry.description:
        event.add("description", entry.description)
    # A whole day at the bench does not keep the owner from other appointments.
    event.add("transp", "TRANSPARENT")
    return event
