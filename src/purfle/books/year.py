"""The figures of a business year, summed from the postings.

Invariant: every figure is a sum of postings, or a quotient of two such sums; nothing is worked out anew.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal, localcontext
from operator import attrgetter

from purfle.base.names import folded
from purfle.base.money import ZERO
from purfle.base.place import Place
from purfle.books.builds import build_rows, collection_rows
from purfle.books.figures import BalanceLine, Cash, CashMonth, CostOfGoodsSold, ExpenseLine, Inventory, SalesTax, StockLine, TripLine, Year
from purfle.books.ledger import ADDITIONS, MATERIALS, ON_THE_WAY, OTHER, OUTSIDE, PURCHASES, STOCK, WITHDRAWN, Book, Leg, Posting, summed
from purfle.books.lines import line_of
from purfle.books.model import DIGITS, Books
from purfle.books.taxforms import figure_lines, form_line


def first_day(books: Books, year: int) -> date:
    """The first day of a business year, named after the calendar year it begins in."""
    month, day = books.settings.year_starts
    return date(year, month, day)


def year_with(books: Books, day: date) -> int:
    """The business year a day belongs to."""
    return day.year if (day.month, day.day) >= books.settings.year_starts else day.year - 1


def years(books: Books) -> tuple[int, ...]:
    """Every business year from the first amount or hour to the day the books are kept to."""
    first = min([p.date for p in books.postings[:1]] + [h.date for h in books.hours[:1]], default=books.today)
    return tuple(range(year_with(books, first), year_with(books, books.today) + 1))


def year_of(books: Books, year: int) -> Year:
    """What a business year came to, up to the day the books are kept to."""
    with localcontext(prec=DIGITS):
        return _year_of(books, year)


def _year_of(books: Books, year: int) -> Year:
    first = first_day(books, year)
    last = max(first, min(first_day(books, year + 1) - timedelta(days=1), books.today))
    start = bisect_left(books.postings, first, key=attrgetter("date"))
    end = bisect_right(books.postings, last, key=attrgetter("date"))
    within = books.postings[start:end]
    opening, moved = summed(books.postings[:start]), summed(within)
    held = opening + moved
    lines = tuple(map(line_of, within))
    sums = _by_book(moved)
    sales, returns = -sums[Book.SALES], sums[Book.RETURNS]
    cost = _cost_of_goods_sold(opening, moved)
    expenses = _expenses(books, year, moved)
    show, other = -sums[Book.SHOW_INCOME], -sums[Book.OTHER_INCOME]
    gross = sales - returns - cost.total
    net = gross - sum((e.amount for e in expenses), ZERO) + show + other
    hours = sum((h.hours for h in books.hours if first <= h.date <= last), ZERO)
    balances = _by_book(held)
    deposits, owed = _customers(held)
    trips = [t for t in books.trips if first <= t.date <= last]
    return Year(
        year=year,
        first=first,
        last=last,
        currency=books.settings.currency,
        sales=sales,
        returns=returns,
        cost_of_goods_sold=cost,
        gross_profit=gross,
        expenses=expenses,
        show_income=show,
        other_income=other,
        net_profit=net,
        hours=hours,
        profit_per_hour=net / hours if hours else None,
        deposits_held=deposits,
        owed_by_customers=owed,
        payables=-balances[Book.PAYABLES],
        sales_tax=_sales_tax(moved, -balances[Book.SALES_TAX]),
        partner_shares_owed=-balances[Book.SHARES],
        withdrawn=_sum(p for p in moved if p.book is Book.PRIVATE and p.account == "withdrawn"),
        inventory=_inventory(books, held, last),
        stock=_stock(books, last),
        cash=_cash(within, first, last),
        builds=build_rows(books, opening, zip(within, lines, strict=True), first, last),
        collection=collection_rows(moved),
        miles=sum((t.miles for t in trips), ZERO),
        mileage=sum((t.amount for t in trips), ZERO),
        lines=lines,
        estimated=any(p.estimated for p in within),
        tax_reclaimable=balances[Book.RECLAIM],
        trips=tuple(TripLine(*t) for t in trips),
        balance=_balance(balances),
        form_lines=figure_lines(books.settings),
        estimates=_estimates(within),
    )


def _sum(legs: Iterable[Leg]) -> Decimal:
    return sum((leg.amount for leg in legs), ZERO)


def _by_book(legs: Iterable[Leg]) -> dict[Book, Decimal]:
    sums: dict[Book, Decimal] = defaultdict(lambda: ZERO)
    for leg in legs:
        sums[leg.book] += leg.amount
    return sums


def _cost_of_goods_sold(before: Iterable[Leg], within: Iterable[Leg]) -> CostOfGoodsSold:
    """Opening + additions − closing; withdrawn goods lower the purchases."""
    opening = _sum(p for p in before if p.book is Book.INVENTORY)
    flows: dict[str, Decimal] = defaultdict(lambda: ZERO)
    total = lost = change = ZERO
    for posting in within:
        if posting.book is Book.INVENTORY:
            flows[posting.flow] += posting.amount
            change += posting.amount
        elif posting.book is Book.COGS:
            total += posting.amount
            lost += posting.amount if posting.lost else ZERO
    purchases = flows[PURCHASES] + flows[WITHDRAWN]
    return CostOfGoodsSold(opening, purchases, flows[MATERIALS], flows[OUTSIDE], flows[OTHER], opening + change, total, lost)


def _expenses(books: Books, year: int, within: Iterable[Leg]) -> tuple[ExpenseLine, ...]:
    sums: dict[str, Decimal] = {}
    for posting in within:
        if posting.book is Book.EXPENSES:
            sums[posting.account] = sums.get(posting.account, ZERO) + posting.amount
    return tuple(ExpenseLine(kind, amount, form_line(books.settings, kind, year)) for kind, amount in sorted(sums.items(), key=lambda e: folded(e[0])))


def _customers(held: Iterable[Leg]) -> tuple[Decimal, Decimal]:
    """Deposits held, and what customers and channels owe: each build's account stands on one side or the other."""
    accounts: dict[tuple[Book, str | None], Decimal] = defaultdict(lambda: ZERO)
    for posting in held:
        if posting.book in (Book.CUSTOMERS, Book.CHANNELS):
            accounts[posting.book, posting.build] += posting.amount
    deposits = sum((-balance for balance in accounts.values() if balance < 0), ZERO)
    return deposits, sum((balance for balance in accounts.values() if balance > 0), ZERO)


def _sales_tax(within: Iterable[Leg], owed: Decimal) -> SalesTax:
    sums: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for posting in within:
        if posting.book is Book.SALES_TAX:
            sums[posting.account] += posting.amount
    return SalesTax(-sums["collected"], sums["remitted"], owed)


def _inventory(books: Books, held: Iterable[Leg], last: date) -> Inventory:
    """Where the cost is: finished builds, builds in work, the shelf, and what is paid and not here."""
    places: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for posting in held:
        if posting.book is not Book.INVENTORY:
            continue
        if posting.account in (ON_THE_WAY, STOCK):
            places[posting.account] += posting.amount
        else:
            facts = books.facts.get(posting.build) if posting.build is not None else None
            finished = facts.finished_on if facts else None
            places["done" if finished and finished <= last else "in work"] += posting.amount
    return Inventory(places["done"], places["in work"], places[STOCK], places[ON_THE_WAY])


_INCOME = (Book.SALES, Book.SHOW_INCOME, Book.OTHER_INCOME)


def _estimates(within: Iterable[Posting]) -> frozenset[str]:
    """The figures in which something is worked out and not yet on a bill, or not yet paid."""
    found = set()
    for posting in within:
        if posting.estimated:
            found.add("net profit")
            if posting.book is Book.EXPENSES:
                found.add(f"expense: {posting.account}")
            elif posting.book is Book.INVENTORY and posting.flow in ADDITIONS:
                found.add(posting.flow)
            elif posting.book in _INCOME:
                found.add(posting.book.value)
    return frozenset(found)


def _stock(books: Books, last: date) -> tuple[StockLine, ...]:
    """What is on the shelf on the last day, by item."""
    qty: dict[str, Decimal] = defaultdict(lambda: ZERO)
    value: dict[str, Decimal] = defaultdict(lambda: ZERO)
    came: dict[str, list[Place]] = defaultdict(list)
    for move in books.moves:
        if move.date <= last:
            qty[move.item] += move.qty
            value[move.item] += move.cost
            if move.qty > 0:
                came[move.item].append(move.source)
    return tuple(StockLine(books.items.get(item, item), qty[item], value[item], books.units.get(item), tuple(came[item])) for item in sorted(qty) if qty[item] or value[item])


def _cash(within: Iterable[Posting], first: date, last: date) -> Cash:
    into: dict[tuple[int, int], Decimal] = defaultdict(lambda: ZERO)
    out: dict[tuple[int, int], Decimal] = defaultdict(lambda: ZERO)
    for posting in within:
        if posting.book is Book.CASH:
            side = into if posting.amount > 0 else out
            side[posting.date.year, posting.date.month] += abs(posting.amount)
    months = tuple(CashMonth(f"{year}-{month:02}", into[year, month], out[year, month]) for year, month in _months(first, last))
    return Cash(sum(into.values(), ZERO), sum(out.values(), ZERO), months)


def _months(first: date, last: date) -> Sequence[tuple[int, int]]:
    count = (last.year - first.year) * 12 + last.month - first.month
    return [(first.year + (first.month - 1 + n) // 12, (first.month - 1 + n) % 12 + 1) for n in range(count + 1)]


_PROFIT = (Book.SALES, Book.RETURNS, Book.COGS, Book.EXPENSES, Book.SHOW_INCOME, Book.OTHER_INCOME)


def _balance(balances: dict[Book, Decimal]) -> tuple[BalanceLine, ...]:
    """Every account but the collection's, with the profit of all years so far as one line: the whole sums to nothing."""
    kept = [BalanceLine(book.value, balances[book]) for book in Book if book not in _PROFIT and book is not Book.COLLECTION and balances[book]]
    profit = sum((balances[book] for book in _PROFIT), ZERO)
    return (*kept, BalanceLine("profit so far", profit))
