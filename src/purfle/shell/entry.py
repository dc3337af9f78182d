"""The door of the command line: says again what is known, and opens the house for all else.

What a command printed the last time is printed again while nothing has changed, before anything is loaded that only the work needs: not even the
reading of options. So this module and `answered`, `stamps`, `beside`, `manner` and `opening` import `os`, `stat`, `sys` and `time`, and nothing that imports more.
Invariant: works nothing out.
"""

import gc
import os
import sys

from purfle.shell.answered import Question, holds, question_of

TYPE_CHECKING = False  # `typing` is not loaded for a name
if TYPE_CHECKING:
    from sys import UnraisableHookArgs
    from types import FrameType
    from typing import NoReturn

SELDOM = (1_000_000, 100, 100)
"""When garbage is collected: nearly all that is made for a command lasts as long as it does, and walking a large shop's values
again and again takes longer than the books."""


def main() -> "NoReturn":
    """Run the command line and leave with its exit status."""
    gc.set_threshold(*SELDOM)
    sys.unraisablehook = _not_lost
    _open_streams()
    try:
        status = run(sys.argv[1:])
    except KeyboardInterrupt:  # while there was nobody yet, or no longer, to take it
        from purfle.shell.status import INTERRUPTED as status
    gc.freeze()  # nor need they be walked on leaving
    sys.exit(status)


def _not_lost(fault: "UnraisableHookArgs") -> None:
    """Ctrl-C that falls where Python can raise nothing (the callbacks of its own import lock, a destructor) is raised a moment later."""
    import signal

    if fault.exc_type is not KeyboardInterrupt or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(fault)
        return

    def again(_number: int, frame: "FrameType | None") -> None:
        if frame is None or frame.f_code is not _not_lost.__code__:  # what is raised in here would be lost, too: the next tick will do
            signal.setitimer(signal.ITIMER_REAL, 0)
            raise KeyboardInterrupt

    signal.signal(signal.SIGALRM, again)
    signal.setitimer(signal.ITIMER_REAL, 0.001, 0.001)


def _open_streams() -> None:
    """Put a stream that leads nowhere in place of each that was closed before we began: else the first file we open would be what is printed into."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_RDWR), mode))


def run(args: list[str]) -> int:
    """The exit status of a command line; never raises but on Ctrl-C in the middle of printing."""
    question = _asked(args)
    if question is not None and (status := _said_again(question)) is not None:
        return status
    from purfle.shell.cli import run as work

    return work(args, question)


def _asked(args: list[str]) -> Question | None:
    try:
        return question_of(args)
    except (OSError, ValueError):  # the working folder is gone; a name that no file can have
        return None


def _said_again(question: Question) -> int | None:
    """Print what was said the last time and give the status; None when it is not known. A stream that can't be written to is left to whoever does the work."""
    known = question.recalled()
    if known is None or not holds(known, question):
        return None
    try:
        sys.stdout.write(known.out)
        sys.stdout.flush()
        sys.stderr.write(known.err)
    except (OSError, ValueError):  # ValueError: letters that were never printed to such a stream
        return None
    return known.status
