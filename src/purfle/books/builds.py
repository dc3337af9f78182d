"""A row for each build, and the table of the owner's collection apart.

Margin is profit ÷ (revenue − refunds), markup profit ÷ cost; where nothing, or less, is below the line there is no figure:
a loss over a year's refunds would read as a gain.
Invariant: sums postings that name the build; what no build bears is not here.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence, Set
from datetime import date
from decimal import Decimal
from operator import attrgetter

from purfle.base.groups import grouped
from purfle.base.money import ZERO
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.books.figures import BuildRow, CollectionRow, CustomerAccount, Line, OwnersPiece
from purfle.books.kinds import SELLING, SHARE
from purfle.books.ledger import ON_THE_WAY, RECOGNISED, Account, Book, Posting, Totals, summed, totals
from purfle.books.lines import line_of
from purfle.books.model import Books, Facts

_OWN_EXPENSES = frozenset({*SELLING, SHARE})
_SHOWN = frozenset({Book.INVENTORY, Book.COGS, Book.SALES, Book.RETURNS, Book.EXPENSES, Book.SHOW_INCOME, Book.OTHER_INCOME})
_OTHER_SIDE = frozenset({"owner", "basis"})
"""Accounts of the collection that only balance the others."""
_GONE = frozenset({"sold", "given away"})
"""Those that basis goes to with a piece that is gone."""
Told = tuple[Posting, Line]
"""A posting, and the same as a line to show."""


def build_rows(books: Books, held: Totals, moved: Totals, within: Iterable[Told], worked: Set[str | None]) -> tuple[BuildRow, ...]:
    """The builds that have an amount in the year, hours in it (`worked`), or cost carried at its end (of what inventory is `held`); by id."""
    carried = summed({account: amount for account, amount in held.items() if account.carried}, attrgetter("build"))
    lines = grouped((told for told in within if told[0].account.book in _SHOWN), lambda told: told[0].account.build)
    own: dict[str | None, dict[Account, Decimal]] = defaultdict(dict)
    for account, amount in moved.items():
        if account.book in _SHOWN:
            own[account.build][account] = amount
    ids = [id for id in books.facts if id in own or carried[id] or id in worked]
    return tuple(_row(books.facts[id], own[id], lines.get(id, ()), carried[id], books.today) for id in ids)


def sheet_of(books: Books, build: str) -> BuildRow:
    """One build's job cost sheet: its amounts of all years, with every line. Raises KeyError for an unknown id."""
    own = [(p, line_of(p)) for p in books.of_build.get(build, ()) if p.account.book in _SHOWN]
    carried = sum((p.amount for p, _ in own if p.account.carried), ZERO)
    return _row(books.facts[build], totals(p for p, _ in own), own, carried, books.today)


def customer_of(books: Books, build: str) -> CustomerAccount | None:
    """The account of a build's customer; None where nothing was paid or earned."""
    own = (line_of(p) for p in books.of_build.get(build, ()) if p.account.book is Book.CUSTOMERS)
    lines = tuple(line._replace(amount=-line.amount) for line in own)
    return CustomerAccount(lines) if lines else None


def piece_of(books: Books, build: str) -> OwnersPiece | None:
    """The account of a piece of the owner's own; None for a build that never was one."""
    own = [p for p in books.of_build.get(build, ()) if p.account.book is Book.COLLECTION and p.account.name not in _OTHER_SIDE]
    if not own:
        return None
    lines = [(p.account.name, line_of(p)._replace(account=p.account.name)) for p in own if p.account.name not in _GONE]
    shown = tuple(line._replace(amount=-line.amount) if name == "proceeds" else line for name, line in lines)
    estimated = {p.account.build for p in own if p.estimated}
    gone = next(iter(collection_rows(totals(own), estimated)), None)
    return OwnersPiece(shown, sum((line.amount for line in shown if line.account != "proceeds"), ZERO), gone)


def _is_beside(account: Account) -> bool:
    """Whether an account is the shop's own, though a note may name a build with it: of no sale, and of no build's profit."""
    return account.book in (Book.SHOW_INCOME, Book.OTHER_INCOME) or (account.book is Book.EXPENSES and folded(account.name) not in _OWN_EXPENSES)


def _row(facts: Facts, own: Totals, told: Sequence[Told], carried: Decimal, today: date) -> BuildRow:
    its_own = [(posting, line) for posting, line in told if not _is_beside(posting.account)]
    sums: dict[Book, Decimal] = defaultdict(lambda: ZERO)
    fees = share = ZERO
    for account, amount in own.items():
        sums[account.book] += amount
        if account.book is Book.EXPENSES:
            kind = folded(account.name)
            fees += amount if kind in SELLING else ZERO
            share += amount if kind == SHARE else ZERO
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
        margin=profit / kept if kept > ZERO else None,
        markup=profit / cost if cost > ZERO else None,
        hours=facts.hours,
        profit_per_hour=profit / facts.hours if facts.hours and (revenue or cost) else None,
        days_held=held.days if facts.since and (held := (facts.closed_on or today) - facts.since).days >= 0 else None,
        carried=carried,
        returns=returns,
        share=share,
        estimated=any(p.estimated for p, _ in its_own),
        lines=tuple(_telling(its_own)),
        beside=tuple(line for posting, line in told if _is_beside(posting.account)),
    )


def _telling(own: Sequence[Told]) -> Iterator[Line]:
    """The lines a cost sheet shows: each cost once as it came and once as it was recognised.

    What was on the way and has come is left out, its arrival being there.
    """
    away: dict[Place, Decimal] = defaultdict(lambda: ZERO)
    for posting, _ in own:
        if posting.account.name == ON_THE_WAY:
            away[posting.source] += posting.amount
    for posting, line in own:
        if posting.account.flow != RECOGNISED and (posting.account.name != ON_THE_WAY or away[posting.source]):
            yield line


def collection_rows(within: Totals, estimated: Set[str | None]) -> tuple[CollectionRow, ...]:
    """Pieces of the owner's own that went in the year: proceeds after fees and post, `estimated` for those ids; a loss is shown but not counted."""
    basis: dict[str, Decimal] = defaultdict(lambda: ZERO)
    proceeds: dict[str, Decimal] = {}
    for (_, name, build, _, _), amount in within.items():
        if build is None:
            continue
        if name == "proceeds":
            proceeds[build] = proceeds.get(build, ZERO) - amount
        elif name == "sold":
            basis[build] += amount
            proceeds.setdefault(build, ZERO)
    rows = ((id, basis[id], proceeds[id]) for id in sorted(proceeds))
    return tuple(CollectionRow(id, own, got, got - own, max(got - own, ZERO), id in estimated) for id, own, got in rows)
