"""The page on how the forecasts did."""

from datetime import date
from decimal import Decimal

from office_shop import FILES, TODAY, analysis, templates

from purfle.bench.score import Past, scored
from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_desk import desk_of
from purfle.views.office_honesty import HonestyView, honesty_of
from purfle.views.office_troubles import Held

DAYS = (date(2026, 2, 10), date(2026, 2, 17), date(2026, 2, 24))


def _view(pairs: list[tuple[float, bool]], given: int = 40, noted: int = 40) -> HonestyView:
    a = analysis()
    return honesty_of(desk_of(a, {}), Past(DAYS, scored(pairs), Decimal(given), Decimal(noted)))


def test_the_three_parts_are_told() -> None:
    """Murphy 1973: 0.16 = 0 − 0.09 + 0.25 for five said 0.8 of which four came, five said 0.2 of which one came."""
    view = _view([(0.8, n > 0) for n in range(5)] + [(0.2, n == 0) for n in range(5)])
    assert [(p.name, p.figure) for p in view.parts] == [("Brier score", "0.160"), ("reliability", "0.000"), ("resolution", "0.090"), ("uncertainty", "0.250")]
    assert [(r.range, r.count, r.said, r.came) for r in view.rows] == [
        ("20 to 30%", "5", "20%", "20%"),
        ("80 to 90%", "5", "80%", "80%"),
    ]


def test_dots_that_came_as_said_lie_on_the_slanting_line() -> None:
    view = _view([(0.8, n > 0) for n in range(5)] + [(0.2, n == 0) for n in range(5)])
    side = view.right - view.left
    assert [(d.x - view.left, view.foot - d.y) for d in view.dots] == [(round(0.2 * side),) * 2, (round(0.8 * side),) * 2]


def test_little_history_says_so() -> None:
    assert "little to go by" in _view([(0.8, True)]).little
    assert "nothing to go by" in _view([]).little and _view([]).rows == ()
    assert _view([(0.5, n % 2 == 0) for n in range(30)]).little == ""


def test_too_much_said_names_the_hours_when_they_were_not_worked() -> None:
    sure = [(1.0, n < 10) for n in range(40)]
    assert any("40" in words and "16" in words and "bench_hours" in words for words in _view(sure, 40, 16).advice)
    assert not any("bench_hours" in words for words in _view(sure, 40, 40).advice)
    assert any("raise bench_hours" in words for words in _view([(0.0, n < 30) for n in range(40)]).advice)


def test_the_page_is_there_and_the_plan_leads_to_it() -> None:
    a = analysis()
    pages = pages_of(office_view(a, a.troubles, Held()), templates())
    assert b'href="honesty.html"' in pages["plan.html"] and b"How past forecasts did" in pages["honesty.html"]


def test_a_shop_that_makes_no_show_is_not_told_of_recording_days() -> None:
    plain = {name: text.replace("show: {", "x-show: {") for name, text in FILES.items() if not name.startswith("journal/episodes/")}
    for files, said in ((plain, False), (FILES, True)):
        a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
        page = pages_of(office_view(a, a.troubles, Held()), templates())["honesty.html"].decode()
        assert ("recording day" in page, "weekly check day" in page) == (said, not said)
