"""Sums of money as people write them in running text: with a sign, with two decimals, after a word such as "paid", or in words.

Invariant: knows no amount of the shop; English words alone are read.
"""

import re
from collections.abc import Iterator
from decimal import Decimal

_CURRENCIES = "USD|EUR|GBP|CHF|JPY|CAD|AUD|NZD|SEK|NOK|DKK|PLN|CZK|KRW|INR|BRL|ZAR|MXN|SGD|HKD"
_UNITS = r"dollars?|euros?|pounds?|bucks?|quid|yen|francs?|kron(?:or|er|e|a)"
_PAID = (
    r"\b(?:paid|pay|pays|costs?|costing|priced?|worth|spent|charged|asked|wanted|offered|sold|bought|got|fetched|refunded)\b"
    r"(?:\s+(?:me|us|him|her|them|it|was|is|of|at|for|about|only|just|a|the|all|in|to))*\s+"
)
_FIGURE = r"\d{1,3}(?:[,\u00a0\u202f ]\d{3})+(?:\.\d{1,2})?(?!\d)|\d{1,3}(?:\.\d{3})+(?:,\d{2})?(?!\d)|\d+,\d{2}(?!\d)|\d+(?:\.\d+)?"
_SUM = re.compile(
    rf"(?P<paid>{_PAID})?(?P<before>[$€£¥₩]|\b(?:{_CURRENCIES})(?![A-Z]))?\s?(?<![\d.])(?P<figure>{_FIGURE})(?P<after>\s?[$€£¥₩]|\s?(?:{_CURRENCIES})\b|\s(?i:{_UNITS})\b)?"
)


def sums(text: str, currency: str) -> Iterator[tuple[int, Decimal]]:
    """Where each sum of money stands, and what it is; a figure read in two ways is given twice."""
    for match in _SUM.finditer(text):
        if match["paid"] or match["before"] or match["after"] or _to_the_cent(match["figure"]) or _has(text, match, currency):
            for value in _values(match["figure"]):
                yield match.start("figure"), value
    for match in _WORDS.finditer(text):
        number = _in_words(match[0])
        if number >= 100 or re.match(rf"\s(?:{_UNITS})\b", text[match.end() :], re.IGNORECASE):
            yield match.start(), Decimal(number)


def _to_the_cent(figure: str) -> bool:
    return re.search(r"[.,]\d\d$", figure) is not None


def _has(text: str, match: re.Match[str], currency: str) -> bool:
    """Whether the shop's own currency stands beside the figure, should it not be among the common ones."""
    around = text[max(0, match.start() - 5) : match.start()] + " " + text[match.end() : match.end() + 5]
    return currency in around.split()


def _values(figure: str) -> Iterator[Decimal]:
    """The figure with a point, and with a comma, as decimal sign, as far as it can be so read."""
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
