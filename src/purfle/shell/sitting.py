"""One sitting of `purfle follow`: compiles, says what happened, serves both sites, and ends on Ctrl-C.

Invariant: whatever a compile comes to, the sitting goes on; the last good sites stay served.
"""

import signal
import sys
import time
import traceback
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from purfle.base.memo import Memo
from purfle.base.trouble import Trouble
from purfle.shell.follow import Bell, Look, follow
from purfle.shell.make import Made, compile_to_disk, out_of
from purfle.shell.output import Busy, Output, remove
from purfle.shell.preview import Preview, State
from purfle.shell.terminal import Printer, safe, show_troubles
from purfle.shell.twin import Memory

_MOST_SHOWN = 20
"""Troubles over a previewed page; the terminal and the office's page have them all."""


@dataclass(slots=True)
class Sitting:
    """What goes on between the first compile and Ctrl-C."""

    root: Path
    out: Printer
    states: tuple[State, ...]
    memory: Memory = field(default_factory=Memory)
    """The sites as this sitting left them."""

    def compile_it(self, look: Look) -> None:
        """Compile what was seen; say what came of it. Never raises."""
        began = time.monotonic()
        try:
            made = self._patiently(look)
        except Busy as busy:
            self.out.line(safe(f"{_clock()}  {busy}; compiling again on the next save"))
        except OSError as error:
            self.out.line(safe(f"{_clock()}  out/ could not be written: {error.strerror or error}; the last good sites stay"))
        except Exception as fault:
            # A fault of ours must not end the sitting: the next save may well compile.
            self.out.line(f"{_clock()}  purfle itself failed; the last good sites stay. Please report these lines:")
            traceback.print_exception(fault, file=self.out.stream)
        else:
            self._tell(made, look, time.monotonic() - began)
        self.out.stream.flush()

    def _patiently(self, look: Look) -> Made:
        """Compile, waiting a little for another compile to end. Raises `Busy` when it goes on."""
        for _ in range(20):
            try:
                return compile_to_disk(look.folder, look.today, memory=self.memory)
            except Busy:
                time.sleep(0.25)
        return compile_to_disk(look.folder, look.today, memory=self.memory)

    def _tell(self, made: Made, look: Look, seconds: float) -> None:
        if made.sites.troubles:
            show_troubles(made.sites.troubles, look.folder.files, self.out)
        changed = [f"{name} {len(w.changed) + len(w.removed)}" for name, w in (("showroom", made.showroom), ("office", made.office)) if w]
        self.out.line(f"{_clock()}  {'pages changed: ' + ', '.join(changed) if changed else 'nothing changed'} ({seconds:.2f} s)")
        told = tuple(_over_the_page(trouble) for trouble in made.sites.troubles[:_MOST_SHOWN])
        for state, written in zip(self.states, (made.office, made.showroom), strict=True):
            state.tell(told, bool(written))

    def gone(self) -> None:
        """Say once that the shop folder has disappeared."""
        self.out.line(safe(f"{_clock()}  {self.root} is gone; waiting for it to come back"))
        self.out.stream.flush()


def _over_the_page(trouble: Trouble) -> dict[str, str]:
    return {"where": safe(str(trouble.place)), "code": trouble.code, "found": safe(trouble.found), "mend": safe(trouble.mend)}


def _clock() -> str:
    return datetime.now().strftime("%H:%M:%S")


def _end(bell: Bell) -> None:
    """End after the compile that is under way; the second time, at once."""
    if bell.ended:
        raise KeyboardInterrupt
    bell.end()


class NotShown(Exception):
    """A site's preview can't listen where it was told to."""

    def __init__(self, site: str, port: int, error: OSError) -> None:
        super().__init__(f"the preview of the {site} can't listen at port {port}: {error.strerror or error}")
        self.site = site


def sit(root: Path, today: date | None, office_port: int, showroom_port: int) -> None:
    """Follow the shop at `root` until Ctrl-C or a polite kill. Raises `NotShown` when a port is taken."""
    Memo.keeping = True  # compiles follow each other here; one-shot commands ask nothing twice
    out = Printer(sys.stdout)
    states = (State(), State())
    previews: list[Preview] = []
    bell = Bell()
    before = {number: signal.signal(number, lambda *_: _end(bell)) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        for name, port, state in (("office", office_port, states[0]), ("showroom", showroom_port, states[1])):
            try:
                previews.append(Preview(out_of(root) / name, port, state))
            except OSError as error:
                raise NotShown(name, port, error) from None
            previews[-1].start()
            out.line(f"{name:9} {previews[-1].url}")
        out.line("Ctrl-C ends it.")
        out.stream.flush()
        sitting = Sitting(root, out, states)
        follow(root, lambda: today or date.today(), bell, sitting.compile_it, sitting.gone)
        out.line("Ended.")
    finally:
        Memo.keeping = False
        for state in states:
            state.close()
        for preview in previews:
            preview.stop()
        remove(Output(out_of(root)).twins)
        for number, handler in before.items():
            signal.signal(number, handler)
