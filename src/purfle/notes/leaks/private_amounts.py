"""The amounts that must not stand in public words, and the builds they belong to: each as it is written and as it comes to in all.

Invariant: looks into records alone; how a sum may be written is not known here.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from purfle.base.names import plain
from purfle.notes.model import Shop
from purfle.notes.records.note import Bought, Lot, MovedPart
from purfle.notes.records.sales import Commission, ForSale, Sale
from purfle.notes.records.shop import Channel, ShippingSheet, ShopSheet, Standing
from purfle.notes.vocabulary.fields import Record
from purfle.notes.vocabulary.kinds import amount_fields
from purfle.notes.walk import Found

_OF_NO_BUILD = (ForSale, Channel, ShippingSheet, ShopSheet, Standing)
"""Records whose amounts are the shop's terms, and not what was paid for anything."""
_LEAST_SHARED = 10
"""Smaller figures with decimals are measures as often as sums."""


@dataclass(frozen=True, slots=True)
class Amounts:
    """What is looked for."""

    of: Mapping[str | None, set[Decimal]]
    """Amounts by build, and all of them under None, less any price asked."""
    wanted: set[Decimal]
    """All of them: what is asked for one build may have been paid for another."""
    shared: set[Decimal]
    """Those of no build in particular that count for each."""
    goods: Mapping[Decimal, set[str]]
    """How the words begin that name what was paid for with an amount, in small letters."""


def private_amounts(shop: Shop, met: Iterable[Found]) -> Amounts:
    """The amounts of a shop; the price asked is public.

    What was paid for no build in particular counts for each when it is known to the cent: hardly another sum is the same by chance.
    """
    goods: dict[Decimal, set[str]] = {}
    private: dict[str | None, set[Decimal]] = {None: set(), **{build.id: set() for build in shop.builds}}
    shared: set[Decimal] = set()
    for found in met:
        if isinstance(found.record, _OF_NO_BUILD) or not (amounts := _amounts_of(found.record)):
            continue
        builds = _builds_of(shop, found)
        private[None] |= amounts
        if named := set(_goods_in(found.record)):
            for amount in amounts:
                goods.setdefault(amount, set()).update(named)
        for build in builds:
            private[build] |= amounts
        if not builds:
            shared.update(amount for amount in amounts if amount >= _LEAST_SHARED and amount != amount.to_integral_value())
    for each in shop.builds:
        if each.sheet.for_sale is not None:
            for amounts in (private[each.id], private[None], shared):
                amounts.discard(each.sheet.for_sale.asking)
    return Amounts(private, set().union(shared, *private.values()), shared, goods)


_NAMED = ("part", "item", "what", "lot")
_TELLING = 4  # letters of a word from which on it tells what is meant


def _goods_in(record: Record) -> Iterator[str]:
    """The words by which a record calls what was paid for, less an ending."""
    for name in _NAMED:
        if called := getattr(record, name, None):
            yield from _telling(str(called))


@lru_cache(maxsize=4096)
def _telling(text: str) -> tuple[str, ...]:
    stems = (word.removesuffix("s") for word in re.findall(r"[^\W\d_]+", plain(text).casefold()))
    return tuple(stem for stem in stems if len(stem) >= _TELLING and stem not in _SAYS_NOTHING)


_SAYS_NOTHING = frozenset("deposit balance instalment refund share from with".split())


def _builds_of(shop: Shop, found: Found) -> set[str]:
    """The builds that a record is about: the one it stands with, and those it names."""
    named = {shop.find(name) for name in _names_in(found.record)}
    return {build for build in (found.build, *named) if build is not None}


def _names_in(record: Record) -> Iterator[str | None]:
    yield getattr(record, "build", None)
    if isinstance(record, Bought):
        yield record.build_named(None)
    elif isinstance(record, Lot):
        yield from (value.name for value in record.values)
    elif isinstance(record, MovedPart):
        yield from (record.origin, record.to)
    elif isinstance(record, Sale):
        yield from record.bundled


def _amounts_of(record: Record) -> set[Decimal]:
    """The amounts of a record, and what they come to."""
    written = {field: value for field, _ in amount_fields(type(record)) if (value := getattr(record, field))}
    price = written.get("price") or written.get("cost")
    amounts = {*written.values(), *(_reckoned(record, price, written) if price else ())}
    if isinstance(record, Lot):
        amounts |= {value.value for value in record.values}
    return {amount for amount in amounts if amount > 0}


def _reckoned(record: Record, price: Decimal, written: Mapping[str, Decimal]) -> Iterator[Decimal]:
    """What was paid in all where its way here, tax or extras came on top; what was left after a discount and fees; the price of one of several."""
    on_top = [written[field] for field in ("shipping", "tax") if field in written]
    if on_top:
        yield price + on_top[0]
        yield price + sum(on_top)
    left = price - written.get("discount", Decimal(0))
    in_all = left + written.get("shipping_charged", Decimal(0))
    yield from (left, in_all, in_all - written.get("fees", Decimal(0)))
    if isinstance(record, Commission):
        yield price + sum(extra.price for extra in record.extras)
    pieces = getattr(record, "qty", None) or 1
    if (each := price / pieces) == round(each, 2):
        yield each
