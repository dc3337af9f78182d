"""Time-lapse figures: frames = source ÷ interval, running time = frames ÷ frame rate (figures from the project's list of outside checks)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base.trouble import Wrong
from purfle.show.timelapse import factor, frames, interval_for, screen_seconds

RATE = Decimal(30)


def test_every_five_seconds_for_two_hours():
    times = factor("every 5 s", RATE)
    assert times == 150
    assert frames(Decimal(120), Decimal(5)) == 1440
    assert screen_seconds(Decimal(120), times) == 48


@pytest.mark.parametrize(
    ("speed", "minutes", "seconds"),
    [("1000 %", 10, 60), ("8000 %", 40, 30), ("80x", 40, 30), ("80×", 40, 30), ("x80", 40, 30), ("80 X", 40, 30), ("every 5 s at 25", 125, 60)],
)
def test_running_time(speed, minutes, seconds):
    assert screen_seconds(Decimal(minutes), factor(speed, RATE)) == seconds


def test_interval_for_a_wanted_length():
    assert interval_for(Decimal(180), Decimal(20), RATE) == 18


def test_a_percentage_may_have_a_comma_between_thousands():
    assert factor("1,000 %", RATE) == 10


@pytest.mark.parametrize("speed", ["", "fast", "0x", "80", "-3x", "every 0 s", "1e3x", "every s", "8,00x", "80 x 2"])
def test_what_is_no_speed_is_told(speed):
    with pytest.raises(Wrong) as told:
        factor(speed, RATE)
    assert told.value.code == "speed-unreadable"


@given(st.integers(1, 600), st.integers(1, 120), st.sampled_from([24, 25, 30, 60]))
def test_interval_and_factor_agree(minutes, seconds, rate):
    """Played at its rate, one frame each interval gives back the length asked for."""
    interval = interval_for(Decimal(minutes), Decimal(seconds), Decimal(rate))
    assert abs(frames(Decimal(minutes), interval) / rate - seconds) < Decimal("1e-20")
