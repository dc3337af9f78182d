"""Time-lapse figures: frames = source ÷ interval, running time = frames ÷ frame rate (figures from the project's list of outside checks)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purfle.base.trouble import Wrong
from purfle.show.timelapse import factor, screen_seconds

RATE = Decimal(30)


def test_every_five_seconds_for_two_hours():
    times = factor("every 5 s", RATE)
    assert times == 150
    assert screen_seconds(Decimal(120), times) == 48  # 1,440 frames at 30 a second


@pytest.mark.parametrize(
    ("speed", "minutes", "seconds"),
    [
        ("1000 %", 10, 60),
        ("8000 %", 40, 30),
        ("80x", 40, 30),
        ("80×", 40, 30),
        ("x80", 40, 30),
        ("80 X", 40, 30),
        ("every 5 s at 25", 125, 60),
        ("every 18 s", 180, 20),
    ],
)
def test_running_time(speed, minutes, seconds):
    assert screen_seconds(Decimal(minutes), factor(speed, RATE)) == seconds


def test_a_percentage_may_have_a_comma_between_thousands():
    assert factor("1,000 %", RATE) == 10


@pytest.mark.parametrize("speed", ["", "fast", "0x", "80", "-3x", "every 0 s", "1e3x", "every s", "8,00x", "80 x 2"])
def test_what_is_no_speed_is_told(speed):
    with pytest.raises(Wrong) as told:
        factor(speed, RATE)
    assert told.value.code == "speed-unreadable"


@given(st.integers(1, 600), st.integers(1, 120), st.sampled_from([24, 25, 30, 60]))
def test_an_interval_is_as_many_frames_as_it_gives_played_at_the_rate(minutes, interval, rate):
    """Frames are source ÷ interval; at the rate they run for frames ÷ rate."""
    frames = Decimal(minutes * 60) / interval
    assert abs(screen_seconds(Decimal(minutes), factor(f"every {interval} s", Decimal(rate))) - frames / rate) < Decimal("1e-20")
