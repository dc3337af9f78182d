"""Sums of money as people write them in running text: with a sign, with two decimals, after a word such as "paid", or in words.

Invariant: knows no amount of the shop; English words alone are read.
"""

import re
from collections.abc import Iterator, Set
from decimal import Decimal

_CURRENCIES = "USD|EUR|GBP|CHF|JPY|CAD|AUD|NZD|SEK|NOK|DKK|PLN|CZK|KRW|INR|BRL|ZAR|MXN|SGD|HKD"
_UNITS = r"dollars?|euros?|pounds?|bucks?|quid|yen|francs?|kron(?:or|er|e|a)"
_PAID = (
    r"\b(?:paid|pay|pays|costs?|costing|priced?|worth|spent|charged|asked|wanted|offered|sold|bought|got|fetched|refunded)\b"
    r"(?:\s+(?:me|us|him|her|them|it|was|is|of|at|for|about|only|just|a|the|all|in|to))*\s+"
)
_FIGURE = r"\d{1,3}(?:[,\u00a0\u202f ]\d{3})+(?:\.\d{1,2})?(?!\d)|\d{1,3}(?:\.\d{3})+(?:,\d{2})?(?!\d)|\d+,\d{2}(?!\d)|\d+(?:\.\d+)?"
_A_FIGURE = re.compile(rf"(?=\d)(?<![\d.])(?:{_FIGURE})")
_SIGN_BEFORE = re.compile(rf"(?:[$€£¥₩]|\b(?:{_CURRENCIES}))\s?\Z")
_PAID_BEFORE = re.compile(rf"{_PAID}\Z")
_SIGN_AFTER = re.compile(rf"\s?(?:[$€£¥₩]|(?:{_CURRENCIES})\b)|\s(?i:{_UNITS})\b")
_NEAR = 60  # characters that are looked at before a figure


def sums(text: str, currency: str, wanted: Set[Decimal]) -> Iterator[tuple[int, Decimal]]:
    """Where each of the wanted sums of money stands; a figure that can be read in two ways is read in both."""
    for match in _A_FIGURE.finditer(text):
        values = [value for value in _values(match[0]) if value in wanted]
        if values and _is_money(text, match, currency):
            yield from ((match.start(), value) for value in values)
    if any(part in text.casefold() for part in _SPELT):
        yield from _spelt(text, wanted)


def _is_money(text: str, figure: re.Match[str], currency: str) -> bool:
    before, after = text[max(0, figure.start() - _NEAR) : figure.start()], text[figure.end() : figure.end() + _NEAR]
    if _to_the_cent(figure[0]) or _SIGN_BEFORE.search(before) or _SIGN_AFTER.match(after) or _PAID_BEFORE.search(before):
        return True
    return before.split()[-1:] == [currency] or after.split()[:1] == [currency]


def _to_the_cent(figure: str) -> bool:
    return re.search(r"[.,]\d\d$", figure) is not None


def _values(figure: str) -> Iterator[Decimal]:
    """The figure with a point, and with a comma, as decimal sign, as far as it can be so read."""
    if figure.isdecimal():
        yield Decimal(figure)
        return
    bare = re.sub(r"[\s\u00a0\u202f]", "", figure)
    for thousands, point in ((",", "."), (".", ",")):
        plain = bare.replace(thousands, "") if re.fullmatch(rf"\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+(?:{re.escape(point)}\d+)?", bare) else bare
        if re.fullmatch(rf"\d+(?:{re.escape(point)}\d+)?", plain):
            yield Decimal(plain.replace(point, "."))


# --- in words ---------------------------------------------------------------------------------------------------------

_SMALL = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen").split()  # noqa: SIM905
_TENS = {word: 20 + 10 * n for n, word in enumerate(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"))}
_NUMBER = {**{word: n for n, word in enumerate(_SMALL)}, **_TENS, "hundred": 100, "thousand": 1000}
_ONE_WORD = "|".join(sorted(_NUMBER, key=len, reverse=True))
_WORDS = re.compile(rf"\b(?:(?:a|{_ONE_WORD})(?:[\s-]+(?:and[\s-]+)?(?:{_ONE_WORD}))+|{_ONE_WORD})\b", re.IGNORECASE)


_SPELT = ("hundred", "thousand", "dollar", "euro", "pound", "buck", "quid", "yen", "franc", "kron")
"""One of these is in every sum that is written in words: smaller numbers need a currency to be one."""


def _spelt(text: str, wanted: Set[Decimal]) -> Iterator[tuple[int, Decimal]]:
    for match in _WORDS.finditer(text):
        value = Decimal(_in_words(match[0]))
        if value in wanted and (value >= 100 or re.match(rf"\s(?:{_UNITS})\b", text[match.end() :], re.IGNORECASE)):
            yield match.start(), value


def _in_words(words: str) -> int:
    """What a number in words comes to: "two hundred and eighty" is 280."""
    whole = part = 0
    for word in re.findall(r"[a-z]+", words.casefold()):
        value = _NUMBER.get(word)
        if word == "a":
            part = 1
        elif value == 1000:
            whole, part = whole + (part or 1) * 1000, 0
        elif value == 100:
            part = (part or 1) * 100
        elif value is not None:
            part += value
    return whole + part
