"""Private names, serials and amounts that stand in words meant for the public.

The showroom's types have no private field, so only what the builder wrote into public prose can leak; this finds it
before anything is published. A name is found whole, whatever its case; a person's single names are found as
written. An amount is found where it reads as money: with two decimals, or beside a currency.
Invariant: what may be published is not decided here but in `openly`.
"""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.fields import Record, keys_of
from purfle.notes.model import Shop
from purfle.notes.openly import Words, public_words
from purfle.notes.records.build import Commission, Consent, Credit, ForSale, Sale, Share
from purfle.notes.records.shop import Channel, Standing
from purfle.notes.records.show import Disclosure
from purfle.notes.walk import Found

_PERSON = {Sale: "buyer", Commission: "customer", Share: "partner"}
"""Records that name a person, and the field; in all others `from` and `to` name a firm or someone met once."""


def check_leaks(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of every private name, serial and amount in text that may be published."""
    public = tuple(public_words(shop))
    _check_names(public, _private_names(shop, met), troubles)
    _check_serials(public, shop, troubles)
    _check_amounts(public, _private_amounts(shop, met), shop.settings.currency, troubles)


# --- names ------------------------------------------------------------------------------------------------------------


def _private_names(shop: Shop, met: tuple[Found, ...]) -> tuple[frozenset[str], frozenset[str]]:
    """Whole names, to be found in any case, and single names of people, to be found as written."""
    said = _said_openly(shop, met)
    whole, single = set(), set()
    for name, person in _written_names(shop, met):
        if name.casefold() not in said and _proper(name):
            whole.add(name)
            if person:
                single |= {word for word in re.findall(r"\b[A-ZÀ-Þ][\w'’]{2,}", name) if word.casefold() not in said}
    return frozenset(whole), frozenset(single)


def _written_names(shop: Shop, met: Iterable[Found]) -> Iterator[tuple[str, bool]]:
    """Every private name with whether it is a person's."""
    for supplier in shop.settings.suppliers:
        yield supplier.name, False
    for found in met:
        record = found.record
        if isinstance(record, Credit):
            if not record.consent:
                yield record.name, True
        elif not isinstance(record, Disclosure):
            yield from _names_in(record)


def _names_in(record: Record) -> Iterator[tuple[str, bool]]:
    fields = {name for name, _ in keys_of(type(record)).values()}
    for field in fields & {"origin", "to", _PERSON.get(type(record), "")}:
        value = getattr(record, field)
        if isinstance(value, str) and value:
            yield value, field == _PERSON.get(type(record))


def _said_openly(shop: Shop, met: Iterable[Found]) -> frozenset[str]:
    """Names, and the words in them, that are public elsewhere: of builds, of those who agreed or were disclosed."""
    named = [shop.settings.name, shop.settings.place, "stock", "collection", "shop"]
    for build in shop.builds:
        named += [build.id, build.sheet.title, build.sheet.maker, build.sheet.model, build.sheet.finish]
    named += [_open_name(found.record) for found in met]
    return frozenset(word.casefold() for text in named if text for word in (text, *text.split()))


def _open_name(record: Record) -> str | None:
    if isinstance(record, Credit):
        return record.name if record.consent else None
    if isinstance(record, Consent):
        return record.credit_as if record.show else None
    return record.origin if isinstance(record, Disclosure) else None


def _proper(name: str) -> bool:
    """Whether it is a name and not a description such as "a player from the coast"."""
    words = name.split()
    own = words[1:] if words[0].casefold() in ("a", "an", "the", "my", "our") else words
    return len(name) >= 3 and any(word[:1].isupper() for word in own)


def _check_names(public: Iterable[Words], names: tuple[frozenset[str], frozenset[str]], troubles: Troubles) -> None:
    searches = [search for search in (_any_of(names[0], re.IGNORECASE), _any_of(names[1], re.NOFLAG)) if search]
    for words in public:
        hit = next((hit for search in searches if (hit := search.search(words.text))), None)
        if hit:
            troubles.add(_at(words, hit.start()), "leak-name", f"“{hit[0]}” is a private name and stands in public text", "take it out, put it in a ::: private block, or ask for consent and credit them")


def _any_of(names: Iterable[str], flags: re.RegexFlag) -> re.Pattern[str] | None:
    longest_first = sorted(map(re.escape, names), key=lambda name: (-len(name), name))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", flags) if longest_first else None


def _at(words: Words, start: int) -> Place:
    return Place(words.at.file, words.at.line, words.at.column + start)


# --- serials and amounts ----------------------------------------------------------------------------------------------


def _check_serials(public: Iterable[Words], shop: Shop, troubles: Troubles) -> None:
    serials = {_bare(b.sheet.serial): b.id for b in shop.builds if b.sheet.serial and not b.sheet.serial_public and len(_bare(b.sheet.serial)) >= 4}
    for words in public:
        bare = _bare(words.text)
        for serial, build in serials.items():
            if serial in bare and re.search(rf"(?<![A-Za-z0-9]){'[^A-Za-z0-9]*'.join(serial)}(?![A-Za-z0-9])", words.text, re.IGNORECASE):
                troubles.add(words.at, "leak-serial", f"the private serial of {build} stands in public text", "take it out, or write serial_public: yes on its sheet")


def _bare(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


_MONEY = re.compile(r"(?P<before>[$€£¥₩]|\b[A-Z]{3}\s)?\s?(?P<figure>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)(?P<after>\s?[$€£¥₩]|\s(?:dollars|euros?|pounds|bucks|quid|yen)\b|\s[A-Z]{3}\b)?")


def _check_amounts(public: Iterable[Words], private: dict[str | None, set[Decimal]], currency: str, troubles: Troubles) -> None:
    for words in public:
        for match in _MONEY.finditer(words.text):
            if _is_money(match, currency) and (value := Decimal(match["figure"].replace(",", ""))) in private.get(words.build, private[None]):
                troubles.add(_at(words, match.start("figure")), "leak-amount", f"{value} is an amount paid and stands in public text", "take it out, or put it in a ::: private block")


def _is_money(match: re.Match[str], currency: str) -> bool:
    before, after = (match["before"] or "").strip(), (match["after"] or "").strip()
    signs = {before, after} - {""}
    return any(sign == currency or not sign.isupper() for sign in signs) or bool(re.search(r"\.\d\d$", match["figure"]))


_AMOUNTS = frozenset(("price", "cost", "shipping", "value", "fees", "refund", "amount", "shipping_paid", "shipping_charged"))
_OF_NO_BUILD = (ForSale, Channel, Standing)


def _private_amounts(shop: Shop, met: Iterable[Found]) -> dict[str | None, set[Decimal]]:
    """Amounts by build, and all of them under None; the price asked is public."""
    private: dict[str | None, set[Decimal]] = {None: set(), **{build.id: set() for build in shop.builds}}
    for found in met:
        if isinstance(found.record, _OF_NO_BUILD):
            continue
        amounts = {value for name in _amount_fields(type(found.record)) if (value := getattr(found.record, name))}
        private[None] |= amounts
        private[shop.find(getattr(found.record, "build", None)) or found.build] |= amounts
    for build in shop.builds:
        if build.sheet.for_sale is not None:
            private[build.id].discard(build.sheet.for_sale.asking)
            private[None].discard(build.sheet.for_sale.asking)
    return private


def _amount_fields(record: type[Record]) -> list[str]:
    return [name for name, _ in keys_of(record).values() if name in _AMOUNTS]
