"""One build and its sales, as they stand while the books are kept.

Invariant: holds figures and moves none; the desk and those who write up events do that.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from purfle.base.money import ZERO
from purfle.notes.model import Build
from purfle.notes.records.build import HowEnded, Side
from purfle.notes.records.note import Received


@dataclass(slots=True)
class Deal:
    """One sale of a build or from stock, or all deliveries of a commission, as far as it has gone."""

    price: Decimal = ZERO
    """Price and extras after discount: what a share of the price is taken of."""
    post: Decimal = ZERO
    """Post the buyer paid."""
    fees: Decimal = ZERO
    """Selling fees, post, packing and insurance, less fees given back."""
    kept_by_channel: Decimal = ZERO
    """Of them the selling fees, less those given back."""
    guessed: bool = False
    """Some selling fees are worked out, not yet on a bill."""
    returns: Decimal = ZERO
    cost: Decimal = ZERO
    """Cost recognised, less what came back."""
    units: int = 0
    """Units out, less those that came back."""
    tax: Decimal = ZERO
    """Tax that the shop itself hands in, charged so far."""
    tax_back: Decimal = ZERO
    """Of it, given back."""
    undone: Decimal = ZERO
    """Of a commission: price refunded with goods that came back, to be earned again when they go out again."""
    tax_undone: Decimal = ZERO
    """Likewise tax."""
    noted: Decimal = ZERO
    """What notes said by the day of the sale was paid to sell it, beside its own fees, post and packing."""
    shares: tuple[Decimal, ...] = ()
    """Each partner's share posted so far; empty before the first."""
    bundled: list[tuple[str, Decimal]] = field(default_factory=list)
    """Builds sold with it, each with the cost recognised."""
    tax_by_shop: bool = True
    qty: Decimal = ZERO
    """Of something from stock: how much is out."""
    private: bool = False
    """Of a piece of the owner's own: its money is no money of the shop's, and its cost is the basis that went with it."""


Gone = Literal["sold"] | HowEnded
"""How something left the shop, or the collection."""


@dataclass(slots=True)
class Job:
    """One build as the books see it."""

    build: Build
    left: int
    """Units still carried, or in the collection."""
    held: Decimal = ZERO
    """Cost still carried."""
    guessed: bool = False
    """Some cost that it carried is not yet paid."""
    place: Side | Gone = "shop"
    basis: Decimal = ZERO
    """What a piece of the owner's own collection cost, as far as it is still there."""
    gone: Gone | None = None
    """How the last of a piece of the collection left it."""
    came: date | None = None
    deals: dict[int, Deal] = field(default_factory=dict)
    """By number of the sale; −1 is the commission."""
    selling: Decimal = ZERO
    """What notes say was paid to sell it, in no deal yet."""
    deposit: Decimal = ZERO
    """The customer's account: above nothing is held for them, below nothing they owe."""
    to_partners: Decimal = ZERO
    """What partners are owed of it; below nothing they had more."""
    paid_in: Received | None = None
    """The last line of money from the customer."""

    @property
    def id(self) -> str:
        """The build's id."""
        return self.build.id


def first_shares(total: Decimal, of: int, units: int, smallest: Decimal) -> Decimal:
    """What the first `units` of `of` equal shares come to, by largest remainders; all of them take all of it."""
    if units >= of:
        return total
    whole, odd = divmod(int(total / smallest), of)
    return smallest * (whole * units + min(odd, units))
