"""Lines of the books by account, as the ledger page has all of a year and a build's page its own.

Invariant: adds up an account's own lines and nothing else.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.groups import grouped
from purfle.books.figures import Line
from purfle.views.office_desk import Figure, Link, Noted, OfficeDesk, Source, anchor_of


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """One line of an account."""

    date: str
    what: str
    build: Link | None
    amount: Figure
    source: Source | None


@dataclass(frozen=True, slots=True)
class Account:
    """Lines that ended in one place."""

    id: str
    """What it is called within the page of a ledger."""
    name: str
    total: Figure
    lines: tuple[LedgerLine, ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """The accounts of one kind."""

    id: str
    name: str
    accounts: tuple[Account, ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """Every line behind a year's figures."""

    chapters: tuple[Chapter, ...]
    noted: tuple[Noted, ...]


def ledger_of(desk: OfficeDesk, lines: tuple[Line, ...]) -> Ledger:
    """The ledger of a year by its lines, chapter by chapter, account by account."""
    books = sorted(grouped(lines, lambda line: line.book).items())
    chapters = tuple(Chapter(anchor_of(book), book, accounts_of(desk, found)) for book, found in books)
    return Ledger(chapters, desk.noted(row.source for chapter in chapters for account in chapter.accounts for row in account.lines))


def account_id(book: str, account: str) -> str:
    """What an account is called within its page."""
    return f"{anchor_of(book)}.{anchor_of(account)}"


def accounts_of(desk: OfficeDesk, lines: Iterable[Line]) -> tuple[Account, ...]:
    """Lines by account, in the order in which the accounts first come."""
    found = grouped(lines, lambda line: line.account)
    return tuple(account_of(desk, name, total_of(desk, own), own) for name, own in found.items())


def account_of(desk: OfficeDesk, name: str, total: Figure, lines: Sequence[Line]) -> Account:
    """One account with what it comes to; there is at least one line."""
    return Account(account_id(lines[0].book, name), name, total, tuple(_line(desk, line) for line in lines))


def total_of(desk: OfficeDesk, lines: Sequence[Line]) -> Figure:
    """The sum of some lines, marked when one of them is an estimate."""
    return desk.money(sum((line.amount for line in lines), Decimal(0)), any(line.estimated for line in lines))


def _line(desk: OfficeDesk, line: Line) -> LedgerLine:
    """A line of an account with its note."""
    return LedgerLine(desk.write.date(line.date), line.what, desk.build_or_none(line.build), desk.money(line.amount, line.estimated), desk.source(line.source))
