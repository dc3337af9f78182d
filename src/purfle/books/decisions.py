"""What to take on next, and how the last guesses did.

Invariant: ranks and compares; decides nothing and plans nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from purfle.base.money import ZERO, rounded
from purfle.books.fees import channel_named, fee, partners_parts
from purfle.books.figures import Year
from purfle.books.ledger import Book
from purfle.books.model import Books
from purfle.books.outlook import agreed_price, gifts_to_come, planned_parts, still_to_do
from purfle.notes.model import Build, Shop
from purfle.progress.model import Progress


def break_even(price: Decimal, variable: Decimal, fixed: Decimal, target: Decimal = ZERO) -> int | None:
    """How many to sell so that price less variable cost covers the fixed costs and a target profit; None: never."""
    each = price - variable
    return int(((fixed + target) / each).to_integral_value(rounding=ROUND_CEILING)) if each > 0 else None


@dataclass(frozen=True, slots=True)
class BreakEven:
    """How many sales cover what the shop costs whether it sells or not."""

    sold: int
    """Builds sold or delivered in the year, of which the averages are taken."""
    price: Decimal
    """Revenue of each on average, after refunds."""
    variable: Decimal
    """What each took on average: its cost, fees, post and share."""
    fixed: Decimal
    """Expenses of the year that no sale brings: rent, tools, mileage and the like."""
    needed: int | None
    """None: what a sale leaves never covers them."""


def break_even_of(year: Year) -> BreakEven | None:
    """Break-even on the year's own averages; None for a year without a sale. Episodes' income is left out of it."""
    rows = [row for row in year.builds if row.revenue]
    if not rows:
        return None
    price = sum((row.revenue - row.returns for row in rows), ZERO) / len(rows)
    variable = sum((row.cost + row.fees + row.share for row in year.builds), ZERO) / len(rows)
    selling = sum((row.fees + row.share for row in year.builds), ZERO)
    fixed = sum((line.amount for line in year.expenses), ZERO) - selling
    return BreakEven(len(rows), price, variable, fixed, break_even(price, variable, fixed))


@dataclass(frozen=True, slots=True)
class Contribution:
    """What a build leaves over its cost and fees, for each bench hour it takes."""

    build: str
    amount: Decimal
    hours: Decimal
    per_hour: Decimal | None
    """None for no hours."""


def ranked(contributions: Iterable[tuple[str, Decimal, Decimal]]) -> tuple[Contribution, ...]:
    """Builds by what they leave per bench hour, the most first: bench hours are what a shop is short of."""
    rows = (Contribution(build, amount, hours, amount / hours if hours else None) for build, amount, hours in contributions)
    return tuple(sorted(rows, key=lambda row: (row.per_hour is not None, -(row.per_hour or ZERO), row.build)))


def take_on_next(shop: Shop, books: Books, progress: Mapping[str, Progress], sending: Mapping[str, Decimal]) -> tuple[Contribution, ...]:
    """Open builds of the shop's that are priced, by what each still to come bench hour leaves: price − fees − post − share − cost still to come.

    `sending` is what sending one of a build is expected to take of the price, for those that it takes something of.
    """
    rows = []
    for build in shop.builds:
        known, facts, coming = progress[build.id], books.facts[build.id], _still_to_come(shop, books, build)
        if coming is None or known.closed_on is not None or facts.private:
            continue
        price, fees = coming
        planned = planned_parts(build.sheet.parts, books)
        leaves = price - fees - facts.left * sending.get(build.id, ZERO) - planned
        profit = leaves - gifts_to_come(build.sheet.parts, books) - facts.carried
        shares = partners_parts(build.sheet.share, price, profit, lambda part: rounded(part, books.smallest))
        rows.append((build.id, leaves - sum(shares, ZERO), sum((still_to_do(stage) for stage in known.stages), ZERO)))
    return ranked(rows)


def _still_to_come(shop: Shop, books: Books, build: Build) -> tuple[Decimal, Decimal] | None:
    """The price still to be earned by a build, of all units left, and the fees on it; None without a price."""
    offer, order = build.sheet.for_sale, build.sheet.commission
    if offer is not None:
        each = fee(channel_named(shop, next(iter(offer.places), None)), offer.asking, ZERO, ZERO, books.smallest)
        left = books.facts[build.id].left
        return left * offer.asking, left * each
    if order is None or order.price is None:
        return None
    agreed = agreed_price(order)
    earned = -sum((posting.amount for posting in books.of_build.get(build.id, ()) if posting.account.book is Book.SALES), ZERO)
    return agreed - earned, fee(channel_named(shop, order.channel), agreed - earned, ZERO, ZERO, books.smallest)


@dataclass(frozen=True, slots=True)
class Estimated:
    """One build's estimated hours against what it took."""

    build: str
    stages: int
    """Finished stages, those compared."""
    hours_estimated: Decimal
    """Of its finished stages, one pass each."""
    hours: Decimal
    """Of the same stages, all passes."""


def against_estimate(shop: Shop, progress: Mapping[str, Progress]) -> tuple[Estimated, ...]:
    """Estimate against actual over the stages that are finished, for every build that has one."""
    rows = []
    for build in shop.builds:
        done = [stage for stage in progress[build.id].stages if stage.finished]
        if done:
            thought = sum((stage.stage.hours.mean for stage in done), ZERO)
            took = sum((stage.hours for stage in done), ZERO)
            rows.append(Estimated(build.id, len(done), thought, took))
    return tuple(rows)
