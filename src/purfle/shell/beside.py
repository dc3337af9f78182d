"""Work that another process does while this one goes on, for a command that has nothing to load but much to look at.

Only `os` is loaded. A fork has all that its parent knows, but no thread of it: only a process without threads may ask for one.
Invariant: what is given is what the work gives here; a process that can't be had, or ended early, costs nothing but time.
"""

import os

TYPE_CHECKING = False  # `typing` is not loaded for a name
if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import NoReturn

_WHOLE = b"."
"""What ends an answer that was told to its end."""


def begun(work: "Callable[[], bytes]") -> "Callable[[], bytes]":
    """Begin some work in a fork of this process; the function given waits for it, or does it where it was not done."""
    if not hasattr(os, "fork"):
        return work
    try:
        source, sink = os.pipe()
    except OSError:
        return work
    try:
        fork = os.fork()
    except OSError:
        os.close(source)
        os.close(sink)
        return work
    if fork == 0:
        _tell(work, sink)
    os.close(sink)

    def awaited() -> bytes:
        with os.fdopen(source, "rb") as told:
            said = told.read()
        try:  # noqa: SIM105 (contextlib is not loaded here)
            os.waitpid(fork, 0)
        except ChildProcessError:  # whoever started us has the system see to children
            pass
        return said[: -len(_WHOLE)] if said.endswith(_WHOLE) else work()

    return awaited


def _tell(work: "Callable[[], bytes]", sink: int) -> "NoReturn":
    """Do the work and tell what it came to; whatever happens, the fork ends here and says nothing else."""
    try:
        with os.fdopen(sink, "wb") as telling:
            telling.write(work() + _WHOLE)
    finally:
        os._exit(0)
