"""`year`, `sheet` and `quote` as plain text.

Invariant: as in `report`, whose values these are written with.
"""

import json
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from purfle.base.money import rounded, unit
from purfle.books.closed import stated
from purfle.books.decisions import Contribution
from purfle.books.figures import BuildRow, CustomerAccount, Line, OwnersPiece, Quote, Year
from purfle.books.ledger import ON_THE_WAY
from purfle.books.statement import balances_of, statement_of
from purfle.progress.model import Progress
from purfle.shell.job_sheet import JobSheet
from purfle.shell.report import DASH, amounts, hours, on, percent
from purfle.shell.terminal import Printer
from purfle.show.model import AirIncome


def year(y: Year, out: Printer) -> None:
    """The year's figures."""
    amount = amounts(y.currency)
    out.heading(f"{y.year}: {y.first} to {y.last}, in {y.currency}")
    out.table(("", "amount", "form line"), tuple(_year_rows(y)), frozenset({1, 2}))
    _builds(y, out)
    if y.stock:
        out.title("Stock")
        out.table(("item", "qty", "unit", "value"), [(s.item, f"{s.qty.normalize():f}", s.unit or "", amount(s.value)) for s in y.stock], frozenset({1, 3}))
    if y.collection:
        out.title("Your own collection, apart from the shop's books")
        pieces = [(c.id, amount(c.basis), amount(c.proceeds), amount(c.gain), amount(c.gain_counted), _marked(c.estimated)) for c in y.collection]
        out.table(("piece", "basis", "proceeds", "gain", "counted", ""), pieces, frozenset(range(1, 5)))
    out.line()
    out.words("Worked out from your notes; not tax advice." + (" Some figures are estimates." if y.estimated else ""))
    out.words(f"For the line of the notes behind every amount: purfle year {y.year} --table lines; for one build: purfle sheet ID.")


def _builds(y: Year, out: Printer) -> None:
    amount = amounts(y.currency)
    if y.builds:
        out.title("Builds")
        rows = [
            (
                b.id,
                b.state,
                amount(b.revenue - b.returns),
                amount(b.cost),
                amount(b.fees + b.share),
                amount(b.profit),
                percent(b.margin),
                hours(b.hours),
                amount(b.profit_per_hour),
                amount(b.carried),
                _marked(b.estimated),
            )
            for b in y.builds
        ]
        heads = ("build", "state", "net revenue", "cost", "fees, share", "profit", "margin", "hours", "per hour", "still held", "")
        out.table(heads, rows, frozenset(range(2, 10)), keys=1)


def _marked(estimated: bool) -> str:
    return "estimate" if estimated else ""


def closing(y: Year, out: Printer) -> None:
    """What to write in shop.md once a year that is over is handed in."""
    out.words("Once you have handed it in, write this in shop.md, beside what is there of other years:")
    out.line(f"    closed: {y.year}")
    out.line("    handed_in:")
    out.line(f"      - year: {y.year}")
    for name, figure in stated(y).items():
        if figure or name in ("net_profit", "closing_inventory"):
            out.line(f"        {name}: {rounded(figure, unit(y.currency)):f}")
    if y.expenses:
        out.line("        expenses:")
    for line in y.expenses:
        out.line(f"          {_as_key(line.kind)}: {rounded(line.amount, unit(y.currency)):f}")


def _as_key(name: str) -> str:
    """An owner's own name as YAML has it for a key: in quotes where it might read as something else."""
    return name if re.fullmatch(r"[^\W\d_][\w '/&-]*", name) else json.dumps(name, ensure_ascii=False)


def one_table(y: Year, name: str, out: Printer) -> None:
    """One table of the year in full, the same as for a spreadsheet."""
    from purfle.pages.tables import shown_of

    heads, rows, right = shown_of(y, name)
    out.table(heads, rows, right)
    out.line()
    out.line("Worked out from your notes; not tax advice.")


_SIGNS = {
    **dict.fromkeys(("purchases", "materials", "outside work", "other costs"), "+ "),
    "closing inventory": "- ",
    "cost of goods sold": "= ",
    "of which lost": "  ",
}
_PARTNER = "partner shares owed: "
_ELSEWHERE = frozenset(("expenses", "sales tax collected", "sales tax remitted"))
"""Figures that only a spreadsheet has, and `--json`."""


def _year_rows(y: Year) -> Iterator[tuple[str, str, str]]:
    """The year's figures in order, as name, amount and line of the tax form."""
    amount = amounts(y.currency)
    for name, one in {**statement_of(y), **balances_of(y)}.items():
        if name in _ELSEWHERE or name.startswith("inventory: ") or (name == "reclaimable tax" and not one.amount):
            continue
        words = f"  {name.removeprefix(_PARTNER)}" if name.startswith(_PARTNER) else f"{_SIGNS.get(name, '')}{name}"
        yield f"{words} (estimate)" if one.estimated else words, amount(one.amount), one.form_line
    for name, moved in (("cash in", y.cash.cash_in), ("cash out", y.cash.cash_out)):
        yield f"{name} (estimate)" if name in y.estimates else name, amount(moved), ""
    yield "hours", hours(y.hours), ""
    yield "profit per hour", amount(y.profit_per_hour), ""


def sheet(job: JobSheet, out: Printer) -> None:
    """One build's job cost sheet and progress."""
    row = job.row
    out.heading(f"{row.id}: {row.kind}, {row.state}, in {job.currency}")
    if row.lines:
        _lines(row.lines, job.currency, out)
    elif job.piece is None:
        out.line("No cost noted yet.")
    if row.beside:
        out.title("Noted on this build, borne by the shop and not part of its profit")
        _lines(row.beside, job.currency, out)
    if job.customer is not None:
        _customer(job.customer, job.currency, out)
    if job.piece is not None:
        _piece(job.piece, job.currency, out)
    out.title("Sum" if job.piece is None else "Sum of the shop's part")
    _sum(row, job.currency, out)
    if job.air is not None:
        _on_air(job.air, job.per_hour_in_all, job.currency, out)
    if job.progress.stages:
        _stages(job.progress, out)


def _customer(customer: CustomerAccount, currency: str, out: Printer) -> None:
    amount, balance = amounts(currency), customer.balance
    rest = f"{amount(abs(balance))} {'owed by them' if balance < 0 else 'held for them'}" if balance else "settled"
    out.title(f"The customer's money: {rest}")
    paid = [(on(e.date), _what(e), amount(e.amount), f"{e.source.file}:{e.source.line}") for e in customer.lines]
    out.table(("day", "what", "amount", "note"), paid, frozenset({2}))


def _piece(piece: OwnersPiece, currency: str, out: Printer) -> None:
    amount, gone = amounts(currency), piece.gone
    out.title("Your own piece, apart from the shop's books")
    _lines(piece.lines, currency, out)
    out.line()
    rows = [("proceeds", gone.proceeds), ("gain", gone.gain), ("gain counted", gone.gain_counted)] if gone else []
    out.table(("", ""), [(name, amount(value)) for name, value in (("basis", piece.basis), *rows)], frozenset({1}))


def _sum(row: BuildRow, currency: str, out: Printer) -> None:
    amount = amounts(currency)
    coming = sum((line.amount for line in row.lines if line.account == ON_THE_WAY), Decimal(0))
    figures = [
        ("cost gone out", amount(row.cost)),
        ("cost still held", amount(row.carried)),
        *((("paid and on the way", amount(coming)),) if coming else ()),
        ("revenue", amount(row.revenue)),
        ("returns", amount(row.returns)),
        ("fees", amount(row.fees)),
        ("share", amount(row.share)),
        ("profit (estimate)" if row.estimated else "profit", amount(row.profit)),
        ("margin", percent(row.margin, 1)),
        ("hours at the bench", hours(row.hours)),
        ("profit per hour", amount(row.profit_per_hour)),
        ("days held", DASH if row.days_held is None else str(row.days_held)),
    ]
    out.table(("", ""), figures, frozenset({1}))


def _on_air(air: AirIncome, per_hour_in_all: Decimal | None, currency: str, out: Printer) -> None:
    amount = amounts(currency)
    out.title("On air, by screen time")
    shares = [
        ("earned on air", amount(air.amount)),
        ("minutes", hours(air.minutes)),
        ("hours filming and editing", hours(air.hours)),
        ("per hour, with the show's income and hours", amount(per_hour_in_all)),
    ]
    out.table(("", ""), shares, frozenset({1}))


def _stages(progress: Progress, out: Printer) -> None:
    out.title(f"Stages: {progress.finished_stages} of {len(progress.stages)} finished")
    stages = [(s.stage.name, on(s.current.finished), str(len(s.passes)), hours(s.hours), hours(s.stage.hours.likely)) for s in progress.stages]
    out.table(("stage", "finished", "pass", "hours", "estimate"), stages, frozenset({2, 3, 4}))


def _lines(lines: Sequence[Line], currency: str, out: Printer) -> None:
    amount = amounts(currency)
    rows = [(on(e.date), e.account, _what(e), amount(e.amount), f"{e.source.file}:{e.source.line}") for e in lines]
    out.table(("day", "account", "what", "amount", "note"), rows, frozenset({3}))


def _what(line: Line) -> str:
    return line.what + (" (estimate)" if line.estimated else "")


def quote(q: Quote, currency: str, out: Printer) -> None:
    """Asking price and offer ceiling."""
    amount = amounts(currency)
    out.heading(f"{q.build}: in {currency}{f', by {q.channel}' if q.channel else ''}")
    agreed = q.agreed_price is not None
    rows = [
        ("cost so far and expected", amount(q.cost)),
        (f"labour, {hours(q.hours)} h", amount(q.labour)),
        ("expected shipping", amount(q.shipping)),
        ("target margin", f"{q.target_margin.normalize():f} %"),
        ("asking price", amount(q.asking_price)),
        *((("agreed price", amount(q.agreed_price)),) if agreed else ()),
        ("fees at the agreed price" if agreed else "fees at that price", amount(q.fees)),
        *((("a partner's share", amount(q.share)),) if q.share else ()),
        ("profit", amount(q.profit)),
        ("margin", percent(q.margin, 1)),
        ("profit per hour", amount(q.profit_per_hour)),
        ("offer ceiling", amount(q.offer_ceiling)),
    ]
    out.table(("", ""), rows, frozenset({1}))
    if q.offer_ceiling is None and not q.refused and not agreed:
        out.words("For the most to offer, say what it should fetch: --resale PRICE, or for_sale: on its sheet.")
    if q.refused:
        out.words(f"No asking price: {q.refused}.")


def take_on_next(ranking: Sequence[Contribution], currency: str, out: Printer) -> None:
    """The open builds with a price by what they leave for a bench hour."""
    if not ranking:
        out.words("No open build has a price: write for_sale: {asking: …} or commission: {price: …} on its sheet.")
        return
    amount = amounts(currency)
    out.heading(f"What to take on next: in {currency}, after the fees, post, shares and costs still to come")
    out.table(
        ("build", "leaves", "hours to come", "per hour"),
        [(c.build, amount(c.amount), hours(c.hours), amount(c.per_hour)) for c in ranking],
        frozenset({1, 2, 3}),
    )
    if any(c.per_hour is None for c in ranking):
        out.words("Builds with no hours to come are first: they only have to be sold.")
