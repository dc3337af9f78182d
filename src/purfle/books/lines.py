"""Postings as lines that a person can follow to the note.

Invariant: changes no amount but its sign.
"""

from purfle.books.figures import Line
from purfle.books.ledger import Book, Posting

_NEGATED = frozenset({Book.SALES, Book.SHOW_INCOME, Book.OTHER_INCOME, Book.PAYABLES, Book.SALES_TAX, Book.SHARES})
"""Accounts whose natural side is money earned or owed."""


_NAMES = {book: book.value for book in Book}


def line_of(posting: Posting) -> Line:
    """A posting on its account's natural side, with its source."""
    amount = -posting.amount if posting.book in _NEGATED else posting.amount
    what = f"{posting.what}, {posting.account}" if posting.book is Book.SALES else posting.what
    return Line(posting.date, what, amount, _account(posting), posting.source, posting.build, posting.estimated, _NAMES[posting.book], posting.flow)


def _account(posting: Posting) -> str:
    if posting.book is Book.COGS:
        return "lost" if posting.lost else "cost of goods sold"
    if posting.book is Book.SALES:
        return "revenue"
    return posting.account if posting.book in (Book.INVENTORY, Book.EXPENSES) else _NAMES[posting.book]
