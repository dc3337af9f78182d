"""The figures of the books, named as the JSON contract names them.

Amounts are `Decimal` in the shop's currency, rounded to its smallest unit; hours and ratios are exact and rounded
only where shown. None is unknown or does not apply.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.place import Place
from purfle.notes.records.build import JobKind
from purfle.progress.model import State


class Line(NamedTuple):
    """One line of a job cost sheet or of an account, with the note it comes from."""

    date: date
    what: str
    amount: Decimal
    """Positive adds to the account's natural side (cost to a cost, revenue to revenue)."""
    account: str
    """Where it ended: instrument, parts, materials, outside work, other costs, salvage, revenue, returns, fees, post, packing, share, an expense kind, …"""
    source: Place
    build: str | None
    estimated: bool
    """Worked out, not yet on a bill."""
    book: str
    """The kind of account: inventory, cost of goods sold, sales, returns, expenses, cash, payables, …"""
    flow: str
    """Under inventory: purchases, materials, outside work, other costs or inside; recognised or withdrawn where cost leaves (or comes back)."""
    who: str
    """Whom the note names as paid or paying."""


@dataclass(frozen=True, slots=True)
class CostOfGoodsSold:
    """Cost of goods sold as a tax form lays it out: opening + additions − closing."""

    opening_inventory: Decimal
    purchases: Decimal
    materials: Decimal
    outside_work: Decimal
    other_costs: Decimal
    closing_inventory: Decimal
    total: Decimal
    of_which_lost: Decimal


@dataclass(frozen=True, slots=True)
class SalesTax:
    """Sales tax the shop itself collects and hands in."""

    collected: Decimal
    remitted: Decimal
    owed: Decimal


@dataclass(frozen=True, slots=True)
class Inventory:
    """What is held at cost on the last day, by where it is."""

    instruments: Decimal
    """Builds finished and not yet sold."""
    work_in_progress: Decimal
    stock: Decimal
    on_the_way: Decimal


@dataclass(frozen=True, slots=True)
class StockLine:
    """One item on the shelf."""

    item: str
    qty: Decimal
    value: Decimal
    unit: str | None
    sources: tuple[Place, ...] = ()
    """The lines that brought it in, or counted it over."""


@dataclass(frozen=True, slots=True)
class CashMonth:
    """Cash of one month."""

    month: str
    """`2026-03`."""
    cash_in: Decimal
    cash_out: Decimal


@dataclass(frozen=True, slots=True)
class Cash:
    """Cash of the year, on the day it moved."""

    cash_in: Decimal
    cash_out: Decimal
    months: tuple[CashMonth, ...]


@dataclass(frozen=True, slots=True)
class BuildRow:
    """One build's amounts of the year; hours and days held to date."""

    id: str
    kind: JobKind
    state: State
    cost: Decimal
    """Cost of what was recognised in the year (sold, delivered, ended)."""
    revenue: Decimal
    fees: Decimal
    """Selling fees, outbound post, packing and insurance."""
    profit: Decimal
    """revenue − returns − fees − share − cost."""
    margin: Decimal | None
    """None where nothing, or less, is left after refunds."""
    markup: Decimal | None
    hours: Decimal
    profit_per_hour: Decimal | None
    days_held: int | None
    """None while it is still to come."""
    carried: Decimal
    """Cost still held on the last day."""
    returns: Decimal
    share: Decimal
    estimated: bool
    lines: tuple[Line, ...]
    """What makes up its cost and its profit."""
    beside: tuple[Line, ...]
    """Other expenses and income noted on it: the shop's own, and no part of its profit."""

    @property
    def gone(self) -> bool:
        """Whether any of it was sold, delivered or ended: only then does its profit say what an hour brought."""
        return bool(self.revenue or self.cost)


@dataclass(frozen=True, slots=True)
class CustomerAccount:
    """The account of a build's customer."""

    lines: tuple[Line, ...]
    """What they paid, above nothing, and what was paid back, kept or earned of it, below."""

    @property
    def balance(self) -> Decimal:
        """What is held for them, or, below nothing, what they owe."""
        return sum((line.amount for line in self.lines), Decimal(0))


@dataclass(frozen=True, slots=True)
class CollectionRow:
    """A piece of the owner's own collection that was sold, scrapped or lost, apart from the shop's figures."""

    id: str
    basis: Decimal
    proceeds: Decimal
    gain: Decimal
    gain_counted: Decimal
    """The gain, or nothing for a loss."""
    estimated: bool
    """A fee in it is worked out."""


@dataclass(frozen=True, slots=True)
class OwnersPiece:
    """The account of a piece of the owner's own, over all years."""

    lines: tuple[Line, ...]
    """What it cost the owner and what came in for it, both above nothing."""
    basis: Decimal
    """What it cost the owner, less what went into the shop with it."""
    gone: CollectionRow | None
    """What it came to when it went; None while it is the owner's."""


@dataclass(frozen=True, slots=True)
class ExpenseLine:
    """An expense kind's total, with the line of the owner's tax form."""

    kind: str
    amount: Decimal
    form_line: str | None


class Trip(NamedTuple):
    """A distance driven for the shop."""

    date: date
    miles: Decimal
    distance: Decimal
    """The same in the unit of its rate."""
    rate: Decimal
    unit: str
    """What the rate is for: mi or km."""
    amount: Decimal
    why: str
    source: Place


@dataclass(frozen=True, slots=True)
class BalanceLine:
    """What the shop holds or is owed (above nothing), owes or was given (below), on the last day; all of them sum to nothing."""

    what: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class PartnerLine:
    """What one partner is owed on the last day, below nothing when they had more."""

    partner: str
    """Empty for what was paid without a word to whom, where there are several."""
    owed: Decimal

    @property
    def words(self) -> str:
        """It as a part of all that partners are owed."""
        return f"to {self.partner}" if self.partner else "paid, and not said to whom"


@dataclass(frozen=True, slots=True)
class Year:
    """What a business year came to."""

    year: int
    first: date
    last: date
    """The last day of the year, or the day asked for if that is earlier."""
    currency: str
    sales: Decimal
    returns: Decimal
    cost_of_goods_sold: CostOfGoodsSold
    gross_profit: Decimal
    expenses: tuple[ExpenseLine, ...]
    show_income: Decimal
    other_income: Decimal
    net_profit: Decimal
    hours: Decimal
    profit_per_hour: Decimal | None
    deposits_held: Decimal
    owed_by_customers: Decimal
    payables: Decimal
    sales_tax: SalesTax
    partner_shares_owed: Decimal
    withdrawn: Decimal
    inventory: Inventory
    stock: tuple[StockLine, ...]
    cash: Cash
    builds: tuple[BuildRow, ...]
    collection: tuple[CollectionRow, ...]
    miles: Decimal
    mileage: Decimal
    """Mileage at the published rates, an expense outside cash."""
    lines: tuple[Line, ...]
    """Every line behind the figures."""
    estimated: bool
    tax_reclaimable: Decimal
    """Tax paid that comes back: a balance, no cost."""
    partners: tuple[PartnerLine, ...]
    """Who is owed the shares of partners; nobody with whom all is settled."""
    trips: tuple[Trip, ...]
    """Every trip of the year."""
    balance: tuple[BalanceLine, ...]
    """That the whole adds up: every amount of every year so far, in the one place where it ended."""
    form_lines: tuple[tuple[str, str], ...]
    """Line of the owner's tax form for each figure that has one, by the figure's name."""
    estimates: frozenset[str]
    """Which figures have an estimate in them: purchases, materials, an expense as `expense: post`, a kind of income, net profit with any of
    these; opening and closing inventory; cash in, cash out, owed by customers."""


@dataclass(frozen=True, slots=True)
class Quote:
    """A price to ask and the most to pay, from the very fee function of the books."""

    build: str
    channel: str | None
    cost: Decimal
    """Cost so far and still expected."""
    hours: Decimal
    labour: Decimal
    """Hours at the shop's rate: shown beside cost, never part of the books."""
    shipping: Decimal
    """What sending it to the buyer is expected to take of the price; nothing when the buyer bears it or no parcel is written."""
    target_margin: Decimal
    asking_price: Decimal | None
    """None when the target can't be reached; `refused` says why."""
    agreed_price: Decimal | None
    """What a customer agreed to pay, with extras; what follows is reckoned at it where there is one, else at the asking price."""
    fees: Decimal | None
    share: Decimal | None
    """What partners have of it; nothing without one."""
    profit: Decimal | None
    margin: Decimal | None
    profit_per_hour: Decimal | None
    """None without hours or profit."""
    offer_ceiling: Decimal | None
    """The most to pay for the instrument at the asking or expected resale price."""
    refused: str | None
