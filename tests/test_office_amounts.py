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


@pytest.mark.parametrize(("locale", "currency", "amount", "written"), CASES)
def test_amount_is_written_as_icu_writes_it(locale, currency, amount, written):
    assert Writer(locale, currency).money(Decimal(amount)) == written


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
