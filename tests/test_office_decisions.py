"""The comparisons of builds in the office."""

from datetime import date

from shop_texts import fenced

from purfle.compile import Analysis
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
