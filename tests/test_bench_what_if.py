"""What moves if a job comes in between, a part comes late or a day is lost."""

import json
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from shop_texts import TODAY, fenced, put, settings, shop_of, told

from purfle.bench import moves_of, plan_bench
from purfle.bench.what_if import Change, DayLost, JobAdded, Moved, PartLate, what_if
from purfle.shell.cli import run

WEEK = "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4, saturday: 4, sunday: 4}"
SHARP = "stages: [{stage: strip, hours: [7.9, 8, 8.1]}, {stage: fit, hours: [3.9, 4, 4.1]}]"


def _moved(change: Change, *sheet: str) -> tuple[Moved, ...]:
    shop = shop_of({"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", SHARP, *sheet)})
    return what_if(shop, told(shop)[0], (), TODAY, (change,))


def test_a_job_of_four_hours_costs_a_day() -> None:
    (moved,) = _moved(JobAdded(Decimal(4)), "due: 2026-03-05")
    assert (moved.build, moved.due, moved.after - moved.before) == ("wren", date(2026, 3, 5), timedelta(days=1))
    assert moved.chance_before == 1 and moved.chance_after < 1


def test_a_lost_day_costs_a_day_and_a_far_one_nothing() -> None:
    (moved,) = _moved(DayLost(TODAY))
    assert moved.after - moved.before == timedelta(days=1) and moved.due is None
    assert _moved(DayLost(date(2026, 4, 1))) == ()


def test_a_late_part_moves_the_stage_that_waits_for_it() -> None:
    part = "parts: [{part: bridge, for: fit, ordered: 2026-02-20, eta: 2026-03-12}]"
    (moved,) = _moved(PartLate("wren", "Bridge", 5), part)
    assert moved.after - moved.before == timedelta(days=5)
    assert _moved(PartLate("wren", "nut", 5), part) == ()


def test_changes_add_up() -> None:
    shop = shop_of({"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", SHARP)})
    (moved,) = what_if(shop, told(shop)[0], (), TODAY, (JobAdded(Decimal(4)), DayLost(TODAY)))
    assert moved.after - moved.before == timedelta(days=2)


def test_a_long_job_moves_all_and_nothing_falls_off_the_plan() -> None:
    (moved,) = _moved(JobAdded(Decimal(400)))
    assert moved.after - moved.before == timedelta(days=100)


def test_a_build_without_a_date_is_done_on_the_day_the_plan_has() -> None:
    """Two days at the bench, the 2nd and 3rd of March, and 14 of cure; the case beside it is done sooner, though its stage stands last."""
    stages = "stages: [{stage: strip, hours: [15.4, 15.5, 15.5]}, {stage: oil, hours: 0.25, cure: 14 days}, {stage: case, hours: 0.25, follows: []}]"
    shop = shop_of({"shop.md": settings(WEEK.replace("4", "8")), "builds/wren/build.md": fenced("title: Wren", stages)})
    (moved,) = what_if(shop, told(shop)[0], (), TODAY, (DayLost(TODAY),))
    (whole,) = plan_bench(shop, moves_of(shop), told(shop)[0], (), TODAY).wholes
    assert moved.before == whole.p80 and (moved.before - TODAY).days >= 1 + 14


# --- the options of the command --------------------------------------------------------------------------------------


def _week(tmp_path: Path, *options: str) -> int:
    files = {
        "shop.md": settings(WEEK),
        "builds/wren/build.md": fenced("title: Wren", SHARP, "due: 2026-03-05", "parts: [{part: bridge, for: fit, eta: 2026-03-03}]"),
    }
    return run(["week", "--shop", str(put(tmp_path, files)), "--today", TODAY.isoformat(), *options])


def test_the_week_says_what_is_supposed_and_what_moves(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert _week(tmp_path, "--job", "4", "--late", "bridge:20", "--without", "2026-03-03", "--json") == 0
    answer = json.loads(capsys.readouterr().out)["what_if"]
    assert len(answer["supposed"]) == 3
    (moved,) = answer["moves"]
    assert (moved["build"], moved["due"], moved["now"]) == ("wren", "2026-03-05", "2026-03-05") and moved["then"] >= "2026-03-23"
    assert _week(tmp_path, "--without", "2026-05-01") == 0
    assert "Nothing moves." in capsys.readouterr().out


def test_a_word_of_a_part_s_name_will_do_where_no_other_has_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    parts = (
        "parts: [{part: short bridge, for: fit, eta: 2026-03-03}, {part: tuner set, for: fit, eta: 2026-03-03}, {part: tuner plate, for: fit, eta: 2026-03-03}]"
    )
    files = {"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", SHARP, parts)}
    args = ["week", "--shop", str(put(tmp_path, files)), "--today", TODAY.isoformat()]
    for words in ("bridge:5", "Wren/Bridge:5"):
        assert run([*args, "--late", words]) == 0
        assert "If short bridge for wren comes 5 days later:" in capsys.readouterr().out
    assert run([*args, "--late", "tuner"]) == 2
    assert "tuner set" in capsys.readouterr().err
    assert run([*args, "--late", "idge"]) == 2


@pytest.mark.parametrize("option", ["--job=0", "--job=x", "--late=bridg", "--late=bridge:0", "--late=:4", "--without=2026-03-01", "--without=soon"])
def test_a_what_if_that_means_nothing_is_wrong_usage(tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str) -> None:
    assert _week(tmp_path, option) == 2
    assert "Error" in capsys.readouterr().err
