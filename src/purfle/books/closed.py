"""Years that were handed in: a later change in one is a trouble.

Plain files don't say when a line was written. So where shop.md keeps the figures a year was handed in with, they are
compared with what the notes say now; where it does not, a line in a note of a later year whose own day lies in the
closed one is told.
Invariant: changes no figure; a closed year is shown as the notes have it.
"""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles
from purfle.books.figures import Year
from purfle.books.model import Books
from purfle.books.statement import statement_of
from purfle.books.year import year_of
from purfle.notes.model import Note, Shop
from purfle.notes.records.shop import HandedIn
from purfle.notes.vocabulary.fields import Record, keys_of

_DAYS = ("paid", "arrived", "paid_out")
"""Keys by which a note's line can bear another day than the note."""
_FIGURES = tuple(name for name, _ in keys_of(HandedIn).values() if name not in ("year", "expenses"))


def check_closed(shop: Shop, books: Books) -> tuple[Trouble, ...]:
    """What changed in closed years, as far as files can tell."""
    troubles = Troubles()
    handed_in = shop.settings.handed_in
    proven = {kept.year for kept in handed_in}
    for kept in handed_in:
        _check_figures(books, kept, troubles)
    closed = set(shop.settings.closed) - proven
    if closed:
        for note in shop.notes:
            _check_note(books, note, closed, troubles)
    return tuple(troubles.found)


def stated(year: Year) -> dict[str, Decimal]:
    """What a year came to, by the keys of `handed_in:` that hold one figure."""
    figures = statement_of(year)
    return {name: figures[name.replace("_", " ")].amount for name in _FIGURES}


def _check_figures(books: Books, kept: HandedIn, troubles: Troubles) -> None:
    now = year_of(books, kept.year)
    for name, figure in stated(now).items():
        _compare(kept, name, getattr(kept, name), figure, kept.where(name), troubles)
    if not kept.expenses:
        return
    spent = {folded(line.kind): line for line in now.expenses}
    for said in kept.expenses:
        line = spent.pop(folded(said.name), None)
        _compare(kept, said.name, said.value, line.amount if line else ZERO, said.at, troubles)
    for line in spent.values():
        _compare(kept, line.kind, ZERO, line.amount, kept.where("expenses"), troubles)


def _compare(kept: HandedIn, name: str, said: Decimal | None, now: Decimal, at: Place, troubles: Troubles) -> None:
    if said is not None and said != now:
        found = f"{name}: {kept.year} was handed in with {said} and the notes now come to {now}"
        troubles.add(at, "closed-year-changed", found, "take back what was changed, or correct it with a line of this year")


def _check_note(books: Books, note: Note, closed: set[int], troubles: Troubles) -> None:
    if books.settings.year_with(note.date) in closed:
        return
    for record, name, day in _own_days(note):
        year = books.settings.year_with(day)
        if year in closed and day < note.date:
            found = f"{name}: {day} lies in {year}, which is closed; the note is of {note.date}"
            troubles.add(
                record.where(name),
                "closed-year-changed",
                found,
                f"date it in this year, or keep the figures of {year} under handed_in: in shop.md, so that a change can be told from an old line",
            )


def _own_days(note: Note) -> Iterator[tuple[Record, str, date]]:
    sheet = note.sheet
    for record in (*sheet.bought, *sheet.sold, *sheet.returned, *sheet.paid, *sheet.lots):
        for name in _DAYS:
            day = getattr(record, name, None)
            if isinstance(day, date):
                yield record, name, day
