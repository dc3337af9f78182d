"""Whose names must not stand in public words: buyers, customers, suppliers, whoever did not agree to be named.

A name is sought whole, whatever its case. The single names of a person are sought as written or in capitals; one that may as well be a word, being
short or typed small, only where a capital stands within a sentence.
Invariant: looks into records alone; what is public and what is found there is not known here.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from purfle.notes.everyday import (
    DESCRIBES,
    DOES,
    EVERYDAY,
    IN_A_YEAR,
    MODAL,
    MONTHS,
    NO_DAY,
    NO_WILL,
    NOT_A_PERSON,
    NOT_BESIDE,
    PARTICLES,
    PLAIN_WORDS,
    TITLED,
    TRADE,
)
from purfle.notes.fields import Record, keys_of
from purfle.notes.model import Shop
from purfle.notes.openly import shown
from purfle.notes.records.build import Credit, MovedBuild
from purfle.notes.records.note import MovedPart, ShotTaken
from purfle.notes.records.sales import Commission, Consent, Sale, Share
from purfle.notes.records.show import Disclosure
from purfle.notes.seen import plain
from purfle.notes.spelling import any_of, run_together
from purfle.notes.walk import Found

_PERSON = {Sale: "buyer", Commission: "customer", Share: "partner"}
"""Records that name a person, and the field; in all others `from` and `to` name a firm or someone met once."""
_WITHIN = r"(?<=[a-z,;]\s)"
"""Inside a sentence, where a capital is that of a name."""
_HOST = r"(?:(?<=@)|(?<=//)|(?<=www\.))"
_ADDRESS = rf"(?:(?<=#)|{_HOST})"
"""Where an address or a handle begins, which has no capitals."""
_CONTACT = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+|\+?\d(?:[ ()/.-]{0,2}\d){6,}")
"""A mail address or a telephone number."""
_CAPITALS = re.compile(r"[A-Z][\w'’-]+(?: [A-Z][\w'’-]+)+")
"""Words with capitals that follow each other: a name within a description."""


@dataclass(slots=True)
class PrivateNames:
    """Names by how surely they are ones, each with the file in which it stands."""

    whole: dict[str, str] = field(default_factory=dict)
    """To be found in any case."""
    single: dict[str, str] = field(default_factory=dict)
    """To be found as written."""
    within: dict[str, str] = field(default_factory=dict)
    """To be found as written, inside a sentence."""
    trade: dict[str, str] = field(default_factory=dict)
    """Words of the trade: to be found as written, inside a sentence or where they do what people do."""

    def searches(self) -> tuple[re.Pattern[str], ...]:
        """What finds them in words that are `seen`."""
        months = {name for name in self.single if re.fullmatch(MONTHS, name, re.IGNORECASE)}
        modal = {name for name in self.single if name.casefold() == "will"}
        found = (
            any_of(self.whole, re.IGNORECASE),
            any_of(self.single.keys() - months - modal, re.NOFLAG),
            any_of(modal, re.NOFLAG, "", MODAL + NO_WILL),
            any_of(months, re.NOFLAG, IN_A_YEAR, NO_DAY + MODAL),
            any_of(self.within, re.NOFLAG, _WITHIN),
            any_of(self.trade, re.NOFLAG, _WITHIN + NOT_BESIDE, NOT_A_PERSON),
            any_of(self.trade, re.NOFLAG, NOT_BESIDE, DOES),
            any_of(self.trade, re.NOFLAG, TITLED),
            any_of({*self.single, *self.within} - months - modal, re.IGNORECASE, _ADDRESS),
            any_of({*self.trade, *months, *modal}, re.IGNORECASE, _HOST),
        )
        return tuple(search for search in found if search)

    def files(self) -> Mapping[str, str]:
        """The file in which each stands, by the name run together; no lines, for those move with every key that is added above."""
        return {run_together(name): file for names in (self.trade, self.within, self.single, self.whole) for name, file in names.items()}


def private_names(shop: Shop, met: tuple[Found, ...]) -> PrivateNames:
    """Every private name that is public nowhere else."""
    said = _said_openly(shop, met)
    names = PrivateNames()
    for name, person, file in _written_names(shop, met):
        name = plain(name).strip()
        for contact in _CONTACT.findall(name):
            names.whole.setdefault(contact, file)
        if name.casefold() in said or not _words(name):
            continue
        if _proper(name):
            _add_whole(name, file, said, names, person)
        if person:
            _add_single(name, file, said, names)
    return names


def _written_names(shop: Shop, met: Iterable[Found]) -> Iterator[tuple[str, bool, str]]:
    """Every private name, whether it is a person's, and its file."""
    for supplier in shop.settings.suppliers:
        yield supplier.name, False, supplier.at.file
    for found in met:
        record = found.record
        if isinstance(record, Credit):
            if not record.consent:
                yield record.name, True, record.at.file
        elif not isinstance(record, Disclosure):
            yield from _names_in(record)


def _names_in(record: Record) -> Iterator[tuple[str, bool, str]]:
    if isinstance(record, ShotTaken) and record.credit and not record.consent:
        yield record.credit, True, record.at.file
    fields = {name for name, _ in keys_of(type(record)).values()} if not isinstance(record, MovedPart | MovedBuild) else set()
    for name in fields & {"origin", "to", _PERSON.get(type(record), "")}:
        value = getattr(record, name)
        if isinstance(value, str) and value:
            yield value, name == _PERSON.get(type(record)), record.at.file


def _said_openly(shop: Shop, met: Iterable[Found]) -> frozenset[str]:
    """Names, and the words in them, that are public elsewhere: of builds that may be seen, of those who agreed or were disclosed."""
    seen = shown(shop)
    named = [shop.settings.name, shop.settings.place, *(_open_name(found.record) for found in met)]
    for build in shop.builds:
        if build.id in seen:
            named += [build.sheet.title, build.sheet.maker, build.sheet.model, build.sheet.finish]
    return frozenset(part.casefold() for text in map(plain, filter(None, named)) for part in (text, *_words(text)))


def _open_name(record: Record) -> str | None:
    if isinstance(record, Credit):
        return record.name if record.consent else None
    if isinstance(record, Consent):
        return record.credit_as if record.show else None
    return record.origin if isinstance(record, Disclosure) else None


def _words(name: str) -> list[str]:
    return re.findall(r"[^\W_]+(?:'[^\W_]+)*", name)


def _proper(name: str) -> bool:
    """Whether it is a name and not a description such as "a player from the coast"."""
    words = _words(name)
    own = words[1:] if words[0].casefold() in ("a", "an", "the", "my", "our") else words
    return len(name) >= 3 and any(word[0].isupper() and word.casefold() not in EVERYDAY for word in own)


def _add_whole(name: str, file: str, said: frozenset[str], names: PrivateNames, person: bool) -> None:
    """A name of several words in any case, and any name within it; one of a single word, or a firm's of plain words alone, as written."""
    if len(_words(name)) == 1:
        (names.trade if name.casefold() in TRADE else names.single).update(dict.fromkeys((name, name.upper()), file))
        return
    if not person and all(word.casefold() in PLAIN_WORDS for word in _words(name)):
        names.single.update(dict.fromkeys((name, name.upper()), file))
        return
    names.whole.setdefault(name, file)
    for inner in _CAPITALS.findall(name):
        if not all(word.casefold() in said | EVERYDAY for word in _words(inner)):
            names.whole.setdefault(inner, file)


def _add_single(name: str, file: str, said: frozenset[str], names: PrivateNames) -> None:
    """The single names of a person. Typed all small it may be a name of two or three words, or of one."""
    words = [word for word in _words(name) if word.casefold() not in said | PARTICLES | EVERYDAY | DESCRIBES]
    small = name == name.casefold() and len(words) == len(_words(name)) <= 3 and all(word.isalpha() for word in words)
    if small and len(words) > 1:
        names.whole.setdefault(name, file)
    for word in words:
        forms = dict.fromkeys((word.capitalize() if word.isupper() or small else word, word, word.upper()), file)
        if small and len(words) == 1 and len(word) >= 3:
            names.within.setdefault(word.capitalize(), file)
        elif word.casefold() in TRADE:
            names.trade.update(forms)
        elif len(word) >= 3 and (small or word[0].isupper()):
            names.single.update(forms)
        elif len(word) == 2 and word[0].isupper():
            names.within.setdefault(word, file)
