"""What a buyer is charged and a channel takes, of a build as of something from stock.

A channel pays net: gross comes in and fees go out on the day it pays; until then the money lies with it.
Invariant: moves no cost and no goods.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.books.desk import Desk
from purfle.books.fees import channel_named, fee, pays_on
from purfle.books.kinds import SELLING_FEES
from purfle.books.ledger import Account, Book, Voucher
from purfle.notes.records.note import Sold
from purfle.notes.records.sales import Sale


@dataclass(frozen=True, slots=True)
class Charged:
    """The amounts of one sale, each rounded."""

    price: Decimal
    """After discount, without tax."""
    post: Decimal
    """Post the buyer paid."""
    tax: Decimal
    """Sales tax that the shop itself hands in; that of a channel which does is no money of the shop's."""
    tax_by_shop: bool
    fees: Decimal
    guess: bool
    """The fees are worked out, not yet on a bill."""

    @property
    def gross(self) -> Decimal:
        """What the buyer pays and the shop has of it before fees."""
        return self.price + self.post + self.tax


def charged(desk: Desk, record: Sale | Sold) -> Charged:
    """The amounts of a sale; a discount above the price is told, and takes no more than it."""
    if record.discount > record.price:
        found = f"discount: {record.discount} is more than the price of {record.price}"
        desk.troubles.add(record.where("discount"), "discount-above-price", found, "mend the discount or the price")
    channel = channel_named(desk.shop, record.channel)
    price, post = max(desk.rounded(record.price - record.discount), ZERO), desk.rounded(record.shipping_charged)
    by_shop = (record.tax_by or ("channel" if channel and channel.remits_tax else "shop")) == "shop"
    fees = desk.rounded(record.fees) if record.fees is not None else fee(channel, price, post, record.tax, desk.smallest)
    return Charged(price, post, desk.rounded(record.tax) if by_shop else ZERO, by_shop, fees, record.fees is None and bool(fees))


def book_revenue(desk: Desk, day: date, record: Sale | Sold, sold: Charged, what: str, account: str, build: str | None = None) -> None:
    """Price, post and tax at the sale, owed by whoever holds the money; the price under an account of sales."""
    for amount, name, origin in (
        (sold.price, "price", Account(Book.SALES, account, build)),
        (sold.post, "shipping_charged", Account(Book.SALES, "shipping charged", build)),
        (sold.tax, "tax", Account(Book.SALES_TAX, "collected", build)),
    ):
        desk.ledger.move(Voucher(day, what, record.where(name)), amount, with_channel(build), origin)


def book_fees(desk: Desk, day: date, record: Sale | Sold, sold: Charged, of: str = "", build: str | None = None) -> None:
    """Fees at the sale, worked out ones marked; `of` begins the words of the line."""
    voucher = Voucher(day, f"{of}fees", record.where("fees"), sold.guess)
    desk.ledger.move(voucher, sold.fees, Account(Book.EXPENSES, desk.kind(SELLING_FEES), build), with_channel(build))


def book_payout(desk: Desk, day: date, record: Sale | Sold, sold: Charged, amount: Decimal, of: str = "", build: str | None = None) -> None:
    """The amount that is left to pay, less fees, on the day it was here, or after the channel's usual hold."""
    pays, usual = pays_on(channel_named(desk.shop, record.channel), day, record.paid_out)
    desk.ledger.move(Voucher(pays, f"{of}paid out", record.where("paid_out"), usual), amount, Account(Book.CASH, "received", build), with_channel(build))
    desk.ledger.move(Voucher(pays, f"{of}fees kept", record.where("fees"), sold.guess), sold.fees, with_channel(build), Account(Book.CASH, "paid", build))


def with_channel(build: str | None) -> Account:
    """The money of a sale that is not here yet."""
    return Account(Book.CHANNELS, "sold", build)
