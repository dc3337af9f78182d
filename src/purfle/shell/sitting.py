"""One sitting of `purfle follow`: compiles, says what happened, serves both sites, and ends on Ctrl-C.

Invariant: whatever a compile comes to, the sitting goes on; the last good sites stay served.
"""

import contextlib
import os
import signal
import sys
import time
import traceback
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from purfle.base.memo import turn
from purfle.base.trouble import Trouble
from purfle.shell.follow import LOOK_OFTEN, Look, follow
from purfle.shell.make import Made, compile_to_disk, out_of
from purfle.shell.output import Busy, Output, locked
from purfle.shell.paths import is_folder
from purfle.shell.preview import Preview, State
from purfle.shell.terminal import Printer, safe, show_troubles
from purfle.shell.twin import Memory
from purfle.shell.watch import Bell

_MOST_SHOWN = 20
"""Troubles over a previewed page; the terminal and the office's page have them all."""
_PATIENCE = 3
"""How often another may be in the way, a few seconds in all, before a word is said of it."""


@dataclass(slots=True)
class Sitting:
    """What goes on between the first compile and Ctrl-C."""

    root: Path
    out: Printer
    states: tuple[State, ...]
    today: date | None = None
    """The day to compile for, if one was asked for."""
    bell: Bell = field(default_factory=Bell)
    memory: Memory = field(default_factory=Memory)
    """The sites as this sitting left them."""
    failed: tuple[str, Look] | None = None
    """Why the last compile failed, and of what, if it did and that was said."""
    hindered: int = 0
    """How often in a row another was in the way, at work or taking folders away."""
    written: tuple[Path, ...] = ()
    """The sites that were there after the last compile."""

    def day(self) -> date:
        """The day to compile for."""
        return self.today or date.today()

    def compile_it(self, look: Look) -> bool:
        """Compile what was seen; say what came of it, and give whether it came to its end. Never raises."""
        began = time.monotonic()
        try:
            with turn():
                made = compile_to_disk(look.folder, look.today, memory=self.memory)
        except Busy as busy:
            self._in_the_way(look, str(busy), "let it end")
        except FileNotFoundError as error:  # out/, or the shop with it, was taken away meanwhile: there is a reason to speak of it only if that goes on
            self._in_the_way(look, _unwritten(error), "put the folder back")
        except OSError as error:
            self._failed(look, _unwritten(error), "make room, or give yourself the right to write there")
        except Exception as fault:
            # A fault of ours must not end the sitting: the next trial may well do.
            if self._failed(look, f"purfle itself failed ({type(fault).__name__})", "please report what the terminal says"):
                self.out.line("Please report these lines:")
                traceback.print_exception(fault, file=self.out.stream)
        else:
            self._tell(made, look, time.monotonic() - began)
            self.failed, self.hindered = None, 0
            return True
        finally:
            self.written = tuple(site for site in sites_of(self.root) if is_folder(site))
            self.out.stream.flush()
        return False

    def stands(self) -> bool:
        """Whether the sites that were written are still there: somebody may throw out/ away at any time."""
        return all(map(is_folder, self.written))

    def _in_the_way(self, look: Look, why: str, mend: str) -> None:
        """Say of what is most often over in a moment that it is not."""
        self.hindered += 1
        if self.hindered > _PATIENCE:
            self._failed(look, why, mend)

    def _failed(self, look: Look, why: str, mend: str) -> bool:
        """Say why a compile failed, over the pages too, and that it is tried again; once for the same notes. Gives whether it was said."""
        if self.failed is not None and self.failed[0] == why and look.same(self.failed[1]):
            return False
        self.failed = why, look
        self._say_over_pages("out/", "not-compiled", f"{why}; the last good state is shown", f"{mend}; it is tried again until it is done")
        self.out.line(safe(f"{_clock()}  {why}; the last good sites stay, and it is tried again until it is done"))
        return True

    def _say_over_pages(self, where: str, code: str, found: str, mend: str) -> None:
        for state in self.states:
            state.tell(({"where": where, "code": code, "found": safe(found), "mend": safe(mend)},), False)

    def _tell(self, made: Made, look: Look, seconds: float) -> None:
        told = tuple(_over_the_page(trouble) for trouble in made.sites.troubles[:_MOST_SHOWN])
        for state, written in zip(self.states, (made.office, made.showroom), strict=True):
            state.tell(told, bool(written) or self.failed is not None)  # the one that failed may have come as far as the pages
        if made.sites.troubles:
            show_troubles(made.sites.troubles, look.folder.texts, self.out)
        changed = [f"{name} {len(w.changed) + len(w.removed)}" for name, w in (("showroom", made.showroom), ("office", made.office)) if w]
        self.out.line(f"{_clock()}  {'pages changed: ' + ', '.join(changed) if changed else 'nothing changed'} ({seconds:.2f} s)")

    def deaf(self, why: str) -> None:
        """Say that the system does not report every change."""
        self.out.line(safe(f"{_clock()}  {why}; the folder is now also checked every {LOOK_OFTEN:g} seconds"))
        self.out.stream.flush()

    def gone(self) -> None:
        """Say once that the shop folder has disappeared."""
        self.failed = None
        self._say_over_pages(str(self.root), "shop-gone", "the shop folder is gone", "put it back; it is followed again when it is there")
        self.out.line(safe(f"{_clock()}  {self.root} is gone; waiting for it to come back"))
        self.out.stream.flush()


def sites_of(root: Path) -> tuple[Path, Path]:
    """Where the office and the showroom of a shop stand."""
    return out_of(root) / "office", out_of(root) / "showroom"


def _over_the_page(trouble: Trouble) -> dict[str, str]:
    return {"where": safe(str(trouble.place)), "code": trouble.code, "found": safe(trouble.found), "mend": safe(trouble.mend)}


def _unwritten(error: OSError) -> str:
    return f"out/ could not be written: {error.strerror or error}"


def _clock() -> str:
    return datetime.now().strftime("%H:%M:%S")


def _ending() -> list[signal.Signals]:
    """The signals that end a sitting: also that of a terminal's window that is closed, but where it is to be passed over (nohup)."""
    hangs_up = [number for number in (getattr(signal, "SIGHUP", None),) if number is not None and signal.getsignal(number) is not signal.SIG_IGN]
    return [signal.SIGINT, signal.SIGTERM, *hangs_up]


def _end(bell: Bell) -> None:
    """End after the compile that is under way; the second time, at once."""
    if bell.ended:
        raise KeyboardInterrupt
    bell.end()


class NotShown(Exception):
    """A site's preview can't listen where it was told to."""

    def __init__(self, site: str, port: int, error: OSError) -> None:
        super().__init__(f"the preview of the {site} can't listen on port {port}: {error.strerror or error}")
        self.site = site


def _clear_twins(root: Path) -> None:
    """Take the twins away, unless another purfle is at work: it takes them away itself, or they are its own."""
    if os.path.lexists(Output(out_of(root)).twins):
        with contextlib.suppress(Busy, OSError), locked(out_of(root)):
            pass


def sit(root: Path, today: date | None, office_port: int, showroom_port: int) -> None:
    """Follow the shop at `root` until Ctrl-C or a polite kill. Raises `NotShown` when a port is taken."""
    out = Printer(sys.stdout)
    states = (State(), State())
    previews: list[Preview] = []
    sitting = Sitting(root, out, states, today)
    before = {number: signal.signal(number, lambda *_: _end(sitting.bell)) for number in _ending()}
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
        follow(sitting)
        out.line("Ended.")
    finally:
        for state in states:
            state.close()
        for preview in previews:
            preview.stop()
        _clear_twins(root)
        for number, handler in before.items():
            signal.signal(number, handler)
