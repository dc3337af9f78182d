"""How amounts are written: currencies and a locale that exist, and amounts no finer than their currency.

Invariant: converts and rounds nothing, and writes nothing by a locale; the usual one is never looked up.
"""

from decimal import Decimal

from purfle.base.locales import USUAL, like, locale_of
from purfle.base.money import minor_units, rounded, unit
from purfle.base.money import places as minor_places
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Shop
from purfle.notes.records.note import Lot
from purfle.notes.vocabulary.fields import Record
from purfle.notes.vocabulary.kinds import amount_fields
from purfle.notes.walk import Found


def check_amounts(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of currencies that ISO 4217 does not list, and of amounts that will be rounded."""
    known = minor_units()
    for found in met:
        currency = getattr(found.record, "currency", None) or shop.settings.currency
        if currency in known:
            _check_fine(found.record, currency, currency == shop.settings.currency, troubles)
        elif found.record.wrote("currency"):
            mend = "write the three letters of its code, such as EUR"
            troubles.add(found.record.where("currency"), "currency-unknown", f"currency: {currency} is not in ISO 4217", mend)


_THOUSANDS = 3
"""Digits that a point parts where it parts thousands."""


def may_part_thousands(value: Decimal, currency: str) -> bool:
    """Whether the point of an amount may stand between thousands: 1.450 is 1450 in much of Europe, and 0.450 is no such number."""
    return minor_places(currency) < _THOUSANDS and value.as_tuple().exponent == -_THOUSANDS and 1 <= value < 1000


def whichever_sum(value: Decimal, currency: str) -> str:
    """The two sums that such an amount may mean, as they would be written."""
    return f"{rounded(value, unit(currency))} or {value.scaleb(_THOUSANDS):f}, whichever is meant"


def _check_thousands(value: Decimal, at: Place, word: str, currency: str, troubles: Troubles) -> bool:
    """Tell of an amount whose point may stand between thousands; gives whether it may."""
    if told := may_part_thousands(value, currency):
        found = f"{word}: amount {value} has three digits after its point: it could mean two different sums"
        troubles.add(at, "amount-unclear", found, f"write {whichever_sum(value, currency)}")
    return told


def _check_fine(record: Record, currency: str, at_home: bool, troubles: Troubles) -> None:
    """An amount that stands alone is rounded itself; of several on a line, of foreign money and of a rate what they come to is, once."""
    fields, places = amount_fields(type(record)), minor_places(currency)
    if isinstance(record, Lot):
        for named in record.values:
            _check_thousands(named.value, named.value_at, named.name, currency, troubles)
    for name, word in fields:
        value = getattr(record, name)
        if isinstance(value, Decimal) and "rate" not in word and _check_thousands(value, record.where(name), word, currency, troubles):
            continue
        if isinstance(value, Decimal) and -int(value.as_tuple().exponent) > places and value != (kept := rounded(value, unit(currency))):
            alone = at_home and "rate" not in word and not any(getattr(record, other) for other, _ in fields if other != name)
            found = f"{word}: {value} has more decimals than {currency} has; " + (f"it is rounded to {kept}" if alone else "what it comes to is rounded once")
            troubles.add(record.where(name), "amount-too-fine", found, f"write it with {places} decimals, or without a point if it was meant to part thousands")


def check_locale(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of a locale that does not exist, and of the one that stands in for it."""
    name = shop.settings.locale
    if name == USUAL or locale_of(name) is not None:
        return
    stands_in = like(name)
    troubles.add(
        shop.settings.where("locale"),
        "locale-unknown",
        f"locale: “{name}” is not known; amounts and dates are written as in {stands_in}",
        "write a language and a country, such as en_GB" if str(stands_in) == USUAL else f"write {stands_in}, or it with a country that speaks it",
    )
