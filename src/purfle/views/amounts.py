"""Amounts, hours and dates as people of one locale write them.

Babel does the writing and is imported only when something is written. Where its CLDR data disagree with ISO 4217 on a
currency's decimals (the dinar of Iraq: 0 there, 3 here), ISO 4217 wins. What Babel leaves of those data unused is done here:
a locale's own sign of minus, how few digits have no group mark, the decimal point that amounts have in Swiss French, and the direction of writing: what is
written from right to left is isolated (Unicode Standard Annex #9), for the pages round it are in English.
Invariant: knows nothing of shops or pages; a figure is rounded here only to be looked at.
"""

from __future__ import annotations

import copy
import re
from dataclasses import dataclass
from datetime import date as Day
from datetime import timedelta
from decimal import Decimal
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from purfle.base import money
from purfle.base.locales import least_grouped, like

if TYPE_CHECKING:
    from babel.numbers import NumberPattern

NOTHING = "—"
"""What stands where a figure is unknown or does not apply."""
NO_CURRENCY = "XXX"
"""ISO 4217's code for a writer that is asked for no amount."""
_NO_BREAK = "\u00a0"
_JOINED = "\u2060"
"""Unicode's word joiner: a line does not end there."""
_FROM_RIGHT, _ISOLATED = "\u2067", "\u2069"
"""Between these a text is written from right to left, and touches nothing round it."""
_FIGURE = re.compile(r"“[^”]*”|(?<![\w/.-])(?P<day>\d{4}-\d\d-\d\d)(?!\.?[\w/-])|(?<![\w.,])(?P<percent>\d+(?:\.(?P<part>\d+))?) %")
"""What is quoted, and left alone; a day as ISO 8601 has it that is no part of a file's name; a percentage."""
_NEAR = timedelta(days=180)
"""How far a day may be for its weekday to say more than its year."""
_KEPT = 16384  # amounts remembered; more than the pages of a large shop show


@dataclass(frozen=True, slots=True)
class Writer:
    """Writes figures for one locale and currency; equal writers share what they remember."""

    locale: str
    """Such as `en_US`; an unknown one is written like its language, else like en_US."""
    currency: str
    """ISO 4217 code."""

    def money(self, amount: Decimal | None) -> str:
        """An amount with its currency, to the smallest unit, half away from zero; `—` for None."""
        return NOTHING if amount is None else _money(self.locale, self.currency, amount)

    def price(self, amount: Decimal) -> str:
        """An amount as it stands on a price tag: one of whole units without decimals, `$950` and `$949.50` in en_US."""
        return _money(self.locale, self.currency, amount, bare=amount == amount.to_integral_value())

    def plain(self, amount: Decimal | None) -> str:
        """An amount without its currency, for a column whose head names it."""
        return NOTHING if amount is None else _plain(self.locale, money.rounded(amount, money.unit(self.currency)), money.places(self.currency))

    def number(self, value: Decimal | None, most: int = 2) -> str:
        """A number with as many decimals as it needs, at most `most`."""
        return NOTHING if value is None else _decimal(self.locale, money.rounded(value, Decimal(1).scaleb(-most)), 0)

    def hours(self, value: Decimal | None) -> str:
        """Hours, such as `2.5 h`."""
        return NOTHING if value is None else f"{self.number(value)}{_NO_BREAK}h"

    def percent(self, ratio: Decimal | None, places: int = 0) -> str:
        """A ratio as a percentage: 0.385 is `39%` in en_US."""
        return NOTHING if ratio is None else _percent(self.locale, money.rounded(ratio, Decimal(1).scaleb(-places - 2)), places)

    def day(self, on: Day | None) -> str:
        """A day with its weekday and without its year: `Wed, Mar 4` in en_US."""
        return NOTHING if on is None else _skeleton(self.locale, "MMMEd", on)

    def short(self, on: Day | None) -> str:
        """A day as short as can be: `Mar 4` in en_US."""
        return NOTHING if on is None else _skeleton(self.locale, "MMMd", on)

    def date(self, on: Day | None) -> str:
        """A day with its year: `Mar 4, 2026` in en_US."""
        return NOTHING if on is None else _skeleton(self.locale, "yMMMd", on)

    def dated(self, on: Day | None, today: Day) -> str:
        """A day with its weekday while that says more than its year: `Wed, Mar 4` within half a year, else `Mar 4, 2027`."""
        return self.day(on) if on is None or abs(on - today) <= _NEAR else self.date(on)

    def near(self, on: Day, today: Day) -> str:
        """A day without its year while that is the only one it can be: `Mar 4` within half a year, else `Mar 4, 2027`."""
        return self.short(on) if abs(on - today) <= _NEAR else self.date(on)

    def dates(self, first: Day, last: Day) -> str:
        """The days from one to another, with their year: `Mar 4 – 7, 2026` in en_US."""
        return _interval(self.locale, "yMMMd", first, last)

    def shorts(self, first: Day, last: Day) -> str:
        """The days from one to another as short as can be: `Mar 4 – 7` in en_US."""
        return _interval(self.locale, "MMMd", first, last)

    def full(self, on: Day) -> str:
        """A day written out: `Wednesday, March 4, 2026` in en_US."""
        return _date(self.locale, "full", on)

    def told(self, words: str, today: Day) -> str:
        """A reason as people read it: the days and percentages in it, which the show's plan writes one way for all, as this locale has them."""

        def written(found: re.Match[str]) -> str:
            if found["percent"]:
                return self.percent(Decimal(found["percent"]) / 100, len(found["part"] or ""))
            on = _day(found["day"])
            return found[0] if on is None else self.dated(on, today)

        return _FIGURE.sub(written, words)

    def weekday(self, on: Day) -> str:
        """The weekday in a letter or two, for the head of a column."""
        return _date(self.locale, "EEEEEE", on)

    def month(self, year_month: str) -> str:
        """A month from `2026-03`: `Mar 2026` in en_US."""
        return _skeleton(self.locale, "yMMM", Day.fromisoformat(f"{year_month}-01"))


def _day(text: str | None) -> Day | None:
    try:
        return Day.fromisoformat(text) if text else None
    except ValueError:
        return None


def _rightly(locale: str, text: str) -> str:
    """A text of a locale as it can stand in an English sentence."""
    return f"{_FROM_RIGHT}{text}{_ISOLATED}" if like(locale).text_direction == "rtl" else text


@cache
def _minus(locale: str) -> str:
    from babel.numbers import get_minus_sign_symbol

    return get_minus_sign_symbol(like(locale))


def _signed(locale: str, pattern: NumberPattern) -> NumberPattern:
    """A copy of a pattern with the locale's sign of minus, after which no line ends.

    Browsers break `CHF-12` and `-₹12` there, as Unicode Standard Annex #14 has it; `-12` and, in Chromium, `-$12` stay whole.
    """
    signed: NumberPattern = copy.copy(pattern)
    above, below = pattern.prefix
    joined = re.sub(r"-(?=[\u200e\u200f]?¤)|(?<=¤)-", f"-{_JOINED}", below)
    signed.prefix = above, re.sub(r"\u200e?-", _minus(locale), joined)
    return signed


def _grouped(locale: str, exact: Decimal) -> bool:
    """Whether a figure has enough digits for a group mark."""
    return exact.adjusted() >= 2 + least_grouped(locale)


@cache
def _pattern(locale: str, currency: str, digits: int) -> NumberPattern:
    from babel.numbers import get_currency_symbol

    symbol = get_currency_symbol(currency, like(locale))
    pattern = _signed(locale, like(locale).currency_formats["standard"])
    if symbol.startswith("$"):
        pattern.prefix = pattern.prefix[0], pattern.prefix[1].replace(_JOINED, "")
    pattern.frac_prec = (digits, digits)
    if symbol.isalpha():
        # CLDR sets a space between a code in letters and the digits ("alphaNextToNumber"); Babel's data leave it out.
        above, below = (p.replace("¤", f"¤{_NO_BREAK}") if p.endswith("¤") else p for p in pattern.prefix)
        pattern.prefix = (above, below)
        above, below = (s.replace("¤", f"{_NO_BREAK}¤") if s.startswith("¤") else s for s in pattern.suffix)
        pattern.suffix = (above, below)
    return pattern


@lru_cache(_KEPT)
def _money(locale: str, currency: str, amount: Decimal, bare: bool = False) -> str:
    exact = money.rounded(amount, money.unit(currency))
    pattern = _pattern(locale, currency, 0 if bare else money.places(currency))
    text = str(pattern.apply(exact, like(locale), currency=currency, currency_digits=False, group_separator=_grouped(locale, exact)))
    return _rightly(locale, _pointed(locale, text))


def _pointed(locale: str, text: str) -> str:
    """An amount with the point that amounts have in its locale: that of its other figures, but for Swiss French."""
    symbols = like(locale).number_symbols.get("latn", {})
    usual, own = symbols.get("decimal"), symbols.get("currencyDecimal")
    return re.sub(rf"(?<=\d){re.escape(usual)}(?=\d)", own, text) if usual and own else text


@lru_cache(_KEPT)
def _plain(locale: str, exact: Decimal, least: int) -> str:
    return _pointed(locale, _decimal(locale, exact, least))


@lru_cache(_KEPT)
def _decimal(locale: str, exact: Decimal, least: int) -> str:
    pattern = _signed(locale, like(locale).decimal_formats[None])
    pattern.frac_prec = (least, max(least, 12))
    return str(pattern.apply(exact + 0, like(locale), decimal_quantization=False, group_separator=_grouped(locale, exact)))


@lru_cache(_KEPT)
def _percent(locale: str, exact: Decimal, places: int) -> str:
    pattern = _signed(locale, like(locale).percent_formats[None])
    pattern.frac_prec = (0, places)
    return str(pattern.apply(exact, like(locale), group_separator=_grouped(locale, exact.scaleb(2))))


@lru_cache(_KEPT)
def _skeleton(locale: str, skeleton: str, on: Day) -> str:
    from babel.dates import format_skeleton

    return _rightly(locale, format_skeleton(skeleton, on, locale=like(locale)))


@lru_cache(_KEPT)
def _interval(locale: str, skeleton: str, first: Day, last: Day) -> str:
    from babel.dates import format_interval

    return _rightly(locale, format_interval(first, last, skeleton, locale=like(locale)))


@lru_cache(_KEPT)
def _date(locale: str, form: str, on: Day) -> str:
    from babel.dates import format_date

    return _rightly(locale, format_date(on, form, locale=like(locale)))
