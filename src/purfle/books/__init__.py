"""The books: what each build cost and earned, and what the year came to."""

from purfle.books.builds import customer_of, piece_of, sheet_of
from purfle.books.keep import keep
from purfle.books.model import Books
from purfle.books.quote import quote
from purfle.books.year import year_of, years

__all__ = ["Books", "customer_of", "keep", "piece_of", "quote", "sheet_of", "year_of", "years"]
