"""The amounts of one sale, of a build or from stock, and their entries: revenue, fees and payout.

A channel pays net: gross comes in and fees go out on the day it pays; until then the money lies with it.
Invariant: moves no cost and no goods.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO
from purfle.books.desk import BooksDesk
from purfle.books.fees import channel_named, fee, pays_on, remits_tax
from purfle.books.jobs import Deal
from purfle.books.kinds import SELLING_FEES
from purfle.books.ledger import Account, Book, Voucher, cash_in, cash_out
from purfle.notes.records.note import Sold
from purfle.notes.records.sales import Sale


@dataclass(frozen=True, slots=True)
class Charged:
    """One sale with its amounts, each rounded."""

    record: Sale | Sold
    day: date
    build: str | None
    """None for something from stock."""
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

    @property
    def of(self) -> str:
        """How the words of a line begin: of what is from stock, by its name."""
        return f"{self.record.item}, " if isinstance(self.record, Sold) else ""

    def deal(self) -> Deal:
        """The deal that it begins."""
        return Deal(price=self.price, post=self.post, fees=self.fees, kept_by_channel=self.fees, guessed=self.guess, tax=self.tax, tax_by_shop=self.tax_by_shop)


def charged(desk: BooksDesk, record: Sale | Sold, day: date, build: str | None = None) -> Charged:
    """The amounts of a sale; a discount above the price is told, and takes no more than it."""
    if record.discount > record.price:
        found = f"discount: {record.discount} is more than the price of {record.price}"
        desk.troubles.add(record.where("discount"), "discount-above-price", found, "mend the discount or the price")
    channel = channel_named(desk.shop, record.channel)
    price, post = max(desk.rounded(record.price - record.discount), ZERO), desk.rounded(record.shipping_charged)
    by_shop = (record.tax_by or ("channel" if remits_tax(channel) else "shop")) == "shop"
    fees = desk.rounded(record.fees) if record.fees is not None else fee(channel, price, post, record.tax, desk.smallest)
    tax = desk.rounded(record.tax) if by_shop else ZERO
    return Charged(record, day, build, price, post, tax, by_shop, fees, guess=record.fees is None and bool(fees))


def book_revenue(desk: BooksDesk, sold: Charged, what: str) -> None:
    """Price, post and tax at the sale, owed by whoever holds the money."""
    account = "price" if sold.build else "stock sold"
    for amount, name, origin in (
        (sold.price, "price", Account(Book.SALES, account, sold.build)),
        (sold.post, "shipping_charged", Account(Book.SALES, "shipping charged", sold.build)),
        (sold.tax, "tax", Account(Book.SALES_TAX, "collected", sold.build)),
    ):
        desk.ledger.move(Voucher(sold.day, what, sold.record.where(name)), amount, with_channel(sold.build), origin)


def book_fees(desk: BooksDesk, sold: Charged) -> None:
    """Fees at the sale, worked out ones marked."""
    voucher = Voucher(sold.day, f"{sold.of}fees", sold.record.where("fees"), sold.guess)
    desk.ledger.move(voucher, sold.fees, desk.spent(SELLING_FEES, sold.build), with_channel(sold.build))


def book_payout(desk: BooksDesk, sold: Charged, amount: Decimal) -> None:
    """The amount that is left to pay, less fees, on the day it was here, or after the channel's usual hold."""
    record, build = sold.record, sold.build
    day, usual = pays_on(channel_named(desk.shop, record.channel), sold.day, record.paid_out)
    desk.ledger.move(Voucher(day, f"{sold.of}paid out", record.where("paid_out"), usual), amount, cash_in(build), with_channel(build))
    desk.ledger.move(Voucher(day, f"{sold.of}fees kept", record.where("fees"), sold.guess), sold.fees, with_channel(build), cash_out(build))


def with_channel(build: str | None) -> Account:
    """The money of a sale that is not here yet."""
    return Account(Book.CHANNELS, "sold", build)
