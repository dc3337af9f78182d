"""Amounts and dates as people write them.

Expected amounts: what ICU writes (Intl.NumberFormat in Chromium 156 with the decimals of ISO 4217 asked for), read off
there once. Decimals: ISO 4217, list of 2026-01-01; CLDR has none for IQD, and ISO wins.
"""

from datetime import date
from decimal import Decimal

import pytest

from purfle.views.amounts import NOTHING, Writer

CASES = [
    ("en_US", "USD", "1234.5", "$1,234.50"),
    ("en_US", "EUR", "-0.5", "-€0.50"),
    ("en_US", "JPY", "1234.5", "¥1,235"),
    ("en_US", "KWD", "1234.5", "KWD\u00a01,234.500"),
    ("en_US", "IQD", "-0.5", "-IQD\u00a00.500"),
    ("en_US", "USD", "1234567.125", "$1,234,567.13"),
    ("de_DE", "USD", "1234.5", "1.234,50\u00a0$"),
    ("de_DE", "EUR", "1234567.125", "1.234.567,13\u00a0€"),
    ("de_DE", "JPY", "-0.5", "-1\u00a0¥"),
    ("de_DE", "KWD", "1234567.125", "1.234.567,125\u00a0KWD"),
    ("de_DE", "IQD", "1234.5", "1.234,500\u00a0IQD"),
    ("ja_JP", "USD", "1234.5", "$1,234.50"),
    ("ja_JP", "EUR", "-0.5", "-€0.50"),
    ("ja_JP", "JPY", "1234567.125", "￥1,234,567"),
    ("ja_JP", "KWD", "1234.5", "KWD\u00a01,234.500"),
    ("ja_JP", "IQD", "1234567.125", "IQD\u00a01,234,567.125"),
]


ELSEWHERE = [  # with numberingSystem "latn", for all figures here are
    ("sv_SE", "SEK", "-1234.5", "\u22121\u00a0234,50\u00a0kr"),
    ("nb_NO", "NOK", "-5", "\u22125,00\u00a0kr"),
    ("fr_CH", "CHF", "-1234.5", "-1\u202f234.50\u00a0CHF"),
    ("en_IN", "INR", "-1234567.5", "-₹12,34,567.50"),
    ("ja_JP", "JPY", "-1234", "-￥1,234"),
    ("ar_KW", "KWD", "-36.312", "\u200f\u200e-36.312\u00a0د.ك.\u200f"),
    ("he_IL", "ILS", "-36.5", "\u200f\u200e-36.50\u00a0\u200f₪"),
    ("fa_IR", "EUR", "-1234.5", "\u200e\u2212\u200e€\u00a01,234.50"),
    ("es_ES", "EUR", "-1234.5", "-1234,50\u00a0€"),
    ("es_ES", "EUR", "12345", "12.345,00\u00a0€"),
    ("es_MX", "EUR", "1234.5", "EUR\u00a01,234.50"),
    ("pl_PL", "EUR", "9999.99", "9999,99\u00a0€"),
    ("pl_PL", "EUR", "10000", "10\u00a0000,00\u00a0€"),
    ("pt_PT", "EUR", "1234.5", "1234,50\u00a0€"),
    ("pt_CH", "EUR", "1234.5", "1234,50\u00a0€"),
    ("pt_BR", "EUR", "1234.5", "€\u00a01.234,50"),
    ("it_IT", "EUR", "1234.5", "1234,50\u00a0€"),
    ("ur_PK", "PKR", "-5", "\u200e-Rs\u00a05.00"),
]
JOINED = "\u2060"  # the word joiner of Unicode, which no reader sees; below is what it is for


@pytest.mark.parametrize(("locale", "currency", "amount", "written"), CASES + ELSEWHERE)
def test_amount_is_written_as_icu_writes_it(locale, currency, amount, written):
    assert Writer(locale, currency).money(Decimal(amount)).replace(JOINED, "").strip("\u2067\u2069") == written


@pytest.mark.parametrize(
    ("locale", "number", "percent"),
    [
        ("sv_SE", "\u22121\u00a0234,5", "\u221239\u00a0%"),
        ("he_IL", "\u200e-1,234.5", "\u200e-39%"),
        ("fr_CH", "-1\u202f234,5", "-39%"),
        ("es_ES", "-1234,5", "-39\u00a0%"),
    ],
)
def test_a_number_and_a_percentage_below_nothing_are_written_as_icu_writes_them(locale, number, percent):
    write = Writer(locale, "EUR")
    assert (write.number(Decimal("-1234.5")), write.percent(Decimal("-0.39"))) == (number, percent)


def test_few_digits_have_no_group_mark_where_the_cldr_says_so():
    """A percentage as ICU 78 writes it; CLDR 48 has minimumGroupingDigits 2 for Spanish and 3 for Ewe."""
    assert [Writer("es", "EUR").percent(Decimal(figure)) for figure in ("12.34", "123.45")] == ["1234\u00a0%", "12.345\u00a0%"]
    assert [Writer("ee_GH", "GHS").number(Decimal(figure)) for figure in ("12345", "123456")] == ["12345", "123,456"]


def test_an_amount_in_a_column_has_the_point_of_its_locale_s_amounts():
    assert [Writer(locale, "CHF").plain(Decimal("1234.5")) for locale in ("fr_CH", "fr_FR")] == ["1\u202f234.50", "1\u202f234,50"]


@pytest.mark.parametrize(("locale", "currency", "written"), [
    ("de_CH", "CHF", f"CHF-{JOINED}5.00"), ("en_IN", "INR", f"-{JOINED}₹5.00"), ("en_US", "EUR", f"-{JOINED}€5.00"), ("en_US", "USD", "-$5.00"), ("de_DE", "EUR", "-5,00\u00a0€"),
])  # fmt: skip
def test_no_line_ends_between_the_sign_of_an_amount_and_its_figures(locale, currency, written):
    """Unicode Standard Annex #14 breaks after a hyphen (class HY) unless a digit follows, and never beside a word joiner (WJ).

    Chromium 156 broke all but the last two, so that a loss of CHF 5.00 stood as 5.00 in a line of its own; those can be copied
    into a spreadsheet as they are.
    """
    assert Writer(locale, currency).money(Decimal(-5)) == written


def test_what_is_written_from_right_to_left_is_isolated_from_the_english_round_it():
    """Unicode Standard Annex #9: U+2067 to U+2069. Without them `since 5 يوليو 2025, 215 days` is shown as 5 215 ,2025 يوليو days."""
    write, on = Writer("ar_KW", "KWD"), date(2025, 7, 5)
    written = [
        write.date(on),
        write.short(on),
        write.day(on),
        write.full(on),
        write.month("2025-07"),
        write.dates(on, date(2026, 6, 30)),
        write.money(Decimal(5)),
        write.price(Decimal(5)),
    ]
    assert [text for text in written if text[0] != "\u2067" or text[-1] != "\u2069" or text.count("\u2067") != 1] == []
    assert "\u2067" not in "".join([write.plain(Decimal(-5)), write.percent(Decimal("0.5")), write.hours(Decimal(2)), Writer("en_US", "KWD").date(on)])


def test_unknown_figure_is_a_dash():
    write = Writer("en_US", "USD")
    assert {write.money(None), write.hours(None), write.percent(None), write.day(None)} == {NOTHING}


def test_an_unknown_locale_is_written_like_its_language():
    assert Writer("de_XX", "EUR").money(Decimal("1234.5")) == "1.234,50\u00a0€"


def test_ratio_is_rounded_half_away_from_zero():
    assert [Writer("en_US", "USD").percent(Decimal(r)) for r in ("0.385", "0.125", "-0.125")] == ["39%", "13%", "-13%"]


def test_number_keeps_the_decimals_it_needs():
    assert [Writer("en_US", "USD").number(Decimal(n)) for n in ("2.50", "10", "1000.125", "0.001")] == ["2.5", "10", "1,000.13", "0"]


def test_day_is_written_in_the_shop_s_way():
    on = date(2026, 3, 4)
    assert Writer("en_US", "USD").day(on) == "Wed, Mar 4"
    assert Writer("de_DE", "EUR").date(on) == "4. März 2026"
    assert Writer("ja_JP", "JPY").full(on) == "2026年3月4日水曜日"


@pytest.mark.parametrize(("locale", "last", "dates", "shorts"), [
    ("en_US", "2026-05-26", "May 20 – 26, 2026", "May 20 – 26"),
    ("en_US", "2026-06-02", "May 20 – Jun 2, 2026", "May 20 – Jun 2"),
    ("en_US", "2026-05-20", "May 20, 2026", "May 20"),
    ("de_DE", "2026-05-26", "20.–26. Mai 2026", "20.–26. Mai"),
    ("de_DE", "2027-01-08", "20. Mai 2026 – 8. Jan. 2027", None),
])  # fmt: skip
def test_days_from_one_to_another_are_written_in_the_shop_s_way(locale, last, dates, shorts):
    """As ECMA-402's Intl.DateTimeFormat.formatRange writes them (asked of ICU 72); thin spaces are taken for spaces."""
    writer, first, end = Writer(locale, "EUR"), date(2026, 5, 20), date.fromisoformat(last)
    assert writer.dates(first, end).replace("\u2009", " ") == dates
    assert shorts is None or writer.shorts(first, end).replace("\u2009", " ") == shorts


def test_a_reason_tells_its_days_and_chances_in_the_shop_s_way():
    # Days and percentages as above; only what is quoted, or part of a file's name, stays as it was written.
    told = "79 % likely to be finished by 2026-03-02; film “2026-03-02” by then; journal/episodes/2026-03-02.md; seen on 2024-03-04"
    assert (
        Writer("en_US", "USD").told(told, date(2026, 3, 1))
        == "79% likely to be finished by Mon, Mar 2; film “2026-03-02” by then; journal/episodes/2026-03-02.md; seen on Mar 4, 2024"
    )
    assert Writer("de_DE", "EUR").told("79 % by 2026-03-02", date(2026, 3, 1)) == "79\u00a0% by Mo., 2. März"
    assert Writer("de_DE", "EUR").told("fees of 7.9 %", date(2026, 3, 1)) == "fees of 7,9\u00a0%"
    assert Writer("en_US", "USD").told("on 2026-02-30", date(2026, 3, 1)) == "on 2026-02-30"


def test_babel_is_not_imported_before_something_is_written():
    import subprocess
    import sys

    code = "import sys, purfle.views.amounts, purfle.views.office, purfle.pages.office; sys.exit(any(m in sys.modules for m in ('babel', 'icalendar', 'numpy', 'ortools')))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
