"""The ledger page: every line behind a year's figures, by the place where it ended.

Invariant: adds up an account's own lines and nothing else.
"""

from dataclasses import dataclass
from decimal import Decimal

from purfle.books.figures import Line
from purfle.views.office_desk import Desk, Figure, Link, Noted, Source, plain


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
    """All lines that ended in one place."""

    id: str
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


def ledger_of(desk: Desk, lines: tuple[Line, ...]) -> Ledger:
    """The ledger of a year by its lines, chapter by chapter, account by account."""
    books: dict[str, dict[str, list[Line]]] = {}
    for line in lines:
        books.setdefault(line.book, {}).setdefault(line.account, []).append(line)
    chapters = tuple(
        Chapter(plain(book), book, tuple(_account(desk, book, name, found) for name, found in accounts.items())) for book, accounts in sorted(books.items())
    )
    return Ledger(chapters, desk.noted(row.source for chapter in chapters for account in chapter.accounts for row in account.lines))


def account_id(book: str, account: str) -> str:
    """What an account is called within its page."""
    return f"{plain(book)}.{plain(account)}"


def _account(desk: Desk, book: str, name: str, lines: list[Line]) -> Account:
    total = sum((line.amount for line in lines), Decimal(0))
    return Account(account_id(book, name), name, desk.money(total, any(line.estimated for line in lines)), tuple(ledger_line(desk, line) for line in lines))


def ledger_line(desk: Desk, line: Line) -> LedgerLine:
    """A line of an account with its note."""
    return LedgerLine(desk.write.date(line.date), line.what, desk.build_or_none(line.build), desk.money(line.amount, line.estimated), desk.source(line.source))
