"""Recompiles on save, shows the troubles, and previews both sites until Ctrl-C.

What the watcher tells is only a hint to look: the folder is read again and compared, so every way an editor saves comes to
the same thing, and our own reading and writing wakes nobody for nothing.
Invariant: changes no note; writes only what a compile writes.
"""

import gc
import time
from collections.abc import Callable, Container
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Protocol

from purfle.shell.folder import Folder, read_folder
from purfle.shell.paths import is_folder
from purfle.shell.watch import Bell, Watch, number_of

_LOOK_ANYWAY = 20.0
"""Seconds after which the folder is looked at though nobody said so: some file systems tell nothing."""
LOOK_OFTEN = 2.0
"""The same, once it is known that not all is told."""
_TOLD_LATE = 2.0
"""Seconds within which what changed is told, if it is told at all."""
_FIRST_PAUSE, _LONGEST_PAUSE = 0.25, 30.0
"""Seconds after which a compile that failed is tried again: twice as many after each that fails again, up to the most."""


@dataclass(frozen=True, slots=True)
class Look:
    """What was seen of the folder: enough to know whether anything changed."""

    folder: Folder
    today: date

    def same(self, other: "Look | None") -> bool:
        """Whether a compile of the one would be a compile of the other."""
        return other is not None and (self.today, self.folder) == (other.today, other.folder)


def look(root: Path, today: date, before: Look | None = None, only: Container[str] | None = None) -> Look:
    """Read the folder as it stands; what stands as it did before is not read again, and with `only` no other folders are looked at."""
    return Look(read_folder(root, before.folder if before else None, only), today)


def seconds_to_midnight(now: datetime) -> float:
    """Seconds until the day changes, a little over so that it surely has."""
    midnight = datetime.combine(now.date() + timedelta(days=1), datetime.min.time(), now.tzinfo)
    return (midnight - now).total_seconds() + 0.5


@dataclass(slots=True)
class Trials:
    """Compiles that failed, one after the other: when the next is due, however many saves come in between."""

    clock: Callable[[], float] = time.monotonic
    failed: int = 0
    at: float = 0.0

    def over(self, well: bool) -> None:
        """One more is over."""
        self.failed = 0 if well else self.failed + 1
        self.at = self.clock() + min(_FIRST_PAUSE * 2.0 ** min(self.failed - 1, 16), _LONGEST_PAUSE)

    def due(self) -> bool:
        """Whether one failed, and its pause is over."""
        return self.failed > 0 and self.clock() >= self.at

    def rest(self) -> float:
        """The seconds to rest, unless something changes."""
        return min(max(self.at - self.clock(), 0.0), _LOOK_ANYWAY) if self.failed else _LOOK_ANYWAY


class Follower(Protocol):
    """Who follows a shop: what is done about what is seen there."""

    root: Path
    bell: Bell

    def day(self) -> date:
        """The day to compile for."""

    def compile_it(self, look: Look) -> bool:
        """Compile what was seen; whether it came to its end. It must not raise."""

    def stands(self) -> bool:
        """Whether what was written is still there; when it is not, it is written again."""

    def gone(self) -> None:
        """Called once when the shop folder has disappeared; following goes on when it is back."""

    def deaf(self, why: str) -> None:
        """Called once when not every change is reported by the system; the folder is then looked at often."""


def follow(by: Follower) -> None:
    """Compile now, after every change, and again after a growing pause when that failed, until the bell is ended."""
    watch, trials = Watch(by.root, by.bell), Trials()
    last: Look | None = None
    missing = said = littered = False
    try:
        while not by.bell.ended:
            watch.renew()
            if not is_folder(by.root):
                if not missing:
                    by.gone()
                missing, last = True, None
                by.bell.wait(1)
                continue
            missing, told, before = False, by.bell.taken(), last
            last = _caught_up(by, told, last if by.stands() else None, trials)
            busy = last is None or not last.same(before)
            if littered and not busy:  # a command collects hardly any garbage (`entry.SELDOM`), and this one may last for days
                gc.collect()
            littered = busy
            if not (told or watch.deaf) and before is not None and last is not None and last.folder != before.folder:
                if by.bell.wait(_TOLD_LATE):
                    continue
                watch.deaf = "a change was found that the system did not report"
            if watch.deaf and not said:
                by.deaf(watch.deaf)
                said = True
            _rest(by, min(trials.rest(), LOOK_OFTEN) if said else trials.rest())
    finally:
        watch.stop()


def _caught_up(by: Follower, told: set[str], last: Look | None, trials: Trials) -> Look | None:
    """Compile what is not as in the last look, or is due again; gives the look that is the last now.

    First where something was `told` to have changed, so that its page is soon there; then everywhere, for not all is always told.
    """
    due = trials.due()
    for only in (told, None) if last is not None and told else (None,):
        seen = look(by.root, by.day(), last, only)
        if not is_folder(by.root):
            break  # gone while it was looked at
        if not seen.same(last) or (due and only is None):
            trials.over(by.compile_it(seen))
            due = False
        last = seen
    return last


def _rest(by: Follower, seconds: float) -> None:
    """Wait for the bell, for midnight, for the folder to be another one or what was written to be gone, or so long."""
    number, until = number_of(by.root), time.monotonic() + min(seconds, seconds_to_midnight(datetime.now()))
    while number and not by.bell.ended and (left := until - time.monotonic()) > 0:
        if by.bell.wait(min(left, 1.0)) or number_of(by.root) != number or not by.stands():
            return
