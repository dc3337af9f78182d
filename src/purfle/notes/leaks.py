"""Private names, serials and amounts that stand in words meant for the public.

The showroom's types have no private field, so only what the builder wrote into public prose can leak; this finds it
before anything is published. A name is found whole, whatever its case and whatever breaks it; a person's single names are
found as written or in capitals. An amount is found where it reads as money (`purfle.notes.sums`).
Invariant: what may be published is not decided here but in `openly`.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass
from decimal import Decimal

from purfle.base.memo import Each, Latest
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles
from purfle.notes.fields import Record, keys_of
from purfle.notes.kinds import amount_fields
from purfle.notes.model import RECORDS, Shop
from purfle.notes.openly import Words, public_texts, record_words, text_words
from purfle.notes.records.build import Credit
from purfle.notes.records.sales import Commission, Consent, ForSale, Sale, Share
from purfle.notes.records.shop import Channel, Standing
from purfle.notes.records.show import Disclosure
from purfle.notes.retold import Retold
from purfle.notes.seen import Seen, seen
from purfle.notes.sums import sums
from purfle.notes.walk import Found

_BETWEEN = r"[\W_]{1,6}"

_PERSON = {Sale: "buyer", Commission: "customer", Share: "partner"}
"""Records that name a person, and the field; in all others `from` and `to` name a firm or someone met once."""


@dataclass(frozen=True, slots=True)
class _Sought:
    """What is looked for in public words."""

    names: tuple[re.Pattern[str], ...]
    """Searches for private names."""
    serials: Mapping[str, str]
    """What tells a private serial → its build."""
    longest: int
    """Letters in the longest of them."""
    amounts: Mapping[str | None, Set[Decimal]]
    """Private amounts by build, all of them under None."""
    builds: Mapping[str, str]
    """Title run together → build."""
    titles: re.Pattern[str] | None
    currency: str


def check_leaks(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of every private name, serial and amount in text that may be published."""
    sought = _SOUGHT.get("sought", RECORDS.of(shop), lambda own: _of_records(shop, met, own), troubles)
    for told in _TEXTS.of(public_texts(shop), (sought,), lambda holder: _leaks(text_words(holder), sought)):
        troubles.found.extend(told)


_SOUGHT = Retold()
"""What is looked for, with what of it stands in public words of the records themselves."""
_STEADY = Latest()
"""The last of what was looked for: while it is equal it is the very same."""
_TEXTS = Each()
"""What stands in each text."""


def _of_records(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> _Sought:
    """What is looked for; what of it stands in public words of the records is told at once."""
    titles = {_run_together(build.sheet.title): build.id for build in shop.builds if build.sheet.title}
    serials = _private_serials(shop)
    longest = max(map(len, serials), default=0)
    sought = _Sought(
        _name_searches(_private_names(shop, met)),
        serials,
        longest,
        _private_amounts(shop, met),
        titles,
        _any_of((title for title in titles if title), re.IGNORECASE),
        shop.settings.currency,
    )
    sought = _STEADY.get((), sought, lambda: sought)
    troubles.found.extend(_leaks(record_words(shop), sought))
    return sought


def _leaks(public: Iterable[Words], sought: _Sought) -> tuple[Trouble, ...]:
    told = Troubles()
    for words in map(seen, public):
        _check_names(words, sought.names, told)
        _check_serials(words, sought, told)
        _check_amounts(words, sought, told)
    return tuple(told.found)


# --- names ------------------------------------------------------------------------------------------------------------


def _private_names(shop: Shop, met: tuple[Found, ...]) -> tuple[frozenset[str], frozenset[str]]:
    """Whole names, to be found in any case, and single names of people, to be found as written."""
    said = _said_openly(shop, met)
    whole, single = set(), set()
    for name, person in _written_names(shop, met):
        name = unicodedata.normalize("NFC", name)
        if name.casefold() not in said and (_proper(name) or (person and _lower_case_name(name))):
            whole.add(name)
            if person:
                single |= {form for word in re.findall(r"\b[A-ZÀ-Þ][\w'’]{2,}", name) if word.casefold() not in said for form in (word, word.upper())}
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


_DESCRIBES = frozenset("a an the my our his her of from for in on at by to with and or who whose next old new local same some".split())  # noqa: SIM905


def _lower_case_name(name: str) -> bool:
    """Whether it may be a person's name typed without capitals: two or three words, none of which describes."""
    words = name.casefold().split()
    return 2 <= len(words) <= 3 and all(word.isalpha() for word in words) and not _DESCRIBES & set(words)


def _name_searches(names: tuple[frozenset[str], frozenset[str]]) -> tuple[re.Pattern[str], ...]:
    return tuple(search for search in (_any_of(names[0], re.IGNORECASE), _any_of(names[1], re.NOFLAG)) if search)


def _check_names(words: Seen, searches: Iterable[re.Pattern[str]], troubles: Troubles) -> None:
    lines: set[int] = set()
    for hit in (hit for search in searches for hit in search.finditer(words.text)):
        at = words.at(hit.start())
        if at.line in lines:
            continue
        lines.add(at.line)
        troubles.add(
            at,
            "leak-name",
            f"“{hit[0]}” is a private name and stands in public text",
            "take it out, put it in a ::: private block, or ask for consent and credit them",
        )


def _any_of(names: Iterable[str], flags: re.RegexFlag) -> re.Pattern[str] | None:
    """Any of the names; what stands between its words may be a line end, a dash or a few other signs."""
    longest_first = sorted((_BETWEEN.join(map(re.escape, name.split())) for name in names), key=lambda name: (-len(name), name))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", flags) if longest_first else None


def _run_together(name: str) -> str:
    """A name as it is looked up, whatever signs stand between its words: they are what `_any_of` lets stand there, too."""
    return re.sub(r"[\W_]+", " ", unicodedata.normalize("NFC", name)).strip().casefold()


# --- serials and amounts ----------------------------------------------------------------------------------------------


def _private_serials(shop: Shop) -> dict[str, str]:
    return {part: b.id for b in shop.builds if b.sheet.serial and not b.sheet.serial_public for part in _telling(b.sheet.serial)}


def _check_serials(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    met = _runs(words.text, sought.longest) & sought.serials.keys() if sought.serials else ()
    for build, serial in {sought.serials[part]: part for part in sorted(met, key=len)}.items():
        hit = re.search(rf"(?<![A-Za-z0-9]){'[^A-Za-z0-9]*'.join(serial)}(?![A-Za-z0-9])", words.text, re.IGNORECASE)
        at = words.at(hit.start() if hit else 0)
        troubles.add(at, "leak-serial", f"the private serial of {build} stands in public text", "take it out, or write serial_public: yes on its sheet")


def _runs(text: str, longest: int) -> set[str]:
    """Every run of whole words, joined, up to a length: a serial may be written with any marks and spaces in it."""
    words = _WORD.findall(text.casefold())
    found = set(words)
    for start in range(len(words) - 1):
        run = words[start]
        for word in words[start + 1 :]:
            run += word
            if len(run) > longest:
                break
            found.add(run)
    return found


_WORD = re.compile("[a-z0-9]+")


def _telling(serial: str) -> list[str]:
    """The serial, and its figures alone where there are enough to know it by."""
    bare = _bare(serial)
    return [part for part in dict.fromkeys((bare, *re.findall(r"\d{5,}", bare))) if len(part) >= 4]


def _bare(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def _check_amounts(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    told: set[Place] = set()
    private, builds = sought.amounts, sought.builds
    for start, value in sums(words.text, sought.currency, private[None]):
        spoken_of = {
            words.build,
            *(builds[name] for hit in (sought.titles.finditer(words.text) if sought.titles else ()) if (name := _run_together(hit[0])) in builds),
        }
        if any(value in private.get(build, private[None]) for build in spoken_of) and words.at(start) not in told:
            told.add(words.at(start))
            troubles.add(
                words.at(start), "leak-amount", f"{value} is an amount paid and stands in public text", "take it out, or put it in a ::: private block"
            )


_OF_NO_BUILD = (ForSale, Channel, Standing)


def _private_amounts(shop: Shop, met: Iterable[Found]) -> dict[str | None, set[Decimal]]:
    """Amounts by build, and all of them under None; the price asked is public."""
    private: dict[str | None, set[Decimal]] = {None: set(), **{build.id: set() for build in shop.builds}}
    for found in met:
        if isinstance(found.record, _OF_NO_BUILD):
            continue
        amounts = _amounts_of(found.record)
        private[None] |= amounts
        private[shop.find(getattr(found.record, "build", None)) or found.build] |= amounts
    for build in shop.builds:
        if build.sheet.for_sale is not None:
            private[build.id].discard(build.sheet.for_sale.asking)
            private[None].discard(build.sheet.for_sale.asking)
    return private


def _amounts_of(record: Record) -> set[Decimal]:
    """The amounts of a record, and what was paid in all where its way here or tax came on top."""
    amounts = {field: value for field, _ in amount_fields(type(record)) if (value := getattr(record, field))}
    price = amounts.get("price") or amounts.get("cost")
    on_top = [amounts[field] for field in ("shipping", "tax") if field in amounts]
    landed = {price + on_top[0], price + sum(on_top)} if price and on_top else set()
    return {*amounts.values(), *landed}
