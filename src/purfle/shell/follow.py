"""Recompiles on save, shows the troubles, and previews both sites until Ctrl-C.

What the watcher tells is only a hint to look: the folder is read again and compared, so every way an editor saves comes to
the same thing, and our own reading and writing wakes nobody for nothing.
Invariant: changes no note; writes only what a compile writes.
"""

import contextlib
import errno
import gc
import logging
import os
import time
from collections.abc import Callable, Container
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from queue import Empty, SimpleQueue

from watchdog import events
from watchdog.events import (
    DirCreatedEvent,
    DirDeletedEvent,
    DirMovedEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

from purfle.notes.frontmatter.text import PHOTOS
from purfle.shell.folder import SHOP_FILE, TEMPLATES, Folder, is_folder, read_folder

_QUIET, _PATIENCE = 0.03, 0.4
"""Seconds without news before a look, and the most a burst may put it off."""
_LOOK_ANYWAY = 20.0
"""Seconds after which the folder is looked at though nobody said so: some file systems tell nothing."""
LOOK_OFTEN = 2.0
"""The same, once it is known that not all is told."""
_TOLD_LATE = 2.0
"""Seconds within which what changed is told, if it is told at all."""
_FIRST_PAUSE, _LONGEST_PAUSE = 0.25, 30.0
"""Seconds after which a compile that failed is tried again: twice as many after each that fails again, up to the most."""
_WATCHED = ("builds", "journal", PHOTOS, TEMPLATES)
_KINDS: list[type[FileSystemEvent]] = [
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileMovedEvent,
    FileModifiedEvent,
    DirCreatedEvent,
    DirDeletedEvent,
    DirMovedEvent,
    # The right to read, taken or given; watchdog before 7 tells that of a file as its change, and of a folder not apart from all else.
    *(kind for name in ("FileAttribEvent", "DirAttribEvent") if (kind := getattr(events, name, None)) is not None),
]


@dataclass(slots=True)
class Bell:
    """Rung by the watcher and by Ctrl-C; waited for by the follower.

    A queue that may be put to at any moment, even by a signal that falls in the middle of waiting for it; an event may not, it would wait for itself.
    """

    rings: SimpleQueue[str] = field(default_factory=SimpleQueue)
    heard: set[str] = field(default_factory=set)
    """The folders that were named by the rings since they were last taken."""
    ended: bool = False

    def ring(self, folder: str = "") -> None:
        """Wake the follower; the folder is where something may have changed, as far as is known."""
        self.rings.put(folder)

    def taken(self) -> set[str]:
        """The folders that were named since this was last asked."""
        named, self.heard = self.heard, set()
        return named

    def end(self) -> None:
        """Wake the follower for the last time."""
        self.ended = True
        self.ring()

    def wait(self, seconds: float) -> bool:
        """Wait for a ring, then for a moment of quiet; whether it rang within `seconds`."""
        if not self._heard(seconds):
            return False
        until = time.monotonic() + _PATIENCE
        while not self.ended and time.monotonic() < until and self._heard(_QUIET):
            pass
        return True

    def _heard(self, seconds: float) -> bool:
        """Whether it rings within `seconds`; a burst is one ring."""
        with contextlib.suppress(Empty):
            self.heard.add(self.rings.get(timeout=seconds))
            with contextlib.suppress(Empty):
                while True:
                    self.heard.add(self.rings.get_nowait())
            return True
        return False


class _Ringer(FileSystemEventHandler):
    """Rings for whatever may concern a note."""

    def __init__(self, root: Path, bell: Bell) -> None:
        self._root, self._bell = str(root), bell

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Ring, unless the news is about a name beside the shop's own at its top."""
        for path in (os.fsdecode(event.src_path), os.fsdecode(event.dest_path or "")):
            inside = Path(os.path.relpath(path, self._root)) if path else None
            if inside is not None and (inside.parts or (".",))[0] in (SHOP_FILE, ".", *_WATCHED):
                self._bell.ring(inside.parent.as_posix())
                if event.is_directory:
                    self._bell.ring(inside.as_posix())


class Watch:
    """Watches the shop folder's own names, whatever else lies beside them."""

    def __init__(self, root: Path, bell: Bell) -> None:
        # News that comes while a watch ends is a fault to it, and none to us: the folder is looked at anyway.
        logging.getLogger("watchdog").setLevel(logging.CRITICAL)
        self._root, self._handler = root, _Ringer(root, bell)
        self._watches: dict[Path, tuple[int, ObservedWatch]] = {}
        self.deaf = ""
        """Why not all is told, as far as that is known."""
        self._observer: BaseObserver | None = None
        try:
            self._observer = Observer()
            self._observer.start()
        except OSError as error:
            self._refused(error)

    def renew(self) -> None:
        """Watch what is there now; a folder that was deleted and made again is another folder."""
        for path in (self._root, *(self._root / name for name in _WATCHED)):
            number = _number(path)
            known = self._watches.get(path)
            if known and known[0] == number:
                continue
            if known:
                self._forget(path)
            if number:
                self._add(path, number)

    def _add(self, path: Path, number: int) -> None:
        if self._observer is None:
            return
        try:
            watch = self._observer.schedule(self._handler, str(path), recursive=path != self._root, event_filter=_KINDS)
        except OSError as error:
            self._refused(error)
            return
        self._watches[path] = (number, watch)

    def _refused(self, error: OSError) -> None:
        if error.errno in (errno.ENOSPC, errno.EMFILE, errno.ENFILE):  # inotify(7); else it may be gone again, and what is never told is found out
            self.deaf = self.deaf or "the system reports no more changes, because other programs use up its watches"

    def _forget(self, path: Path) -> None:
        _, watch = self._watches.pop(path)
        with contextlib.suppress(KeyError, OSError):  # a watch on a folder that is gone is gone with it
            if self._observer is not None:
                self._observer.unschedule(watch)

    def stop(self) -> None:
        """Watch no longer."""
        if self._observer is not None and self._observer.is_alive():
            self._observer.stop()
            self._observer.join(2)


def _number(path: Path) -> int:
    """What tells one folder from another of the same name; 0 when there is none."""
    try:
        found = os.lstat(path)
    except OSError:
        return 0
    return found.st_ino or 1


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


def follow(
    root: Path,
    day: Callable[[], date],
    bell: Bell,
    compile_it: Callable[[Look], bool],
    gone: Callable[[], None],
    stands: Callable[[], bool],
    deaf: Callable[[str], None] = lambda why: None,
) -> None:
    """Call `compile_it` now, after every change, and again after a growing pause when it says that it failed, until the bell is ended.

    `day` gives the day to compile for; `gone` is called once when the shop folder has disappeared, and following
    goes on when it is back. `stands` says whether what was written is still there; when it is not, it is written again.
    `deaf` is called once, with the reason, when not every change is told by the system; the folder is then looked at often.
    `compile_it` must not raise.
    """
    watch, trials = Watch(root, bell), Trials()
    last: Look | None = None
    missing = said = littered = False
    try:
        while not bell.ended:
            watch.renew()
            if not is_folder(root):
                if not missing:
                    gone()
                missing, last = True, None
                bell.wait(1)
                continue
            missing, told, before = False, bell.taken(), last
            last = _caught_up(root, day, told, last if stands() else None, compile_it, trials)
            busy = last is None or not last.same(before)
            if littered and not busy:  # a command collects hardly any garbage (`entry.SELDOM`), and this one may last for days
                gc.collect()
            littered = busy
            if not (told or watch.deaf) and before is not None and last is not None and last.folder != before.folder:
                if bell.wait(_TOLD_LATE):
                    continue
                watch.deaf = "a change was found that the system did not report"
            if watch.deaf and not said:
                deaf(watch.deaf)
                said = True
            _rest(root, bell, stands, min(trials.rest(), LOOK_OFTEN) if said else trials.rest())
    finally:
        watch.stop()


def _caught_up(root: Path, day: Callable[[], date], told: set[str], last: Look | None, compile_it: Callable[[Look], bool], trials: Trials) -> Look | None:
    """Compile what is not as in the last look, or is due again; gives the look that is the last now.

    First where something was `told` to have changed, so that its page is soon there; then everywhere, for not all is always told.
    """
    due = trials.due()
    for only in (told, None) if last is not None and told else (None,):
        seen = look(root, day(), last, only)
        if not is_folder(root):
            break  # gone while it was looked at
        if not seen.same(last) or (due and only is None):
            trials.over(compile_it(seen))
            due = False
        last = seen
    return last


def _rest(root: Path, bell: Bell, stands: Callable[[], bool], seconds: float = _LOOK_ANYWAY) -> None:
    """Wait for the bell, for midnight, for the folder to be another one or what was written to be gone, or so long."""
    number, until = _number(root), time.monotonic() + min(seconds, seconds_to_midnight(datetime.now()))
    while number and not bell.ended and (left := until - time.monotonic()) > 0:
        if bell.wait(min(left, 1.0)) or _number(root) != number or not stands():
            return
