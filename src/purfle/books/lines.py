"""Postings as lines that a person can follow to the note.

Invariant: changes no amount but its sign.
"""

from purfle.books.figures import Line
from purfle.books.ledger import Book, Posting

_NEGATED = frozenset({Book.SALES, Book.SHOW_INCOME, Book.OTHER_INCOME, Book.PAYABLES, Book.SALES_TAX, Book.SHARES})
"""Accounts whose natural side is money earned or owed."""


_BY_ACCOUNT = (Book.INVENTORY, Book.EXPENSES)
"""Books whose accounts have names of their own to tell."""
_NAMES = {book: book.value for book in Book}


def line_of(posting: Posting) -> Line:
    """A posting on its account's natural side, with its source."""
    day, (book, account, build, flow, lost), amount, what, source, estimated, who = posting
    if book in _NEGATED:
        amount = -amount
    if book is Book.SALES:
        what, account = f"{what}, {account}", "revenue"
    elif book is Book.COGS:
        account = "lost" if lost else "cost of goods sold"
    elif book not in _BY_ACCOUNT:
        account = _NAMES[book]
    return Line(day, what, amount, account, source, build, estimated, _NAMES[book], flow, who)
