"""Time-lapse: how long source material runs on screen.

A speed is written `80x`, `80×`, `8000 %` (100 % is real time) or `every 5 s` (one frame each five seconds, played at
the shop's frame rate, or at its own: `every 5 s at 25`).
Invariant: figures are exact; rounding is for whoever shows them.
"""

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Protocol

from purfle.base.trouble import Wrong

_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
_TIMES = re.compile(_NUMBER + r"\s*[x×]|[x×]\s*" + _NUMBER, re.IGNORECASE)
_PERCENT = re.compile(_NUMBER + r"\s*%")
_EVERY = re.compile(
    r"(?:(?:one|a) frame )?every\s+" + _NUMBER + r"\s*(s|secs?|seconds?|min|mins|minutes?)(?:\s*(?:at|@|,)\s*" + _NUMBER + r"\s*(?:fps|frames)?)?",
    re.IGNORECASE,
)
_THOUSANDS = re.compile(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))")
_MEND = "write 80x, 8000 % or every 5 s"


def factor(speed: str, frame_rate: Decimal) -> Decimal:
    """How many times faster than life a speed is; `frame_rate` in frames a second. Raises `Wrong`."""
    text = _THOUSANDS.sub("", " ".join(speed.replace("\u00a0", " ").split()))
    value = _factor(text, frame_rate)
    if value is None:
        raise Wrong("speed-unreadable", f"speed “{speed}” is neither a factor, a percentage nor an interval", _MEND)
    if value <= 0:
        raise Wrong("speed-unreadable", f"speed “{speed}” stands still", _MEND)
    return value


def _factor(text: str, frame_rate: Decimal) -> Decimal | None:
    if times := _TIMES.fullmatch(text):
        return Decimal(times[1] or times[2])
    if percent := _PERCENT.fullmatch(text):
        return Decimal(percent[1]) / 100
    if every := _EVERY.fullmatch(text):
        seconds = Decimal(every[1]) * (60 if every[2].lower().startswith("m") else 1)
        return seconds * (Decimal(every[3]) if every[3] else frame_rate)
    return None


def screen_seconds(minutes: Decimal, times: Decimal) -> Decimal:
    """Seconds on screen of `minutes` of source at `times` the speed of life."""
    return minutes * 60 / times


class Lapse(Protocol):
    """What may hold a time-lapse: a shot, a take of it, or several in a piece."""

    @property
    def screen_seconds(self) -> Decimal | None:
        """How long it runs on screen; None without one."""


def together(lapses: Iterable[Lapse]) -> Decimal | None:
    """The running time of several time-lapses, in seconds; None where none is known."""
    known = [lapse.screen_seconds for lapse in lapses if lapse.screen_seconds is not None]
    return sum(known, Decimal(0)) if known else None
