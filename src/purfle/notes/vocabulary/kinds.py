"""Kinds of values: what each may be, how it is read, and its JSON Schema.

A kind is a plain value holding a function; there is no registry. Some take others: a list of them, a mapping read as a record; those with more to
say of their slips have modules of their own (`purfle.notes.vocabulary.named`, `purfle.notes.vocabulary.estimates`).
Invariant: knows no particular key of the vocabulary; those are in `purfle.notes.records`.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, get_args

from purfle.base import meant, measures, quantities, times
from purfle.base.near import nearest
from purfle.base.trouble import Wrong, listed
from purfle.notes.frontmatter.key_line import NO_SPACE, behind_hyphen, plain_word
from purfle.notes.frontmatter.tree import Mapping, Node, Scalar, Sequence, is_empty, name_of, on_one_line
from purfle.notes.vocabulary import schemas
from purfle.notes.vocabulary.fields import Kind, Reading, Record, Told, is_whole, keys_of, once_a_record, reads_as, record_schema
from purfle.notes.vocabulary.mapping import read_record


def scalar(says: str, read: Callable[[str], Any], schema: dict[str, Any]) -> Kind:
    """A kind whose value is one piece of text, given a reader of that text, from which curly quotes round the whole of it are taken off."""

    def read_node(node: Node, reading: Reading) -> Any:
        if isinstance(node, Scalar):
            return read(unquoted(node.text.strip()))
        if isinstance(node, Sequence) and len(node.items) == 1 and isinstance(only := node.items[0], Scalar):
            mend = f"write {only.text.strip()} without the brackets or the hyphen"
        else:
            mend = "write it as one text, without brackets" if says == "words" else f"write {says}"
        raise Wrong("text-expected", f"{name_of(node)} stands here; {says} {'are' if says == 'words' else 'is'} expected", mend)

    return Kind(says, read_node, lambda: schema)


def unquoted(text: str) -> str:
    """A text without curly quotes round the whole of it."""
    return text[1:-1].strip() if len(text) >= 2 and text[0] in "“‘„" and text[-1] in "”’“" else text


_BEHIND = ",; "
"""What is left behind a value that stood in a list before, and says nothing."""


def _text(text: str) -> str:
    text = text.rstrip(_BEHIND)
    if len(text) > 2000:
        raise Wrong("text-expected", f"the text is {len(text)} characters long", "keep it under 2,000 characters; longer words belong in the body")
    return text


def one_of(choice: object, instead: dict[str, str] | None = None, otherwise: str = "") -> Kind:
    """One of the words of a `Literal`; case is no matter, a near one is suggested and never taken.

    `instead` holds what people write → the word that says it; it is suggested first. `otherwise` ends the mend where none is near.
    """
    words: tuple[str, ...] = get_args(choice)
    of, every = "one of " if len(words) > 1 else "", listed(words, 20)

    def read(text: str) -> str:
        folded = " ".join(text.casefold().replace("’", "'").rstrip(_BEHIND + ".").split())
        for word in words:
            if folded == word.casefold():
                return word
        near = (instead or {}).get(folded) or nearest(folded, words, 0.6)
        mend = f"write {near}" if near else f"write {of}{every} {otherwise}".rstrip()
        raise Wrong("choice-unknown", f"“{text}” is not {of}{every}", mend)

    return scalar(every, read, {"enum": list(words)})


def alone(several: Callable[[list[str]], str]) -> Kind:
    """Words that stand for one thing; a list of them is told with how to write `several`."""

    def read(node: Node, reading: Reading) -> Any:
        if isinstance(node, Sequence) and len(node.items) > 1:
            values = [item.text.strip() for item in node.items if isinstance(item, Scalar)]
            raise Wrong("text-expected", f"{len(node.items)} of them stand here, where there is room for one", several(values))
        return TEXT.read(node, reading)

    return replace(TEXT, read=read)


def _a_line_for_each_build(builds: list[str]) -> str:
    return f"write a line for each: {listed([f'one with build: {build}' for build in builds], last='and')}"


def part(record: type[Record]) -> Kind:
    """A mapping read as `record`; one whose needed values can't be read is told and left out, so that no later phase meets a hole."""

    def read(node: Node, reading: Reading) -> Record:
        found = read_record(record, node, reading)
        if not is_whole(found):
            raise Told
        return found

    return Kind(f"a mapping of {listed(keys_of(record), 30, 'and')}", read, lambda: record_schema(record), record)


def many(kind: Kind) -> Kind:
    """A tuple of values: a list, or one value standing alone where a list is expected. Bad items are told and left out."""

    def read(node: Node, reading: Reading) -> tuple[Any, ...]:
        items = node.items if isinstance(node, Sequence) else (node,)
        if kind.part is not None and (whole := _taken_apart(items, kind.part)):
            raise Wrong("mapping-expected", "keys that belong together stand one by one in a list", f"write them together: {whole}")
        if isinstance(node, Scalar):
            _refuse_several(kind, node)
        return tuple(_readable(kind, items, reading))

    def schema() -> dict[str, Any]:
        inner = kind.schema()
        return schemas.any_of({"type": "array", "items": schemas.or_nothing(inner)}, inner)

    return Kind(f"a list of: {kind.says}", read, schema, kind.part)


def _refuse_several(kind: Kind, node: Scalar) -> None:
    """One text that was meant for several: list lines without their space, or values with commas and no brackets. Raises `Wrong` for it."""
    if not node.quoted and (lines := behind_hyphen(node.text.strip())):
        raise Wrong("key-glued", NO_SPACE, f"write - {re.split('[-–—]', lines)[0].strip()}, and so each line below it")
    if not node.quoted and (numbered := re.fullmatch(r"1[.)] (.*?) 2[.)] .*", node.text.strip(), re.DOTALL)):
        raise Wrong("key-glued", "the lines of a list begin with numbers", f"write - {numbered[1]}, and so each line below it")
    if not node.quoted and kind.part is not None and kind.part.LISTED and re.search(r"\S *[,;] *\S", node.text):
        each = ", ".join(part.strip() for part in re.split("[,;]", node.text))
        raise Wrong("text-expected", "several values stand here without brackets", f"write [{each}], or put it in quotes if it is one")
    if parts := _parted(kind, node.text):
        raise Wrong("text-expected", "several values stand here without brackets", f"write [{parts}]")


def _parted(kind: Kind, text: str) -> str | None:
    """Values with commas between them, where each can be read and all together can't: `10:30, 11:15`. None when they are one value, or none."""
    parts = [part.strip() for part in text.split(",")]
    if len(parts) == 1 or reads_as(kind, text):
        return None
    return ", ".join(parts) if all(reads_as(kind, part) for part in parts) else None


def _taken_apart(items: tuple[Node, ...], record: type[Record]) -> str | None:
    """One mapping in braces, of items that are each one other key of it, as in `[item: wax, qty: 2]`; None when they are not."""
    entries = [item.entries[0] for item in items if isinstance(item, Mapping) and len(item.entries) == 1]
    words = {plain_word(entry.key.text) for entry in entries}
    if len(items) < 2 or not len(items) == len(entries) == len(words) or not words <= keys_of(record).keys():
        return None
    return on_one_line(Mapping(tuple(entries), entries[0].key.at))


def _readable(kind: Kind, items: tuple[Node, ...], reading: Reading) -> Iterator[Any]:
    for item in items:
        if is_empty(item):
            continue
        try:
            yield kind.read(item, reading)
        except Told:
            continue
        except Wrong as wrong:
            reading.troubles.wrong(item.at, wrong)


def or_no(kind: Kind) -> Kind:
    """A kind that may also be `no`, which gives None."""

    def read(node: Node, reading: Reading) -> Any:
        return None if isinstance(node, Scalar) and node.text.strip().casefold() == "no" else kind.read(node, reading)

    return Kind(f"{kind.says}, or no", read, lambda: schemas.any_of(kind.schema(), schemas.words("no")), kind.part)


_LINK = re.compile(r"""(https?://[^\s<>"']+|mailto:[^\s<>"'@]+@[^\s<>"'@]+)""", re.IGNORECASE)


_BARE_MAIL = re.compile(r"[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,9}")
_BARE_SITE = re.compile(r"(?:www\.)?[\w-]{1,63}(?:\.[\w-]{1,63}){0,9}\.[a-z]{2,24}(?:/[^\s<>\"']*)?", re.IGNORECASE)


def _link(text: str) -> str:
    if not _LINK.fullmatch(text):
        scheme = "mailto:" if _BARE_MAIL.fullmatch(text) else "https://" if _BARE_SITE.fullmatch(text) else ""
        mend = f"write {scheme}{text}" if scheme else "write an address that begins with https:// or mailto:"
        raise Wrong("link-refused", f"“{text}” is not a web or mail address", mend)
    return text


def _count(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text):
        figures = [figure for figure in meant.figures(text) if figure.isdigit() and len(figure) <= 6]
        raise Wrong("number-unreadable", f"“{text}” is not a whole number", f"write {figures[0]}" if len(figures) == 1 else "write a whole number such as 6")
    return int(text)


def _priority(text: str) -> int:
    try:
        return _count(text)
    except Wrong as wrong:
        raise Wrong(wrong.code, wrong.found, "write 1 for what comes first, 3 for most, a larger one for what can wait") from None


def _year(text: str) -> int:
    if day := re.fullmatch(r"((?:19|20|21)[0-9]{2})-[0-9]{2}-[0-9]{2}", text):
        raise Wrong("number-unreadable", f"“{text}” is a day, and a year is expected", f"write {day[1]}")
    if not re.fullmatch(r"(19|20|21)[0-9]{2}", text):
        raise Wrong("number-unreadable", f"“{text}” is not a year", "write a year with four digits, such as 2025")
    return int(text)


def _currency(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{3}", text):
        raise Wrong("currency-unknown", f"“{text}” is not a currency code", f"write {meant.currency(text) or 'the three letters of its code, such as EUR'}")
    return text.upper()


def _language(text: str) -> str:
    tag = text.replace("_", "-")
    if not _LANGUAGE.fullmatch(tag):
        raise Wrong("choice-unknown", f"“{text}” is not the code of a language", "write the two or three letters of its code, such as de, ja or pt-BR")
    return tag


_LANGUAGE = re.compile("[A-Za-z]{2,3}(?:[-_][A-Za-z0-9]{2,8}){0,4}")
"""A language tag (RFC 5646) as people write it."""


def _path(text: str) -> str:
    clean = text.replace("\\", "/").removeprefix("./")
    if clean.startswith("/") or ".." in clean.split("/") or ":" in clean or not clean:
        raise Wrong("path-climbs", f"“{text}” leads out of the build's folder", "write the name of a file inside that folder, such as photos/front.jpg")
    return clean


TEXT = scalar("words", _text, schemas.TEXT)
A_BUILD = alone(_a_line_for_each_build)
AMOUNT = replace(scalar("an amount such as 39.80", quantities.amount, schemas.FIGURE), money=True)
NUMBER = scalar("a number such as 2.5", quantities.number, schemas.FIGURE)
MINUTES = scalar("a number of minutes such as 4", times.minutes, schemas.FIGURE)
DISTANCE = scalar("a number such as 2.5", quantities.distance, schemas.FIGURE)
COUNT = scalar("a whole number", _count, schemas.COUNT)
PRIORITY = scalar("a whole number", _priority, schemas.COUNT)
CELSIUS = scalar("degrees such as 17", quantities.celsius, schemas.CELSIUS)
HOURS = scalar("hours such as 2.5, 2:30 or 2h30", times.hours, schemas.hours(1000))
WAIT = scalar("a time such as 14 days or 4 h", times.wait, schemas.WAIT)
DAYS = scalar("days such as 7, or 2 weeks", times.days, schemas.DAYS)
DAY = scalar("a day such as 2026-03-14", times.day, schemas.DAY)
YEAR = scalar("a year such as 2025", _year, schemas.YEAR)
PERCENT = scalar("a percentage such as 40", quantities.percent, schemas.PERCENT)
LARGE_PERCENT = scalar("a percentage such as 35 %", quantities.large_percent, schemas.LARGE_PERCENT)
LENGTH = scalar("a length such as 34 in or 864 mm", measures.length, schemas.LENGTH)
GAUGE = scalar("a gauge in inches such as 0.046, or with its unit", measures.gauge, schemas.GAUGE)
WEIGHT = scalar("a weight such as 6.4 kg or 14 lb 6 oz", measures.weight, schemas.WEIGHT)
UNIT_WEIGHT = scalar("a weight per length, such as 0.00088 (lb/in) or 15.7 g/m", measures.unit_weight, schemas.UNIT_WEIGHT)
CLOCK = scalar("a time of day such as 14:30", times.clock, schemas.CLOCK)
YES_NO = scalar("yes or no", quantities.yes_or_no, schemas.YES_NO)
LINK = scalar("a web or mail address", _link, schemas.text(_LINK.pattern))
PATH = scalar("the name of a file in this one's folder", _path, schemas.PATH)
LANGUAGE = scalar("the code of a language, such as de", _language, schemas.text(_LANGUAGE.pattern))
CURRENCY = scalar("a currency code such as EUR", _currency, schemas.text("[A-Za-z]{3}"))


@once_a_record
def amount_fields(record: type[Record]) -> tuple[tuple[str, str], ...]:
    """The fields of a record that hold an amount, each with its word in the notes."""
    return tuple((name, word) for word, (name, declared) in keys_of(record).items() if declared.kind.money)
