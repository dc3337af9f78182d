"""Hears of changes in the shop folder, as far as the system reports them.

What is heard is only a hint to look: whether anything changed is told by whoever looks.
Invariant: opens no file of the shop.
"""

import contextlib
import errno
import logging
import os
import time
from dataclasses import dataclass, field
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
from purfle.shell.folder import TEMPLATES
from purfle.shell.paths import SHOP_FILE

_QUIET, _PATIENCE = 0.03, 0.4
"""Seconds without news before a look, and the most a burst may put it off."""
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
            number = number_of(path)
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


def number_of(path: Path) -> int:
    """What tells one folder from another of the same name; 0 when there is none."""
    try:
        found = os.lstat(path)
    except OSError:
        return 0
    return found.st_ino or 1
