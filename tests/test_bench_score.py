"""Scoring past forecasts: published parts of the Brier score, and no look ahead."""

from datetime import date

import pytest
from shop_texts import fenced, settings, shop_of

from purfle.bench import moves_of
from purfle.bench.score import PastForecast, past, past_of, scored
from purfle.events import stream
from purfle.notes.model import Shop
from purfle.progress import progress_of

WEEK = "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4}"


def test_brier_score_of_four_forecasts() -> None:
    """(0.01 + 0.01 + 0.04 + 0.09) ÷ 4 = 0.0375, computed by hand."""
    score = scored([(0.1, False), (0.9, True), (0.8, True), (0.3, False)])
    assert score is not None and score.score == pytest.approx(0.0375) and score.little


def test_the_three_parts() -> None:
    """Murphy 1973: five said 0.8 of which four came, five said 0.2 of which one came: 0.16 = 0 − 0.09 + 0.25."""
    score = scored([(0.8, n > 0) for n in range(5)] + [(0.2, n == 0) for n in range(5)])
    assert score is not None
    parts = (score.score, score.reliability, score.resolution, score.uncertainty, score.rest)
    assert parts == pytest.approx((0.16, 0, 0.09, 0.25, 0), abs=1e-12)
    assert [(t.low, t.count, t.came) for t in score.table] == [(20, 5, 0.2), (80, 5, 0.8)]


def test_tornadoes_that_were_said_or_not() -> None:
    """Finley 1884, the table that textbooks of forecast verification reprint: 28 said and came, 72 said only, 23 came only, 2,680 neither; 96.6 % right.

    Of yes and no the Brier score is the part that was wrong: 95 ÷ 2,803. Its parts by Murphy's formula, by hand:
    reliability (100 × 0.72² + 2703 × (23/2703)²) ÷ 2803, uncertainty (51/2803)(2752/2803), and what resolution is left.
    """
    said = [(1.0, n < 28) for n in range(100)] + [(0.0, n < 23) for n in range(2703)]
    score = scored(said)
    assert score is not None and not score.little and score.score == pytest.approx(95 / 2803) and round(100 * (1 - score.score), 1) == 96.6
    assert score.reliability == pytest.approx((100 * 0.72**2 + 2703 * (23 / 2703) ** 2) / 2803)
    assert score.uncertainty == pytest.approx(51 / 2803 * 2752 / 2803)
    assert (score.resolution, score.rest) == (pytest.approx(score.reliability + score.uncertainty - 95 / 2803), pytest.approx(0, abs=1e-12))


def test_no_forecasts_have_no_score() -> None:
    assert scored([]) is None


_SHEET = fenced(
    "title: {}", "{}", "acquired: {{date: 2026-01-10, price: 90}}", "stages: [{{stage: strip, hours: [4, 6, 12]}}, {{stage: oil, hours: [6, 9, 16]}}]"
)


def _shop(more: dict[str, str] | None = None):
    files = {"shop.md": settings(WEEK, "show: {weekday: friday, lead: 3 days}")}
    for name in ("wren", "heron"):
        files[f"builds/{name}/build.md"] = _SHEET.format(name, "priority: 3")
    files["builds/wren/2026-02-09.md"] = fenced("stage: strip", "hours: 3")
    files["builds/wren/2026-02-11.md"] = fenced("stage: strip", "hours: 3", "finished: yes")
    return shop_of(files | (more or {}), date(2026, 3, 2))


TODAY = date(2026, 3, 2)


def _past(shop: Shop) -> tuple[PastForecast, ...]:
    events = stream(shop, TODAY)
    return past(shop, moves_of(shop), events, progress_of(shop, events, TODAY)[0], TODAY)


def test_recording_days_are_the_lead_before_the_air_day_once_there_are_notes() -> None:
    """The first note is of 9 February; Fridays less three days are Tuesdays."""
    shop = _shop()
    events = stream(shop, TODAY)
    found = past_of(shop, moves_of(shop), events, progress_of(shop, events, TODAY)[0], TODAY)
    assert found.days == (date(2026, 2, 10), date(2026, 2, 17), date(2026, 2, 24))


def test_what_came_is_told_from_the_notes() -> None:
    said = {(s.on, s.build, s.stage): s for s in _past(_shop())}
    first = said[date(2026, 2, 10), "wren", "strip"]
    assert first.came and 0.5 < first.chance <= 1
    assert not said[date(2026, 2, 10), "heron", "strip"].came


def test_a_stage_that_could_not_be_begun_is_no_forecast_and_one_that_could_is_though_it_has_no_chance() -> None:
    """16 hours a week: 39 to 41 of carving can't be done in one, and what follows them is not asked after."""
    sheet = fenced(
        "title: plover", "priority: 1", "acquired: {date: 2026-01-10, price: 90}", "stages: [{stage: carve, hours: [39, 40, 41]}, {stage: oil, hours: 1}]"
    )
    said = [s for s in _past(_shop({"builds/plover/build.md": sheet})) if s.build == "plover" and s.on == date(2026, 2, 10)]
    assert [(s.stage, s.chance, s.came) for s in said] == [("carve", 0, False)]


def test_a_day_of_recording_counts_from_the_first_note_on() -> None:
    """Recorded on Tuesdays; a forecast of the last one has no week behind it yet."""
    for first, days in (("2026-02-10", [10, 17]), ("2026-02-11", [17])):
        note = {f"builds/wren/{first}.md": fenced("stage: strip", "hours: 3")}
        files = {"shop.md": settings(WEEK, "show: {weekday: friday, lead: 3 days}"), "builds/wren/build.md": _SHEET.format("wren", "priority: 3"), **note}
        assert sorted({s.on.day for s in _past(shop_of(files, TODAY))}) == days


def test_the_hours_of_an_episode_are_known_on_the_day_it_is_recorded() -> None:
    """Four hours of filming and eight of editing take all the bench has from Tuesday the 10th until it airs."""
    episode = {"journal/episodes/2026-02-13.md": fenced("title: One", "recorded: 2026-02-10", "hours: {filming: 4, editing: 8}")}
    free, busy = ({s.stage: s.chance for s in _past(_shop(more)) if (s.on, s.build) == (date(2026, 2, 10), "wren")} for more in ({}, episode))
    assert busy["strip"] < free["strip"]


def test_work_that_is_away_and_noted_as_finished_is_no_forecast() -> None:
    sheet = fenced(
        "title: plover", "acquired: {date: 2026-01-10, price: 90}", "stages: [{stage: plating, hours: 1, wait: [7, 10, 18]}, {stage: fit, hours: 1}]"
    )
    files = {"builds/plover/build.md": sheet, "builds/plover/2026-02-09.md": fenced("stage: plating", "hours: 1", "finished: yes")}
    assert {s.stage for s in _past(_shop(files)) if s.build == "plover" and s.on >= date(2026, 2, 10)} == {"fit"}


def test_a_forecast_is_never_shown_a_later_note() -> None:
    day = date(2026, 2, 10)
    later = {"builds/heron/2026-02-18.md": fenced("stage: strip", "hours: 40"), "builds/heron/2026-02-19.md": fenced("stage: strip", "finished: yes")}
    before = [(s.build, s.stage, s.chance) for s in _past(_shop()) if s.on == day]
    after = [(s.build, s.stage, s.chance) for s in _past(_shop(later)) if s.on == day]
    assert before and before == after


@pytest.mark.parametrize(
    "later",
    [
        {"builds/heron/build.md": _SHEET.format("heron", "hold: {since: 2026-02-11, until: 2026-02-16}")},
        {"journal/episodes/2026-02-20.md": fenced("title: Two", "hours: {filming: 4, editing: 12}")},
        {"builds/plover/build.md": _SHEET.format("plover", "priority: 1").replace("2026-01-10", "2026-02-11")},
    ],
    ids=["a hold", "an episode's hours", "a build"],
)
def test_a_forecast_is_not_shown_what_began_later(later: dict[str, str]) -> None:
    """A sheet has no past, but a hold and an episode say from when they are."""
    day = date(2026, 2, 10)
    before, after = ([s for s in _past(_shop(more)) if s.on == day] for more in ({}, later))
    assert before and before == after


@pytest.mark.parametrize(
    ("how", "tells"),
    [
        ("lot", {"journal/2026-02-11.md": fenced("lots: {lot: winter, cost: 20, values: {plover: 1}}")}),
        ("trade-in", {"builds/egret/build.md": fenced("title: Egret", "sale: {date: 2026-02-11, price: 90, trade_in: {build: plover, value: 20}}")}),
    ],
)
def test_a_build_without_a_day_of_its_own_is_there_from_that_of_its_lot_or_of_the_sale_it_was_given_for(how: str, tells: dict[str, str]) -> None:
    sheet = fenced("title: plover", f"acquired: {{how: {how}}}", "stages: [{stage: carve, hours: 2}]")
    said = [s.on.day for s in _past(_shop({"builds/plover/build.md": sheet, **tells})) if s.build == "plover"]
    assert said == [17]  # of the 10th, the 17th and the 24th, on all but the last of which something is forecast


def test_a_rest_is_no_forecast_of_its_own() -> None:
    sheet = fenced(
        "title: Wren",
        "acquired: {date: 2026-01-10, price: 90}",
        "stages: [{stage: strip, hours: [4, 6, 12]}, {stage: rest, cure: 2 days}, {stage: oil, hours: 9}]",
    )
    assert {said.stage for said in _past(_shop({"builds/wren/build.md": sheet})) if said.build == "wren"} == {"strip", "oil"}
