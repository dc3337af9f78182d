"""Bench hours day by day: the show's share, and episodes that say what they take."""

from datetime import date, timedelta
from decimal import Decimal

from shop_texts import fenced, settings, shop_of

from purfle.base.times import hours
from purfle.bench.calendar import bench_quarters

MONDAY = date(2026, 3, 2)
WEEK = "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4}"
SHOW = "show: {weekday: friday, lead: 3 days, hours: 5}"


def _hours(episode: tuple[str, ...] | None, first: date = MONDAY, days: int = 14) -> list[Decimal]:
    files = {"shop.md": settings(WEEK, SHOW)}
    if episode is not None:
        files["journal/episodes/2026-03-06.md"] = fenced("title: One", *episode)
    return [Decimal(quarters) / 4 for quarters in bench_quarters(shop_of(files), first, days, Decimal(0))]


def test_the_show_s_hours_are_spread_over_the_week() -> None:
    assert _hours(None, days=7) == [3, 3, 3, 3, 3, 0, 0]
    assert _hours(("minutes: 9",), days=7) == [3, 3, 3, 3, 3, 0, 0]


def test_the_show_s_hours_are_shared_by_largest_remainders() -> None:
    """Of 4, 4 and 6 hours 5 are the show's: 36 of 56 quarter hours are left, 10.29, 10.29 and 15.43 of them; the odd one goes where the part is largest."""
    shop = shop_of({"shop.md": settings("bench_hours: {tuesday: 4, thursday: 4, saturday: 6}", SHOW)})
    assert list(bench_quarters(shop, MONDAY, 7, Decimal(0))) == [0, 10, 0, 10, 0, 16, 0]


def test_what_thirds_of_an_hour_leave_in_decimals_takes_no_quarter_more() -> None:
    """1:10, 0:10 and 0:10 are an hour and a half: of 16 quarter hours 10 are left."""
    noted = sum((hours(entry) for entry in ("1:10", "0:10", "0:10")), Decimal(0))
    assert bench_quarters(shop_of({"shop.md": settings(WEEK)}), MONDAY, 1, noted) == (10,)


def test_an_episode_that_takes_all_there_is_leaves_nothing() -> None:
    """After 3 hours of filming on Tuesday 1, 4 and 4 hours are left until Thursday: 9."""
    assert _hours(("hours: {filming: 3, editing: 9}",), days=7) == [4, 0, 0, 0, 4, 0, 0]


def test_an_episode_that_says_its_hours_takes_them_on_its_own_days() -> None:
    """Recorded on Tuesday, three days before it airs; edited until the day before."""
    assert _hours(("hours: {filming: 3, editing: 4.5}",)) == [4, Decimal("0.5"), 2, 2, 4, 0, 0, 3, 3, 3, 3, 3, 0, 0]


def test_the_day_of_recording_may_be_written_and_lie_in_another_week() -> None:
    told = _hours(("recorded: 2026-02-28", "hours: {filming: 2}"))  # a Saturday without bench hours
    assert told[:7] == [3, 3, 3, 3, 3, 0, 0]
    assert _hours(("recorded: 2026-03-05", "hours: {filming: 9}"))[:7] == [4, 4, 4, 0, 4, 0, 0]


def test_hours_do_not_depend_on_the_day_looked_from() -> None:
    episode = ("hours: {filming: 3, editing: 4.5}",)
    for later in range(1, 7):
        assert _hours(episode, MONDAY + timedelta(days=later), 14 - later) == _hours(episode)[later:]
