"""A shop folder as text, read and kept: what the tests of the books begin with."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from textwrap import dedent

from purfle.base.trouble import Trouble
from purfle.books import Books, keep, year_of
from purfle.books.figures import BuildRow, Year
from purfle.events import stream
from purfle.notes.model import Shop
from purfle.notes.shop import read_shop
from purfle.progress import progress_of

TODAY = date(2026, 12, 31)


@dataclass(frozen=True)
class Kept:
    """A shop with its books and troubles."""

    shop: Shop
    books: Books
    troubles: tuple[Trouble, ...]

    def year(self, year: int = 2026) -> Year:
        """The figures of a year."""
        return year_of(self.books, year)

    def row(self, build: str, year: int = 2026) -> BuildRow:
        """One build's row of a year."""
        return next(row for row in self.year(year).builds if row.id == build)

    @property
    def codes(self) -> list[str]:
        """The codes of the troubles that hold money, in order."""
        return [t.code for t in self.troubles]


def folder(files: dict[str, str], shop: str = "name: Test Shop") -> dict[str, bytes]:
    """Frontmatter by path, as the bytes of a shop folder. `heron` is short for its build sheet, a day for its journal."""
    found = {"shop.md": f"---\n{dedent(shop).strip()}\n---\n"}
    for path, text in files.items():
        long = path if "/" in path else (f"journal/{path}.md" if path[:2] == "20" else f"builds/{path}/build.md")
        title = f"title: {path}\n" if "/" not in path and path[:2] != "20" else ""
        found[long] = f"---\n{title}{dedent(text).strip()}\n---\n"
    return {path: text.encode() for path, text in found.items()}


def kept(files: dict[str, str], shop: str = "name: Test Shop", today: date = TODAY) -> Kept:
    """The books of a shop written as text."""
    read, troubles = read_shop(folder(files, shop), (), today)
    events = stream(read, today)
    progress, _ = progress_of(read, events, today)
    books, of_money = keep(read, events, progress, today)
    return Kept(read, books, tuple(sorted({*troubles, *of_money})))


def d(text: str) -> Decimal:
    """A decimal, short."""
    return Decimal(text)
