"""Private names, serials and amounts that stand in words meant for the public.

The showroom's types have no private field, so only what the builder wrote into public prose can leak; this finds it
before anything is published: a name (`private_names`, however it is spelt), a serial whatever parts it, and an amount
(`private_amounts`) where it reads as money (`sums`).
Invariant: what may be published is not decided here but in `openly`.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from itertools import chain

from purfle.base.endings import ENDING
from purfle.base.groups import lots
from purfle.base.memo import Memo, steady, very
from purfle.base.names import plain
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Troubles
from purfle.notes.leaks.name_index import NameIndex
from purfle.notes.leaks.private_amounts import Amounts, private_amounts
from purfle.notes.leaks.private_names import private_names
from purfle.notes.leaks.seen import Seen, readings
from purfle.notes.leaks.spelling import any_of, run_together
from purfle.notes.leaks.sums import sums, tells_of_a_deal
from purfle.notes.model import Shop
from purfle.notes.openly import Holder, Words, record_words, text_words
from purfle.notes.retold import retold
from purfle.notes.same import mark_of_records
from purfle.notes.walk import Found, records


@dataclass(frozen=True, slots=True)
class _Sought:
    """What is looked for in public words."""

    names: NameIndex
    whose: Mapping[str, str]
    """The file in which each of them stands, by the name run together."""
    serials: Mapping[str, str]
    """What tells a private serial → its build."""
    beginnings: Set[str]
    """What a serial may begin with: its first letter, its first two, and so on up to the whole."""
    amounts: Amounts
    builds: Mapping[str, str]
    """Title run together → build."""
    titles: re.Pattern[str] | None
    currency: str
    files: frozenset[str]
    """The names of pictures and sounds, as far as no space parts them."""


def check_leaks(shop: Shop, public: Sequence[Holder], met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of every private name, serial and amount in public texts."""
    sought = _sought(shop, met, troubles)
    for start, lot in lots(public):
        troubles.found.extend(_LOTS.get(start, (*lot, sought), partial(_of_texts, lot, sought), very))


def leaks_beside_notes(shop: Shop, texts: Iterable[Words]) -> tuple[Trouble, ...]:
    """What of a shop's private names, serials and amounts stands in public texts that are no notes."""
    typed = tuple(texts)
    if not typed:
        return ()  # most shops have none, and what to look for is worked out of every record
    sought = _sought(shop, records(shop), Troubles())
    return tuple(replace(told, mend="take it out") for words in typed for told in _leaks_in(words, sought, (_check_names, _check_serials, _check_amounts)))


_SOUGHT = Memo()
"""What is looked for, with what of it stands in public words of the records themselves."""
_LOTS, _TEXTS = Memo(), Memo()
"""What stands in a lot of texts; what stands in each, by the number in memory of what holds it: that is held beside it, so no other can have its number."""


def _sought(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> _Sought:
    """What is looked for; what of it stands in public words of the records is told at once."""
    return retold(_SOUGHT, (), (mark_of_records(shop), shop.assets), lambda own: _of_records(shop, met, own), troubles)


def _of_texts(holders: Iterable[Holder], sought: _Sought) -> tuple[Trouble, ...]:
    told = (_TEXTS.get(id(holder), (holder, sought), partial(_of_text, holder, sought), very) for holder in holders)
    return tuple(chain.from_iterable(told))


def _of_text(holder: Holder, sought: _Sought) -> tuple[Trouble, ...]:
    return _leaks(text_words(holder), sought)


def _of_records(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> _Sought:
    titles = {run_together(build.sheet.title): build.id for build in shop.builds if build.sheet.title}
    names = private_names(shop, met)
    serials = _private_serials(shop)
    sought = _Sought(
        names=names.index(),
        whose=names.files(),
        serials=serials,
        beginnings=frozenset(serial[:end] for serial in serials for end in range(1, len(serial) + 1)),
        amounts=private_amounts(shop, met),
        builds=titles,
        titles=any_of(build.sheet.title for build in shop.builds),
        currency=shop.settings.currency,
        files=frozenset(name.rpartition("/")[2].casefold().rpartition(" ")[2] for name in shop.assets),
    )
    sought = steady("looked for in public words", sought)
    troubles.found.extend(_leaks(record_words(shop), sought))
    return sought


def _leaks(public: Iterable[Words], sought: _Sought) -> tuple[Trouble, ...]:
    checks = (_check_names, _check_serials, _check_amounts, _check_files, _check_said_private)
    return tuple(trouble for words in public for trouble in _leaks_in(words, sought, checks))


_Check = Callable[[Seen, _Sought, Troubles], None]


def _leaks_in(words: Words, sought: _Sought, checks: Iterable[_Check]) -> Iterator[Trouble]:
    """What each reading of the words tells, less what an earlier one told of the line."""
    told: set[tuple[str, int]] = set()
    for reading in readings(words):
        own = Troubles()
        for check in checks:
            check(reading, sought, own)
        yield from (trouble for trouble in own.found if (trouble.code, trouble.place.line) not in told)
        told |= {(trouble.code, trouble.place.line) for trouble in own.found}


# --- names ------------------------------------------------------------------------------------------------------------


def _check_names(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    lines: set[int] = set()
    for hit in sought.names.hits(words):
        at = words.at(hit.start("name"))
        if at.line in lines:
            continue
        lines.add(at.line)
        whose = sought.whose.get(run_together(hit["name"]))
        troubles.add(
            at,
            "leak-name",
            f"“{hit['name']}” is a private name{f' of {whose}' if whose else ''} and stands in public text",
            "take it out, put it in a ::: private block, or ask for consent and credit them; if it is only a word here, write it where it needs no capital",
        )


# --- words that were to be private ------------------------------------------------------------------------------------

_SAID_PRIVATE = re.compile(
    r"^(?!(?-i:private)[.!?]\s*$)[^\w\n]{0,20}(?:not )?private(?: (?:notes?|part|words))?(?:[^\w\n]{0,20}$| ?: ?[^\s:])|<[^<>\n]{0,40}\bprivate\b[^<>\n]{0,40}>",
    re.IGNORECASE | re.MULTILINE,
)
"""A line, or a heading, of that word alone, or one that begins with it and a colon; a tag of it. `private.` alone is the end of a wrapped sentence."""


def _check_said_private(words: Seen, _: _Sought, troubles: Troubles) -> None:
    """Tell of `Private: he paid …`: it says what the words are and hides nothing."""
    if hit := _SAID_PRIVATE.search(words.text):
        found = "public words are said to be private here, and no block holds them"
        troubles.add(words.at(hit.start()), "private-unopened", found, "write ::: private on a line of its own before them, and ::: on another where they end")


# --- serials and amounts ----------------------------------------------------------------------------------------------


def _private_serials(shop: Shop) -> dict[str, str]:
    private = (b for b in shop.builds if b.sheet.serial and not b.sheet.serial_public)
    return {part: b.id for b in private for part in _telling(b.sheet.serial or "") if part not in re.findall(r"\d+", b.sheet.year or "")}


_FIGURES = re.compile(r"\d{5,}")
"""Figures that may be those of a serial, whatever letters they are glued to: SN10417."""


def _check_serials(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    met = _serials_in(words.words, sought) | (sought.serials.keys() & _FIGURES.findall(words.text))
    for build, serial in {sought.serials[part]: part for part in sorted(met, key=lambda part: (len(part), part))}.items():
        yearlike = _YEARLIKE.fullmatch(serial) is not None
        if yearlike and build not in _spoken_of(words, sought) and not _SERIAL.search(words.text):
            continue
        apart = r"[\s-]*" if yearlike else "[^A-Za-z0-9]*"
        hit = re.search(rf"(?<![A-Za-z0-9]){apart.join(serial)}(?![A-Za-z0-9])", words.text, re.IGNORECASE)
        if yearlike and hit is None:
            continue
        at = words.at(hit.start() if hit else 0)
        troubles.add(at, "leak-serial", f"the private serial of {build} stands in public text", "take it out, or write serial_public: yes on its sheet")


_YEARLIKE = re.compile(r"\d{4}")
"""Four figures are also a year, a grit or a measure: they tell a serial only where its build, or a serial, is spoken of."""
_SERIAL = re.compile(r"\b(?:serials?|stamped|stamp|engraved|S/N)\b|(?:\b(?:number|no\.|nr\.?)|#)\s?(?=\d)", re.IGNORECASE)


def _serials_in(words: list[str], sought: _Sought) -> set[str]:
    """The serials that whole words make when they are joined: one may be written with any marks and spaces in it."""
    found: set[str] = set()
    if sought.beginnings.isdisjoint(words):  # so it is with nearly every text
        return found
    for start, word in enumerate(words):
        run, following = word, start + 1
        while run in sought.beginnings:
            if run in sought.serials:
                found.add(run)
            if following == len(words):
                break
            run, following = run + words[following], following + 1
    return found


def _telling(serial: str) -> list[str]:
    """The serial, and its figures alone where there are enough to know it by; nothing of words such as "none" or "worn away"."""
    bare = _bare(serial)
    if not re.search(r"\d", bare) and (not serial.isupper() or bare in _NO_SERIAL):
        return []
    return [part for part in dict.fromkeys((bare, *re.findall(r"\d{5,}", bare))) if len(part) >= 4]


_NO_SERIAL = frozenset("none nonumber notlegible illegible missing unknown unreadable".split())


def _bare(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", plain(text).casefold())


def _check_amounts(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    told: set[Place] = set()
    own: Set[Decimal] | None = None
    for start, value in sums(words, sought.currency, sought.amounts.wanted, sought.amounts.goods):
        own = _amounts_spoken_of(words, sought) if own is None else own
        private = value in own or value in sought.amounts.shared if words.written.build is not None else value in sought.amounts.of[None]
        if not private or (at := words.at(start)) in told:
            continue
        told.add(at)
        if value in own or not _is_common(value) or tells_of_a_deal(words.text, start):
            troubles.add(at, "leak-amount", f"{value} is an amount paid and stands in public text", "take it out, or put it in a ::: private block")
        else:
            found = f"{value} stands in public text and is also an amount paid for something"
            troubles.add(at, "amount-alike", found, "take it out if it is that amount, or leave it if it is another that comes to the same")


def _amounts_spoken_of(words: Seen, sought: _Sought) -> Set[Decimal]:
    """The amounts of the build the words are about, and of those they name."""
    return frozenset().union(*(sought.amounts.of.get(build, sought.amounts.of[None]) for build in _spoken_of(words, sought)))


def _spoken_of(words: Seen, sought: _Sought) -> Set[str]:
    """The build that words are about, and those they name."""
    named = (run_together(hit["name"]) for hit in sought.titles.finditer(words.text)) if sought.titles else ()
    return {*filter(None, [words.written.build]), *(sought.builds[name] for name in named if name in sought.builds)}


def _is_common(amount: Decimal) -> bool:
    """Whether an amount is so round that many a price is the same by chance, as 12, 45, 250 and 1200 are."""
    return len(amount.normalize().as_tuple().digits) <= _COMMON_DIGITS and amount == amount.to_integral_value()


_COMMON_DIGITS = 2


# --- names of files ---------------------------------------------------------------------------------------------------

_FILE = re.compile(rf"(?<![^\s()\[\]<>\"'=|])[^\s()\[\]<>\"'=|]{{1,300}}{ENDING}(?![^\W_])", re.IGNORECASE)
_BRACKETS = frozenset("[](<>\"'=|")


def _check_files(words: Seen, sought: _Sought, troubles: Troubles) -> None:
    """Tell of a file that was to be shown and whose name a visitor would read: where a picture's brackets are broken, Markdown shows them as they are."""
    for hit in _FILE.finditer(words.text) if "." in words.text else ():
        if words.before(hit.start()) in _BRACKETS and hit[0].rpartition("/")[2].casefold() in sought.files:
            mend = f"write ![what it shows]({hit[0]}), or name it in other words"
            troubles.add(words.at(hit.start()), "leak-file", f"the file name {hit[0]} stands in public text, where it would be read", mend)
