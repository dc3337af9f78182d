"""A row for each build, and the table of the owner's collection apart.

Margin is profit ÷ (revenue − refunds), markup profit ÷ cost; where there is nothing below the line there is no figure.
Invariant: sums postings that name the build; what no build bears is not here.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books.figures import BuildRow, CollectionRow, Line
from purfle.books.ledger import ON_THE_WAY, RECOGNISED, Book, Leg, Posting
from purfle.books.lines import line_of
from purfle.books.model import Books, Facts

SELLING = ("selling fees", "post", "packing", "parcel insurance")
"""Expense kinds that a build's own sale brings; with a build named they lower that build's profit."""
_SHOWN = frozenset({Book.INVENTORY, Book.COGS, Book.SALES, Book.RETURNS, Book.EXPENSES})
Told = tuple[Posting, Line]
"""A posting, and the same as a line to show."""


def build_rows(books: Books, opening: Iterable[Leg], within: Iterable[Told], first: date, last: date) -> tuple[BuildRow, ...]:
    """The builds that have an amount in the year, hours in it, or cost carried at its end; by id."""
    carried: dict[str, Decimal] = defaultdict(lambda: ZERO)
    own: dict[str, list[Told]] = defaultdict(list)
    for leg in opening:
        if leg.book is Book.INVENTORY and leg.build is not None and leg.account != ON_THE_WAY:
            carried[leg.build] += leg.amount
    for told in within:
        posting = told[0]
        if posting.build is not None and posting.book in _SHOWN:
            own[posting.build].append(told)
            if posting.book is Book.INVENTORY and posting.account != ON_THE_WAY:
                carried[posting.build] += posting.amount
    worked = {h.build for h in books.hours if first <= h.date <= last}
    ids = [id for id in books.facts if id in own or carried[id] or id in worked]
    return tuple(_row(books.facts[id], own[id], carried[id], books.today) for id in ids)


def sheet_of(books: Books, build: str) -> BuildRow:
    """One build's job cost sheet: its amounts of all years, with every line. Raises KeyError for an unknown id."""
    own = [(p, line_of(p)) for p in books.postings if p.build == build and p.book in _SHOWN]
    carried = sum((p.amount for p, _ in own if p.book is Book.INVENTORY and p.account != ON_THE_WAY), ZERO)
    return _row(books.facts[build], own, carried, books.today)


def _row(facts: Facts, own: list[Told], carried: Decimal, today: date) -> BuildRow:
    sums: dict[Book, Decimal] = defaultdict(lambda: ZERO)
    fees = share = ZERO
    for posting, _ in own:
        sums[posting.book] += posting.amount
        if posting.book is Book.EXPENSES:
            kind = folded(posting.account)
            fees += posting.amount if kind in SELLING else ZERO
            share += posting.amount if kind == "share" else ZERO
    revenue, returns, cost = -sums[Book.SALES], sums[Book.RETURNS], sums[Book.COGS]
    profit = revenue - returns - fees - share - cost
    kept = revenue - returns
    return BuildRow(
        id=facts.id,
        kind=facts.kind,
        state=facts.state,
        cost=cost,
        revenue=revenue,
        fees=fees,
        profit=profit,
        margin=profit / kept if kept else None,
        markup=profit / cost if cost else None,
        hours=facts.hours,
        profit_per_hour=profit / facts.hours if facts.hours and (revenue or cost) else None,
        days_held=((facts.closed_on or today) - facts.since).days if facts.since else None,
        carried=carried,
        returns=returns,
        share=share,
        estimated=any(p.estimated for p, _ in own),
        lines=tuple(_telling(own)),
    )


def _telling(own: Sequence[Told]) -> Iterator[Line]:
    """The lines a cost sheet shows: each cost once as it came and once as it was recognised.

    What was on the way and has come is left out, its arrival being there.
    """
    away: dict[Place, Decimal] = defaultdict(lambda: ZERO)
    for posting, _ in own:
        if posting.account == ON_THE_WAY:
            away[posting.source] += posting.amount
    for posting, line in own:
        if posting.flow != RECOGNISED and (posting.account != ON_THE_WAY or away[posting.source]):
            yield line


def collection_rows(within: Iterable[Leg]) -> tuple[CollectionRow, ...]:
    """Pieces of the owner's own sold in the year: proceeds after fees and post; a loss is shown and not counted."""
    basis: dict[str, Decimal] = defaultdict(lambda: ZERO)
    proceeds: dict[str, Decimal] = {}
    for posting in within:
        if posting.book is not Book.COLLECTION or posting.build is None:
            continue
        if posting.account == "proceeds":
            proceeds[posting.build] = proceeds.get(posting.build, ZERO) - posting.amount
        elif posting.account == "sold":
            basis[posting.build] += posting.amount
            proceeds.setdefault(posting.build, ZERO)
    rows = ((id, basis[id], proceeds[id]) for id in sorted(proceeds))
    return tuple(CollectionRow(id, own, got, got - own, max(got - own, ZERO)) for id, own, got in rows)
