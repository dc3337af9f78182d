"""The command line: every command with its options, and nothing of what they do.

Invariant: imports no other part of purfle but `status` and `words` until a command runs, so that `--help` and wrong usage are quick.
"""

import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from purfle import __version__
from purfle.shell.status import FINE, INTERRUPTED, OUR_FAULT, STOPPED, USAGE
from purfle.shell.words import Day, Figure, LatePart, Year

if TYPE_CHECKING:
    from decimal import Decimal

    from purfle.shell.answered import Question

shop_option = click.option("--shop", metavar="DIR", type=click.Path(path_type=Path), help="The shop folder. Default: the nearest folder upward with a shop.md.")
today_option = click.option("--today", metavar="DATE", type=Day(), help="The day to work with. Default: the real day.")
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON for programs.")


def _answer(shop: Path | None, today: date | None, work: Callable[[Path, date], int], *, keeps: bool = True) -> int:
    """Do the work of a command that prints figures, and keep what it prints. `keeps` is off for one that writes a file."""
    from purfle.shell.commands import shop_folder
    from purfle.shell.copying import answer

    root, day = shop_folder(shop), today or date.today()
    return answer(_question(root, day) if keeps else None, lambda: work(root, day))


def _question(root: Path, day: date) -> "Question | None":
    """The question as it was put at the door, if it was understood there as it is here."""
    asked: Question | None = click.get_current_context().find_root().obj
    return asked if asked is not None and (asked.root, asked.day) == (str(root), str(day)) else None


def located(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --shop and --today."""
    return shop_option(today_option(command))


@click.group(
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit status: 0 fine; 1 a trouble stops something, or the output could not be written; 2 wrong usage; 70 a fault of purfle's own.",
)
@click.version_option(__version__, prog_name="purfle", message="%(prog)s %(version)s")
def purfle() -> None:
    """Compile an instrument rebuilder's plain-text notes: books, bench plan, show plan, and two sites."""


@purfle.command()
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@today_option
def start(folder: Path, today: date | None) -> int:
    """Make a new shop in DIR, with commented examples."""
    from purfle.shell import commands

    return commands.start(folder, today or date.today())


@purfle.command()
@click.argument("build", metavar="ID")
@located
def note(build: str, shop: Path | None, today: date | None) -> int:
    """Open today's bench note on the build ID in $EDITOR."""
    from purfle.shell import commands

    return commands.note(build, shop, today or date.today())


@purfle.command()
@located
@json_option
def check(shop: Path | None, today: date | None, as_json: bool) -> int:
    """List every trouble in the notes."""
    from purfle.shell import commands

    return commands.check(shop, today or date.today(), as_json)


@purfle.command()
@located
@click.option("--quiet", "-q", is_flag=True, help="Say nothing when all is fine.")
@click.option("--why", is_flag=True, help="Say for each page whether it was written, and why.")
def compile(shop: Path | None, today: date | None, quiet: bool, why: bool) -> int:
    """Write the books, the plan and both sites into out/."""
    from purfle.shell import commands

    root, day = commands.shop_folder(shop), today or date.today()
    return commands.compile(root, day, quiet, why, _question(root, day))


@purfle.command()
@located
@click.option(
    "--office-port",
    metavar="PORT",
    type=click.IntRange(0, 65535),
    default=8431,
    show_default=True,
    help="The port of the office's preview; 0 takes a free one.",
)
@click.option(
    "--showroom-port",
    metavar="PORT",
    type=click.IntRange(0, 65535),
    default=8432,
    show_default=True,
    help="The port of the showroom's preview; 0 takes a free one.",
)
def follow(shop: Path | None, today: date | None, office_port: int, showroom_port: int) -> int:
    """Recompile on save and preview both sites, on this machine only."""
    from purfle.shell import commands

    return commands.follow(shop, today, office_port, showroom_port)


@purfle.command()
@located
@json_option
@click.option("--job", "jobs", metavar="HOURS", type=Figure("hours"), multiple=True, help="What moves if a job of this many hours comes in and is done first.")
@click.option(
    "--late",
    metavar="PART[:DAYS]",
    type=LatePart(),
    multiple=True,
    help="What moves if a part comes this many days later (default: 5). BUILD/PART names the part of one build.",
)
@click.option("--without", metavar="DATE", type=Day(), multiple=True, help="What moves if there is no bench work on that day.")
def week(
    shop: Path | None, today: date | None, as_json: bool, jobs: "tuple[Decimal, ...]", late: tuple[tuple[str, int], ...], without: tuple[date, ...]
) -> int:
    """What to do, film, order and feature in the next seven days.

    With --job, --late or --without, which may be combined and repeated: what would move instead.
    """

    from purfle.shell import answers
    from purfle.shell.supposed import Suppose

    return _answer(shop, today, lambda root, day: answers.week(root, day, as_json, Suppose(jobs, late, without)))


@purfle.command()
@located
@json_option
@click.option("--weeks", metavar="N", type=click.IntRange(1, 12), default=4, show_default=True, help="How many coming episodes to show.")
@click.option("--keep", metavar="DATE", type=Day(), help="Write the episode of that day into the journal; an existing file is never overwritten.")
def lineup(shop: Path | None, today: date | None, as_json: bool, weeks: int, keep: date | None) -> int:
    """The coming episodes' segments, and why each is in or out."""

    from purfle.shell import answers

    return _answer(shop, today, lambda root, day: answers.lineup(root, day, as_json, weeks, keep), keeps=keep is None)


@purfle.command()
@click.argument("year", metavar="[YEAR]", type=Year(), required=False)
@located
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="Print a table as CSV.")
@click.option(
    "--table",
    type=click.Choice(["year", "builds", "cash", "stock", "mileage", "collection", "balance", "lines"]),
    help="Print one table in full. Default with --csv: year.",
)
@click.option("--xlsx", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False), help="Write a workbook to FILE, which must end in .xlsx.")
def year(year: int | None, shop: Path | None, today: date | None, as_json: bool, as_csv: bool, table: str | None, xlsx: Path | None) -> int:
    """The figures of YEAR. Default: the current business year."""
    if as_json + as_csv + (xlsx is not None) > 1:
        raise click.UsageError("--json, --csv and --xlsx can't be combined")
    if xlsx is not None and xlsx.suffix.casefold() != ".xlsx":
        raise click.BadParameter(f"{xlsx} does not end in .xlsx", param_hint="--xlsx")
    if table is not None and (as_json or xlsx is not None):
        raise click.UsageError("--table can't be combined with --json or --xlsx")
    from purfle.shell import answers

    return _answer(shop, today, lambda root, day: answers.year(year, root, day, as_json, as_csv, table, xlsx), keeps=not as_csv and xlsx is None)


@purfle.command()
@click.argument("build", metavar="ID")
@located
@json_option
def sheet(build: str, shop: Path | None, today: date | None, as_json: bool) -> int:
    """One build's job cost sheet and progress."""

    from purfle.shell import answers

    return _answer(shop, today, lambda root, day: answers.sheet(build, root, day, as_json))


@purfle.command(short_help="The price to ask for a build, and the most to offer.")
@click.argument("build", metavar="[ID]", required=False)
@located
@json_option
@click.option("--channel", metavar="NAME", help="The channel to sell through. Default: the first it is offered in.")
@click.option("--margin", metavar="PERCENT", type=Figure("percent"), help="The margin to aim at. Default: the shop's target.")
@click.option("--resale", metavar="PRICE", type=Figure("amount"), help="The price it should fetch, for the offer ceiling.")
def quote(
    build: str | None, shop: Path | None, today: date | None, as_json: bool, channel: str | None, margin: "Decimal | None", resale: "Decimal | None"
) -> int:
    """The price to ask for a build, and the most to offer for the instrument.

    Without ID: what to take on next. Open builds with a price are ranked by what they leave per bench hour they still take.
    """
    if build is None and any(option is not None for option in (channel, margin, resale)):
        raise click.UsageError("--channel, --margin and --resale need the ID of a build.")
    from purfle.shell import answers

    if build is None:
        return _answer(shop, today, lambda root, day: answers.take_on_next(root, day, as_json))
    return _answer(shop, today, lambda root, day: answers.quote(build, root, day, as_json, channel, margin, resale))


@purfle.command(short_help="Every key, and what each trouble stops.")
@located
@click.option("--schema", is_flag=True, help="Print the JSON Schema of every kind of file.")
@click.option("--templates", is_flag=True, help="Print what each showroom template is given, for writing your own.")
@json_option
def fields(shop: Path | None, today: date | None, schema: bool, templates: bool, as_json: bool) -> int:
    """Every key of the frontmatter, and what each trouble stops: the same for every shop and day."""
    from purfle.shell import commands

    if templates and (schema or as_json):
        raise click.UsageError("--templates can't be combined with --schema or --json.")
    return commands.templates() if templates else commands.fields(schema or as_json)


def run(args: list[str], question: "Question | None" = None) -> int:
    """The exit status of a command line; never raises but on Ctrl-C in the middle of printing. `question` is what the door made of it."""
    try:
        status = purfle.main(args, prog_name="purfle", standalone_mode=False, obj=question)
        sys.stdout.flush()
        return status if isinstance(status, int) else FINE
    except click.ClickException as error:
        error.show()
        return USAGE
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):  # click leaves so, when it is a pipe that was closed
        return _say_no_more()
    except OSError as error:
        return _not_said(error) if error.filename is None else _our_fault(error)
    except Exception as fault:
        return INTERRUPTED if _of_ctrl_c(fault) else _our_fault(fault)


def _of_ctrl_c(fault: BaseException) -> bool:
    """Whether a fault came of Ctrl-C: a library caught by it while it is being loaded says that it can't be."""
    before = fault.__cause__ or fault.__context__
    return isinstance(before, KeyboardInterrupt) or (before is not None and _of_ctrl_c(before))


def _say_no_more() -> int:
    """Whoever read our output has enough: end quietly, as any good command does."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return FINE


def _not_said(error: OSError) -> int:
    """What is printed can't be written, a full disk for example: such a fault names no file, as those of files do."""
    _say_no_more()
    print(f"What this command prints could not be written: {error.strerror or error}.", file=sys.stderr)
    return STOPPED


def _our_fault(fault: Exception) -> int:
    import traceback

    print("purfle itself failed. Your notes are not to blame, and nothing in them was changed.", file=sys.stderr)
    print("Please report it with these lines:", file=sys.stderr)
    traceback.print_exception(fault, file=sys.stderr)
    return OUR_FAULT
