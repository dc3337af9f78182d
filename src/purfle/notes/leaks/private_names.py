"""The names that must not stand in public words: of buyers, customers, suppliers, and of whoever did not agree to be named.

A name is sought whole; the single names of a person are sought as written; one that may as well be a word, being one of the bench, short, typed small, or a
firm's or of someone met once, only where it is meant as a name.
Invariant: looks into records alone; what is public and what is found there is not known here.
"""

import re
from collections.abc import Iterable, Iterator, Mapping

from purfle.base.groups import grouped
from purfle.base.names import plain
from purfle.notes.leaks.everyday import GOODS, NOBODY, PLAIN_WORDS, WORDS
from purfle.notes.leaks.name_index import Names
from purfle.notes.model import Shop
from purfle.notes.openly import shown
from purfle.notes.records.build import Credit, MovedBuild
from purfle.notes.records.note import MovedPart, ShotTaken
from purfle.notes.records.sales import Commission, Consent, Sale, Share
from purfle.notes.records.show import Disclosure
from purfle.notes.vocabulary.fields import Record
from purfle.notes.walk import Found

_PERSON = {Sale: "buyer", Commission: "customer", Share: "partner"}
"""Records that name a person, and the field; in all others `from` and `to` name a firm or someone met once."""
_MAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_TELEPHONE = re.compile(r"\d(?:[ ()/.-]{0,2}\d){6,}")
_DAY = re.compile(r"(?<!\d)(?:(?:19|20)\d\d([-./])\d\d?\1\d\d?|\d\d?([-./])\d\d?\2(?:19|20)\d\d)(?!\d)")
_FEWEST = 6
"""Figures that a telephone number has without the noughts before it."""
_SUBSCRIBER = 9
"""Figures at the end of a telephone number that are the same with and without the prefix of a country, which also takes the place of a leading nought."""
_CAPITALS = re.compile(r"[A-Z][\w'’-]+(?: [A-Z][\w'’-]+)+")
"""Words with capitals that follow each other: a name within a description."""
_ASIDE = re.compile(r"\s*\([^()]*\)")
"""What stands in brackets in the middle of a name or behind it."""


def private_names(shop: Shop, met: tuple[Found, ...]) -> Names:
    """Every private name that is public nowhere else."""
    openly, own_title = _said_openly(shop, met)
    names = Names()
    for name, person, file, build in _written_names(shop, met):
        name = plain(name).strip()
        own = own_title.get(build or "", [])
        said = openly.difference(own) if person and not _parts(name).isdisjoint(own) else openly
        for mail in _MAIL.findall(name):
            names.whole.setdefault(mail, file)
        for number in _telephones(name):
            names.numbers.setdefault(number, file)
        if name.casefold() in said or not _words(name):
            continue
        if _proper(name):
            _add_whole(name, file, said, names, person)
        if person:
            _add_single(name, file, said, names)
        elif _proper(name):
            _add_words(name, file, said, names)
    return names


def _telephones(name: str) -> Iterator[str]:
    """The last figures of the telephone numbers in a name. A day is none, nor are figures of which only a few tell one from another, as in 000-0000."""
    for number in _TELEPHONE.findall(_DAY.sub("", name)):
        figures = re.sub(r"\D", "", number).lstrip("0")[-_SUBSCRIBER:]
        if len(figures) >= _FEWEST:
            yield figures


def _written_names(shop: Shop, met: Iterable[Found]) -> Iterator[tuple[str, bool, str, str | None]]:
    """Every private name, whether it is a person's, its file, and the build in whose sheet or note it stands."""
    for supplier in shop.settings.suppliers:
        yield supplier.name, False, supplier.at.file, None
    for found in met:
        yield from ((name, person, found.record.at.file, found.build) for name, person in _names_in(found.record))


def _names_in(record: Record) -> Iterator[tuple[str, bool]]:
    """The names in a record, each with whether it is a person's; none of who is named on air, and none of builds."""
    if isinstance(record, Disclosure | MovedPart | MovedBuild):
        return
    if isinstance(record, Credit) and not record.consent:
        yield record.name, True
    if isinstance(record, ShotTaken) and record.credit and not record.consent:
        yield record.credit, True
    person = _PERSON.get(type(record), "")
    for field in ("origin", "to", person):
        if name := getattr(record, field, None):
            yield name, field == person


def _said_openly(shop: Shop, met: Iterable[Found]) -> tuple[frozenset[str], Mapping[str, list[str]]]:
    """Names, and the words in them, that are public elsewhere: of builds that may be seen, of those who agreed or were disclosed; and by build
    those of them that its title alone says, which makes no person public whose name stands on that very build's sheet; many a build is called after the place
    or firm it came from."""
    seen = shown(shop)
    named = [shop.settings.name, shop.settings.place, *(_open_name(found.record) for found in met)]
    titled: dict[str, set[str]] = {}
    for build in shop.builds:
        if build.id in seen:
            named += [build.sheet.maker, build.sheet.model, build.sheet.finish]
            for part in _parts(build.sheet.title):
                titled.setdefault(part, set()).add(build.id)
    openly = frozenset(part for text in filter(None, named) for part in _parts(text))
    of_one = (part for part, builds in titled.items() if len(builds) == 1 and part not in openly)
    return openly | titled.keys(), grouped(of_one, lambda part: min(titled[part]))


def _parts(text: str) -> frozenset[str]:
    """A name and the words in it, in small letters."""
    return frozenset(part.casefold() for part in (plain(text), *_words(plain(text))))


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
    return len(name) >= 3 and any(word[0].isupper() and word.casefold() not in NOBODY for word in _words(name))


def _add_whole(name: str, file: str, said: frozenset[str], names: Names, person: bool) -> None:
    """A name of several words in any case, without what stands in brackets too, and any name within it; one of a single word, or a firm's of plain words
    alone, as written."""
    words = [word.casefold() for word in _words(name)]
    if len(words) == 1 or (not person and PLAIN_WORDS.issuperset(words)):
        (names.words if len(words) == 1 and words[0] in WORDS else names.single).update(dict.fromkeys((name, name.upper()), file))
    else:
        names.whole.setdefault(name, file)
        bare = _ASIDE.sub("", name)
        for inner in (*_CAPITALS.findall(bare), bare):
            if len(_words(inner)) > 1 and not all(_is_nobodys(word, said) for word in _words(inner)):
                names.whole.setdefault(inner, file)


def _add_single(name: str, file: str, said: frozenset[str], names: Names) -> None:
    """The single names of a person. Typed all small it may be a name of two or three words, or of one."""
    words = [word for word in _words(name) if not _is_nobodys(word, said)]
    untitled = [word for word in _words(name) if word.casefold() not in _TITLES]
    small = name == name.casefold() and len(words) == len(untitled) <= 3 and all(word.isalpha() for word in words)
    if small and len(words) > 1:
        names.whole.setdefault(name, file)
    for word in words:
        written = word.capitalize() if word.isupper() or small else word
        if "'" in word:
            bare = word.replace("'", "")
            names.single.update(dict.fromkeys((bare, bare.capitalize(), bare.upper()), file))
        if small and len(words) == 1 and len(word) >= 3:
            names.words.setdefault(written, file)
        elif len(word) >= 3 and (small or word[0].isupper()):
            if word.casefold() in WORDS:
                names.words.update({written: file, word.upper(): file})
            else:
                names.single.update({written: file, word: file, word.upper(): file})
        elif len(word) == 2 and word[0].isupper():
            names.words.setdefault(word, file)


_TITLES = frozenset("dr fr frau herr mme mr mrs ms miss prof sir".split())


def _add_words(name: str, file: str, said: frozenset[str], names: Names) -> None:
    """The words of what may be a firm or someone met once, but for those that firms have in common; none of a description such as "Saturday market"."""
    tried = (_words(name), _words(name.partition(",")[0]))  # "Nils Abernethy, a pawn shop": what it is stands behind the name
    for word in next((words for words in tried if all(word[0].isupper() or word in NOBODY for word in words)), ()):
        if len(word) >= 3 and word[0].isupper() and word.casefold() not in GOODS and not _is_nobodys(word, said):
            names.words.setdefault(word, file)


def _is_nobodys(word: str, said: frozenset[str]) -> bool:
    """Whether a word of a name tells nobody's, or is public anyhow."""
    return word.casefold() in NOBODY or word.casefold() in said
