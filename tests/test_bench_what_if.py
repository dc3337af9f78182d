"""What moves if a job comes in between, a part comes late or a day is lost."""

from datetime import date, timedelta
from decimal import Decimal

from shop_texts import TODAY, fenced, settings, shop_of, told

from purfle.bench.what_if import Change, DayLost, JobAdded, Moved, PartLate, what_if

WEEK = "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4, saturday: 4, sunday: 4}"
SHARP = "stages: [{stage: strip, hours: [7.9, 8, 8.1]}, {stage: fit, hours: [3.9, 4, 4.1]}]"


def _moved(change: Change, *sheet: str) -> tuple[Moved, ...]:
    shop = shop_of({"shop.md": settings(WEEK), "builds/wren/build.md": fenced("title: Wren", SHARP, *sheet)})
    return what_if(shop, told(shop)[0], (), TODAY, change)


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
