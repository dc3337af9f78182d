"""Keeping what a command prints, for the next time it is asked the same.

Invariant: keeps what was printed and nothing else; a store that can't be written is no matter.
"""

import contextlib
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO, cast

from purfle.shell.answered import Answer, Question, read, written

_MOST_KEPT = 64


@dataclass(slots=True)
class _Copying:
    """A stream that keeps a copy of what is written to it."""

    stream: TextIO
    copy: list[str] = field(default_factory=list)

    def write(self, text: str) -> int:
        written = self.stream.write(text)
        self.copy.append(text)  # only now: a text that the stream can't hold is written again in another way
        return written

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


@contextlib.contextmanager
def copied() -> Iterator[tuple[list[str], list[str]]]:
    """While it lasts, what is printed is also put into the two lists: standard output, standard error."""
    out, err = _Copying(sys.stdout), _Copying(sys.stderr)
    sys.stdout, sys.stderr = cast(TextIO, out), cast(TextIO, err)
    try:
        yield out.copy, err.copy
    finally:
        sys.stdout, sys.stderr = out.stream, err.stream


def answer(question: Question | None, work: Callable[[], int]) -> int:
    """Do the work, keep what it printed, give its status. `work` must be a function of what the question holds."""
    if question is None:
        return work()
    with copied() as (out, err):
        status = work()
    keep(question, Answer(status, "".join(out), "".join(err)))
    return status


def keep(question: Question, answer: Answer) -> None:
    """Keep an answer, and drop those of another state of the notes."""
    from purfle.shell.output import make_folder
    from purfle.shell.store import write_whole

    folder = Path(question.store)
    try:
        if not question.stamp.settled or any(step.is_symlink() for step in (folder, *folder.parents[:2])):
            return
        make_folder(folder, within=folder.parents[1])
        if (mark := question.mark()) is None:
            mark = os.urandom(16).hex().encode()
            write_whole(folder / "seen", mark + question.seen)
        write_whole(folder / question.name, written(answer, mark, question.text))
        _drop(folder, question, mark)
    except (OSError, UnicodeError):
        return


def _drop(folder: Path, question: Question, mark: bytes) -> None:
    """Drop answers of another look; all others when there are too many. What begins with a dot is being written by someone."""
    others = [file for file in folder.iterdir() if file.name not in (question.name, "seen") and not file.name.startswith(".")]
    crowded = len(others) >= _MOST_KEPT
    for file in others:
        if crowded or not (read(question.root, file.name) or b"").startswith(mark):
            file.unlink(missing_ok=True)
