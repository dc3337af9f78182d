"""Numbers, amounts, hours, waits, days and percents as people write them; what has a unit of measure is in `measures`.

Readers take the text of one scalar and give a value, or raise `Wrong` with the cause and the mend.
Invariant: knows nothing of files; every number comes from the digits in the text, never through a float.
"""

import re
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from purfle.base.trouble import Wrong

_PLAIN = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_MOST_DIGITS = 15
_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " "})


def trimmed(text: str) -> str:
    """The text without space around it, narrow and unbreakable spaces made plain ones."""
    return text.translate(_SPACES).strip()


def number(text: str, what: str = "number") -> Decimal:
    """A plain decimal number, zero or more, at most 15 digits before and after the point."""
    text = trimmed(text)
    if not _PLAIN.fullmatch(text):
        raise Wrong("number-unreadable", f"{what} “{text}” is not a plain number", _plain_mend(text))
    whole, _, part = text.partition(".")
    if len(whole) > _MOST_DIGITS or len(part) > _MOST_DIGITS:
        raise Wrong("number-unreadable", f"{what} “{text}” has too many digits", "write the figure that was meant, at most 15 digits")
    return Decimal(text)


def amount(text: str) -> Decimal:
    """An amount of money: digits and at most one point.

    `39,80`, `1,450`, `$39`, `1_450`, `1e3` and the like are never guessed at: each is `amount-unclear`.
    """
    text = trimmed(text)
    if text.startswith(("-", "\u2212")):
        raise Wrong(
            "amount-negative",
            f"amount {text} is below nothing",
            "write the amount without a sign, under the key that says which way it went (refund, returned, discount)",
        )
    try:
        return number(text, "amount")
    except Wrong as wrong:
        raise Wrong("amount-unclear", _amount_cause(text, wrong.found), _amount_mend(text)) from None


def _amount_cause(text: str, fallback: str) -> str:
    if "," in text:
        return f"amount {text} has a comma: it could mean two different sums"
    if re.search(r"[^0-9.,\s_]", text):
        return f"amount {text} is more than digits and a point"
    return fallback


_CURRENCY_MARKS = re.compile(r"^(?:[$€£¥¢₠-₿]|[A-Za-z]{1,3}[$£]?)\s?(?=[0-9.])|(?<=[0-9.-])\s?(?:[$€£¥¢₠-₿]|[A-Z]{3}|(?<=[.,])-)$")
"""A currency's sign or code before or after a figure, or the dash that stands for no cents."""


def _amount_mend(text: str) -> str:
    digits = _CURRENCY_MARKS.sub("", text).replace(" ", "").replace("_", "").rstrip(".,")
    if not re.fullmatch(r"[0-9.,]+", digits):  # 1e3, 2 x 40, 10 each: no figure can be picked out of it
        return "write the whole sum in digits and one point, such as 39.80"
    if re.fullmatch(r"[0-9]{1,3},[0-9]{3}", digits):
        return f"write {digits.replace(',', '')} (or {digits.replace(',', '.')} if the comma was a decimal point)"
    if re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+(\.[0-9]+)?", digits):
        return f"write {digits.replace(',', '')}"
    if re.fullmatch(r"[0-9]+,[0-9]+", digits):
        return f"write {digits.replace(',', '.')}"
    if _PLAIN.fullmatch(digits):
        return f"write {digits}; the currency stands in shop.md"
    return "write the whole sum in digits and one point, such as 39.80"


def _plain_mend(text: str) -> str:
    figures = re.findall(r"[0-9.,]*[0-9]", text)
    digits = figures[0].replace(",", ".") if len(figures) == 1 else ""
    return f"write {digits}" if _PLAIN.fullmatch(digits) else "write digits and at most one point, such as 2.5"


_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])")
_WORDED = re.compile(r"(?:([0-9]+(?:\.[0-9]+)?)\s*h(?:ours?|rs?)?)?\s*(?:([0-9]{1,3})\s*(?:m|min|mins|minutes?)?)?")


def hours(text: str) -> Decimal:
    """Bench hours: `2.5`, `2:30`, `2h30`, `2 h`, `45 min` mean what they say; at most 1,000."""
    text = trimmed(text).lower()
    value = _hours(text)
    if value is None:
        raise Wrong("hours-unreadable", f"“{text}” is not a time spent", _hours_mend(text))
    if value > 1000:
        raise Wrong("hours-unreadable", f"hours {text} are more than one entry can hold", "write the hours of one session, such as 2.5")
    return value


_QUARTERS = {"¼": ".25", "½": ".5", "¾": ".75"}


_ABOUT = re.compile(r"^(?:about|around|approx\.?|ca?\.|~)\s*")
_FRACTION = re.compile(r"(?:([0-9]{1,3})\s+)?([123])/([24])")


def _hours_mend(text: str) -> str:
    text = _ABOUT.sub("", text)
    if part := _FRACTION.fullmatch(text):
        return f"write {int(part[1] or 0) + Decimal(part[2]) / Decimal(part[3])}"
    meant = text.rstrip(",.;").replace(",", ".").replace(" ", "")
    for mark, decimals in _QUARTERS.items():
        meant = re.sub(f"^{mark}", f"0{decimals}", meant).replace(mark, decimals)
    return f"write {meant}" if _PLAIN.fullmatch(meant) else "write how long it took, such as 2.5, 2:30 or 2h30"


def _hours(text: str) -> Decimal | None:
    if _PLAIN.fullmatch(text):
        return Decimal(text)
    if clock := _CLOCK.fullmatch(text):
        return Decimal(clock[1]) + Decimal(clock[2]) / 60
    worded = _WORDED.fullmatch(text)
    if worded and any(worded.groups()) and not text.isdigit():
        return Decimal(worded[1] or 0) + Decimal(worded[2] or 0) / 60
    return None


def clock(text: str) -> time:
    """A time of day by the 24-hour clock: `9:05`, `14:30`."""
    match = re.fullmatch(r"([0-9]{1,2})[:.h]([0-5][0-9])", trimmed(text).lower())
    if not match or int(match[1]) > 23:
        raise Wrong("hours-unreadable", f"time of day “{text}” is not on the 24-hour clock", "write it as 14:30")
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
        return f"{self.days} day" if self.days == 1 else f"{self.days} days"


_WAIT = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(h|hours?|hrs?|d|days?|w|wks?|weeks?)?")


def wait(text: str) -> Wait:
    """A cure or lead time: `14 days`, `2 weeks`, `4 h`; a bare number is days. Parts of a day round up."""
    text = trimmed(text).lower()
    match = _WAIT.fullmatch(text)
    if not match:
        raise Wrong("wait-unreadable", f"time to wait “{text}” is not a number of days or hours", "write 14 days, 2 weeks or 4 h")
    count, unit = Decimal(match[1]), (match[2] or "d")[0]
    if unit == "h" and count < 24:
        return Wait(0, count)
    in_days = {"h": count / 24, "d": count, "w": count * 7}[unit]
    if in_days > 3660:
        raise Wrong("wait-unreadable", f"time to wait “{text}” is longer than ten years", "write the days the product's sheet gives")
    return Wait(int(in_days.to_integral_value(rounding="ROUND_CEILING")))


def day(text: str) -> date:
    """A calendar day as ISO 8601 writes it, `2026-03-14`, between 1900 and 2199."""
    text = trimmed(text)
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise Wrong("date-unreadable", f"date “{text}” is not written year-month-day", _day_mend(text))
    try:
        value = date.fromisoformat(text)
    except ValueError:
        raise Wrong("date-unreadable", f"there is no day {text} in the calendar", "write a day that exists, such as 2026-02-28") from None
    if not 1900 <= value.year < 2200:
        raise Wrong("date-unreadable", f"the year of {text} is out of reach", "write a year from 1900 to 2199")
    return value


def _day_mend(text: str) -> str:
    loose = re.fullmatch(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})", text)
    if loose:
        return f"write {loose[1]}-{int(loose[2]):02}-{int(loose[3]):02}"
    if turned := re.fullmatch(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})", text):
        first, second = int(turned[1]), int(turned[3])
        if first <= 12 and second <= 12 and first != second:
            return f"write {turned[4]}-{second:02}-{first:02} or {turned[4]}-{first:02}-{second:02}, whichever is meant"
        if min(first, second) <= 12 and max(first, second) <= 31:
            return f"write {turned[4]}-{min(first, second):02}-{max(first, second):02}"
    return "write year, month and day, such as 2026-03-14"


def percent(text: str) -> Decimal:
    """A percentage as its number, `40` or `40 %` giving 40; 0 to 1,000."""
    bare = trimmed(text).removesuffix("%").strip()
    value = number(bare, "percentage")
    if value > 1000:
        raise Wrong("number-unreadable", f"percentage {text} is over 1,000", "write a percentage such as 40")
    return value


def yes_or_no(text: str) -> bool:
    """`yes` or `no` (also true/false, on/off); anything else is told, never guessed."""
    word = text.strip().casefold()
    if word in ("yes", "true", "on", "y"):
        return True
    if word in ("no", "false", "off", "n"):
        return False
    raise Wrong("choice-unknown", f"“{text}” is neither yes nor no", "write yes or no")
