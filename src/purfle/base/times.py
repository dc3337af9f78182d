"""Times as people write them: hours spent, times of day, estimates, waits and calendar days.

Readers take the text of one scalar and give a value, or raise `Wrong` with the cause and the mend.
Invariant: as in `quantities`; no clock is asked.
"""

import math
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from purfle.base import meant
from purfle.base.counts import counted
from purfle.base.quantities import PLAIN, number, trimmed
from purfle.base.trouble import Wrong

QUARTERS = 4
"""Quarter hours in an hour."""
HAIR = 1e-9
"""Less than any time that counts: what thirds of an hour, and floats, leave of rounding."""


def whole(time: float) -> int:
    """The whole days, or quarter hours, that hold a time; a hair over is none."""
    return math.ceil(time - HAIR)


def quarters(hours: Decimal) -> int:
    """The whole quarter hours that hold these hours."""
    return whole(float(hours) * QUARTERS)


CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])")
WORDED = re.compile(r"(?:([0-9]+(?:\.[0-9]+)?)\s*h(?:ours?|rs?)?)?\s*(?:([0-9]{1,3})\s*(?:m|min|mins|minutes?)?)?")


_LIKE_A_CLOCK = re.compile(r"([0-9]{1,3})[.,]([1-4]0|[01345]5)")
"""Two digits behind the point that are minutes as often as hundredths: 2.30 is half past two to many. A half, a quarter and a third are told apart."""


def hours(text: str) -> Decimal:
    """Bench hours: `2.5`, `2:30`, `2h30`, `2 h`, `45 min` mean what they say; at most 1,000."""
    text = trimmed(text).lower()
    value = _hours(text)
    if clock := _LIKE_A_CLOCK.fullmatch(text):
        minutes, written = f"{clock[1]}:{clock[2]}", f"{clock[1]}.{clock[2]}"
        parts = f"{Decimal(written).normalize():f}"
        parts = f"{parts} h" if parts == written else parts  # 2.30 may be written 2.3, but there is no shorter 1.55
        raise Wrong("hours-unreadable", f"“{text}” could mean two different times", f"write {minutes} or {parts}, whichever is meant")
    if value is None:
        raise Wrong("hours-unreadable", f"“{text}” is not a time spent", _hours_mend(text))
    if value > 1000:
        raise Wrong("hours-unreadable", f"hours {text} are more than one entry can hold", "write the hours of one session, such as 2.5")
    return value


def _hours_mend(text: str) -> str:
    likely = next((time for time in meant.times(text) if _hours(time)), None)
    return f"write {likely}" if likely else "write how long it took, such as 2.5, 2:30 or 2h30"


def _hours(text: str) -> Decimal | None:
    if PLAIN.fullmatch(text):
        return Decimal(text)
    if clock := CLOCK.fullmatch(text):
        return Decimal(clock[1]) + Decimal(clock[2]) / 60
    worded = WORDED.fullmatch(text)
    if worded and any(worded.groups()) and not text.isdigit():
        return Decimal(worded[1] or 0) + Decimal(worded[2] or 0) / 60
    return None


_MINUTES = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,2})?) ?(?:m|min|mins|minutes?|'|′)\.?", re.IGNORECASE)


def minutes(text: str) -> Decimal:
    """A plain figure of minutes; `4 min` and `3:30` are told with theirs."""
    try:
        return number(text)
    except Wrong as wrong:
        plain = meant.in_figures(text)
        if clock := CLOCK.fullmatch(plain):
            figure = (int(clock[1]) + Decimal(clock[2]) / 60).quantize(Decimal("0.01")).normalize()
            if not int(clock[1]):  # no piece is that short, so hours and minutes may be meant
                raise Wrong(wrong.code, wrong.found, f"write {int(clock[2])} for as many minutes, or {figure:f} for as many seconds") from None
        elif written := _MINUTES.fullmatch(plain):
            figure = Decimal(written[1])
        else:
            raise
        raise Wrong(wrong.code, wrong.found, f"write {figure:f}") from None


def clock(text: str) -> time:
    """A time of day by the 24-hour clock: `9:05`, `14:30`."""
    match = re.fullmatch(r"([0-9]{1,2})[:.h]([0-5][0-9])", trimmed(text).lower())
    if not match or int(match[1]) > 23:
        raise Wrong("hours-unreadable", f"time of day “{text}” is not on the 24-hour clock", f"write {meant.clock(text) or 'it as 14:30'}")
    return time(int(match[1]), int(match[2]))


@dataclass(frozen=True, slots=True)
class Estimate:
    """What something is thought to take: low, likely and high, all three alike when one figure was given."""

    low: Decimal
    likely: Decimal
    high: Decimal

    @property
    def mean(self) -> Decimal:
        """Expected value by the textbook rule of three points, (low + 4 likely + high) ÷ 6."""
        return (self.low + 4 * self.likely + self.high) / 6


@dataclass(frozen=True, slots=True)
class Wait:
    """A time that needs no hands: whole days, or hours within one day."""

    days: int
    hours: Decimal = Decimal(0)

    def __str__(self) -> str:
        if self.hours:
            return f"{self.hours.normalize():f} h"
        return counted(self.days, "day")


LONGEST_WAIT = 3660
"""Days of the longest wait."""
WAIT = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(h|hours?|hrs?|d|days?|w|wks?|weeks?)?")


def wait(text: str) -> Wait:
    """A cure or lead time: `14 days`, `2 weeks`, `4 h`; a bare number is days. Parts of a day round up."""
    text = trimmed(text).lower()
    match = WAIT.fullmatch(text)
    if not match:
        raise Wrong("wait-unreadable", f"time to wait “{text}” is not a number of days or hours", _wait_mend(text, WAIT, "write 14 days, 2 weeks or 4 h"))
    count, unit = Decimal(match[1]), (match[2] or "d")[0]
    if unit == "h" and count < 24:
        return Wait(0, count)
    in_days = {"h": count / 24, "d": count, "w": count * 7}[unit]
    if in_days > LONGEST_WAIT:
        raise Wrong("wait-unreadable", f"time to wait “{text}” is longer than ten years", "write the days the product's data sheet gives")
    return Wait(int(in_days.to_integral_value(rounding="ROUND_CEILING")))


def _wait_mend(text: str, form: re.Pattern[str], otherwise: str) -> str:
    """What was meant, if it has the reader's own form and is not too long for it; else what may be written."""
    match = form.fullmatch(meant.wait(text))
    return f"write {match[0]}" if match and Decimal(match[1]) <= LONGEST_WAIT else otherwise


DAYS = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(d|days?|w|wks?|weeks?)?")


def days(text: str) -> Decimal:
    """Days that something is away, parts of a day too: `7`, `7 days`, `1.5 weeks`; at most ten years."""
    text = trimmed(text).lower()
    match = DAYS.fullmatch(text)
    if not match:
        raise Wrong("wait-unreadable", f"“{text}” is not a number of days", _wait_mend(text, DAYS, "write 14 days or 2 weeks"))
    count = number(match[1]) * (7 if (match[2] or "d").startswith("w") else 1)
    if count > LONGEST_WAIT:
        raise Wrong("wait-unreadable", f"“{text}” is longer than ten years", "write the days it is likely to be away")
    return count


_YEARS = range(1900, 2200)


def day(text: str) -> date:
    """A calendar day as ISO 8601 writes it, `2026-03-14`, between 1900 and 2199."""
    text = trimmed(text)
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise Wrong("date-unreadable", f"date “{text}” is not written year-month-day", _day_mend(text))
    try:
        value = date.fromisoformat(text)
    except ValueError:
        raise Wrong("date-unreadable", f"there is no day {text} in the calendar", f"write a day that exists, such as {_existing(text)}") from None
    if value.year not in _YEARS:
        raise Wrong("date-unreadable", f"the year of {text} is out of reach", "write a year from 1900 to 2199")
    return value


def _existing(text: str) -> str:
    """A day that exists for year, month and day of which there is none: the last of that month, or the same with month and day changed about."""
    year, month, number = map(int, text.split("-"))
    for tried in ((year, month, min(number, most)) for most in range(31, 27, -1)):
        with suppress(ValueError):
            return date(*tried).isoformat()
    with suppress(ValueError):
        return date(year, number, month).isoformat()
    return "2026-03-14"


def _day_mend(text: str) -> str:
    if likely := [day.isoformat() for day in meant.days(text) if day.year in _YEARS]:
        return f"write {' or '.join(likely)}{', whichever is meant' if len(likely) > 1 else ''}"
    if len(span := re.findall(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text)) == 2:
        return f"write one day; where there may be several, {{from: {span[0]}, until: {span[1]}}}"
    if end := meant.month_and_day(text):
        return f"write it with its year in front, such as {2028 if end == '-02-29' else 2026}{end}"
    return "write year, month and day, such as 2026-03-14"
