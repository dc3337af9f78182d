"""Readiness for the coming episode: airs Friday 6 March, recorded Tuesday 3 March, so Monday 2 March is the last day of work in it."""

from decimal import Decimal

import pytest
from shop_texts import fenced
from show_texts import SHOP, TODAY, build, day, episode, note, plan_of, shop_with, show_of

from purfle.show.airing import next_airings, slots

DONE = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}]", "shots: [bare wood]")}

ALL = ("strip", "prime", "mask", "colour", "clear", "setup")


def row(files, stage, plan=None, today=TODAY):
    found = [r for r in show_of(files, today, plan)[0].feature if (r.build, r.stage) == ("heron", stage)]
    return (found[0].ready, found[0].chance, found[0].why) if found else None


def test_the_coming_episode_is_the_next_that_can_be_recorded():
    show = show_of({})[0]
    assert (show.airs, show.records) == (day("2026-03-06"), day("2026-03-03"))
    show = show_of({}, day("2026-03-04"))[0]
    assert (show.airs, show.records) == (day("2026-03-13"), day("2026-03-10"))


def test_a_written_episode_takes_its_weeks_place():
    files = {"journal/episodes/2026-03-05.md": episode("recorded: 2026-03-04", aired=False)}
    show = show_of(files)[0]
    assert (show.airs, show.records) == (day("2026-03-05"), day("2026-03-04"))


def test_a_recorded_episode_is_not_planned_again():
    files = {"journal/episodes/2026-03-06.md": episode("recorded: 2026-03-01", aired=False)}
    assert show_of(files)[0].airs == day("2026-03-13")


@pytest.mark.parametrize(
    ("closed", "airs"),
    [
        ("{from: 2026-03-02, until: 2026-03-15}", "2026-03-20"),
        ("{from: 2026-03-02, until: 2026-03-04}, {from: 2026-03-05, until: 2026-03-08}", "2026-03-13"),
        ("{from: 2026-03-02, until: 2026-03-04}, 2026-03-06", "2026-03-06"),
        ("2026-03-03", "2026-03-06"),
    ],
)
def test_no_episode_is_expected_of_a_shop_that_is_closed_from_its_recording_until_it_airs(closed, airs):
    """Two weeks away leave out the episodes of the 6th and the 13th; a single day does not, even that of the recording, and two times in a row are as one. A promise for the next waits along."""
    shop = {"shop.md": SHOP.replace("name: Test Bench", f"name: Test Bench\nclosed_days: [{closed}]")}
    made = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, in: next}]")}
    show = show_of({**shop, **made})[0]
    assert (show.airs, show.lineup[0].airs, show.promises[0].due) == (day(airs),) * 3


def test_finished_and_filmed_is_yes():
    assert row(DONE, "prime") == ("yes", 1, "finished on 2026-02-26")


def test_of_each_build_the_furthest_ready_stage_and_the_next_one_are_told_or_the_last_where_there_is_neither():
    assert [(r.stage, r.ready) for r in show_of(DONE)[0].feature] == [("prime", "yes"), ("mask", "no")]
    assert [(r.stage, r.ready) for r in show_of({})[0].feature] == [("strip", "no")]
    shown = {"builds/heron/2026-02-20.md": note(f"bench: [{', '.join(f'{{stage: {s}, hours: 1, finished: yes}}' for s in ALL)}]")}
    shown["journal/episodes/2026-02-27.md"] = episode("segments: [{build: heron, what: reveal}]")
    assert [(r.stage, r.ready) for r in show_of(shown)[0].feature] == [("setup", "no")]


def test_likely_from_the_asked_likelihood_on():
    at, below = (plan_of(chances=(("heron", "mask", "2026-03-02", percent),)) for percent in (80, 79))
    assert row(DONE, "mask", at)[:2] == ("likely", Decimal("0.8"))
    assert row(DONE, "mask", below) == ("no", Decimal("0.79"), "79 % likely to be finished by 2026-03-02; you ask for 80 %")


def test_what_is_out_for_work_is_not_there_to_be_shown():
    """Sent out on 26 February with its hands done, and expected back after ten days: on 2 March it is not here, unless a note says so."""
    shop = {"shop.md": SHOP.replace("{stage: prime, hours: 1}", "{stage: prime, hours: 1, wait: [7, 10, 18]}")}
    assert row({**DONE, **shop}, "prime") == ("no", 0, "0 % likely to be finished by 2026-03-02; you ask for 80 %")
    back = {"builds/heron/2026-03-01.md": note("bench: [{stage: prime, hours: 0, finished: yes}]")}
    sent = {"builds/heron/2026-02-20.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1}]", "shots: [bare wood]")}
    assert row({**sent, **back, **shop}, "prime") == ("yes", 1, "finished on 2026-03-01")


@pytest.mark.parametrize(("asked", "ready"), [("0 %", {"prime": "yes", "mask": "no"}), ("400 %", {"prime": "yes", "mask": "no"})])
def test_a_likelihood_beyond_reason_is_kept_within_it(asked, ready):
    files = {**DONE, "shop.md": SHOP.replace("80 %", asked)}
    assert {stage: row(files, stage)[0] for stage in ("prime", "mask")} == ready


def test_the_day_of_recording_is_too_late():
    assert row(DONE, "mask", plan_of(chances=(("heron", "mask", "2026-03-03", 100),)))[0] == "no"


def test_finished_the_day_before_recording_is_in_time():
    files = {**DONE, "builds/heron/2026-03-02.md": note("stage: mask", "hours: 1", "finished: yes", "shots: [the tape coming off]")}
    assert row(files, "mask", today=day("2026-03-03"))[:2] == ("yes", 1)


def test_finished_on_the_recording_day_waits_a_week():
    files = {**DONE, "builds/heron/2026-03-03.md": note("stage: mask", "hours: 1", "finished: yes", "shots: [the tape coming off]")}
    show = show_of(files, day("2026-03-03"))[0]
    left = {(x.stage, x.why) for x in show.lineup[0].left_out}
    assert ("mask", "finished on 2026-03-03, after the day before recording") in left


def test_a_missed_shot_bars_the_stage():
    files = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}]")}
    left = {(x.stage, x.why) for x in show_of(files)[0].lineup[0].left_out}
    assert ("strip", "the shot “bare wood” was missed") in left


def test_a_shot_still_to_be_taken_makes_it_likely():
    files = {"builds/heron/2026-02-26.md": note("stage: strip", "hours: 1", "finished: yes")}
    assert row(files, "strip") == ("likely", 1, "finished on 2026-02-26; film “bare wood” by then")


@pytest.mark.parametrize(
    ("sheet", "why"),
    [
        (build(showroom="no"), "its sheet does not say showroom: yes"),
        (build(showroom="from 2026-03-07"), "it may be shown from 2026-03-07"),
        (build(showroom="after delivery"), "it may be shown only after delivery"),
        (build("kind: commission", "commission: {price: 500}"), "the customer has not agreed to its being shown"),
        (build("kind: commission", "commission: {consent: {credit_as: M.}}"), "the customer has not agreed to its being shown"),
        (build("acquired: {how: customer's}"), "the customer has not agreed to its being shown"),
    ],
)
def test_a_build_that_may_not_be_shown(sheet, why):
    assert row({**DONE, "builds/heron/build.md": sheet}, "mask")[::2] == ("no", why)


@pytest.mark.parametrize(
    "sheet",
    [
        build(showroom="from 2026-03-06"),
        build("kind: commission", "commission: {consent: {show: yes}}"),
        build("kind: commission", "commission: {consent: {show: yes}, delivered: {date: 2026-02-27}}", showroom="after delivery"),
    ],
)
def test_a_build_that_may_be_shown(sheet):
    assert "yes" in [r.ready for r in show_of({**DONE, "builds/heron/build.md": sheet})[0].feature]


def test_shown_before_is_not_shown_again():
    files = {**DONE, "journal/episodes/2026-02-27.md": episode("recorded: 2026-02-27", "segments: [{build: heron, stage: prime}]")}
    left = {x.stage for x in show_of(files)[0].lineup[0].left_out}
    assert not left & {"strip", "prime"}
    assert all(r.ready == "no" for r in show_of(files)[0].feature)


def test_a_reveal_without_a_stage_has_shown_it_all():
    files = {
        "builds/heron/2026-02-20.md": note("bench: [{stage: clear, hours: 1, finished: yes}, {stage: setup, hours: 1, finished: yes}]"),
        "journal/episodes/2026-02-27.md": episode("segments: [{build: heron, what: reveal}]"),
    }
    assert row(files, "setup") == ("no", 1, "shown in the episode of 2026-02-27")
    assert [s.what for s in show_of(files)[0].lineup[0].segments] == ["talk"]


def test_a_stage_beside_the_one_shown_is_still_new():
    """Colour and frets wait for strip alone; the setup waits for both."""
    shop = fenced(
        "name: Test Bench",
        "show: {weekday: friday, lead: 3 days}",
        "routes: {refinish: [{stage: strip}, {stage: frets, follows: [strip]}, {stage: colour, follows: [strip]}, {stage: setup}]}",
    )
    work = note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: frets, hours: 1, finished: yes}, {stage: colour, hours: 1, finished: yes}]")
    files = {"shop.md": shop, "builds/heron/2026-02-20.md": work, "journal/episodes/2026-02-27.md": episode("segments: [{build: heron, stage: colour}]")}
    assert _lined_up(files) == {"frets"}
    del files["journal/episodes/2026-02-27.md"]
    assert _lined_up(files) == {"frets", "colour"}


def _lined_up(files):
    """The stages in the next two episodes."""
    return {segment.stage for episode in show_of(files, weeks=2)[0].lineup for segment in episode.segments if segment.stage}


def test_a_later_stage_shown_says_so():
    coming = {"journal/episodes/2026-03-06.md": episode("segments: [{build: heron, stage: mask}]", aired=False)}
    second = show_of({**DONE, **coming}, weeks=2)[0].lineup[1]
    told = {x.stage: x.why for x in second.left_out}
    assert told["mask"] == "shown in the episode of 2026-03-06"
    assert told["prime"] == told["strip"] == "its mask is shown in the episode of 2026-03-06"


def test_a_stage_done_again_may_be_shown_again():
    files = {
        **DONE,
        "journal/episodes/2026-02-27.md": episode("recorded: 2026-02-26", "segments: [{build: heron, stage: prime}]"),
        "builds/heron/2026-02-28.md": note("stage: prime", "hours: 1", "finished: yes", "redo: [prime]"),
    }
    assert row(files, "prime")[0] == "yes"


def test_a_build_on_hold_says_so():
    files = {**DONE, "builds/heron/build.md": build("hold: {since: 2026-02-27, why: waiting}")}
    assert row(files, "mask")[2] == "it is on hold"


def test_lead_of_nothing_records_on_the_day_it_airs():
    shop = SHOP.replace("lead: 3 days", "lead: 0 days")
    show = show_of({"shop.md": shop})[0]
    assert show.records == show.airs == day("2026-03-06")


def test_slots_go_on_week_by_week_round_written_ones():
    shop = shop_with({"journal/episodes/2026-03-14.md": episode("minutes: 20", aired=False)})
    assert [s.airs.isoformat() for s in slots(shop, TODAY, 3)] == ["2026-03-06", "2026-03-14", "2026-03-20"]
    assert [s.airs.isoformat() for s in slots(shop, day("2026-03-09"), 2)] == ["2026-03-14", "2026-03-20"]
    assert next_airings(shop, TODAY)[0] == day("2026-03-06")


def test_a_shop_without_routes_or_builds_has_a_plan_all_the_same():
    show, troubles = show_of({"shop.md": fenced("name: Bare", "show: {weekday: friday}"), "builds/heron/build.md": fenced("title: Heron")})
    assert show.feature == () and show.shots == () and troubles == ()
    assert [s.what for s in show.lineup[0].segments] == ["talk"]


@pytest.mark.parametrize("lead", ["0 days", "3 days", "40 days"])
def test_there_are_always_as_many_coming_episodes_as_are_asked_for(lead):
    """However many weeks are taken by episodes recorded already, or begin too late to be recorded."""
    recorded = {f"journal/episodes/2026-03-{n:02}.md": episode("recorded: 2026-03-01", aired=False) for n in (6, 13, 20)}
    shop = shop_with({"shop.md": SHOP.replace("3 days", lead), **recorded})
    for weeks in range(1, 13):
        assert len({slot.airs for slot in slots(shop, TODAY, weeks)}) == weeks


# --- why not ----------------------------------------------------------------------------------------------------------


def left_out(files, today=TODAY):
    return {x.stage: x.why for x in show_of(files, today)[0].lineup[0].left_out}


def test_a_stage_waits_for_a_shot_of_a_later_one():
    """The route wants the bare wood shown beside its colour, and colour is not begun."""
    shop = SHOP.replace("{shot: bare wood, from: strip, until: prime}", "{shot: both sides, during: colour}")
    done = {"shop.md": shop, "builds/heron/2026-02-26.md": note("stage: strip", "hours: 1", "finished: yes")}
    assert left_out(done)["strip"] == "the shot “both sides” can't be taken by 2026-03-02"


def test_on_the_day_of_recording_no_shot_can_be_taken_for_it_any_more():
    """Bare wood can still be had until prime is begun, but the last day that is in time was yesterday."""
    done = {"builds/heron/2026-03-02.md": note("stage: strip", "hours: 1", "finished: yes")}
    assert left_out(done, day("2026-03-03"))["strip"] == "the shot “bare wood” is not in the can and the recording is today"
    assert row(done, "strip")[0] == "likely"


def test_a_file_that_names_a_stage_the_build_left_without_says_so():
    files = {
        "builds/heron/build.md": build("sale: {date: 2026-02-27, price: 500}"),
        "journal/episodes/2026-03-06.md": episode("segments: [{build: heron, stage: colour}]", aired=False),
    }
    (segment,) = show_of(files)[0].lineup[0].segments
    assert segment.why == "as its file says; it has left the bench without it"
