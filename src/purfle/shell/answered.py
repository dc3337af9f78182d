"""What a command printed the last time, printed again while nothing it depends on has changed.

An answer is kept under the stamp of the shop's files, the day, the code, the words of the command and the manner of the terminal; it holds
text alone. It lies in `out/.store/answers`, which may be deleted at any time; nothing is kept while a file of the shop was changed within the last
two seconds, for then a later change could look the same.
Invariant: an answer is only ever what a command printed; a store that is not the user's own is not read.
"""

import contextlib
import hashlib
import json
import os
import stat
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, TextIO, cast

from purfle.shell.stamps import INPUTS, Stamp, code_stamp, stamp_of

_MOST_KEPT = 64
_MOST_BYTES = 20_000_000


@dataclass(slots=True)
class _Copying:
    """A stream that keeps a copy of what is written to it."""

    stream: TextIO
    copy: list[str] = field(default_factory=list)

    def write(self, text: str) -> int:
        self.copy.append(text)
        return self.stream.write(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


def manner() -> tuple[str, ...]:
    """What of the two streams shapes a printed answer."""
    from purfle.shell.terminal import colourful, width_of

    return tuple(f"{colourful(s)} {width_of(s)} {s.encoding} {s.errors}" for s in (sys.stdout, sys.stderr))


@dataclass(frozen=True, slots=True)
class Question:
    """A command's words put to a shop as it stands."""

    seen: Stamp
    file: Path
    """Where its answer is kept."""

    def recalled(self) -> dict[str, Any] | None:
        """What was said the last time, or None when it is not known."""
        return _recalled(self.file)

    def keep(self, **said: object) -> None:
        """Keep what was said, with `out`, `err` and `status`."""
        _keep(self.file, self.seen, said)


def ask(root: Path, today: date, words: tuple[object, ...]) -> Question:
    """The question that these words are, of the shop at `root` on a day."""
    seen = stamp_of(root, INPUTS)
    state = hashlib.sha256("\0".join((seen.digest, str(today), code_stamp())).encode()).hexdigest()[:32]
    name = hashlib.sha256(repr((str(root), words, manner())).encode()).hexdigest()[:32]
    return Question(seen, root / "out" / ".store" / "answers" / f"{state}-{name}.json")


def say_again(known: dict[str, Any]) -> int:
    """Print what was said; gives the status."""
    sys.stdout.write(known["out"])
    sys.stdout.flush()
    sys.stderr.write(known["err"])
    return int(known["status"])


@contextlib.contextmanager
def copied() -> Iterator[tuple[list[str], list[str]]]:
    """While it lasts, what is printed is also put into the two lists: standard output, standard error."""
    out, err = _Copying(sys.stdout), _Copying(sys.stderr)
    sys.stdout, sys.stderr = cast(TextIO, out), cast(TextIO, err)
    try:
        yield out.copy, err.copy
    finally:
        sys.stdout, sys.stderr = out.stream, err.stream


def answer(root: Path, today: date, words: tuple[object, ...], work: Callable[[], int]) -> int:
    """Print what `work` prints and give its status, from the store where it is known. `work` must be a function of the shop's files, the day and the words."""
    question = ask(root, today, words)
    if (known := question.recalled()) is not None:
        return say_again(known)
    with copied() as (out, err):
        status = work()
    question.keep(out="".join(out), err="".join(err), status=status)
    return status


def _recalled(file: Path) -> dict[str, Any] | None:
    try:
        if any(folder.is_symlink() for folder in file.parents[:3]):
            return None
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(handle, "rb") as data:
            s = os.fstat(handle)
            if not stat.S_ISREG(s.st_mode) or s.st_size > _MOST_BYTES or (hasattr(os, "geteuid") and s.st_uid != os.geteuid()):
                return None
            found = json.loads(data.read())
        return found if isinstance(found["out"], str) and isinstance(found["err"], str) and found["status"] in (0, 1) else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _keep(file: Path, seen: Stamp, said: dict[str, Any]) -> None:
    """Keep an answer, and drop those of another state of the notes. A store that can't be written is no matter."""
    from purfle.shell.store import write_whole

    try:
        if not seen.settled() or any(folder.is_symlink() for folder in file.parents[:3]):
            return
        write_whole(file, json.dumps(said).encode())
        kept = list(file.parent.glob("*.json"))
        same = [one for one in kept if one.name.startswith(file.name[:33])]
        for old in kept if len(same) > _MOST_KEPT else set(kept) - set(same):
            old.unlink(missing_ok=True)
    except (OSError, UnicodeError):
        return
