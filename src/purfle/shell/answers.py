"""What the commands that print figures do: asks for the values it needs, and prints them as text, JSON, CSV or a workbook.

Every function gives the exit status. While the books are held no figure is printed: the troubles that hold them are.
Invariant: changes no note; writes only what its command is asked to write.
"""

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from purfle.shell.commands import not_written, say, unknown_build
from purfle.shell.folder import read_folder
from purfle.shell.paths import is_file
from purfle.shell.status import FINE, STOPPED
from purfle.shell.terminal import Printer, safe, show_troubles

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from purfle.books.figures import Year
    from purfle.compile import Analysis
    from purfle.notes.records.shop import ShopSheet
    from purfle.shell.supposed import Suppose
    from purfle.show.model import LineUpEpisode


def _analysed(root: Path, today: date, as_json: bool, *, with_plan: bool) -> "Analysis | None":
    """What the notes come to; None while the books are held: then the troubles that hold them are shown in place of the answer.

    A command that prints none of the plan does not ask what is wrong with it, which takes a while.
    """
    from purfle.base.codes import CODES
    from purfle.shell import contract
    from purfle.shell.make import analyse

    folder = read_folder(root)
    analysis = analyse(folder, today)
    holding = tuple(t for t in (analysis.troubles if with_plan else analysis.book_troubles) if CODES[t.code].stops.books())
    if not holding:
        return analysis
    if as_json:
        Printer().line(contract.dumps({"held": True, **contract.troubles(holding)}))
    show_troubles(holding, folder.texts, Printer(sys.stderr))
    written = is_file(root / "out/office/index.html")
    say(f"The books are held until that is mended{'; out/office has the last good figures' if written else ''}.")
    return None


def week(root: Path, today: date, as_json: bool, suppose: "Suppose") -> int:
    """`purfle week`, with what would move when something is supposed."""
    from purfle.shell import contract, contract_week, report_week, supposed
    from purfle.show.consent import lacks_consent

    if (analysis := _analysed(root, today, as_json, with_plan=True)) is None:
        return STOPPED
    changes = supposed.changes_of(suppose, analysis)
    moves = analysis.what_if(changes) if changes else ()
    if as_json:
        more = {"what_if": supposed.answer(changes, moves)} if changes else {}
        told = contract_week.week(analysis.plan, analysis.show, analysis.on_sale, analysis.shop.settings.currency)
        Printer().line(contract.dumps({**told, **more}))
        return FINE
    if changes:
        supposed.show(changes, moves, Printer())
    else:
        unasked = frozenset(build.id for build in analysis.shop.builds if lacks_consent(build))
        report_week.week(analysis.plan, analysis.show, analysis.on_sale, unasked, Printer())
    return FINE


def lineup(root: Path, today: date, as_json: bool, weeks: int, keep: date | None) -> int:
    """`purfle lineup`."""
    from purfle.shell import contract, contract_week, report_week
    from purfle.show.airing import unaired

    if (analysis := _analysed(root, today, as_json, with_plan=True)) is None:
        return STOPPED
    episodes = analysis.lineup(weeks)
    if keep is not None:
        return _keep(root, episodes, keep)
    missing = unaired(analysis.shop, analysis.today)
    if as_json:
        Printer().line(contract.dumps(contract_week.lineup(episodes, missing)))
    else:
        report_week.lineup(episodes, missing, Printer())
    return FINE


def _keep(root: Path, episodes: "Sequence[LineUpEpisode]", day: date) -> int:
    from purfle.shell.keep import AlreadyThere, keep_episode

    chosen = next((e for e in episodes if e.airs == day), None)
    if chosen is None:
        known = ", ".join(e.airs.isoformat() for e in episodes)
        raise click.BadParameter(f"no episode is lined up for {day}; the line-up has {known or 'none'}", param_hint="--keep")
    try:
        path = keep_episode(root, chosen)
    except AlreadyThere as there:
        say(f"{there}; nothing was written.")
        return STOPPED
    except OSError as error:
        return not_written("the episode", error)
    Printer().line(safe(f"wrote {path.relative_to(root)}"))
    return FINE


def year(number: int | None, root: Path, today: date, as_json: bool, as_csv: bool, table: str | None, xlsx: Path | None) -> int:
    """`purfle year`."""
    from purfle.books import year_of, years
    from purfle.shell import contract, contract_money, report_money

    if (analysis := _analysed(root, today, as_json, with_plan=False)) is None:
        return STOPPED
    known = years(analysis.books)
    if number is None:
        number = known[-1]
    elif number not in known:
        raise click.BadParameter(f"the notes have nothing from {number}; they have {', '.join(map(str, known))}", param_hint="YEAR")
    figures = year_of(analysis.books, number)
    if as_json:
        Printer().line(contract.dumps(contract_money.year(figures)))
    elif as_csv:
        _print_csv(figures, table or "year")
    elif table is not None:
        report_money.one_table(figures, table, Printer())
    elif xlsx is not None:
        return _write_xlsx(figures, analysis.shop.settings, xlsx)
    else:
        report_money.year(figures, Printer())
        settings = analysis.shop.settings
        if figures.last < today and not (number in settings.closed and any(kept.year == number for kept in settings.handed_in)):
            report_money.closing(figures, Printer())
    return FINE


def _print_csv(figures: "Year", table: str) -> None:
    from purfle.pages.tables import csv_of

    # A text stream would turn the standard's CRLF into something else on some systems.
    sys.stdout.flush()
    sys.stdout.buffer.write(csv_of(figures, table).encode("utf-8"))


def _write_xlsx(figures: "Year", settings: "ShopSheet", target: Path) -> int:
    from purfle.pages.workbook import workbook_of
    from purfle.shell.anew import write_in_place

    book = workbook_of(figures, settings)
    try:
        write_in_place(target, book)
    except OSError as error:
        return not_written(str(target), error)
    Printer().line(safe(f"wrote {target}"))
    return FINE


def _build(analysis: "Analysis", name: str) -> str:
    from purfle.base.near import nearest

    found = analysis.shop.find(name)
    if found is None:
        raise unknown_build(f"there is no build {safe(name)}", nearest(name, analysis.shop.names.values()))
    return found


def sheet(name: str, root: Path, today: date, as_json: bool) -> int:
    """`purfle sheet`."""
    from purfle.shell import contract, contract_money, report_money, worked
    from purfle.shell.job_sheet import job_sheet_of

    if (analysis := _analysed(root, today, as_json, with_plan=False)) is None:
        return STOPPED
    id = _build(analysis, name)
    job, implied = job_sheet_of(analysis, id), analysis.sheets_without_plan[id]
    if as_json:
        Printer().line(contract.dumps({**contract_money.sheet(job), "worked_out": worked.answer(implied, job.currency)}))
    else:
        out = Printer()
        report_money.sheet(job, out)
        if figures := tuple(worked.lines(implied)):
            out.title("Worked out from the specs")
            out.table(("", ""), figures)
    return FINE


def quote(name: str, root: Path, today: date, as_json: bool, channel: str | None, margin: "Decimal | None", resale: "Decimal | None") -> int:
    """`purfle quote`."""
    from purfle.books.quote import quote as quote_of
    from purfle.notes.checks.amounts import may_part_thousands, whichever_sum
    from purfle.sheets import expected_shipping
    from purfle.shell import contract, contract_money, report_money

    if (analysis := _analysed(root, today, as_json, with_plan=False)) is None:
        return STOPPED
    id, currency = _build(analysis, name), analysis.shop.settings.currency
    if resale is not None and may_part_thousands(resale, currency):
        raise click.BadParameter(f"amount {resale} has three digits after its point; write {whichever_sum(resale, currency)}", param_hint="--resale")
    build = analysis.shop.build(id)
    shipping = expected_shipping(analysis.shop, build)
    answer = quote_of(
        analysis.shop, analysis.books, analysis.progress[id], build, channel=_channel(analysis, channel), margin=margin, resale=resale, shipping=shipping
    )
    if as_json:
        Printer().line(contract.dumps(contract_money.quote(answer, currency)))
    else:
        report_money.quote(answer, currency, Printer())
    return FINE


def take_on_next(root: Path, today: date, as_json: bool) -> int:
    """`purfle quote` without a build."""
    from purfle.books.decisions import take_on_next as ranking_of
    from purfle.sheets import sending_of
    from purfle.shell import contract, contract_money, report_money

    if (analysis := _analysed(root, today, as_json, with_plan=False)) is None:
        return STOPPED
    ranking, currency = ranking_of(analysis.shop, analysis.books, analysis.progress, sending_of(analysis.shop)), analysis.shop.settings.currency
    if as_json:
        Printer().line(contract.dumps(contract_money.take_on_next(ranking, currency)))
    else:
        report_money.take_on_next(ranking, currency, Printer())
    return FINE


def _channel(analysis: "Analysis", name: str | None) -> str | None:
    """The channel as the shop spells it. Raises wrong usage when it has none of that name."""
    from purfle.base.names import folded

    known = {folded(channel.name): channel.name for channel in analysis.shop.settings.channels}
    if name is not None and folded(name) not in known:
        raise click.BadParameter(f"shop.md has no channel {safe(name)}; it has {safe(', '.join(known.values())) or 'none'}", param_hint="--channel")
    return None if name is None else known[folded(name)]
