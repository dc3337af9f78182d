"""The books: what each build cost and earned, and what the year came to."""

from purfle.books.builds import customers_lines, sheet_of
from purfle.books.keep import keep
from purfle.books.model import Books
from purfle.books.quote import quote
from purfle.books.year import year_of, year_with, years

__all__ = ["Books", "customers_lines", "keep", "quote", "sheet_of", "year_of", "year_with", "years"]
