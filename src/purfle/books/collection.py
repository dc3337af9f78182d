"""Pieces of the owner's own: what of their basis goes with a sale, a loss or a gift, and what comes back.

Both sides of every entry are the owner's, so that the shop's profit and cash know nothing of it.
Invariant: posts under the collection alone; what passes between it and the shop is written by `ends` and `desk`.
"""

from decimal import Decimal

from purfle.base.money import ZERO
from purfle.books.desk import BooksDesk
from purfle.books.jobs import Gone, Job, first_shares
from purfle.books.ledger import Account, Book, Voucher


def let_go(desk: BooksDesk, voucher: Voucher, job: Job, units: int, how: Gone, sold_with: str | None = None) -> Decimal:
    """Take the basis of some units out of the collection, and give it; the last take the rest.

    `how` is sold, scrapped, lost or given; all but what was given stands in the table apart, under the piece it was
    `sold_with`, if any.
    """
    if not units:
        return ZERO
    basis = first_shares(job.basis, job.left, units, desk.smallest)
    job.basis -= basis
    job.left -= units
    job.gone = job.gone if job.left else how
    to = Account(Book.COLLECTION, "given away" if how == "given" else "sold", sold_with or job.id)
    desk.ledger.move(voucher, basis, to, Account(Book.COLLECTION, "basis", job.id))
    return basis


def take_back(desk: BooksDesk, voucher: Voucher, job: Job, units: int, basis: Decimal, sold_with: str | None = None) -> None:
    """Some units are in the collection again, at the basis they once left with."""
    job.basis += basis
    job.left += units
    job.gone = None
    desk.ledger.move(voucher, basis, Account(Book.COLLECTION, "basis", job.id), Account(Book.COLLECTION, "sold", sold_with or job.id))


def proceeds(desk: BooksDesk, voucher: Voucher, job: Job, amount: Decimal) -> None:
    """Money the owner had for a piece that is gone, after fees and post; below nothing when it is paid back."""
    desk.ledger.move(voucher, amount, Account(Book.COLLECTION, "owner", job.id), Account(Book.COLLECTION, "proceeds", job.id))
