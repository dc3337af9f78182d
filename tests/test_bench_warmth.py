"""A cure in a warm or a cold room: the rule of thumb, where it holds and where it does not.

The rate doubles for each 10 °C: OpenStax, Chemistry 2e, 12.5; so 14 days at 20 °C are 28 at 10 °C and 7 at 30 °C.
"""

from datetime import date

import pytest
from shop_texts import TODAY, fenced, settings, shop_of, told

from purfle.base.times import Wait
from purfle.bench import moves_of, plan_bench
from purfle.bench.model import Curing
from purfle.progress.warmth import celsius

WEEK = "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4}"


def _curing(*shop: str, finished: date = date(2026, 3, 1)) -> Curing:
    """What cures of a coat that was finished on a day."""
    files = {
        "shop.md": settings(WEEK, *shop),
        "builds/wren/build.md": fenced("title: Wren", "stages: [{stage: clear, hours: 1, cure: varnish}, {stage: fit, hours: 1}]"),
    }
    files[f"builds/wren/{finished}.md"] = fenced("stage: clear", "hours: 1", "finished: yes")
    read = shop_of(files)
    (found,) = plan_bench(read, moves_of(read), told(read)[0], (), TODAY).curing
    return found


@pytest.mark.parametrize(("room", "days"), [("10", 28), ("20", 14), ("30", 7), ("4", 28), ("45", 7)])
def test_the_rate_doubles_for_each_ten_degrees_and_is_trusted_no_further(room: str, days: int) -> None:
    found = _curing("cures: {varnish: {cure: 14 days, at_temperature: 20 C}}", f"room: {room}")
    assert (found.until - date(2026, 3, 1)).days == days
    assert (found.bent is None) == (room == "20")


def test_a_cure_that_is_bent_says_so() -> None:
    found = _curing("cures: {varnish: {cure: 14 days, at_temperature: 68 F}}", "room: {celsius: 10}")
    assert found.bent == "adjusted by a rule of thumb for 10 °C, 14 days at 20 °C"


@pytest.mark.parametrize(
    ("entry", "room"),
    [
        ("{cure: 14 days, at_temperature: 20 C, sheet: binder}", "room: 10"),  # the product's data sheet wins
        ("{cure: 14 days, at_temperature: 20 C, bends: no}", "room: 10"),
        ("{cure: 14 days}", "room: 10"),
        ("{cure: 14 days, at_temperature: warm}", "room: 10"),
        ("{cure: 14 days, at_temperature: 20 C}", "place: here"),
        ("{cure: 14 days, at_temperature: 20 C}", "room: {celsius: 10, from: 2026-03-02}"),
    ],
)
def test_a_cure_that_is_not_bent(entry: str, room: str) -> None:
    found = _curing(f"cures: {{varnish: {entry}}}", room)
    assert (found.until, found.bent) == (date(2026, 3, 15), None)


def test_the_warmth_of_the_day_it_was_finished_counts() -> None:
    rooms = "room: [{celsius: 30, from: 2026-02-28}, {celsius: 10}]"
    assert _curing("cures: {varnish: {cure: 14 days, at_temperature: 20 C}}", rooms, finished=date(2026, 2, 27)).until == date(2026, 3, 27)
    assert _curing("cures: {varnish: {cure: 14 days, at_temperature: 20 C}}", rooms, finished=date(2026, 2, 28)).until == date(2026, 3, 7)


def test_the_order_in_which_rooms_are_written_is_no_matter() -> None:
    rooms = "room: [{celsius: 30, from: 2026-02-20}, {celsius: 10, from: 2026-02-10}, {celsius: 20}]"
    found = [_curing("cures: {varnish: {cure: 14 days, at_temperature: 20 C}}", rooms, finished=date(2026, 2, day)) for day in (27, 19)]
    assert [one.until for one in found] == [date(2026, 3, 6), date(2026, 3, 19)]  # 7 and 28 days


def test_hours_are_bent_too() -> None:
    files = {
        "shop.md": settings(WEEK, "cures: {glue: {cure: 14 h, at_temperature: 20 C}}", "room: 10"),
        "builds/wren/build.md": fenced("title: Wren", "stages: [{stage: x, hours: 1, cure: glue}]"),
    }
    stage = told(shop_of(files))[0]["wren"].stages[0].stage
    assert (stage.cure, stage.bent) == (Wait(2), "adjusted by a rule of thumb for 10 °C, 14 h at 20 °C")  # 28 h are two days begun


def test_degrees() -> None:
    assert [celsius(text) for text in ("20 C", "20°c", "68 F", "-4 F", "warm", "20")] == [20, 20, 20, -20, None, None]
