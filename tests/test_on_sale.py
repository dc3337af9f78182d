"""How long what is for sale has stood: days counted by hand from a calendar."""

import re
from datetime import date

import pytest
from shop_texts import fenced, settings

from purfle.compile import Analysis
from purfle.pages.office import office_templates, pages_of
from purfle.pages.site_files import packaged
from purfle.shell import contract_week
from purfle.sites import office_view
from purfle.views.office_troubles import Held

OFFER = "for_sale: {asking: 90, since: 2026-02-01}"
BACK = "sale: {date: 2026-03-01, price: 80, back: [{date: 2026-04-30, refund: 80, goods: yes}]}"


def stood(today: str, *sheet: str):
    files = {"shop.md": settings(), "builds/heron/build.md": fenced("title: Heron", "acquired: {date: 2026-01-01, price: 50}", *sheet)}
    return Analysis({name: text.encode() for name, text in files.items()}, frozenset(), date.fromisoformat(today))


@pytest.mark.parametrize(
    ("today", "sheet", "days"),
    [
        ("2026-05-01", (OFFER,), [89]),  # 27 of February, 31, 30, 1
        ("2026-05-02", (OFFER,), [90]),
        ("2026-01-31", (OFFER,), []),
        ("2026-05-01", ("for_sale: {asking: 90}",), []),
        ("2026-05-01", (OFFER, "sale: {date: 2026-03-01, price: 80}"), []),
        ("2026-05-02", (OFFER, BACK), [2]),  # back on 30 April
        ("2026-05-02", (OFFER, "hold: {since: 2026-04-01}"), []),
    ],
)
def test_days_are_counted_while_it_is_for_sale(today, sheet, days):
    assert [one.days for one in stood(today, *sheet).on_sale] == days


def test_the_office_s_list_has_the_days_and_the_week_those_that_are_many():
    """Ninety days are many by common practice, no source; the JSON has all."""
    for today, days, told in (("2026-05-01", "89 days", False), ("2026-05-02", "90 days", True)):
        a = stood(today, OFFER)
        made = pages_of(office_view(a, a.troubles, Held()), office_templates(packaged("office"), "en_US"))
        words = {name: re.sub(r"<[^<>]*>", "", made[name].decode()) for name in ("builds.html", "index.html")}
        assert f"for sale {days}" in words["builds.html"] and (days in words["index.html"]) == told
        answer = contract_week.for_sale(a.on_sale, a.shop.settings.currency)
        assert answer == [{"build": "heron", "since": "2026-02-01", "days": int(days[:2]), "asking": "90.00"}]
