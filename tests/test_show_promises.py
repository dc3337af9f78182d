"""Promises: each case file is a small shop and, after `@@ expect`, one line a promise: what, state, due day, day kept."""

from datetime import date
from pathlib import Path

import pytest
from cases import _blocks
from shop_texts import told
from show_texts import TODAY, build, episode, promises, shop_with

from purfle.show import finish_days, promises_of

CASES = sorted((Path(__file__).parent / "cases" / "promises").glob("*.case"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_promises_of_a_case_are_those_it_expects_in_order(path):
    files, expected, today = {}, None, TODAY
    for header, lines in _blocks(path.read_text("utf-8").split("\n", 1)[1]):
        if header == "expect":
            expected = [line for line in lines if line.strip()]
        elif header.startswith("today "):
            today = date.fromisoformat(header.split()[1])
        else:
            files[header] = "\n".join(lines) + "\n"
    seen = [f"{p.do} {p.state} due {p.due or '-'} on {p.kept_on or '-'}" for p in promises(files, today)]
    assert seen == expected


def test_there_are_cases():
    assert len(CASES) >= 20


@pytest.mark.parametrize(
    ("on_air", "on_sheet", "public"),
    [("showroom: yes", "yes", True), ("showroom: no", "yes", False), ("showroom: yes", "no", False), ("showroom: yes", "from 2026-03-03", False)],
)
def test_public_needs_a_public_episode_and_build(on_air, on_sheet, public):
    files = {
        "builds/heron/build.md": build(showroom=on_sheet),
        "journal/episodes/2026-02-27.md": episode(on_air, "promises: [{build: heron, do: mask, in: next}]"),
    }
    assert [p.public for p in promises(files)] == [public]


def test_the_bench_is_asked_for_the_day_before_recording():
    """Airs Friday 6 March, recorded three days before, so the work must be done by Monday 2 March."""
    shop = shop_with({"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, in: next}, {build: heron, do: start, by: 2026-03-20}]")})
    progress, _ = told(shop)
    wanted = finish_days(shop, progress, promises_of(shop, progress, TODAY), TODAY)
    assert wanted == (("heron", "mask", date(2026, 3, 2)), ("heron", "strip", date(2026, 3, 16)))


@pytest.mark.parametrize(
    ("by", "today", "finished"),
    [
        ("2026-03-18", "2026-03-02", "2026-03-09"),  # a Wednesday: the last episode in time airs on Friday the 13th and is recorded on the 10th
        ("2026-03-06", "2026-03-03", "2026-03-09"),  # recorded today, so it is too late for that one; the next is recorded on the 10th
        ("2026-02-28", "2026-03-02", "2026-03-02"),  # late: the next is recorded tomorrow
        ("2026-03-06", "2027-03-01", "2027-03-01"),  # late by a year: the same
        (
            "2099-01-01",
            "2026-03-02",
            "2031-02-24",
        ),  # no further than 1,830 days, to Thursday 6 March 2031: the last one airs on 28 February, recorded on the 25th
    ],
)
def test_the_bench_is_asked_for_the_last_episode_in_time(by, today, finished):
    files = {"journal/episodes/2026-02-27.md": episode(f"promises: [{{build: heron, do: mask, by: {by}}}]")}
    shop, now = shop_with(files, date.fromisoformat(today)), date.fromisoformat(today)
    progress, _ = told(shop, now)
    assert finish_days(shop, progress, promises_of(shop, progress, now), now) == (("heron", "mask", date.fromisoformat(finished)),)


def test_the_bench_is_asked_for_nothing_that_is_kept_or_withdrawn():
    kept = episode("segments: [{build: heron, stage: mask}]")
    made = episode(
        "promises: [{build: heron, do: mask}, {build: heron, do: colour, by: 2026-05-01, withdrawn: {date: 2026-02-21}}, {words: more, do: start, by: 2026-05-01}]"
    )
    shop = shop_with({"journal/episodes/2026-02-20.md": made, "journal/episodes/2026-02-27.md": kept})
    progress, _ = told(shop)
    assert finish_days(shop, progress, promises_of(shop, progress, TODAY), TODAY) == ()
