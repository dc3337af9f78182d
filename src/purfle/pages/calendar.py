"""The office's calendar file, as RFC 5545 wants it.

icalendar does the writing and is imported only when a file is written. Its lines are folded anew: it breaks them an
octet before it must.
Invariant: the day of making is handed in; the same entries and day give the same bytes.
"""

import uuid
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from purfle.views.office_calendar import CalendarEntry

if TYPE_CHECKING:
    from icalendar import Event

_OCTETS = 75
_PRODUCT = "-//purfle//office calendar//EN"


def calendar_file(entries: Sequence[CalendarEntry], shop: str, today: date) -> bytes:
    """A calendar of whole-day entries; DTEND is the day after (RFC 5545, 3.6.1), DTSTAMP the day of making."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{shop}: the bench")
    home = uuid.uuid5(uuid.NAMESPACE_DNS, shop).hex
    for entry in entries:
        calendar.add_component(_event(entry, home, today))
    return _folded(bytes(calendar.to_ical()))


def _folded(data: bytes) -> bytes:
    """Lines of at most 75 octets without their CRLF, never cut within a UTF-8 character (RFC 5545, 3.1)."""
    lines = data.decode("utf-8").replace("\r\n ", "").split("\r\n")
    return "\r\n".join("\r\n ".join(_pieces(line)) for line in lines).encode("utf-8")


def _pieces(line: str) -> Iterator[str]:
    start, room = 0, _OCTETS
    while len(line[start:].encode("utf-8")) > room:
        piece = line[start : start + room].encode("utf-8")[:room].decode("utf-8", "ignore")
        # Some readers unescape before they unfold, so a backslash stays with what it escapes, which may be another.
        piece = piece[:-1] if (len(piece) - len(piece.rstrip("\\"))) % 2 else piece
        yield piece
        start, room = start + len(piece), _OCTETS - 1
    yield line[start:]


def _event(entry: CalendarEntry, home: str, today: date) -> "Event":
    """`home` tells the entries of one shop from those of another, which may lie in the same calendar (RFC 5545, 3.8.4.7: globally unique)."""
    from icalendar import Event

    event = Event()
    event.add("uid", f"{entry.id}@{home}.purfle")
    event.add("dtstamp", datetime.combine(today, time(), UTC))
    # A later file of the same entry must win when it is taken in again (RFC 5545, 3.8.7.4).
    event.add("sequence", (today - date(2000, 1, 1)).days)
    event.add("dtstart", entry.day)
    event.add("dtend", entry.day + timedelta(1))
    event.add("summary", entry.summary)
    if entry.description:
        event.add("description", entry.description)
    # A whole day at the bench does not keep the owner from other appointments.
    event.add("transp", "TRANSPARENT")
    return event
