"""Run sheets as written and as proposed, what there is to film day by day, and what a piece must say."""

from decimal import Decimal

import pytest
from show_texts import build, day, episode, note, plan_of, show_of

COMING = "journal/episodes/2026-03-06.md"
GIFT = "parts: [{part: pickups, how: gifted, for: mask, from: Tarnwater Pickups, arrived: 2026-02-10}]"
STRIPPED = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 2, finished: yes}]", "shots: [bare wood]")}
AT_WORK = plan_of(tasks=(("2026-03-02", "heron", "strip"), ("2026-03-03", "heron", "prime"), ("2026-03-04", "heron", "mask"), ("2026-03-05", "heron", "mask")))


def sheets(files, plan=None, weeks=1):
    return show_of(files, plan=plan, weeks=weeks)[0].run_sheets


# --- run sheets -------------------------------------------------------------------------------------------------------


def test_an_episode_without_a_file_has_the_sheet_of_its_line_up():
    (sheet,) = sheets(STRIPPED)
    assert (sheet.airs, sheet.records, sheet.written, sheet.title) == (day("2026-03-06"), day("2026-03-03"), False, "")
    assert [(line.what, line.build, line.stage, line.why) for line in sheet.lines] == [
        ("progress", "heron", "strip", "finished on 2026-02-26"),
        ("talk", None, None, "what comes next week"),
    ]
    assert sheet.minutes == sum(line.minutes for line in sheet.lines) == 5


def test_a_file_without_segments_lends_its_title_to_the_proposal():
    (sheet,) = sheets({**STRIPPED, COMING: episode("minutes: 9", aired=False)})
    assert (sheet.title, sheet.written, sheet.length, sheet.over) == ("A week", False, 9, -4)


def test_every_coming_episode_has_one_sheet():
    found = sheets({**STRIPPED, COMING: episode("segments: [{what: talk, minutes: 2}]", aired=False)}, weeks=3)
    assert [(str(s.airs), s.written) for s in found] == [("2026-03-06", True), ("2026-03-13", False), ("2026-03-20", False)]


def test_a_piece_says_the_gifts_that_its_file_does_not_disclose():
    files = {"builds/heron/build.md": build(GIFT), COMING: episode("segments: [{build: heron, stage: mask}, {build: heron, stage: strip}]", aired=False)}
    assert [line.say for line in sheets(files)[0].lines] == [("pickups, gifted by Tarnwater Pickups",), ()]
    told = {**files, COMING: episode("segments: [{build: heron, stage: mask}]", "disclosures: {what: pickups in heron, from: Tarnwater Pickups}", aired=False)}
    assert (sheets(told)[0].lines[0].say, sheets(told)[0].disclosures) == ((), ("pickups in heron, gifted by Tarnwater Pickups",))


def test_a_proposal_lists_what_must_be_said():
    files = {
        "builds/heron/build.md": build(GIFT),
        "builds/heron/2026-02-26.md": note("bench: [{stage: mask, hours: 1, finished: yes}]", "shots: [bare wood, the tape coming off]"),
    }
    assert sheets(files)[0].disclosures == ("pickups in Heron, gifted by Tarnwater Pickups",)


def test_promises_due_by_an_episode_stand_on_its_sheet():
    made = episode("promises: [{build: heron, do: mask, in: next}, {build: heron, do: clear, by: 2026-04-01}, {build: heron, do: setup}]")
    files = {**STRIPPED, "journal/episodes/2026-02-27.md": made}
    assert [[p.do for p in s.promises] for s in sheets(files, weeks=2)] == [["mask"], ["mask"]]


def test_a_time_lapse_longer_than_its_piece_is_told():
    """600 minutes at 100x run 360 seconds: six minutes."""
    taped = {"builds/heron/2026-02-26.md": note("stage: mask", "hours: 1", "shots: [{shot: the tape coming off, minutes: 600, speed: 100x}]")}
    lines = sheets({**taped, COMING: episode("segments: [{build: heron, stage: mask, minutes: 5}, {build: heron, stage: mask, minutes: 6}]", aired=False)})[
        0
    ].lines
    assert [(line.screen_seconds, line.runs_over) for line in lines] == [(360, True), (360, False)]


def test_the_line_up_has_a_piece_of_a_file_as_long_as_its_run_sheet():
    """The tape's 360 seconds, six minutes, are longer than the usual four of a step; prime has none. 6 + 4 of 14 leave 4 (sums)."""
    taped = {"builds/heron/2026-02-26.md": note("stage: mask", "hours: 1", "shots: [{shot: the tape coming off, minutes: 600, speed: 100x}]")}
    show, _ = show_of({**taped, COMING: episode("segments: [{build: heron, stage: mask}, {build: heron, stage: prime}]", aired=False)}, weeks=1)
    assert [s.minutes for s in show.lineup[0].segments] == [line.minutes for line in show.run_sheets[0].lines] == [6, 4]
    assert (show.lineup[0].minutes, show.lineup[0].free) == (10, 4)


# --- to film, day by day ----------------------------------------------------------------------------------------------


def to_film(files, plan):
    return {str(d.date): [s.shot for s in d.shots] for d in show_of(files, plan=plan)[0].shot_days}


def test_a_shot_stands_on_the_days_it_can_be_taken():
    """Bare wood: after strip is finished (2 March as planned), until prime is begun (3 March). The tape: while mask is on the bench."""
    assert to_film({}, AT_WORK) == {
        "2026-03-02": ["bare wood"],
        "2026-03-03": ["bare wood"],
        "2026-03-04": ["the tape coming off"],
        "2026-03-05": ["the tape coming off"],
    }


def test_what_is_in_the_can_is_on_no_list():
    assert to_film(STRIPPED, AT_WORK) == {"2026-03-04": ["the tape coming off"], "2026-03-05": ["the tape coming off"]}


def test_the_list_ends_after_a_fortnight_and_without_a_plan_is_empty():
    late = plan_of(tasks=(("2026-03-15", "heron", "mask"), ("2026-03-16", "heron", "mask")))
    assert to_film(STRIPPED, late) == {"2026-03-15": ["the tape coming off"]}
    assert to_film(STRIPPED, plan_of()) == {}


def test_what_the_next_episode_lacks_is_to_be_filmed_before_it_is_recorded():
    """Strip was finished without its shot, which can be taken until the primer; the episode is recorded on 3 March."""
    bare = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 2, finished: yes}]")}
    show, _ = show_of(bare)
    assert "film “bare wood” by then" in show.lineup[0].segments[0].why
    assert to_film(bare, plan_of()) == {"2026-03-02": ["bare wood"]}
    assert [(s.shot, str(s.due), s.status) for s in show.to_film(day("2026-03-08"))] == [("bare wood", "2026-03-02", "wanted")]
    assert show_of(STRIPPED)[0].to_film(day("2026-03-08")) == []


def test_a_later_stage_s_shot_of_the_same_name_is_not_lacked_yet():
    """Setup wants bare wood, too, and is weeks away: the episode that shows strip lacks the first alone."""
    sheet = build("stages: [{stage: setup, shots: [bare wood]}]")
    bare = {"builds/heron/build.md": sheet, "builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 2, finished: yes}]")}
    show, _ = show_of(bare)
    assert [(s.under, s.before and str(s.before)) for s in show.shots if s.shot == "bare wood"] == [("strip", "2026-03-02"), ("setup", None)]
    assert [s.under for s in show.to_film(day("2026-03-08"))] == ["strip"]


# --- again, and barred ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("recorded", "new"), [("2026-02-26", True), ("2026-02-27", False)])
def test_a_stage_done_again_is_new_until_an_episode_was_recorded_of_it(recorded, new):
    files = {
        "builds/heron/2026-02-20.md": note("bench: [{stage: strip, hours: 2, finished: yes}]", "shots: [bare wood]"),
        "builds/heron/2026-02-27.md": note("redo: [strip]", "bench: [{stage: strip, hours: 2}]"),
        "builds/heron/2026-03-01.md": note("bench: [{stage: strip, hours: 1, finished: yes}]", "shots: [bare wood]"),
        "journal/episodes/2026-02-28.md": episode(f"recorded: {recorded}", "segments: [{build: heron, stage: strip}]"),
    }
    assert ("strip" in [s.stage for s in show_of(files)[0].lineup[0].segments]) is new


def test_a_written_piece_of_a_build_that_may_not_be_shown_says_so():
    files = {
        "builds/heron/build.md": build(showroom="no"),
        COMING: episode("segments: [{build: heron, stage: strip}, {build: heron, what: update}]", aired=False),
    }
    told = [(s.why, s.chance) for s in show_of(files)[0].lineup[0].segments]
    assert told == [("as its file says; its sheet does not say showroom: yes", Decimal(0))] * 2


def test_a_promise_of_what_was_shown_already_is_told_beside_the_stage_that_comes():
    made = episode("segments: [{build: heron, stage: strip}]", "promises: [{build: heron, do: strip, in: next}]")
    left = show_of({**STRIPPED, "journal/episodes/2026-02-27.md": made})[0].lineup[0].left_out
    assert [(x.stage, x.why.split(",")[0]) for x in left if x.build == "heron"] == [("prime", "promised on 2026-02-27 for 2026-03-06")]


def test_a_disclosure_names_its_build_on_the_sheet():
    said = "disclosures: [{what: pickups, build: heron}, {what: tuners of Heron, build: heron}, {what: a lamp, how: lent}]"
    assert sheets({COMING: episode("segments: [{build: heron, what: update}]", said, aired=False)})[0].disclosures == (
        "pickups in Heron, gifted",
        "tuners of Heron, gifted",
        "a lamp, lent",
    )


def test_a_sponsor_without_a_disclosure_and_those_who_agreed_to_be_thanked():
    lines = (
        "segments: [{what: talk}]",
        "income: {what: a spring sale, amount: 50, kind: sponsorship}",
        "credits: [{name: Bo, for: slide, consent: yes}, {name: Cy, for: words}]",
    )
    sheet = sheets({COMING: episode(*lines, aired=False)})[0]
    assert (sheet.unsaid, sheet.thanks) == (("sponsored: a spring sale",), ("Bo (slide)",))
    said = "disclosures: {what: this episode, how: sponsored}"
    assert sheets({COMING: episode(*lines, said, aired=False)})[0].unsaid == ()
