"""Published networks and single benches entered as shops and read through `purfle week --json`."""

import json
import math
import random
from datetime import date, timedelta
from itertools import permutations
from pathlib import Path

import pytest
from shop_texts import TODAY, fenced, put, settings
from test_bench_plan import NETWORK

from purfle.bench.forecast import RUNS
from purfle.shell.cli import run

HOUR_A_DAY = "bench_hours: {" + ", ".join(f"{day}: 1" for day in ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")) + "}"


def _week(folder: Path, files: dict[str, str], capsys: pytest.CaptureFixture[str], today: date = TODAY) -> dict:  # type: ignore[type-arg]
    assert run(["week", "--shop", str(put(folder, files)), "--today", today.isoformat(), "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


@pytest.mark.parametrize(
    ("hours", "due", "least"),
    [
        ((7, 8, 4, 6, 6), (9, 17, 18, 19, 21), 16),
        ((121, 79, 147, 83, 130), (260, 266, 266, 336, 337), 370),
    ],
)
def test_least_total_lateness_of_one_bench(
    hours: tuple[int, ...], due: tuple[int, ...], least: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Pinedo, Scheduling, from memory; each optimum proved by trying all orders. An hour a day, so hours are days."""
    files = {"shop.md": settings(HOUR_A_DAY, "lateness: {due: 1}")}
    for number, (takes, by) in enumerate(zip(hours, due, strict=True)):
        files[f"builds/j{number}/build.md"] = fenced(
            f"title: J{number}", f"due: {TODAY + timedelta(days=by - 1)}", f"stages: [{{stage: work, hours: {takes}}}]"
        )
    proof = _week(tmp_path, files, capsys)["proof"]
    assert proof.startswith(f"Proved best: with each stage kept in one piece, no order has less weighted lateness than {least}, and this one has {least}.")


def test_least_total_lateness_of_a_bottleneck_with_arrivals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Guéret, Prins, Sevaux, Applications of Optimization with Xpress-MP, jobs on a bottleneck machine (data read).

    18 is the best of all 5,040 orders, as the sum below shows. What a job waits for is a part here, and an hour is a day.
    """
    released, hours, due = (2, 5, 4, 0, 0, 8, 9), (5, 6, 8, 4, 2, 4, 2), (10, 21, 15, 10, 5, 15, 22)

    def late(order: tuple[int, ...]) -> int:
        now = total = 0
        for job in order:
            now = max(now, released[job]) + hours[job]
            total += max(0, now - due[job])
        return total

    assert min(map(late, permutations(range(7)))) == 18
    files = {"shop.md": settings(HOUR_A_DAY, "lateness: {due: 1}")}
    for n in range(7):
        kit = f"parts: [{{part: kit, for: work, ordered: 2026-02-20, eta: {TODAY + timedelta(days=released[n])}}}]"
        sheet = (f"title: J{n}", f"due: {TODAY + timedelta(days=due[n] - 1)}", f"stages: [{{stage: work, hours: {hours[n]}}}]", *((kit,) * (released[n] > 0)))
        files[f"builds/j{n}/build.md"] = fenced(*sheet)
    proof = _week(tmp_path, files, capsys)["proof"]
    assert proof.startswith("Proved best: with each stage kept in one piece, no order has less weighted lateness than 18, and this one has 18.")


def test_one_bench_with_arrivals_and_cures_ends_as_early_as_it_can(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Carlier 1982 (data as courses on scheduling reprint it): heads, hours and tails of seven jobs; 50 is the least with each in one piece, as all 5,040 orders show.

    Ours may be split over days, and the least of all is then Jackson's: always the one with the longest tail that is
    there, 49. A head is a part's arrival and a tail a cure; what is due today is late by one day less.
    """
    heads, hours, tails = (10, 13, 11, 20, 30, 0, 30), (5, 6, 7, 4, 3, 6, 2), (7, 26, 24, 21, 8, 17, 0)

    def ends(order: tuple[int, ...]) -> int:
        now = end = 0
        for job in order:
            now = max(now, heads[job]) + hours[job]
            end = max(end, now + tails[job])
        return end

    def split_ends() -> int:
        left, now, end = list(hours), 0, 0
        while any(left):
            if here := [job for job in range(7) if heads[job] <= now and left[job]]:
                left[job := max(here, key=tails.__getitem__)] -= 1
                end = end if left[job] else max(end, now + 1 + tails[job])
            now += 1
        return end

    assert (min(map(ends, permutations(range(7)))), split_ends()) == (50, 49)
    stages = ", ".join(f"{{stage: s{n}, hours: {hours[n]}, cure: {tails[n]} days, follows: []}}" for n in range(7))
    parts = ", ".join(f"{{part: kit {n}, for: s{n}, ordered: 2026-02-20, eta: {TODAY + timedelta(days=heads[n])}}}" for n in range(7) if heads[n])
    sheet = fenced("title: Heron", f"due: {TODAY}", f"stages: [{stages}]", f"parts: [{parts}]")
    proof = _week(tmp_path, {"shop.md": settings(HOUR_A_DAY, "lateness: {due: 1}"), "builds/heron/build.md": sheet}, capsys)["proof"]
    assert "this one has 48." in proof


def test_a_published_network_with_a_due_date(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Heizer and Render, Operations Management, ch. 3, expected times read in a reprint: 15 weeks on A-C-E-G-H.

    By hand: its spans squared are 4 + 4 + 36 + 64 + 4 over 36, a variance of 3.11; 1 ÷ √3.11 = 0.57, whose Φ is 0.7157 in the tables.

    That is a normal approximation on one path; the standard library's beta, walking the network another way, says what
    merging and skew take off it. Weeks are days here.
    """
    network = {
        "A": ((1, 2, 3), ""), "B": ((2, 3, 4), ""), "C": ((1, 2, 3), "A"), "D": ((2, 4, 6), "B"),
        "E": ((1, 4, 7), "C"), "F": ((1, 2, 9), "C"), "G": ((3, 4, 11), "DE"), "H": ((1, 2, 3), "FG"),
    }  # fmt: skip
    rng, runs = random.Random(1), 20_000

    def ends() -> float:
        done: dict[str, float] = {}
        for name, ((low, likely, high), after) in network.items():
            span = high - low
            takes = low + span * rng.betavariate(1 + 4 * (likely - low) / span, 1 + 4 * (high - likely) / span)
            done[name] = max((done[before] for before in after), default=0.0) + takes
        return done["H"]

    expected = sum(ends() <= 16 for _ in range(runs)) / runs
    stages = ", ".join(f"{{stage: {name}, wait: {list(points)}, follows: [{', '.join(after)}]}}" for name, (points, after) in network.items())
    sheet = fenced("title: Net", f"due: {TODAY + timedelta(days=16)}", f"stages: [{stages}]")
    dates = _week(tmp_path, {"shop.md": settings(HOUR_A_DAY), "builds/net/build.md": sheet}, capsys)["dates"]
    chance = float(dates[0]["chance"])
    assert abs(chance - expected) < 4 * math.sqrt(expected * (1 - expected) * (1 / RUNS + 1 / runs)) + 0.01
    assert 0.7157 - 0.06 < chance < 0.7157


def test_a_network_of_waits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Anderson, Sweeney, Williams, Management Science, ch. 9: mean 17, variance 2.7222, P(≤ 20) 0.9655.

    Weeks there are days here; the book's P is a normal approximation and whole days round up, so half the runs are
    done by day 18 at the latest, and the 95 % day is near 17 + 1.645 × 1.65 = 19.7.
    """
    week = _week(tmp_path, {"shop.md": settings(HOUR_A_DAY), "builds/net/build.md": fenced("title: Net", NETWORK)}, capsys)
    last = next(f for f in week["forecast"] if f["stage"].casefold() == "j")
    days = {part: (date.fromisoformat(last[part]) - TODAY).days for part in ("p50", "p95")}
    assert 17 <= days["p50"] <= 18 and 20 <= days["p95"] <= 21


def test_every_date_has_a_chance_and_every_stage_one_by_the_coming_recordings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not quite two hours of an hour a day are done on the second day: in time for a recording on the third, too late for one on the second."""
    sheet = fenced("title: Wren", f"due: {TODAY + timedelta(days=9)}", "stages: [{stage: carve, hours: [1.6, 1.7, 1.8]}]")
    chances = []
    for later in (2, 1):
        weekday = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")[(TODAY.weekday() + later + 1) % 7]
        files = {"shop.md": settings(HOUR_A_DAY, f"show: {{weekday: {weekday}, lead: 1 day}}"), "builds/wren/build.md": sheet}
        week = _week(tmp_path / str(later), files, capsys)
        chances.append(week["forecast"][0]["by"][0])
        assert [(d["build"], d["due"], d["chance"]) for d in week["dates"]] == [("wren", (TODAY + timedelta(days=9)).isoformat(), "1.00")] and week[
            "at_risk"
        ] == []
    assert [(c["records"], float(c["chance"])) for c in chances] == [
        ((TODAY + timedelta(days=2)).isoformat(), 1.0),
        ((TODAY + timedelta(days=1)).isoformat(), 0.0),
    ]


@pytest.mark.parametrize(
    ("done", "cure", "free"),
    [
        ("2028-02-27", "2 days", "2028-02-29"),
        ("2027-02-27", "2 days", "2027-03-01"),
        ("2100-02-27", "2 days", "2100-03-01"),
        ("2026-12-30", "3 days", "2027-01-02"),
        ("2026-03-28", "2 days", "2026-03-30"),
        ("2026-10-24", "1 week", "2026-10-31"),
    ],
)
def test_a_cure_over_a_leap_day_a_year_s_end_and_a_change_of_clocks(
    done: str, cure: str, free: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The Gregorian calendar, counted by hand: 2028 is a leap year, 2027 and 2100 are none; clocks change in March and October."""
    sheet = fenced("title: Wren", f"stages: [{{stage: clear, hours: 1, cure: {cure}}}, {{stage: buff, hours: 1}}]")
    files = {"shop.md": settings(HOUR_A_DAY), "builds/wren/build.md": sheet, f"builds/wren/{done}.md": fenced("stage: clear", "hours: 1", "finished: yes")}
    week = _week(tmp_path, files, capsys, date.fromisoformat(done))
    assert [c["until"] for c in week["curing"]] == [free]
    assert [day["date"] for day in week["days"] if day["tasks"]] == [free] * (free <= week["to"])
