"""What each command does: finds the shop, asks for the values it needs, and prints them.

Every function gives the exit status.
Invariant: changes no note; writes only what its command is asked to write.
"""

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from purfle.shell.cli import FINE, STOPPED, USAGE
from purfle.shell.folder import Folder, find_shop, read_folder
from purfle.shell.terminal import Printer, safe, show_troubles

if TYPE_CHECKING:
    from decimal import Decimal

    from purfle.base.trouble import Trouble
    from purfle.compile import Analysis


def shop_folder(shop: Path | None) -> Path:
    """The shop to work on. Raises wrong usage when there is none."""
    if shop is None:
        found = find_shop(Path.cwd())
        if found is None:
            raise click.UsageError("there is no shop.md here or in a folder above; name the shop with --shop, or make one with: purfle start DIR")
        return found
    if not shop.is_dir():
        raise click.BadParameter(f"{shop} is not a folder", param_hint="--shop")
    return shop.absolute()


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
        return _not_written(str(folder), error)
    out = Printer()
    for path in written:
        out.line(safe(f"wrote {path}"))
    out.line(safe(f"Now: cd {folder} && purfle compile, then open out/showroom/index.html and out/office/index.html"))
    return FINE


def note(name: str, shop: Path | None, today: date) -> int:
    """`purfle note`."""
    from purfle.shell.note import editor, make_note, open_note

    root = shop_folder(shop)
    path, new = make_note(_build_folder(root, name), today)
    command = editor()
    if command is None:
        Printer().line(safe(str(path)))
        say("EDITOR is not set; open the note named above yourself.")
        return FINE
    say(f"{'new note' if new else 'the note'} {path.relative_to(root)}")
    try:
        return FINE if open_note(path, command) == 0 else STOPPED
    except OSError as error:
        say(f"the editor {command[0]} can't be run: {error.strerror or error}; the note is {path}")
        return STOPPED


def _build_folder(root: Path, name: str) -> Path:
    from purfle.shell.note import Unknown, build_folder

    try:
        return build_folder(root, name)
    except Unknown as unknown:
        raise _unknown_build(safe(str(unknown)), unknown.near) from None


def _unknown_build(found: str, near: str | None) -> click.BadParameter:
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
        show_troubles(sites.troubles, folder.files, out)
    else:
        out.line("No troubles.")
    return STOPPED if stopped(sites) else FINE


def compile(shop: Path | None, today: date, quiet: bool) -> int:
    """`purfle compile`."""
    from purfle.shell.make import compile_to_disk, out_of, stopped
    from purfle.shell.output import Busy

    folder = read_folder(shop_folder(shop))
    try:
        made = compile_to_disk(folder, today, _progress())
    except Busy as busy:
        say(f"{busy}; nothing was written. Wait for it to end, then compile again.")
        return STOPPED
    except OSError as error:
        return _not_written(str(out_of(folder.root)), error)
    if made.sites.troubles:
        show_troubles(made.sites.troubles, folder.files, Printer(sys.stderr))
    if not quiet:
        _say_written(made)
    return STOPPED if stopped(made.sites) else FINE


def _not_written(what: str, error: OSError) -> int:
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


def _say_written(made: Any) -> None:
    out = Printer()
    for name, written, last in (("showroom", made.showroom, made.held.showroom), ("office", made.office, made.held.books)):
        if getattr(made.sites, name) is None:
            out.line(f"out/{name}: held by troubles; " + (f"as of {last}" if last else "none yet"))
        elif written:
            out.line(f"out/{name}: {_count(len(written.changed), 'file')} written, {len(written.removed)} removed")
        else:
            out.line(f"out/{name}: nothing changed")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


# --- figures ----------------------------------------------------------------------------------------------------------


def _held(troubles: "tuple[Trouble, ...]", folder: Folder, as_json: bool) -> bool:
    """Whether the books are held; then the troubles that hold them are shown in place of the answer."""
    from purfle.base.codes import CODES
    from purfle.compile import stops_books
    from purfle.shell import contract

    if not stops_books(troubles):
        return False
    holding = tuple(t for t in troubles if CODES[t.code].stops.books())
    if as_json:
        Printer().line(contract.dumps({"held": True, **contract.troubles(holding)}))
    show_troubles(holding, folder.files, Printer(sys.stderr))
    say("The books are held until that is mended; out/office has the last good figures.")
    return True


def _opened(shop: Path | None, today: date) -> "tuple[Folder, Analysis]":
    from purfle.shell.make import analyse

    folder = read_folder(shop_folder(shop))
    return folder, analyse(folder, today)


def week(shop: Path | None, today: date, as_json: bool) -> int:
    """`purfle week`."""
    from purfle.shell import contract, report

    folder, analysis = _opened(shop, today)
    if _held(analysis.troubles, folder, as_json):
        return STOPPED
    if as_json:
        Printer().line(contract.dumps(contract.week(analysis.plan, analysis.show)))
    else:
        report.week(analysis.plan, analysis.show, Printer())
    return FINE


def lineup(shop: Path | None, today: date, as_json: bool, weeks: int, keep: date | None) -> int:
    """`purfle lineup`."""
    from purfle.shell import contract, report

    folder, analysis = _opened(shop, today)
    if _held(analysis.troubles, folder, as_json):
        return STOPPED
    episodes = analysis.show.lineup[:weeks]
    if keep is not None:
        return _keep(folder.root, analysis.show.lineup, keep)
    if as_json:
        Printer().line(contract.dumps(contract.lineup(episodes)))
    else:
        report.lineup(episodes, Printer())
    return FINE


def _keep(root: Path, episodes: Any, day: date) -> int:
    from purfle.shell.keep import AlreadyThere, keep_episode

    chosen = next((e for e in episodes if e.airs == day), None)
    if chosen is None:
        known = ", ".join(e.airs.isoformat() for e in episodes)
        raise click.BadParameter(f"no episode is lined up for {day}; those that are: {known or 'none'}", param_hint="--keep")
    try:
        path = keep_episode(root, chosen)
    except AlreadyThere as there:
        say(f"{there}; nothing was written.")
        return STOPPED
    except OSError as error:
        return _not_written("the episode", error)
    Printer().line(safe(f"wrote {path.relative_to(root)}"))
    return FINE


def year(number: int | None, shop: Path | None, today: date, as_json: bool, csv: str | None, xlsx: Path | None) -> int:
    """`purfle year`."""
    from purfle.books import year_of, years
    from purfle.shell import contract, report

    folder, analysis = _opened(shop, today)
    if _held(analysis.book_troubles, folder, as_json):
        return STOPPED
    known = years(analysis.books)
    if number is None:
        number = max((y for y in known), default=today.year)
    elif number not in known:
        raise click.BadParameter(f"the notes say nothing of {number}; there are {', '.join(map(str, known)) or 'no years'}", param_hint="YEAR")
    figures = year_of(analysis.books, number)
    if as_json:
        Printer().line(contract.dumps(contract.year(figures)))
    elif csv is not None:
        _print_csv(figures, csv)
    elif xlsx is not None:
        return _write_xlsx(figures, xlsx)
    else:
        report.year(figures, Printer())
    return FINE


def _print_csv(figures: Any, table: str) -> None:
    from purfle.shell.spread import as_csv

    # A text stream would turn the standard's CRLF into something else on some systems.
    sys.stdout.flush()
    sys.stdout.buffer.write(as_csv(figures, table).encode("utf-8"))


def _write_xlsx(figures: Any, target: Path) -> int:
    import io

    from purfle.shell.spread import as_xlsx

    book = io.BytesIO()
    as_xlsx(figures, book)
    beside = target.with_name(f".{target.name}.new")
    try:
        beside.write_bytes(book.getvalue())
        beside.replace(target)
    except OSError as error:
        beside.unlink(missing_ok=True)
        return _not_written(str(target), error)
    Printer().line(safe(f"wrote {target}"))
    return FINE


def _build(analysis: "Analysis", name: str) -> str:
    from purfle.base.trouble import nearest

    found = analysis.shop.find(name)
    if found is None:
        raise _unknown_build(f"there is no build {safe(name)}", nearest(name, analysis.shop.names.values()))
    return found


def sheet(name: str, shop: Path | None, today: date, as_json: bool) -> int:
    """`purfle sheet`."""
    from purfle.books import sheet_of
    from purfle.shell import contract, report

    folder, analysis = _opened(shop, today)
    if _held(analysis.book_troubles, folder, as_json):
        return STOPPED
    id, currency = _build(analysis, name), analysis.shop.settings.currency
    row, progress = sheet_of(analysis.books, id), analysis.progress.get(id)
    if as_json:
        Printer().line(contract.dumps(contract.sheet(row, progress, currency)))
    else:
        report.sheet(row, progress, currency, Printer())
    return FINE


def quote(name: str, shop: Path | None, today: date, as_json: bool, channel: str | None, margin: "Decimal | None", resale: "Decimal | None") -> int:
    """`purfle quote`."""
    from purfle.books.quote import quote as quote_of
    from purfle.shell import contract, report

    folder, analysis = _opened(shop, today)
    if _held(analysis.book_troubles, folder, as_json):
        return STOPPED
    id, currency = _build(analysis, name), analysis.shop.settings.currency
    answer = quote_of(
        analysis.shop, analysis.books, analysis.progress.get(id), analysis.shop.build(id), channel=_channel(analysis, channel), margin=margin, resale=resale
    )
    if as_json:
        Printer().line(contract.dumps(contract.quote(answer, currency)))
    else:
        report.quote(answer, currency, Printer())
    return FINE


def _channel(analysis: "Analysis", name: str | None) -> str | None:
    """The channel as the shop spells it. Raises wrong usage when it has none of that name."""
    known = [channel.name for channel in analysis.shop.settings.channels]
    found = next((each for each in known if name is not None and each.casefold() == name.casefold()), None)
    if name is not None and found is None:
        raise click.BadParameter(f"shop.md has no channel {safe(name)}; it has {safe(', '.join(known)) or 'none'}", param_hint="--channel")
    return found


def fields(schema: bool) -> int:
    """`purfle fields`."""
    from purfle.shell import contract
    from purfle.shell.fields import codes, reference, schemas

    Printer().line(contract.dumps({**schemas(), "codes": codes()}) if schema else reference().rstrip())
    return FINE


def follow(shop: Path | None, today: date | None, office_port: int, showroom_port: int) -> int:
    """`purfle follow`."""
    from purfle.shell.sitting import sit

    root = shop_folder(shop)
    try:
        sit(root, today, office_port, showroom_port)
    except OSError as error:
        say(f"the preview can't be shown: {error.strerror or error}; try --office-port 0 --showroom-port 0")
        return USAGE
    return FINE
