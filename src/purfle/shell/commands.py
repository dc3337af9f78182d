"""What the commands that make or check something do; those that print figures are in `answers`.

Every function gives the exit status.
Invariant: changes no note; writes only what its command is asked to write.
"""

import contextlib
import shlex
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from purfle.base.counts import counted
from purfle.shell.folder import read_folder
from purfle.shell.paths import SHOP_FILE, find_shop, is_file, is_folder
from purfle.shell.status import FINE, STOPPED, USAGE
from purfle.shell.terminal import Printer, safe, show_troubles

if TYPE_CHECKING:
    from purfle.shell.answered import Question
    from purfle.shell.make import Made


def shop_folder(shop: Path | None) -> Path:
    """The shop to work on. Raises wrong usage when there is none."""
    if shop is None:
        try:
            found = find_shop(Path.cwd())
        except OSError:  # the folder that the terminal stands in was deleted, or the way to it barred
            found = None
        if found is None:
            raise click.UsageError("there is no shop.md here or in a folder above; name the shop with --shop, or make one with: purfle start DIR")
        return found
    if not is_folder(shop):
        raise click.BadParameter(f"{shop} is not a folder", param_hint="--shop")
    if not _may_be_shop(shop):  # a mistyped name would get an out/ of its own
        raise click.BadParameter(f"{shop} holds no shop.md and no notes", param_hint="--shop")
    return shop.absolute()


def _may_be_shop(folder: Path) -> bool:
    """Whether anything of a shop lies in a folder; one that can't be looked into is told of by whoever reads it."""
    try:
        return not {SHOP_FILE, "builds", "journal", "out"}.isdisjoint(path.name for path in folder.iterdir())
    except OSError:
        return True


def say(text: str) -> None:
    """A remark that is no part of the answer, to the error stream."""
    Printer(sys.stderr).line(safe(text))


# --- making -----------------------------------------------------------------------------------------------------------


def start(folder: Path, today: date) -> int:
    """`purfle start`."""
    from purfle.shell.start import Refused, start

    try:
        written = start(folder, today)
    except Refused as refused:
        raise click.BadParameter(str(refused), param_hint="DIR") from None
    except OSError as error:
        return not_written(str(folder), error)
    out = Printer()
    for path in written:
        out.line(safe(f"wrote {path}"))
    there = "" if folder == Path() else f"cd {shlex.quote(str(folder))} && "
    out.line(safe(f"Now: {there}purfle compile, then open out/showroom/index.html and out/office/index.html"))
    return FINE


def note(name: str, shop: Path | None, today: date) -> int:
    """`purfle note`."""
    from purfle.shell.note import editor, make_note, open_note

    root = shop_folder(shop)
    try:
        path, new = make_note(_build_folder(root, name, today), today)
    except OSError as error:
        return not_written("today's note", error)
    try:
        command = editor()
    except ValueError as error:
        say(f"the editor named in VISUAL or EDITOR can't be understood ({error}); the note is {path}")
        return STOPPED
    if command is None:
        Printer().line(safe(str(path)))
        say("EDITOR is not set; open the note named above yourself.")
        return FINE
    say(f"{'new note' if new else 'the note'} {path.relative_to(root)}")
    try:
        if (ended := open_note(path, command)) == 0:
            return FINE
        say(f"the editor {command[0]} ended with {ended}; the note is {path}")
        return STOPPED
    except OSError as error:
        say(f"the editor {command[0]} can't be run: {error.strerror or error}; the note is {path}")
        return STOPPED


def _build_folder(root: Path, name: str, today: date) -> Path:
    """The folder of a build, by its id or, as in the notes, its title: that alone asks for the notes to be read."""
    from purfle.shell.make import analyse
    from purfle.shell.note import Unknown, build_folder

    try:
        return build_folder(root, name)
    except Unknown as unknown:
        if titled := analyse(read_folder(root), today).shop.find(name):
            return build_folder(root, titled)
        raise unknown_build(safe(str(unknown)), unknown.near) from None


def unknown_build(found: str, near: str | None) -> click.BadParameter:
    """Wrong usage: there is no such build; the near name is said."""
    return click.BadParameter(found + (f"; did you mean {safe(near)}?" if near else ""), param_hint="ID")


def check(shop: Path | None, today: date, as_json: bool) -> int:
    """`purfle check`."""
    from purfle.shell import contract
    from purfle.shell.make import compile_in_mind, stopped

    folder = read_folder(shop_folder(shop))
    sites = compile_in_mind(folder, today)
    out = Printer()
    if as_json:
        out.line(contract.dumps(contract.troubles(sites.troubles)))
    elif sites.troubles:
        show_troubles(sites.troubles, folder.texts, out)
    else:
        out.line("No troubles.")
    return STOPPED if stopped(sites) else FINE


def compile(root: Path, today: date, quiet: bool, why: bool, question: "Question | None") -> int:
    """`purfle compile`; what is kept for the question is what it says when nothing has changed since."""
    from purfle.shell.answered import Answer, sites_stamp
    from purfle.shell.copying import copied, keep

    with copied() as (_, err):
        status, again = _compile(root, today, quiet, why)
    if again is not None and not why and question is not None:
        keep(question, Answer(status, "" if quiet else again, "".join(err), sites_stamp(str(root))))
    return status


def _compile(root: Path, today: date, quiet: bool, why: bool) -> tuple[int, str | None]:
    """The exit status, and what a compile says that finds nothing changed; None when this one did not come to its end."""
    from purfle.shell import changes
    from purfle.shell.make import compile_to_disk, out_of, stopped
    from purfle.shell.output import Busy, Output

    folder = read_folder(root)
    was = _pages_of(out_of(root)) if why else {}
    try:
        made = compile_to_disk(folder, today, _progress())
    except Busy as busy:
        say(f"{busy}; nothing was written. Wait for it to end, then compile again.")
        return STOPPED, None
    except OSError as error:
        return not_written(str(out_of(folder.root)), error), None
    if made.sites.troubles:
        show_troubles(made.sites.troubles, folder.texts, Printer(sys.stderr))
    if not quiet:
        for line in _said(made, same=False):
            Printer().line(line)
    store, inputs = Output(out_of(root)).store, changes.inputs_of(folder, today)
    if why:
        _say_why(made, changes.told(changes.recalled(store), inputs), was, _pages_of(out_of(root)))
    if made.sites.showroom is not None and made.sites.office is not None:  # what a held one would have shown is still to come
        with contextlib.suppress(OSError):  # without it the next compile does not know what changed, and works all the same
            changes.keep(store, inputs)
    return STOPPED if stopped(made.sites) else FINE, "".join(f"{line}\n" for line in _said(made, same=True))


def not_written(what: str, error: OSError) -> int:
    """Say that something could not be written, and why; gives the exit status."""
    say(f"{what} could not be written: {error.strerror or error}. What was there before is as it was.")
    return STOPPED


def _progress() -> Callable[[int, int], None] | None:
    """A line that counts pictures on a terminal; nothing into a pipe."""
    if not sys.stderr.isatty():
        return None

    def told(done: int, of: int) -> None:
        if of > 4:
            end = "\n" if done == of else ""
            sys.stderr.write(f"\rpictures: {done} of {of}{end}")
            sys.stderr.flush()

    return told


def _said(made: "Made", same: bool) -> Iterator[str]:
    """A line about each site; as if nothing had changed when `same`."""
    for name, written, last in (("showroom", made.showroom, made.sites.held.showroom), ("office", made.office, made.sites.held.books)):
        if getattr(made.sites, name) is None:
            yield f"out/{name}: held by troubles; " + (f"its last good state is from {last}" if last else "it has no good state yet")
        elif written and not same:
            yield f"out/{name}: {counted(len(written.changed), 'file')} written, {len(written.removed)} removed"
        else:
            yield f"out/{name}: nothing changed"


def _pages_of(out: Path) -> dict[str, str]:
    """The texts of both sites as they stand, by path."""
    from purfle.shell.differing import TEXTS

    pages = {}
    for site in filter(is_folder, (out / "showroom", out / "office")):
        for path in (path for path in site.rglob("*") if path.suffix in TEXTS and is_file(path)):
            with contextlib.suppress(OSError):  # somebody may have put a file of their own there, or taken the right to read it
                pages[f"out/{path.relative_to(out).as_posix()}"] = path.read_text("utf-8", errors="replace")
    return pages


def _say_why(made: "Made", changed: Iterable[str], was: Mapping[str, str], now: Mapping[str, str]) -> None:
    """A line about each thing that changed, then about each page: first those left alone, last, where the eye is, those written, with what they say otherwise."""
    from purfle.shell.differing import difference

    out = Printer()
    for line in changed:
        out.line(safe(line))
    reasons = [(f"out/{name}/{path}", reason) for name, written in (("showroom", made.showroom), ("office", made.office)) for path, reason in written.reasons]
    for path, reason in sorted(reasons, key=lambda one: not one[1].startswith("left alone")):
        what = f": {difference(was[path], now[path])}" if reason.startswith("written") and path in was and path in now else ""
        out.line(safe(f"{path}: {reason}{what}"))


def fields(schema: bool) -> int:
    """`purfle fields`."""
    from purfle.shell import contract
    from purfle.shell.fields import codes, reference, schemas

    if schema:
        Printer().line(contract.dumps({**schemas(), "codes": codes()}))
    else:
        _read_out(reference())
    return FINE


def _read_out(markdown: str) -> None:
    """A reference, its list entries set in where a terminal is too narrow for them."""
    out = Printer()
    for line in markdown.rstrip().splitlines():
        out.words(line, 2 if line.startswith("- ") else 0)


def templates() -> int:
    """`purfle fields --templates`."""
    from purfle.pages.reference import template_reference

    _read_out(template_reference())
    return FINE


def follow(shop: Path | None, today: date | None, office_port: int, showroom_port: int) -> int:
    """`purfle follow`."""
    from purfle.shell.sitting import NotShown, sit

    root = shop_folder(shop)
    try:
        sit(root, today, office_port, showroom_port)
    except NotShown as fault:
        say(f"{fault}; try --{fault.site}-port 0")
        return USAGE
    return FINE
