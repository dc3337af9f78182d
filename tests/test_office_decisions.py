"""The comparisons of builds in the office."""

from datetime import date

import pytest
from office_shop import templates
from shop_texts import fenced

from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_troubles import Held

SHOP = fenced("name: The bench", "currency: USD", "bench_hours: {tuesday: 4}", "routes: {plain: [{stage: strip, hours: 2}, {stage: oil, hours: 3}]}")


def bench_of(count):
    """A shop whose builds were stripped one a day, from the first of January on."""
    files = {"shop.md": SHOP}
    for n in range(count):
        files[f"builds/b{n:02}/build.md"] = fenced(f"title: Board {n:02}", "route: plain")
        files[f"builds/b{n:02}/2026-01-{n + 1:02}.md"] = fenced("stage: strip", "hours: 2.5", "finished: yes")
    found = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 3, 4))
    return office_view(found, found.troubles, Held())


def test_a_long_list_of_estimates_draws_those_that_moved_last_and_tells_all():
    plot = bench_of(28).decisions.estimates
    assert [row[0] for row in plot.table.rows] == [f"Board {n:02}" for n in range(28)] and len(plot.table.hrefs) == 28
    assert [label.words for label in plot.labels] == [f"Board {n:02}" for n in range(4, 28)]
    assert "24 builds that moved last" in plot.units


def test_a_short_one_draws_all():
    plot = bench_of(3).decisions.estimates
    assert len(plot.labels) == 3 and plot.units == "hours of finished stages"


@pytest.mark.parametrize(
    ("rent", "says"),
    [
        (None, "There is no expense yet that a sale would have to cover."),
        (50, "<b>1</b> sold build covers the expenses"),
        (150, "<b>2</b> sold builds cover the expenses"),
    ],
)
def test_how_many_sales_cover_the_expenses_is_said_in_a_sentence(rent, says):
    """One sale of 100 that cost nothing: 50 is covered by one, 150 by two."""
    files = {"shop.md": fenced("name: The bench"), "builds/heron/build.md": fenced("title: Heron", "sale: {date: 2026-02-01, price: 100}")}
    if rent:
        files["journal/2026-02-02.md"] = fenced(f"paid: {{what: rent, cost: {rent}, kind: rent}}")
    found = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 3, 4))
    assert says in pages_of(office_view(found, found.troubles, Held()), templates())["money.html"].decode()


def test_a_date_at_risk_says_the_day_that_is_likely_and_how_late_that_is():
    """Forty hours at four a week take ten weeks, so that nothing is in time for tomorrow; the day said is the one the forecast gives."""
    files = {"shop.md": SHOP, "builds/heron/build.md": fenced("title: Heron", "stages: [{stage: oil, hours: 40}]", "due: 2026-03-05")}
    found = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 3, 4))
    (row,) = office_view(found, found.troubles, Held()).week.at_risk
    (whole,) = found.plan.wholes
    late = (whole.p80 - date(2026, 3, 5)).days
    assert late > 60 and (row.due, row.chance) == ("Mar 5, 2026", "0%")
    assert row.likely == f"{whole.p80:%b} {whole.p80.day}, {whole.p80.year}, {late} days late"
