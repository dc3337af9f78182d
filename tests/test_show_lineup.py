"""Line-ups of whole shops: what is in, what is out and why, and a checker that derives every rule from the notes anew."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shop_texts import told
from show_texts import SHOP, TODAY, build, day, episode, note, plan_of, shop_with, show_of, weeks_after

from purfle.base.trouble import Troubles
from purfle.events.work import work_events
from purfle.notes.frontmatter.tree import compose
from purfle.notes.records.show import EpisodeSheet
from purfle.notes.vocabulary.fields import Reading
from purfle.notes.vocabulary.mapping import read_record
from purfle.show import promises_of, scene_of
from purfle.show.airing import slots
from purfle.show.candidates import Offer, candidates_of, judge
from purfle.show.episode_text import episode_path, episode_text
from purfle.show.lineup import problem_of
from purfle.show.minutes import usual_minutes
from purfle.show.model import NO
from purfle.show.problem import broken, worth
from purfle.show.solve import solve

STAGES = ("strip", "prime", "mask", "colour", "clear", "setup")


def done(*stages, shots="shots: [bare wood, the tape coming off]"):
    return note("bench: [" + ", ".join(f"{{stage: {s}, hours: 1, finished: yes}}" for s in stages) + "]", shots)


def first(files, plan=None, today=TODAY):
    return show_of(files, today, plan)[0].lineup[0]


def inside(lineup):
    return [(s.build, s.stage) for s in lineup.segments if s.build]


def why_out(lineup, build, stage):
    return next(x.why for x in lineup.left_out if (x.build, x.stage) == (build, stage))


HERON = {"builds/heron/2026-02-26.md": done("strip", "prime")}
WREN = {"builds/wren/build.md": build(title="Wren"), "builds/wren/2026-02-26.md": done("strip", "prime", "mask")}


def test_the_furthest_stage_of_each_build_and_the_talk_at_the_end():
    lineup = first({**HERON, **WREN})
    assert [(s.build, s.stage, s.what, s.minutes) for s in lineup.segments] == [
        ("heron", "prime", "progress", 4),
        ("wren", "mask", "progress", 4),
        (None, None, "talk", 1),
    ]
    assert lineup.minutes == sum(s.minutes for s in lineup.segments) == 9


def test_what_is_ready_is_not_put_off_to_be_longer_unseen():
    """Heron was on a week ago, wren never was, and there is room for both: nothing is gained by an episode that is half empty."""
    aired = {"journal/episodes/2026-02-27.md": episode("segments: [{build: heron, stage: strip}]")}
    lineups = show_of({**HERON, **WREN, **aired}, weeks=4)[0].lineup
    assert [build for build, _ in inside(lineups[0])] == ["heron", "wren"]


def test_where_a_stage_can_be_shown_there_is_no_update_of_its_build():
    """Last on five weeks ago, primed since: the primer is the news, and no piece says before it that there is none."""
    aired = {"journal/episodes/2026-01-30.md": episode("segments: [{build: heron, stage: strip}]")}
    lineups = show_of({**HERON, **aired}, weeks=2)[0].lineup
    assert [[(s.what, s.stage) for s in lineup.segments if s.build] for lineup in lineups] == [[("progress", "prime")], []]


def test_of_unready_stages_only_the_next_is_told():
    lineup = first({**HERON, "builds/wren/build.md": build(title="Wren", showroom="no")})
    assert [x.stage for x in lineup.left_out if x.build == "heron"] == ["strip", "mask"]
    assert [(x.stage, x.why) for x in lineup.left_out if x.build == "wren"] == [("strip", "its sheet does not say showroom: yes")]


def test_each_candidate_left_out_says_why():
    lineup = first({**HERON, **WREN})
    assert {(x.build, x.stage) for x in lineup.left_out} | set(inside(lineup)) >= {("heron", s) for s in STAGES[:3]} | {("wren", s) for s in STAGES[:4]}
    assert all(x.why for x in lineup.left_out)


NEAR = {
    **HERON,
    "builds/wren/build.md": build(title="Wren"),
    "builds/plover/build.md": build(title="Plover", showroom="no"),
    "builds/plover/2026-02-26.md": done("strip"),
    "builds/dunlin/build.md": build(title="Dunlin", showroom="no"),
    "builds/knot/build.md": build(title="Knot"),
}
LIKELY = (("wren", "strip", "2026-03-02", 70), ("heron", "mask", "2026-03-02", 60))


def free(files, plan=None):
    lineup = first(files, plan)
    return lineup.free, [(x.build, x.stage) for x in lineup.nearest]


def test_free_minutes_say_what_is_nearest_to_filling_them():
    """Of 14 min heron takes 4 and the talk 1. Wren may well be stripped by then; plover is, and may not be shown; of knot nothing
    is done, nor of dunlin; of heron one piece is enough."""
    assert free(NEAR, plan_of(chances=LIKELY)) == (9, [("plover", "strip"), ("wren", "strip")])


def test_what_needs_more_than_the_free_minutes_does_not_fill_them():
    """Pieces run 4 min: of 9, 4 for heron and 1 of talk leave 4; of 8 they leave 3."""
    for minutes, near in ((9, [("plover", "strip"), ("wren", "strip")]), (8, [])):
        shop = {"shop.md": SHOP.replace("minutes: 14", f"minutes: {minutes}")}
        assert free({**NEAR, **shop}, plan_of(chances=LIKELY)) == (minutes - 5, near)


def test_what_was_missed_fills_nothing_however_likely_the_stage():
    """The primer is begun and not finished; where it asks for the dust before it, that is gone."""
    begun = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1}]")}
    plan = plan_of(chances=(("heron", "prime", "2026-03-02", 70),))
    dust = {"shop.md": SHOP.replace("{stage: prime, hours: 1}", "{stage: prime, hours: 1, shots: [{shot: dust, from: strip, until: prime}]}")}
    assert free(begun, plan)[1] == [("heron", "prime")]
    assert free({**begun, **dust}, plan)[1] == []


def test_a_rule_of_weeks_in_a_row_is_told_as_near():
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    assert free({"builds/heron/2026-02-01.md": done(*STAGES[:4]), **aired, **WREN})[1] == [("heron", "mask"), ("heron", "colour")]


def test_a_piece_put_off_by_that_rule_says_so_and_is_near():
    """Of the two episodes to come only the second may have heron's third week in a row; wren is in both."""
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    now, later = show_of({"builds/heron/2026-02-01.md": done(*STAGES[:3]), **aired, **WREN}, weeks=2)[0].lineup
    assert (inside(now), inside(later)) == ([("wren", "prime")], [("heron", "mask"), ("wren", "mask")])
    assert why_out(now, "heron", "mask") == "it would be on for more weeks in a row than the shop allows without moving on"
    assert [(x.build, x.stage) for x in now.nearest] == [("heron", "mask")]


@pytest.mark.parametrize(
    ("rest", "made", "shown"),
    [
        ("{stage: rest, cure: 2 days}", (), "prime"),
        ("{stage: rest, cure: 2 days, shots: [the clamps]}", (), "rest"),
        ("{stage: rest, cure: 2 days}", ("promises: [{build: heron, do: rest, in: next}]",), "rest"),
        ("{stage: rest, hours: 1, cure: 2 days}", (), "prime"),
    ],
)
def test_of_a_rest_there_is_nothing_to_see_unless_it_asks_for_a_shot_or_was_promised(rest, made, shown):
    """Primed on 26 February, so that it rests from that day on; with hands it is not done. The clamps were filmed."""
    shop = {"shop.md": SHOP.replace("    - {stage: mask", f"    - {rest}\n    - {{stage: mask")}
    files = {**shop, "builds/heron/2026-02-26.md": done("strip", "prime", shots="shots: [bare wood, {shot: the clamps, stage: rest}]")}
    if made:
        files["journal/episodes/2026-02-20.md"] = episode(*made)
    show, _ = show_of(files)
    assert inside(show.lineup[0]) == [("heron", shown)]
    assert [r.stage for r in show.feature if r.ready != NO] == [shown]


def test_a_written_episode_with_room_tells_what_is_ready():
    written = {"journal/episodes/2026-03-06.md": episode("segments: [{build: heron, stage: strip, minutes: 6}]", aired=False)}
    assert free({**HERON, **WREN, **written}) == (8, [("heron", "prime"), ("wren", "strip"), ("wren", "prime"), ("wren", "mask")])
    full = {"journal/episodes/2026-03-06.md": episode("segments: [{build: heron, stage: strip, minutes: 15}]", aired=False)}
    assert free({**HERON, **WREN, **full}) == (0, [])


def test_a_ready_promise_comes_before_better_screen_time():
    shop = SHOP.replace("minutes: 14", "minutes: 4")
    files = {
        "shop.md": shop,
        **HERON,
        **WREN,
        "builds/wren/2026-02-27.md": done("colour", "clear", "setup"),
        "journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: strip, in: next}]"),
    }
    lineup = first(files)
    assert [b for b, _ in inside(lineup)] == ["heron"]
    assert "keeps the promise of 2026-02-27" in lineup.segments[0].why
    assert why_out(lineup, "wren", "setup") == "it takes 4 min and 0 min are free of 4"


def test_an_unready_promise_is_left_out_with_its_reason():
    files = {**HERON, "journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: colour, in: next}]")}
    assert why_out(first(files), "heron", "colour") == "promised on 2026-02-27 for 2026-03-06, but 0 % likely to be finished by 2026-03-02; you ask for 80 %"


def test_what_an_episode_keeps_is_not_told_as_promised_and_left_out():
    """`start` is any piece of it: the first episode's keeps it, so nothing else of the build is owed, there or later."""
    made = episode("promises: [{build: heron, do: start, by: 2026-03-13}]")
    both = show_of({**HERON, "journal/episodes/2026-02-20.md": made}, weeks=2)[0].lineup
    assert inside(both[0]) == [("heron", "strip")] and "keeps the promise of 2026-02-20" in both[0].segments[0].why
    left = [x.why for episode in both for x in episode.left_out]
    assert left and not any("promised" in why for why in left)


def test_a_reveal_is_due_every_so_many_weeks():
    shop = SHOP.replace("minutes: 14", "minutes: 4").replace("lead: 3 days", "lead: 3 days, reveal_every: 2")
    sold = {"builds/wren/build.md": build(title="Wren"), "builds/wren/2025-11-01.md": done(*STAGES)}
    aired = {f"journal/episodes/{d}.md": episode("segments: [{what: talk, minutes: 1}, {build: heron, stage: strip}]") for d in weeks_after("2026-02-13", 3)}
    assert inside(first({"shop.md": shop, **HERON, **sold, **aired})) == [("wren", "setup")]


def test_weeks_in_a_row_without_moving_on():
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    early = {"builds/heron/2026-02-01.md": done(*STAGES[:4])}
    lineup = first({**early, **aired, **WREN})
    assert inside(lineup) == [("wren", "mask")]
    assert why_out(lineup, "heron", "mask") == "it would be on for more weeks in a row than the shop allows without moving on"


def test_no_episode_is_empty_for_that_rule_alone():
    """Heron was on in the two weeks before, and nothing else is ready: the soonest episode has its next stage, the one after that nothing new."""
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    early = {"builds/heron/2026-02-01.md": done(*STAGES[:3]), **aired}
    for weeks in (1, 2):
        lineups = show_of(early, weeks=weeks)[0].lineup
        assert [inside(lineup) for lineup in lineups] == [[("heron", "mask")], []][:weeks]
        assert lineups[0].segments[0].why == "finished on 2026-02-01; on more weeks in a row than the shop allows, because nothing else is ready"


def test_a_build_alone_is_on_every_week():
    """One build with four stages ready, on for two weeks in a row at most: four episodes with something of it, the last two beyond the rule."""
    lineups = show_of({"builds/heron/2026-02-01.md": done(*STAGES[:4]), "shop.md": SHOP.replace("minutes: 14", "minutes: 5")}, weeks=5)[0].lineup
    assert [inside(lineup) for lineup in lineups] == [[("heron", stage)] for stage in STAGES[:4]] + [[]]
    assert ["more weeks in a row" in lineup.segments[0].why for lineup in lineups[:4]] == [False, False, True, True]


@pytest.mark.parametrize("row", [1, 2])
@pytest.mark.parametrize("weeks", [4, 6, 7, 8])
def test_what_comes_later_empties_no_episode_for_that_rule_either(row, weeks):
    """All stages of one build are ready: no episode is empty before one that has something of it, however far is looked ahead."""
    shop = SHOP.replace("minutes: 14", f"minutes: 5, weeks_in_a_row: {row}")
    lineups = show_of({"builds/heron/2026-02-01.md": done(*STAGES), "shop.md": shop}, weeks=weeks)[0].lineup
    has = [bool(inside(lineup)) for lineup in lineups]
    assert has == sorted(has, reverse=True) and has[:3] == [True] * 3
    assert not any("weeks in a row" in out.why for lineup in lineups if not inside(lineup) for out in lineup.left_out)


def test_weeks_in_a_row_are_no_matter_once_it_moved_on():
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    moved = {"builds/heron/2026-02-01.md": done(*STAGES[:2]), "builds/heron/2026-02-28.md": done("mask")}
    assert inside(first({**moved, **aired})) == [("heron", "mask")]


@pytest.mark.parametrize(("finished", "on"), [("2026-02-23", False), ("2026-02-24", True)])
def test_moved_on_counts_from_the_week_befores_last_day_of_work(finished, on):
    """The last days of work are Monday 23 February and Monday 2 March."""
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    moved = {"builds/heron/2026-02-01.md": done(*STAGES[:2]), f"builds/heron/{finished}.md": done("mask")}
    assert (("heron", "mask") in inside(first({**moved, **aired, **WREN}))) == on


def test_what_is_out_for_work_has_not_moved_on():
    """The hands on colour ended on 28 February, and its 20 days of outside work have not."""
    aired = {
        f"journal/episodes/{d}.md": episode(f"segments: [{{build: heron, stage: {s}}}]") for d, s in zip(weeks_after("2026-02-20", 2), STAGES, strict=False)
    }
    moved = {"builds/heron/2026-02-01.md": done(*STAGES[:3]), "builds/heron/2026-02-28.md": done("colour")}
    assert [build for build, _ in inside(first({**moved, **aired, **WREN}))] == ["heron", "wren"]
    away = {"builds/heron/build.md": build("stages: [{stage: colour, wait: [15, 20, 25]}]")}
    assert [build for build, _ in inside(first({**away, **moved, **aired, **WREN}))] == ["wren"]


def test_what_can_still_be_in_time_comes_before_what_is_late_already():
    shop = SHOP.replace("minutes: 14", "minutes: 4")
    work = {"builds/heron/2026-02-26.md": done(*STAGES[:4]), "builds/wren/build.md": build(title="Wren"), "builds/wren/2026-02-26.md": done("strip", "prime")}
    late = {"journal/episodes/2026-02-20.md": episode("promises: [{build: heron, do: strip, in: next}]")}
    due = {"journal/episodes/2026-02-27.md": episode("promises: [{build: wren, do: strip, in: next}]")}
    assert {b for b, _ in inside(first({"shop.md": shop, **work, **late}))} == {"heron"}
    assert {b for b, _ in inside(first({"shop.md": shop, **work, **late, **due}))} == {"wren"}


@pytest.mark.parametrize(("before", "on"), [("progress", ("wren", "setup")), ("reveal", ("heron", "mask"))])
def test_a_reveal_is_not_pressed_for_when_there_was_one(before, on):
    """The time-lapse runs eight minutes, worth more than a reveal of four; one of the two fits."""
    shop = SHOP.replace("minutes: 14", "minutes: 9").replace("lead: 3 days", "lead: 3 days, reveal_every: 2")
    taped = {
        "builds/heron/2026-02-26.md": done("strip", "prime", shots="shots: [bare wood]"),
        "builds/heron/2026-02-27.md": done("mask", shots="shots: [{shot: the tape coming off, minutes: 800, speed: 100x}]"),
    }
    sold = {"builds/wren/build.md": build(title="Wren"), "builds/wren/2025-11-01.md": done(*STAGES)}
    other = {"builds/plover/build.md": build(title="Plover")}
    pieces = f"segments: [{{build: plover, what: {before}, minutes: 4}}, {{build: heron, stage: prime}}]"
    aired = {"journal/episodes/2026-02-20.md": episode("recorded: 2026-02-20"), "journal/episodes/2026-02-27.md": episode(pieces)}
    assert on in inside(first({"shop.md": shop, **taped, **sold, **other, **aired}))


@pytest.mark.parametrize(("last", "what"), [("2026-01-09", "look back"), ("2026-01-10", None)])
def test_a_finished_build_is_looked_back_on_after_eight_weeks(last, what):
    aired = {f"journal/episodes/{last}.md": episode("segments: [{build: wren, stage: setup, what: reveal}]")}
    sold = {"builds/wren/build.md": build("sale: {date: 2026-01-02, price: 100}", title="Wren"), "builds/wren/2025-11-01.md": done(*STAGES)}
    assert [s.what for s in first({**aired, **sold}).segments if s.build == "wren"] == ([what] if what else [])


def test_a_gifted_part_comes_with_its_disclosure():
    gifted = build("parts: [{part: pickups, how: gifted, for: mask, from: Tarnwater Pickups}]")
    lineup = first({**HERON, "builds/heron/2026-02-27.md": done("mask"), "builds/heron/build.md": gifted})
    assert [(g.what, g.build, g.how, g.origin) for g in lineup.segments[0].disclose] == [("pickups", "heron", "gifted", "Tarnwater Pickups")]
    assert lineup.segments[0].why.endswith("say on air: pickups, gifted by Tarnwater Pickups")


def test_a_gifted_part_is_not_in_the_picture_before_its_stage():
    gifted = build("parts: [{part: pickups, how: gifted, for: setup}]")
    assert first({**HERON, "builds/heron/build.md": gifted}).segments[0].disclose == ()


def test_a_written_episode_is_told_as_written():
    file = episode("segments: [{build: heron, stage: prime, minutes: 6}, {what: talk, minutes: 2}]", aired=False)
    lineup = first({**HERON, **WREN, "journal/episodes/2026-03-06.md": file})
    assert lineup.written and [(s.build, s.minutes) for s in lineup.segments] == [("heron", 6), (None, 2)]
    assert why_out(lineup, "wren", "mask") == "the episode's file does not name it"


def test_a_promise_that_a_written_episode_keeps_is_not_kept_twice():
    made = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: strip, by: 2026-04-03}]")}
    written = {"journal/episodes/2026-03-06.md": episode("segments: [{build: heron, stage: strip, minutes: 4}]", aired=False)}
    lineups = show_of({**HERON, **made, **written}, weeks=2)[0].lineup
    assert (lineups[0].written, inside(lineups[1])) == (True, [("heron", "prime")])
    assert "promise" not in lineups[1].segments[0].why


def test_several_weeks_show_each_stage_once_and_in_order():
    lineups = show_of({"shop.md": SHOP.replace("minutes: 14", "minutes: 5"), **HERON, **WREN}, weeks=4)[0].lineup
    pieces = [piece for lineup in lineups for piece in inside(lineup)]
    assert len(lineups) == 4 and len(pieces) == len(set(pieces))
    for build_ in ("heron", "wren"):
        order = [STAGES.index(s) for b, s in pieces if b == build_]
        assert order == sorted(order)


def test_the_talk_never_crowds_out_the_rest():
    long = {"journal/episodes/2026-02-27.md": episode("minutes: 99", "segments: [{what: talk, minutes: 99}]")}
    lineup = first({**HERON, **long})
    assert [(s.build, s.minutes) for s in lineup.segments] == [("heron", 4), (None, Decimal("3.5"))]


def test_no_episode_is_too_short_to_plan():
    assert first({**HERON, "shop.md": SHOP.replace("minutes: 14", "minutes: 0")}).segments == ()


# --- the file of a proposed episode ---------------------------------------------------------------------------------------


def test_the_text_of_a_proposed_episode_reads_back():
    gifted = build("parts: [{part: 'pickups: a pair', how: gifted, for: prime, from: Tarnwater}]")
    lineup = first({**HERON, **WREN, "builds/heron/build.md": gifted})
    text, troubles = episode_text(lineup), Troubles()
    sheet = read_record(EpisodeSheet, compose(text, "e.md", troubles), Reading(troubles))
    assert troubles.found == []
    assert [(s.build, s.stage, s.what, s.minutes) for s in sheet.segments] == [(s.build, s.stage, s.what, s.minutes) for s in lineup.segments]
    assert [(d.what, d.build, d.how, d.origin) for d in sheet.disclosures] == [("pickups: a pair in heron", "heron", "gifted", "Tarnwater")]
    assert (sheet.recorded, sheet.minutes, sheet.showroom, sheet.aired) == (day("2026-03-03"), 14, False, False)


def test_the_reasons_stay_private():
    lineup = first(HERON)
    shop = shop_with({**HERON, episode_path(lineup.airs): episode_text(lineup)})
    assert "finished on" in episode_text(lineup) and "finished on" not in shop.episodes[0].body.text


# --- shops at random ---------------------------------------------------------------------------------------------------------

NAMES = ("heron", "wren", "plover")
SHEETS = (
    build(),
    build(showroom="no"),
    build("kind: commission"),
    build("kind: commission", "commission: {consent: {show: yes}}"),
    build("parts: [{part: pickups, how: gifted, for: mask}]"),
)


@st.composite
def shops(draw):
    """Files of a shop with three builds somewhere in their routes, two episodes behind it and promises made, and its bench plan."""
    minutes = draw(st.integers(3, 12))
    files = {"shop.md": SHOP.replace("minutes: 14", f"minutes: {minutes}, reveal_every: {draw(st.integers(1, 3))}, weeks_in_a_row: {draw(st.integers(1, 2))}")}
    chances = []
    for name in NAMES:
        far = draw(st.integers(0, 6))
        files[f"builds/{name}/build.md"] = draw(st.sampled_from(SHEETS)).replace("title: Heron", f"title: {name}")
        files[f"builds/{name}/{draw(st.sampled_from(['2026-01-15', '2026-02-27']))}.md"] = done(*STAGES[:far]) if far else note()
        chances += [(name, s, d, draw(st.sampled_from([50, 80, 95]))) for s in STAGES[far : far + 1] for d in ("2026-03-01", "2026-03-09")]
    for aired in ("2026-02-20", "2026-02-27"):
        pieces = [f"{{build: {n}, stage: {draw(st.sampled_from(STAGES))}}}" for n in draw(st.sets(st.sampled_from(NAMES), max_size=2))]
        said = [f"{{build: {n}, do: {draw(st.sampled_from(STAGES))}, in: next}}" for n in draw(st.sets(st.sampled_from(NAMES), max_size=1))]
        files[f"journal/episodes/{aired}.md"] = episode(f"segments: [{', '.join(pieces)}]", f"promises: [{', '.join(said)}]")
    return files, plan_of(chances=tuple(chances))


def checked(files, plan, lineups):
    """Every rule of section "line-up", from the notes alone. Returns nothing; asserts."""
    shop = shop_with(files)
    progress, _ = told(shop)
    pieces, weeks = [], {}
    for past in shop.episodes:
        for segment in past.sheet.segments:
            weeks.setdefault(segment.build, set()).add(past.date)
    for lineup in lineups:
        visits, over = [s for s in lineup.segments if s.build], []
        assert sum((s.minutes for s in lineup.segments), Decimal(0)) == lineup.minutes <= lineup.length
        assert len({s.build for s in visits}) == len(visits)
        for s in visits:
            sheet, cut_off = shop.build(s.build).sheet, lineup.records - timedelta(days=1)
            assert sheet.showroom.always and (sheet.kind != "commission" or (sheet.commission and sheet.commission.consent.show))
            if s.stage is None:
                continue
            work = progress[s.build].stage(s.stage)
            finished = work.current.finished
            assert (finished <= cut_off) if finished else plan.chance(s.build, s.stage, cut_off) >= Decimal("0.8")
            assert STAGES.index(s.stage) < 2 or not sheet.parts or s.disclose
            aired = [g.stage for e in shop.episodes for g in e.sheet.segments if g.build == s.build]
            assert all(STAGES.index(a) < STAGES.index(s.stage) for a in aired)
            pieces.append((s.build, s.stage))
            over += [s] if not moved_or_rested(shop, progress[s.build], plan, s.build, lineup, weeks) else []
        assert not over or over == visits, "a build is on once more only where the episode would be empty without it"
        for s in visits:
            weeks.setdefault(s.build, set()).add(lineup.airs)
    assert len(pieces) == len(set(pieces))


def moved_or_rested(shop, work, plan, name, lineup, weeks):
    """In as many weeks before as allowed only if a stage was finished, or is likely to be, since the week before's cut-off."""
    limit = shop.settings.show.weeks_in_a_row
    before = all(
        any(lineup.airs - timedelta(days=7 * k + 6) <= d <= lineup.airs - timedelta(days=7 * k - 1) for d in weeks.get(name, ())) for k in range(1, limit + 1)
    )
    cut_off = lineup.records - timedelta(days=1)
    last = cut_off - timedelta(weeks=1)
    finished = [s.current.finished for s in work.stages if s.finished]
    likely = [plan.chance(name, s.stage.name, last) < Decimal("0.8") <= plan.chance(name, s.stage.name, cut_off) for s in work.stages if not s.finished]
    return not before or any(last < d <= cut_off for d in finished) or any(likely)


@settings(max_examples=40, deadline=None)
@given(shops(), st.integers(1, 3))
def test_every_rule_derived_anew(case, weeks):
    files, plan = case
    checked(files, plan, show_of(files, plan=plan, weeks=weeks)[0].lineup)


@settings(max_examples=25, deadline=None)
@given(shops(), st.integers(1, 2))
def test_no_choice_of_ready_pieces_is_worth_more(case, weeks):
    files, plan = case
    shop = shop_with(files)
    progress, _ = told(shop)
    scene = scene_of(shop, work_events(shop, TODAY), progress, plan, promises_of(shop, progress, TODAY), TODAY)
    coming, usual = slots(shop, TODAY, weeks), usual_minutes(shop, TODAY)
    found = candidates_of(scene, coming[0], usual)
    offers = [Offer(w, c, judge(scene, c, slot)) for w, slot in enumerate(coming) for c in found]
    problem = problem_of(scene, coming, [o for o in offers if o.verdict.ready != NO], usual["talk"])
    best = max(worth(problem, c) for c in small_choices(problem) if broken(problem, c) is None)
    assert worth(problem, solve(problem).chosen) == best


def small_choices(problem):
    """Every set of options with at most one of a build in a week: larger ones are never allowed."""
    groups = {}
    for index, option in enumerate(problem.options):
        groups.setdefault((option.week, option.build), [()]).append((index,))
    choices = [()]
    for group in groups.values():
        choices = [(*chosen, *more) for chosen in choices for more in group]
    return choices


def test_the_same_notes_give_the_same_lineup():
    files = {"shop.md": SHOP.replace("minutes: 14", "minutes: 9"), **HERON, **WREN}
    assert show_of(files, weeks=4)[0].lineup == show_of(files, weeks=4)[0].lineup
