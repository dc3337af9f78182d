"""The figures of a business year, summed from the postings.

Invariant: every figure is a sum of postings, or a quotient of two such sums; nothing is worked out anew.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal, localcontext
from itertools import islice
from operator import attrgetter

from purfle.base.money import DIGITS, ZERO
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.books.builds import build_rows, collection_rows
from purfle.books.figures import BalanceLine, Cash, CashMonth, CostOfGoodsSold, ExpenseLine, Inventory, PartnerLine, SalesTax, StockLine, Year
from purfle.books.ledger import (
    ADDITIONS,
    MATERIALS,
    ON_THE_WAY,
    OTHER,
    OUTSIDE,
    PURCHASES,
    STOCK,
    UNSAID,
    WITHDRAWN,
    Account,
    Book,
    Posting,
    Totals,
    added,
    by_book,
    summed,
    totals,
)
from purfle.books.lines import line_of
from purfle.books.model import Books, Move
from purfle.books.taxforms import figure_lines, form_line
from purfle.events.work import Worked


def years(books: Books) -> tuple[int, ...]:
    """Every business year from the first amount or hour to the day the books are kept to, whose own year is always among them.

    What a piece of the owner's own once cost is the owner's affair, and may lie decades back: it begins no year.
    """
    amounts = (p.date for p in books.postings if p.account.book is not Book.COLLECTION or p.account.name == "proceeds")
    first = min([*islice(amounts, 1), *(h.date for h in books.hours[:1])], default=books.today)
    return tuple(range(books.settings.year_with(first), books.settings.year_with(books.today) + 1))


def year_of(books: Books, year: int) -> Year:
    """What a business year came to, up to the day the books are kept to."""
    with localcontext(prec=DIGITS):
        return _year_of(books, year)


def _year_of(books: Books, year: int) -> Year:
    first = books.settings.first_of_year(year)
    last = max(first, min(books.settings.first_of_year(year + 1) - timedelta(days=1), books.today))
    span = _within(books.postings, first, last)
    within = books.postings[span]
    opening, moved = totals(books.postings[: span.start]), totals(within)
    held, flows = by_book(added(opening, moved)), by_book(moved)
    before, partners = by_book(opening)[Book.INVENTORY], _partners(held[Book.SHARES])
    lines = tuple(map(line_of, within))
    sums = _sums(flows)
    sales, returns = -sums[Book.SALES], sums[Book.RETURNS]
    cost = _cost_of_goods_sold(before, flows)
    expenses = _expenses(books, year, flows[Book.EXPENSES])
    show, other = -sums[Book.SHOW_INCOME], -sums[Book.OTHER_INCOME]
    gross = sales - returns - cost.total
    net = gross - sum((e.amount for e in expenses), ZERO) + show + other
    worked, own = (kind[_within(kind, first, last)] for kind in (books.hours, books.own_hours))
    hours = sum((h.hours for h in worked), ZERO)
    balances = _sums(held)
    deposits, owed = _sides(held[Book.CUSTOMERS])
    fees_due, with_channels = _sides(held[Book.CHANNELS])
    trips = tuple(t for t in books.trips if first <= t.date <= last)
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
        owed_by_customers=owed + with_channels,
        payables=fees_due - balances[Book.PAYABLES],
        sales_tax=_sales_tax(flows[Book.SALES_TAX], -balances[Book.SALES_TAX]),
        partner_shares_owed=-balances[Book.SHARES],
        withdrawn=sum((amount for account, amount in flows[Book.PRIVATE].items() if account.name == "withdrawn"), ZERO),
        inventory=_inventory(books, held[Book.INVENTORY], last),
        stock=_stock(books, last),
        cash=_cash(within, first, last),
        builds=build_rows(books, held[Book.INVENTORY], moved, zip(within, lines, strict=True), {h.build for h in (*worked, *own)}),
        collection=collection_rows(flows[Book.COLLECTION], {p.account.build for p in within if p.estimated and p.account.book is Book.COLLECTION}),
        miles=sum((t.miles for t in trips), ZERO),
        mileage=sum((t.amount for t in trips), ZERO),
        lines=lines,
        estimated=any(p.estimated for p in within),
        tax_reclaimable=balances[Book.RECLAIM],
        partners=partners,
        trips=trips,
        balance=_balance(balances),
        form_lines=figure_lines(books.settings),
        estimates=_estimates(books, span, before, held, partners, last),
    )


def _within(dated: Sequence[Posting | Worked | Move], first: date, last: date) -> slice:
    """The part of what is in order of date that lies in these days."""
    return slice(bisect_left(dated, first, key=attrgetter("date")), bisect_right(dated, last, key=attrgetter("date")))


def _sums(books: Mapping[Book, Totals]) -> dict[Book, Decimal]:
    return {book: sum(accounts.values(), ZERO) for book, accounts in books.items()}


def _cost_of_goods_sold(before: Totals, within: Mapping[Book, Totals]) -> CostOfGoodsSold:
    """Opening + additions − closing; withdrawn goods lower the purchases. `before` is what the inventory was when the year began."""
    opening = sum(before.values(), ZERO)
    flows, lost = summed(within[Book.INVENTORY], attrgetter("flow")), summed(within[Book.COGS], attrgetter("lost"))
    purchases, closing = flows[PURCHASES] + flows[WITHDRAWN], opening + sum(flows.values(), ZERO)
    return CostOfGoodsSold(opening, purchases, flows[MATERIALS], flows[OUTSIDE], flows[OTHER], closing, lost[True] + lost[False], lost[True])


def _partners(held: Totals) -> tuple[PartnerLine, ...]:
    """By name, however a sheet or a note writes it; what was paid to nobody named comes last."""
    names = {"": ""}
    for account in held:
        names.setdefault(_partner(account), account.name)
    sums = summed(held, _partner)
    return tuple(PartnerLine(names[key], -sums[key]) for key in sorted(sums, key=lambda key: (not key, key)) if sums[key])


def _partner(account: Account) -> str:
    """Whose share it is, as compared; nobody's where none was named."""
    return "" if account.name == UNSAID else folded(account.name)


def _expenses(books: Books, year: int, within: Totals) -> tuple[ExpenseLine, ...]:
    sums = summed(within, attrgetter("name"))
    return tuple(ExpenseLine(kind, amount, form_line(books.settings, kind, year)) for kind, amount in sorted(sums.items(), key=lambda e: folded(e[0])))


def _sides(held: Totals) -> tuple[Decimal, Decimal]:
    """What the shop owes and what it is owed, each build's account standing on one side or the other.

    Of customers: deposits held, and what they owe. Of channels: fees not yet paid on a sale whose money did not go through
    them, and what they hold.
    """
    accounts = summed(held, attrgetter("build")).values()
    return sum((-balance for balance in accounts if balance < 0), ZERO), sum((balance for balance in accounts if balance > 0), ZERO)


def _sales_tax(within: Totals, owed: Decimal) -> SalesTax:
    sums = summed(within, attrgetter("name"))
    return SalesTax(-sums["collected"], sums["remitted"], owed)


def _inventory(books: Books, held: Totals, last: date) -> Inventory:
    """Where the cost is: finished builds, builds in work, the shelf, and what is paid and not here."""
    places = summed(held, _places(books, last))
    return Inventory(places[_DONE], places[_IN_WORK], places[STOCK], places[ON_THE_WAY])


_DONE, _IN_WORK = "instruments", "work in progress"


def _places(books: Books, last: date) -> Callable[[Account], str]:
    """Where what an account holds is on the last day."""

    def place(account: Account) -> str:
        if account.name in (ON_THE_WAY, STOCK):
            return account.name
        facts = books.facts.get(account.build) if account.build is not None else None
        return _DONE if facts is not None and any(span.since <= last < span.until for span in facts.ready) else _IN_WORK

    return place


def _estimates(books: Books, span: slice, before: Totals, held: Mapping[Book, Totals], owing: Iterable[PartnerLine], last: date) -> frozenset[str]:
    """The figures that have an estimate in them: of what moved in the year, of the inventory `before` it, and of what is held and owed on its last day."""
    so_far = books.postings[: span.stop]
    opening = {"opening inventory"} if _guessed(books.postings[: span.start], before) else set()
    goods = _inventory_estimates(books, _guessed(so_far, held[Book.INVENTORY]), last)
    owed = _owed_estimates(so_far, held[Book.CHANNELS]) | _share_estimates(so_far, owing)
    return frozenset(opening | _moved_estimates(books.postings[span]) | goods | owed)


def _moved_estimates(within: Iterable[Posting]) -> set[str]:
    """The figures of a year in which something is worked out and not yet on a bill, or not yet paid; the owner's collection is in none of them."""
    found: set[str] = set()
    for posting in within:
        account = posting.account
        if posting.estimated and (account.book is Book.INVENTORY or account.book in _PROFIT):
            found.add("net profit")
            if account.book is Book.EXPENSES:
                found |= {f"expense: {account.name}", "expenses"}
            elif account.book in (Book.INVENTORY, Book.COGS):
                found |= {"cost of goods sold", "gross profit"}
            if account.book is Book.INVENTORY and account.flow in ADDITIONS:
                found.add(account.flow)
        elif posting.estimated and account.book is Book.CASH:
            found.add("cash in" if posting.amount > ZERO else "cash out")
    return found


def _owed_estimates(so_far: Iterable[Posting], held: Totals) -> set[str]:
    """Whether a channel that still owes money, by what is `held`, will keep a fee that is only worked out."""
    owing = {build for build, balance in summed(held, attrgetter("build")).items() if balance > ZERO}
    guessed = owing and any(p.estimated and p.account.book is Book.CHANNELS and p.account.build in owing for p in so_far)
    return {"owed by customers"} if guessed else set()


def _share_estimates(so_far: Iterable[Posting], owing: Iterable[PartnerLine]) -> set[str]:
    """What is owed to partners whose share is of a profit that is only worked out: a fee or a part is not paid yet."""
    guessed = {_partner(p.account) for p in so_far if p.estimated and p.account.book is Book.SHARES}
    named = {f"partner shares owed: {line.words}" for line in owing if folded(line.partner) in guessed}
    return {"partner shares owed", *named} if named else set()


def _guessed(so_far: Iterable[Posting], held: Totals) -> tuple[Account, ...]:
    """The accounts of goods `held` in which the cost of some is not yet on a bill, or not yet paid; all those of a build together."""
    guessed = {p.account.build for p in so_far if p.estimated and p.account.book is Book.INVENTORY and p.account.flow in ADDITIONS}
    here = {build for build, balance in summed(held, attrgetter("build")).items() if balance} & guessed
    return tuple(account for account, balance in held.items() if balance and account.build in here)


def _inventory_estimates(books: Books, guessed: Iterable[Account], last: date) -> set[str]:
    """The closing inventory, and where in it the guesses are; what is on the way is paid, and none."""
    places = {place for place in map(_places(books, last), guessed) if place != ON_THE_WAY}
    return {"closing inventory", *(f"inventory: {place}" for place in places)} if places else set()


def _stock(books: Books, last: date) -> tuple[StockLine, ...]:
    """What is on the shelf on the last day, by item."""
    qty: dict[str, Decimal] = defaultdict(lambda: ZERO)
    value: dict[str, Decimal] = defaultdict(lambda: ZERO)
    came: dict[str, list[Place]] = defaultdict(list)
    for _, item, amount, cost, source in books.moves[_within(books.moves, date.min, last)]:
        qty[item] += amount
        value[item] += cost
        if amount > ZERO:
            came[item].append(source)
    return tuple(
        StockLine(books.items.get(item, item), qty[item], value[item], books.units.get(item), tuple(came[item]))
        for item in sorted(qty)
        if qty[item] or value[item]
    )


def _cash(within: Iterable[Posting], first: date, last: date) -> Cash:
    into: dict[tuple[int, int], Decimal] = defaultdict(lambda: ZERO)
    out: dict[tuple[int, int], Decimal] = defaultdict(lambda: ZERO)
    for posting in within:
        if posting.account.book is Book.CASH:
            side = into if posting.amount > ZERO else out
            side[posting.date.year, posting.date.month] += abs(posting.amount)
    months = tuple(CashMonth(f"{year}-{month:02}", into[year, month], out[year, month]) for year, month in _months(first, last))
    return Cash(sum(into.values(), ZERO), sum(out.values(), ZERO), months)


def _months(first: date, last: date) -> Sequence[tuple[int, int]]:
    return [(n // 12, n % 12 + 1) for n in range(first.year * 12 + first.month - 1, last.year * 12 + last.month)]


_PROFIT = (Book.SALES, Book.RETURNS, Book.COGS, Book.EXPENSES, Book.SHOW_INCOME, Book.OTHER_INCOME)


def _balance(balances: dict[Book, Decimal]) -> tuple[BalanceLine, ...]:
    """Every account but the collection's, with the profit of all years so far as one line: the whole sums to nothing."""
    kept = [BalanceLine(book.value, balances[book]) for book in Book if book not in _PROFIT and book is not Book.COLLECTION and balances[book]]
    profit = sum((balances[book] for book in _PROFIT), ZERO)
    return (*kept, BalanceLine("profit so far", profit))
