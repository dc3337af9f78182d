"""Shots: in the can, wanted, last chance, missed, not yet, and wanted again after rework."""

import pytest
from shop_texts import fenced
from show_texts import TODAY, build, day, note, plan_of, show_of

TAPE, WOOD = "the tape coming off", "bare wood"


def seen(files, plan=None, today=TODAY, build="heron"):
    """Shot → (status, last day), one entry a pass."""
    shots = show_of(files, today, plan)[0].shots
    return [(s.shot, s.pass_number, s.status, s.by and s.by.isoformat()) for s in shots if s.build == build]


def mask_begun(*lines):
    return {
        "builds/heron/2026-02-20.md": note(
            "bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}, {stage: mask, hours: 1}]", *lines
        )
    }


def test_nothing_begun_and_nothing_planned():
    assert seen({}) == [(WOOD, 1, "not yet", None), (TAPE, 1, "not yet", None)]


def test_wanted_while_the_stage_is_on():
    assert (TAPE, 1, "wanted", None) in seen(mask_begun())


def test_wanted_between_two_stages():
    files = {"builds/heron/2026-02-20.md": note("stage: strip", "hours: 1", "finished: yes")}
    assert seen(files)[0] == (WOOD, 1, "wanted", None)


def test_last_chance_is_the_planned_day_the_stage_ends_or_the_other_starts():
    plan = plan_of(tasks=(("2026-03-03", "heron", "strip"), ("2026-03-05", "heron", "prime"), ("2026-03-06", "heron", "mask"), ("2026-03-08", "heron", "mask")))
    assert seen({}, plan) == [(WOOD, 1, "last chance", "2026-03-05"), (TAPE, 1, "last chance", "2026-03-08")]


def test_a_last_day_beyond_the_week_is_not_yet_the_last_chance():
    plan = plan_of(tasks=(("2026-03-05", "heron", "mask"), ("2026-03-09", "heron", "mask"), ("2026-03-20", "heron", "prime")))
    assert seen({}, plan) == [(WOOD, 1, "not yet", "2026-03-20"), (TAPE, 1, "wanted", "2026-03-09")]


def test_missed_once_the_stage_is_finished_or_the_other_began():
    files = {**mask_begun(), "builds/heron/2026-02-25.md": note("stage: mask", "finished: yes")}
    assert seen(files) == [(WOOD, 1, "missed", "2026-02-20"), (TAPE, 1, "missed", "2026-02-25")]


def test_the_day_itself_is_the_last_chance():
    files = {**mask_begun(), "builds/heron/2026-03-02.md": note("stage: mask", "finished: yes")}
    assert (TAPE, 1, "last chance", "2026-03-02") in seen(files)


def test_in_the_can_by_name_whatever_case_and_spaces():
    assert (TAPE, 1, "in the can", None) in seen(mask_begun("shots: [The  Tape coming OFF]"))


def test_in_the_can_without_the_article_only_in_full():
    assert (TAPE, 1, "in the can", None) in seen(mask_begun("shots: [tape coming off]"))
    assert (TAPE, 1, "wanted", None) in seen(mask_begun("shots: [the tape]"))


def picture(alt, src):
    files = mask_begun()
    files["builds/heron/2026-02-20.md"] += f"\n![{alt}]({src})\n"
    return (TAPE, 1, "in the can", None) in seen(files)


def test_a_picture_says_so_by_its_file_name_or_alt_text():
    assert picture("", "photos/tape-coming-off_02.jpg")
    assert picture("Here is the tape coming off the lower edge", "IMG_0412.jpg")


def test_a_picture_does_not_say_so_by_some_of_the_words():
    assert not picture("tape, and paint coming off", "off.jpg")
    assert not picture("the tape", "coming-off.jpg")


def test_words_of_file_name_and_alt_text_are_not_joined():
    assert not picture("off it goes", "the-tape-coming.jpg")


def test_another_builds_shot_does_not_count():
    files = {**mask_begun(), "builds/wren/build.md": build(title="Wren"), "builds/wren/2026-02-21.md": note("shots: [the tape coming off]")}
    assert (TAPE, 1, "wanted", None) in seen(files)
    assert (TAPE, 1, "in the can", None) in seen(files, build="wren")


def test_a_journal_line_names_the_build():
    files = {**mask_begun(), "journal/2026-02-21.md": note("shots: [{shot: the tape coming off, build: Heron}]")}
    assert (TAPE, 1, "in the can", None) in seen(files)


def test_a_shot_after_today_is_not_taken_yet():
    files = {**mask_begun(), "builds/heron/2026-03-10.md": note("shots: [the tape coming off]")}
    assert (TAPE, 1, "wanted", None) in seen(files)


REWORK = {
    "builds/heron/2026-02-20.md": note(
        "bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}, {stage: mask, hours: 1, finished: yes}]",
        "shots: [bare wood, the tape coming off]",
    ),
    "builds/heron/2026-02-24.md": note("redo: [prime]"),
}


def test_wanted_again_after_rework():
    assert seen(REWORK) == [(WOOD, 1, "in the can", None), (WOOD, 2, "wanted", None), (TAPE, 1, "in the can", None), (TAPE, 2, "not yet", None)]


def test_taken_again_after_rework():
    again = {"builds/heron/2026-02-26.md": note("shots: [bare wood]")}
    assert seen({**REWORK, **again})[:2] == [(WOOD, 1, "in the can", None), (WOOD, 2, "in the can", None)]


def test_what_was_taken_before_it_was_scraped_off_is_the_old_passs():
    before = {"builds/heron/2026-02-22.md": note("shots: [bare wood]")}
    assert seen({**REWORK, **before})[:2] == [(WOOD, 1, "in the can", None), (WOOD, 2, "wanted", None)]


def test_missed_again_after_rework():
    again = {"builds/heron/2026-02-27.md": note("bench: [{stage: prime, hours: 1, finished: yes}, {stage: mask, hours: 1, finished: yes}]")}
    missed = seen({**REWORK, **again})
    assert missed[1] == (WOOD, 2, "missed", "2026-02-27")
    assert missed[3] == (TAPE, 2, "missed", "2026-02-27")


TWO_SPRAYS = fenced(
    "name: Test Bench", "routes:", "  quick:", "    - {stage: prime, hours: 1, shots: [spray]}", "    - {stage: colour, hours: 1, shots: [spray]}"
)
QUICK = fenced("title: Heron", "route: quick", "showroom: yes")


def test_two_stages_want_a_shot_of_one_name():
    files = {
        "shop.md": TWO_SPRAYS,
        "builds/heron/build.md": QUICK,
        "builds/heron/2026-02-20.md": note("stage: prime", "hours: 1", "finished: yes"),
        "builds/heron/2026-02-21.md": note("stage: colour", "hours: 1", "shots: [spray]"),
    }
    assert [status for _, _, status, _ in seen(files)] == ["missed", "in the can"]


def test_a_sold_build_wants_nothing_more():
    sold = build("sale: {date: 2026-02-25, price: 100}")
    assert seen({**mask_begun(), "builds/heron/build.md": sold}) == [(WOOD, 1, "missed", "2026-02-20"), (TAPE, 1, "missed", "2026-02-25")]


def test_anothers_work_counts_once_they_agree():
    shot = "shots: [{{shot: the tape coming off, credit: a friend, consent: {}}}]"
    assert (TAPE, 1, "wanted", None) in seen(mask_begun(shot.format("no")))
    assert (TAPE, 1, "in the can", None) in seen(mask_begun(shot.format("yes")))


def test_running_time_of_several_takes_adds_up():
    files = mask_begun("shots: [the tape coming off, {shot: the tape coming off, minutes: 40, speed: 80x}]")
    files["builds/heron/2026-02-21.md"] = note("shots: [{shot: tape coming off, minutes: 120, speed: every 5 s}]")
    (taped,) = (s for s in show_of(files)[0].shots if s.shot == TAPE)
    assert (taped.status, taped.taken, taped.screen_seconds) == ("in the can", day("2026-02-20"), 30 + 48)


def test_running_time_of_a_timelapse():
    """8,000 % of 40 min = 30 s (the project's list of outside checks)."""
    files = mask_begun("shots: [{shot: the tape coming off, minutes: 40, speed: 8000 %}]")
    assert [s.screen_seconds for s in show_of(files)[0].shots if s.shot == TAPE] == [30]
    assert day("2026-02-20") in [s.taken for s in show_of(files)[0].shots]


def shop_wanting(shot, *more):
    """A shop whose route of strip, prime and mask asks for one shot under strip."""
    stages = (f"    - {{stage: strip, hours: 2, shots: [{shot}]}}", "    - {stage: prime, hours: 1}", "    - {stage: mask, hours: 1}", *more)
    return {"shop.md": fenced("name: Test Bench", "routes:", "  refinish:", *stages)}


PRIMED_TWICE_IN_ONE_DAY = {
    "builds/heron/2026-02-20.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}]", "shots: [bare wood]"),
    "builds/heron/2026-02-24.md": note("redo: [prime]", "stage: prime", "hours: 1"),
}


def test_scraped_off_and_begun_again_on_one_day_leaves_that_day_alone():
    """What was filmed between the finish of the old coat (20 February) and its end (the 24th) is the old coat's, however soon the new one began."""
    between = {"builds/heron/2026-02-22.md": note("shots: [bare wood]")}
    assert seen({**PRIMED_TWICE_IN_ONE_DAY, **between})[:2] == [(WOOD, 1, "in the can", None), (WOOD, 2, "missed", "2026-02-24")]
    on_it = {"builds/heron/2026-02-24.md": note("redo: [prime]", "stage: prime", "hours: 1", "shots: [bare wood]")}
    assert seen({**PRIMED_TWICE_IN_ONE_DAY, **on_it})[1] == (WOOD, 2, "in the can", None)


def test_a_pass_that_is_scraped_off_unfinished_ends_with_its_last_session():
    files = {
        "builds/heron/2026-02-20.md": note("stage: strip", "hours: 1", "finished: yes"),
        "builds/heron/2026-02-21.md": note("stage: prime", "hours: 1"),
        "builds/heron/2026-02-24.md": note("redo: [prime]"),
    }
    assert seen(files)[:2] == [(WOOD, 1, "missed", "2026-02-21"), (WOOD, 2, "wanted", None)]


def test_a_shot_until_a_stage_is_wanted_from_the_beginning():
    shop = shop_wanting("{shot: as it came, until: prime}")
    assert seen(shop) == [("as it came", 1, "wanted", None)]
    begun = {"builds/heron/2026-02-21.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1}]")}
    assert seen({**shop, **begun}) == [("as it came", 1, "missed", "2026-02-21")]


def test_a_shot_taken_before_another_stage_was_redone_stays_in_the_can():
    files = {
        **shop_wanting("{shot: as it came, until: prime}"),
        "builds/heron/2026-02-18.md": note("stage: strip", "hours: 1", "finished: yes", "shots: [as it came]"),
        "builds/heron/2026-02-19.md": note("redo: [strip]"),
    }
    assert seen(files) == [("as it came", 1, "in the can", None)]


@pytest.mark.parametrize(
    ("shot", "words"),
    [
        ("dust", "during strip"),
        ("{shot: dust, during: mask}", "during mask"),
        ("{shot: dust, from: prime}", "after prime"),
        ("{shot: dust, until: mask}", "until mask"),
        ("{shot: dust, from: strip, until: mask}", "after strip until mask"),
    ],
)
def test_when_a_shot_can_be_taken_in_words(shot, words):
    assert [s.window for s in show_of(shop_wanting(shot))[0].shots] == [words]


def left_out(shot, *stages):
    """Heron on strip, prime, mask, colour, clear, setup, but for some of them; the setup asks for the shot."""
    skipped = ", ".join(f"{{stage: {stage}, skip: yes}}" for stage in stages)
    return {"builds/heron/build.md": build(f"stages: [{skipped}, {{stage: strip, shots: []}}, {{stage: setup, shots: [{shot}]}}]")}


@pytest.mark.parametrize(
    ("shot", "skipped", "words"),
    [
        ("{shot: dust, from: strip, until: prime}", ("prime", "mask"), "after strip until colour"),
        ("{shot: dust, from: prime, until: colour}", ("prime", "mask"), "after strip until colour"),
        ("{shot: dust, until: prime}", ("prime", "mask"), "until colour"),
        ("{shot: dust, from: mask}", ("prime", "mask"), "after strip"),
        ("{shot: dust, from: strip, until: prime}", ("strip", "mask"), "until prime"),
    ],
)
def test_a_shot_between_stages_keeps_its_window_where_one_of_them_is_left_out(shot, skipped, words):
    assert [s.window for s in show_of(left_out(shot, *skipped))[0].shots] == [words]


def test_bare_wood_is_lost_when_the_next_coat_begins_though_the_primer_is_left_out():
    files = {
        **left_out("{shot: bare wood, from: strip, until: prime}", "prime", "mask"),
        "builds/heron/2026-02-20.md": note("stage: strip", "hours: 1", "finished: yes"),
    }
    assert seen(files) == [("bare wood", 1, "wanted", None)]
    assert seen({**files, "builds/heron/2026-02-24.md": note("stage: colour", "hours: 1")}) == [("bare wood", 1, "missed", "2026-02-24")]


@pytest.mark.parametrize(
    "shot", ["{shot: dust, during: mask}", "{shot: dust, from: mask}", "{shot: dust, until: mask}", "{shot: dust, from: mask, until: prime}"]
)
def test_a_build_without_the_stage_wants_no_shot_that_is_tied_to_it(shot):
    own = fenced("title: Heron", "stages:", f"  - {{stage: strip, hours: 1, shots: [{shot}]}}", "  - {stage: prime, hours: 1}")
    assert seen({"builds/heron/build.md": own}) == []
