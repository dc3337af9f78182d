"""The desk at which the books are kept: the ledger, the shelf and every build's cost, as events are written up.

`charge` is the only way a build's cost grows and `recognise` the only way it shrinks by a sale, so that a cost that
comes after the sale, or after the build went elsewhere, ends where it belongs.
Invariant: decides nothing about any one kind of event; the modules that `keep` lists do that.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from purfle.base.money import ZERO, rounded, unit
from purfle.base.names import folded
from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.books.figures import Trip
from purfle.books.jobs import Deal, Job, first_shares
from purfle.books.landed import Foreign, at_home, is_foreign
from purfle.books.ledger import INSIDE, RECOGNISED, STOCK, WITHDRAWN, Account, Book, Ledger, Voucher
from purfle.books.model import Move
from purfle.books.stock import Shelf
from purfle.events.money import MoneyOut, StandingDue
from purfle.notes.known import known_items
from purfle.notes.model import Shop
from purfle.notes.records.note import Paid, Returned, Sold, Used, Withdrawn, WrittenOff
from purfle.notes.records.sales import Share
from purfle.notes.vocabulary.fields import Record

OffTheShelf = Used | WrittenOff | Withdrawn | Sold | Returned
"""Lines that say how much of an item leaves the shelf, and of which delivery."""
_BEYOND = Decimal(10) ** 18
SHELF = Account(Book.INVENTORY, STOCK, None, INSIDE)
OFF_THE_SHELF = Account(Book.INVENTORY, STOCK, None, RECOGNISED)
"""What leaves the shelf and becomes cost of goods sold."""
SUPPLIERS = Account(Book.PAYABLES, "suppliers")


@dataclass(slots=True)
class BooksDesk:
    """What is on the desk while the books are kept."""

    shop: Shop
    smallest: Decimal
    ledger: Ledger
    shelf: Shelf
    fitted: Shelf
    """The parts that went into each build, with what they cost it, as if each build were a shelf: what moves on takes that along."""
    jobs: dict[str, Job]
    uncounted: frozenset[str]
    """Items whose cost goes to materials when bought."""
    troubles: Troubles = field(default_factory=Troubles)
    moves: list[Move] = field(default_factory=list)
    drives: list[Trip] = field(default_factory=list)
    kinds: dict[str, str] = field(default_factory=dict)
    """Expense kinds as compared → as shown."""
    partners: dict[str, str] = field(default_factory=dict)
    """Everybody who has a share of a build, as compared → as a sheet writes them."""
    supplies: dict[str, str] = field(default_factory=dict)
    """What was bought for the shop's own use, as compared → the expense kind it went to."""
    sold: dict[Place, Deal] = field(default_factory=dict)
    """What was sold from stock, by its line."""
    lots: dict[str, dict[str, str]] = field(default_factory=dict)
    """Of each item, as compared, the names of its deliveries so far, as compared → as written."""
    supplied: list[Paid] = field(default_factory=list)
    """Payments to suppliers that stand on lines of their own."""
    to_sell: list[MoneyOut] = field(default_factory=list)
    """Payments to sell a build of the shop that stand on lines of their own."""
    outgoings: list[tuple[MoneyOut, Decimal]] = field(default_factory=list)
    """Payments of the shop's own for no build, each with its amount."""
    standing: list[StandingDue] = field(default_factory=list)
    """Standing costs that fell due."""
    under_way: set[Place] = field(default_factory=set)
    """The lines of goods that were paid before they were here."""
    names: frozenset[str] = frozenset()
    """What `known` has gathered."""

    @property
    def today(self) -> date:
        """The day the books are kept to."""
        return self.ledger.today

    def rounded(self, amount: Decimal | None) -> Decimal:
        """The amount in the shop's smallest units; nothing for None."""
        return ZERO if amount is None else rounded(amount, self.smallest)

    def home(self, record: Foreign, amount: Decimal) -> Decimal:
        """An amount of a record in the shop's currency, rounded once; foreign money without a rate is told."""
        if is_foreign(record, self.shop.settings):
            if not record.rate:
                self._no_rate(record)
        elif record.rate and record.rate != 1:
            found = f"rate: {record.rate} stands here and no foreign currency"
            self._told_once(record.where("rate"), "currency-missing", found, "add currency:, or take the rate out")
        return self.readable(at_home(record, amount, self.shop.settings, self.smallest), record.where("rate"))

    def readable(self, amount: Decimal, at: Place) -> Decimal:
        """The amount, or nothing when a product of two figures is beyond any that could be meant; that is told."""
        if abs(amount) < _BEYOND:
            return amount
        self.troubles.add(at, "amount-too-large", f"the amount comes to {amount}", "mend the figure or the rate")
        return ZERO

    def _no_rate(self, record: Foreign) -> None:
        rate, currency = record.rate, record.currency
        if record.wrote("rate") and rate is None:
            return  # written and unreadable: told when it was read
        code, found = ("rate-zero", "rate: is nothing") if rate == 0 else ("rate-missing", f"the amount is in {currency} and has no rate")
        mend = f"write rate: with what one {currency} cost in {self.shop.settings.currency}"
        self._told_once(record.where("rate" if rate == 0 else "currency"), code, found, mend)

    def _told_once(self, where: Place, code: str, found: str, mend: str) -> None:
        """A record is converted several times; what is wrong with it is told once."""
        if not any(t.place == where for t in self.troubles.found):
            self.troubles.add(where, code, found, mend)

    def kind(self, name: str) -> str:
        """An expense kind in one spelling, however it was typed."""
        key = folded(name)
        if key not in self.kinds:
            self.kinds[key] = " ".join(name.split())
        return self.kinds[key]

    def spent(self, kind: str, build: str | None = None) -> Account:
        """The account of an expense kind."""
        return Account(Book.EXPENSES, self.kind(kind), build)

    def came(self, build: str, day: date, at: Place, how: str) -> None:
        """A build came in without a day of its own; one that had left by then is told."""
        job = self.jobs[build]
        if job.place not in ("shop", "collection"):
            found = f"{build} {how} on {day} and was {'given away' if job.place == 'given' else job.place} by then"
            self.troubles.add(at, "sale-before-acquisition", found, "mend one of the two days, or give what came in a sheet of its own")
        job.came = job.came or day

    # --- builds ------------------------------------------------------------------------------------------------------

    def charge(self, voucher: Voucher, amount: Decimal, to: Account, origin: Account) -> None:
        """Add a cost to the build of an inventory account (without one it is cost of goods sold at once).

        A build still carried holds it; one that is sold, lost or given passes it on, a late bill being of its own date.
        Money spent on a piece of the owner's collection is the owner's own; goods of the shop spent on it are withdrawn.
        """
        if not amount:
            return
        job = self.jobs[to.build] if to.build is not None else None
        if job and job.place == "collection":
            self._to_basis(voucher, amount, job, to.name)
            if to.flow != INSIDE:
                return
        self.ledger.move(voucher, amount, to, origin)
        if job and job.place == "shop":
            job.held += amount
            job.guessed = job.guessed or voucher.estimated
        else:
            self._pass_on(voucher, amount, job, to.name)

    def _to_basis(self, voucher: Voucher, amount: Decimal, job: Job, account: str) -> None:
        """Money of the owner's own on a piece, paid or not; a late bill for one that is gone goes the way it went, on its own day."""
        voucher = voucher._replace(estimated=False)
        self.ledger.move(voucher, amount, Account(Book.COLLECTION, account, job.id), Account(Book.COLLECTION, "owner", job.id))
        if job.gone:
            to = Account(Book.COLLECTION, "given away" if job.gone == "given" else "sold", job.id)
            self.ledger.move(voucher, amount, to, Account(Book.COLLECTION, "basis", job.id))
        else:
            job.basis += amount

    def withdraw(self, voucher: Voucher, amount: Decimal, job: Job, account: str) -> None:
        """Cost that a build carried goes to the owner, or away as promotion (taking it off the build is the caller's)."""
        self.ledger.move(voucher, amount, Account(Book.PRIVATE, "withdrawn", job.id), Account(Book.INVENTORY, account, job.id, WITHDRAWN))

    def to_owner(self, voucher: Voucher, amount: Decimal, job: Job) -> None:
        """Cost that a build carried becomes the basis of a piece of the collection."""
        self.withdraw(voucher, amount, job, "kept")
        self._to_basis(voucher, amount, job, "kept")

    def _pass_on(self, voucher: Voucher, amount: Decimal, job: Job | None, account: str) -> None:
        """A cost of what is gone goes where that went, on its own day: to the owner, or to cost of goods sold."""
        build = job.id if job else None
        if job and job.place in ("collection", "given"):
            to, flow = Account(Book.PRIVATE, "withdrawn", build), WITHDRAWN
        else:
            to, flow = Account(Book.COGS, account, build, lost=job is not None and job.place in ("scrapped", "lost")), RECOGNISED
        self.ledger.move(voucher, amount, to, Account(Book.INVENTORY, account, build, flow))

    def recognise(self, voucher: Voucher, job: Job, units: int) -> Decimal:
        """Turn the cost of some units into cost of goods sold, and give it; the last units take what is left."""
        cost = first_shares(job.held, job.left, units, self.smallest)
        job.held -= cost
        job.left -= units
        if not job.left and units:
            job.place = "sold"
        self.ledger.move(voucher, cost, Account(Book.COGS, "cost of goods sold", job.id), Account(Book.INVENTORY, "recognised", job.id, RECOGNISED))
        return cost

    # --- parts in a build --------------------------------------------------------------------------------------------

    def fit(self, build: str, part: str, qty: Decimal, cost: Decimal) -> None:
        """Remember a part that went into a build (its cost is charged by the caller)."""
        self.fitted.receive(_in_build(build, part), qty or Decimal(1), cost)

    def has_fitted(self, build: str, part: str) -> Decimal:
        """How many of a part a build was given and still has."""
        return self.fitted.has(_in_build(build, part))

    def unfit(self, build: str, part: str, qty: Decimal) -> Decimal:
        """Take a part out of a build, as many as are there, and give what they cost it."""
        return self.fitted.take(_in_build(build, part), min(qty, self.has_fitted(build, part)))

    # --- stock -------------------------------------------------------------------------------------------------------

    def known(self) -> frozenset[str]:
        """Items that have a name; one that has none was told of by the check of names. Gathered when something is short."""
        self.names = self.names or frozenset(known_items(self.shop))
        return self.names

    def shelve(self, day: date, item: str, qty: Decimal, cost: Decimal, source: Place, lot: str | None = None) -> None:
        """Put something on the shelf (its entry is the caller's)."""
        self.shelf.receive(item, qty, cost, lot)
        if lot:
            self.lots.setdefault(folded(item), {})[folded(lot)] = lot
        self.moves.append(Move(day, folded(item), qty, cost, source))

    def counts(self, item: str) -> bool:
        """Whether an item is kept account of on the shelf; the cost of all else went to materials when it was bought."""
        return folded(item) not in self.uncounted

    def take_off(self, day: date, record: OffTheShelf) -> Decimal:
        """Take what a line says off the shelf and give its cost."""
        return self.unshelve(day, record, record.item, record.qty, record.lot)

    def unshelve(self, day: date, record: Record, item: str, qty: Decimal, lot: str | None) -> Decimal:
        """Take something off the shelf and give its cost; too little is told at the line that asked for it."""
        there = self.shelf.has(item, lot)
        if qty > there:
            self._short(day, record, item, qty, there, lot)
            qty = there
        cost = self.shelf.take(item, qty, lot)
        self.moves.append(Move(day, folded(item), -qty, -cost, record.where("qty")))
        return cost

    def _short(self, day: date, record: Record, item: str, qty: Decimal, there: Decimal, lot: str | None) -> None:
        if lot and folded(lot) not in (lots := self.lots.get(folded(item), {})):
            near = nearest(folded(lot), lots)
            mend = f"write {lots[near]}" if near else "write the lot: that the delivery was bought with, or take it out"
            self.troubles.add(record.where("lot"), "stock-below-nothing", f"lot: no delivery of {item} of that name is here by {day}", mend)
        elif folded(item) in self.known():
            of = f" of the delivery {lot}" if lot else ""
            never = folded(item) not in self.shelf.items
            self.troubles.add(
                record.where("qty"),
                "stock-below-nothing",
                f"qty: {qty} of {item}{of} is taken and {there} is there on {day}",
                "add the purchase that is missing, or counted: no beside the item in shop.md"
                if never
                else "mend the quantity, or add the purchase that is missing",
            )


def _in_build(build: str, part: str) -> str:
    return f"{build}/{part}"


def partners_named(shares: Iterable[Share]) -> dict[str, str]:
    """Who has these shares, as compared → as written."""
    return {folded(share.partner): share.partner for share in shares}


def new_desk(shop: Shop, today: date) -> BooksDesk:
    """An empty desk for a shop."""
    smallest = unit(shop.settings.currency)
    shelf = Shelf(smallest, shop.settings.stock.method == "average")
    uncounted = frozenset(folded(item.name) for item in shop.settings.stock.items if not item.value.counted)
    for item in shop.settings.stock.items:
        shelf.names[folded(item.name)] = item.name
    jobs = {b.id: Job(b, max(b.sheet.units, 1), place="collection" if b.sheet.kind == "collection" else "shop") for b in shop.builds}
    kinds = {folded(kind.name): kind.name for kind in shop.settings.expense_kinds}
    partners = partners_named(share for build in shop.builds for share in build.sheet.share)
    return BooksDesk(shop, smallest, Ledger(today), shelf, Shelf(smallest), jobs, uncounted, kinds=kinds, partners=partners)
