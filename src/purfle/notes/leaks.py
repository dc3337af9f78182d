"""Private names, serials and amounts that stand in words meant for the public.

The showroom's types have no private field, so only what the builder wrote into public prose can leak; this finds it
before anything is published. A name is found whole, whatever its case; a person's single names are found as
written. An amount is found where it reads as money: with two decimals, or beside a currency.
Invariant: decides nothing about what is public beyond the flags in the notes; unsure means public.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.fields import Record
from purfle.notes.model import Body, Build, Shop
from purfle.notes.pictures import may_be_public
from purfle.notes.records.build import SpecItem, Specs
from purfle.notes.walk import records

_PERSON_FIELDS = ("buyer", "customer", "partner")
_FIRM_FIELDS = ("origin", "to")
_PUBLIC_ORIGINS = ("Disclosure",)


@dataclass(frozen=True, slots=True)
class Words:
    """Public words and where they begin."""

    text: str
    at: Place
    build: str | None


def check_leaks(shop: Shop, troubles: Troubles) -> None:
    """Tell of every private name, serial and amount in text that may be published."""
    public = list(_public_words(shop))
    _check_names(public, _private_names(shop, public), troubles)
    _check_serials(public, shop, troubles)
    _check_amounts(public, shop, troubles)


# --- what may be published --------------------------------------------------------------------------------------------


def _public_words(shop: Shop) -> Iterator[Words]:
    settings = shop.settings
    yield from _fields(settings, ("name", "place"), None)
    yield from _lines(shop.about, None)
    shown = {build.id for build in shop.builds if may_be_public(build)}
    for build in shop.builds:
        if build.id in shown:
            yield from _of_build(build)
    for note in shop.notes:
        if note.build in shown and note.sheet.showroom:
            yield from _lines(note.body, note.build)
    for episode in shop.episodes:
        if episode.sheet.showroom:
            yield from _fields(episode.sheet, ("title",), None)
            yield from _lines(episode.body, None)
    for bulletin in shop.bulletins:
        if bulletin.sheet.showroom:
            yield from _lines(bulletin.body, None)


def _of_build(build: Build) -> Iterator[Words]:
    yield from _fields(build.sheet, ("title", "instrument", "maker", "model", "year", "finish"), build.id)
    if build.sheet.specs is not None:
        yield from _of_specs(build.sheet.specs, build.id)
    yield from _lines(build.story, build.id)


def _of_specs(specs: Specs, build: str) -> Iterator[Words]:
    yield from _fields(specs, ("weight", "controls", "tuning"), build)
    for text in specs.other:
        yield Words(text, specs.where("other"), build)
    for item in (*specs.strings, *specs.pickups, *specs.leds, *specs.woods):
        if isinstance(item, SpecItem):
            yield from _fields(item, ("what", "used_for"), build)


def _fields(record: Record, names: tuple[str, ...], build: str | None) -> Iterator[Words]:
    for name in names:
        value = getattr(record, name)
        if value:
            yield Words(value, record.where(name), build)


def _lines(body: Body, build: str | None) -> Iterator[Words]:
    for number, line in enumerate(body.text.split("\n")):
        if line.strip():
            yield Words(line, Place(body.file, body.first_line + number), build)


# --- names ------------------------------------------------------------------------------------------------------------


def _private_names(shop: Shop, public: list[Words]) -> dict[str, str]:
    """Pattern → what to call it. Whole names fold case (marked by a leading ~); single names are matched as written."""
    said = _openly_named(shop)
    found: dict[str, str] = {}
    for name, person in _written_names(shop):
        if name.casefold() in said or not _proper(name):
            continue
        found["~" + name.casefold()] = name
        if person:
            found.update({word: name for word in re.findall(r"\b[A-ZÀ-Þ][\w'’]{2,}", name) if word.casefold() not in said})
    return found


def _written_names(shop: Shop) -> Iterator[tuple[str, bool]]:
    for supplier in shop.settings.suppliers:
        yield supplier.name, False
    for met in records(shop):
        if type(met.record).__name__ in _PUBLIC_ORIGINS:
            continue
        for field in (*_PERSON_FIELDS, *_FIRM_FIELDS):
            value = getattr(met.record, field, None)
            if isinstance(value, str) and value:
                yield value, field in _PERSON_FIELDS
        if type(met.record).__name__ == "Credit" and not getattr(met.record, "consent"):
            yield getattr(met.record, "name"), True


def _openly_named(shop: Shop) -> set[str]:
    """Names that are public elsewhere: builds and stock places, consented credits, disclosures, the shop's own words."""
    said = {"stock", "collection", "shop", *shop.names}
    for build in shop.builds:
        sheet = build.sheet
        said |= {word.casefold() for text in (sheet.title, sheet.maker, sheet.model, sheet.finish, shop.settings.name, shop.settings.place) if text for word in (text, *text.split())}
    for met in records(shop):
        kind = type(met.record).__name__
        name = getattr(met.record, "name", None) if kind == "Credit" and getattr(met.record, "consent") else getattr(met.record, "origin", None) if kind in _PUBLIC_ORIGINS else None
        if kind == "Consent" and getattr(met.record, "show"):
            name = getattr(met.record, "credit_as")
        if name:
            said |= {word.casefold() for word in (name, *name.split())}
    return said


def _proper(name: str) -> bool:
    """Whether it is a name and not a description such as "a player from the coast"."""
    words = name.split()
    return len(name) >= 3 and any(word[:1].isupper() for word in (words[1:] if words[0].casefold() in ("a", "an", "the", "my", "our") else words))


def _check_names(public: list[Words], names: dict[str, str], troubles: Troubles) -> None:
    whole = [key[1:] for key in names if key.startswith("~")]
    single = [key for key in names if not key.startswith("~")]
    folding = re.compile(r"(?<!\w)(" + "|".join(re.escape(n) for n in sorted(whole, key=len, reverse=True)) + r")(?!\w)", re.IGNORECASE) if whole else None
    exact = re.compile(r"(?<!\w)(" + "|".join(re.escape(n) for n in sorted(single, key=len, reverse=True)) + r")(?!\w)") if single else None
    for words in public:
        hit = (folding and folding.search(words.text)) or (exact and exact.search(words.text))
        if hit:
            troubles.add(_at(words, hit.start()), "leak-name", f"“{hit[0]}” is a private name and stands in public text", "take it out, put it in a ::: private block, or ask for consent and credit them")


def _at(words: Words, start: int) -> Place:
    return Place(words.at.file, words.at.line, words.at.column + start)


# --- serials and amounts ----------------------------------------------------------------------------------------------


def _check_serials(public: list[Words], shop: Shop, troubles: Troubles) -> None:
    serials = {_bare(b.sheet.serial): b.id for b in shop.builds if b.sheet.serial and not b.sheet.serial_public and len(_bare(b.sheet.serial)) >= 4}
    for words in public:
        bare = _bare(words.text)
        for serial, build in serials.items():
            if serial in bare and re.search(rf"(?<![A-Za-z0-9]){'[^A-Za-z0-9]*'.join(serial)}(?![A-Za-z0-9])", words.text, re.IGNORECASE):
                troubles.add(words.at, "leak-serial", f"the private serial of {build} stands in public text", "take it out, or write serial_public: yes on its sheet")


def _bare(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


_MONEY = re.compile(r"(?P<before>[$€£¥₩]|\b[A-Z]{3}\s)?\s?(?P<figure>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)(?P<after>\s?[$€£¥₩]|\s(?:dollars|euros?|pounds|bucks|quid|yen)\b|\s[A-Z]{3}\b)?")


def _check_amounts(public: list[Words], shop: Shop, troubles: Troubles) -> None:
    private = _private_amounts(shop)
    for words in public:
        for match in _MONEY.finditer(words.text):
            if _is_money(match, shop.settings.currency) and (value := Decimal(match["figure"].replace(",", ""))) in private.get(words.build, private[None]):
                troubles.add(_at(words, match.start("figure")), "leak-amount", f"{value} is an amount paid and stands in public text", "take it out, or put it in a ::: private block")


def _is_money(match: re.Match[str], currency: str) -> bool:
    before, after = (match["before"] or "").strip(), (match["after"] or "").strip()
    signs = {before, after} - {""}
    return any(sign == currency or not sign.isupper() for sign in signs) or bool(re.search(r"\.\d\d$", match["figure"]))


_AMOUNTS = ("price", "cost", "shipping", "value", "fees", "refund", "amount", "shipping_paid", "shipping_charged")
_OPEN_AMOUNTS = ("ForSale", "Channel", "Standing", "StockItem")


def _private_amounts(shop: Shop) -> dict[str | None, set[Decimal]]:
    """Amounts by build, and all of them under None; the price asked is public."""
    found: dict[str | None, set[Decimal]] = {None: set(), **{build.id: set() for build in shop.builds}}
    for met in records(shop):
        if type(met.record).__name__ in _OPEN_AMOUNTS:
            continue
        build = shop.find(getattr(met.record, "build", None)) or met.build
        for field in _AMOUNTS:
            value = getattr(met.record, field, None)
            if isinstance(value, Decimal) and value:
                for key in {None, build}:
                    found[key].add(value)
    for offered in shop.builds:
        if offered.sheet.for_sale is not None:
            found[offered.id].discard(offered.sheet.for_sale.asking)
            found[None].discard(offered.sheet.for_sale.asking)
    return found
