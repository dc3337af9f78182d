"""Published networks and single benches entered as shops and read through `purfle week --json`."""

import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from shop_texts import TODAY, fenced, put, settings
from test_bench_plan import NETWORK

from purfle.shell.cli import run

HOUR_A_DAY = "bench_hours: {" + ", ".join(f"{day}: 1" for day in ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")) + "}"


def _week(folder: Path, files: dict[str, str], capsys: pytest.CaptureFixture[str]) -> dict:  # type: ignore[type-arg]
    assert run(["week", "--shop", str(put(folder, files)), "--today", TODAY.isoformat(), "--json"]) == 0
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
    assert proof.startswith(f"Proved best: no order that keeps each stage in one piece has less weighted lateness than {least}; this one has {least}.")


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
    """Two hours of an hour a day are done on the second day: in time for a recording on the third, too late for one on the second."""
    sheet = fenced("title: Wren", f"due: {TODAY + timedelta(days=9)}", "stages: [{stage: carve, hours: [1.8, 1.9, 2]}]")
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
