"""Routes, passes and states, from notes as they are written."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from shop_texts import TODAY, fenced, settings, shop_of, told

from purfle.events.work import work_events
from purfle.progress import progress_of

ROUTE = "routes: {plain: [{stage: strip, hours: 2}, {stage: colour, hours: [1, 2, 4]}, {stage: clear, hours: 1, cure: 14 days}, {stage: assembly, hours: 2}]}"


def _told(sheet: tuple[str, ...], notes: dict[str, tuple[str, ...]], today: date = TODAY, shop: tuple[str, ...] = (ROUTE,)):
    files = {"shop.md": settings(*shop), "builds/wren/build.md": fenced("title: Wren", *sheet)}
    files |= {f"builds/wren/{day}.md": fenced(*lines) for day, lines in notes.items()}
    progress, codes = told(shop_of(files, today), today)
    return progress["wren"], codes


def _follows(sheet: tuple[str, ...], shop: tuple[str, ...] = (ROUTE,)) -> dict[str, tuple[str, ...]]:
    wren, _ = _told(sheet, {}, shop=shop)
    return {s.stage.name: s.stage.follows for s in wren.stages}


# --- routes ----------------------------------------------------------------------------------------------------------


def test_a_plain_route_is_a_chain() -> None:
    assert _follows(("route: plain",)) == {"strip": (), "colour": ("strip",), "clear": ("colour",), "assembly": ("clear",)}


def test_a_skipped_stage_hands_its_place_on() -> None:
    assert _follows(("route: plain", "stages: [{stage: colour, skip: yes}]"))["clear"] == ("strip",)


def test_a_job_may_stop_early() -> None:
    assert list(_follows(("route: plain", "ends_at: Colour"))) == ["strip", "colour"]


def test_a_job_may_stop_early_at_a_stage_it_skips() -> None:
    assert list(_follows(("route: plain", "ends_at: colour", "stages: [{stage: colour, skip: yes}]"))) == ["strip"]


def test_an_added_stage_stands_after_what_it_follows() -> None:
    follows = _follows(("route: plain", "stages: [{stage: binding, hours: 1, follows: [strip]}]"))
    assert list(follows) == ["strip", "binding", "colour", "clear", "assembly"]
    assert follows["colour"] == ("binding",)


def test_branches_are_awaited_where_they_come_together() -> None:
    shop = ("routes: {neck: [strip, {stage: clear, cure: 14 days}, {stage: frets, follows: [strip]}, assembly]}",)
    assert _follows(("route: neck",), shop)["assembly"] == ("clear", "frets")


def test_a_sheet_may_re_estimate_one_figure_and_keep_the_rest() -> None:
    wren, _ = _told(("route: plain", "stages: [{stage: clear, hours: 3}]"), {})
    clear = wren.stage("clear").stage
    assert (clear.hours.likely, clear.cure.days) == (3, 14)


def test_a_wait_or_a_cure_of_nothing_is_none() -> None:
    wren, _ = _told(("route: plain", "stages: [{stage: colour, wait: 0}, {stage: clear, cure: 0 days}]"), {"2026-03-14": ("stage: strip", "finished: yes")})
    colour, clear = wren.stage("colour").stage, wren.stage("clear").stage
    assert (colour.wait, clear.cure, colour.hours.likely, clear.hours.likely) == (None, None, 2, 1)


def test_a_circle_is_told_once_and_ends() -> None:
    shop = ("routes: {round: [{stage: a, hours: 1, follows: [b]}, {stage: b, hours: 1, follows: [a]}]}",)
    wren, codes = _told(("route: round",), {"2026-03-01": ("stage: a", "hours: 1")}, shop=shop)
    assert codes.count("follows-cycle") == 1 and len(wren.stages) == 2


def test_a_cure_of_four_hundred_days_is_told() -> None:
    _, codes = _told(("stages: [{stage: oil, hours: 1, cure: 400 days}]",), {})
    assert codes == ["cure-very-long"]


# --- passes ----------------------------------------------------------------------------------------------------------


def test_hours_and_finishes_are_counted() -> None:
    wren, codes = _told(("route: plain",), {"2026-02-27": ("stage: strip", "hours: 1:30"), "2026-02-28": ("stage: strip", "hours: 0.5", "finished: yes")})
    strip = wren.stage("strip")
    assert (strip.hours, strip.finished, strip.free_on, codes) == (Decimal(2), True, date(2026, 2, 28), [])


def test_a_cure_frees_the_day_that_many_days_later() -> None:
    notes = {"2026-02-25": ("bench: [{stage: strip, finished: yes}, {stage: colour, finished: yes}, {stage: clear, hours: 1, finished: yes}]",)}
    wren, _ = _told(("route: plain",), notes)
    assert wren.stage("clear").free_on == date(2026, 2, 25) + timedelta(days=14)
    assert wren.state == "curing"


def test_work_on_something_still_curing_is_told() -> None:
    notes = {
        "2026-02-10": ("bench: [{stage: strip, finished: yes}, {stage: colour, finished: yes}, {stage: clear, hours: 1, finished: yes}]",),
        "2026-02-20": ("stage: assembly", "hours: 1"),
        "2026-02-25": ("stage: assembly", "hours: 1"),
    }
    wren, codes = _told(("route: plain",), notes)
    assert codes == ["cure-cut-short"] and wren.state == "on the bench"


def test_redo_opens_a_new_pass_of_it_and_what_followed() -> None:
    notes = {
        "2026-02-20": ("bench: [{stage: strip, hours: 2, finished: yes}, {stage: colour, hours: 2, finished: yes}]",),
        "2026-02-21": ("stage: clear", "hours: 1"),
        "2026-02-22": ("redo: colour", "stage: colour", "hours: 3"),
    }
    wren, codes = _told(("route: plain",), notes)
    assert [len(s.passes) for s in wren.stages] == [1, 2, 2, 1]
    assert (wren.hours, wren.hours_rework, codes) == (Decimal(8), Decimal(3), [])


def test_a_name_is_the_same_whatever_its_case_and_spaces() -> None:
    route = ("route: plain", "stages: [{stage: top coat, hours: 2}]")
    notes = {"2026-02-20": ("stage: top coat", "hours: 2", "finished: yes"), "2026-02-22": ("redo: top coat", "stage: Top  coat", "hours: 3")}
    wren, _ = _told(route, notes)
    assert [p.hours for p in wren.stage("top  Coat").passes] == [2, 3]


def test_other_work_of_a_note_with_redo_came_before_it() -> None:
    notes = {
        "2026-02-20": ("bench: [{stage: strip, finished: yes}, {stage: colour, hours: 2, finished: yes}]",),
        "2026-02-21": ("stage: clear", "hours: 1", "redo: [colour]"),
    }
    wren, codes = _told(("route: plain",), notes)
    assert wren.stage("clear").passes[0].hours == 1 and codes == []


@pytest.mark.parametrize(
    ("notes", "code"),
    [
        ({"2026-02-20": ("stage: strip", "hours: 1", "finished: yes"), "2026-02-21": ("stage: strip", "hours: 1", "finished: yes")}, "stage-finished-already"),
        ({"2026-02-20": ("stage: colour", "hours: 1")}, "stage-begun-early"),
        ({"2026-02-20": ("redo: [colour]",)}, "redo-never-done"),
        ({"2026-02-20": ("stage: polish", "hours: 1")}, "stage-unknown"),
        ({"2026-02-20": ("stage: polish",)}, "stage-unknown"),
    ],
)
def test_slips_of_work_are_told_once(notes: dict[str, tuple[str, ...]], code: str) -> None:
    assert _told(("route: plain",), notes)[1] == [code]


STRIP, MORE = ("stage: strip", "hours: 2"), ("stage: strip", "hours: 1", "finished: yes")


@pytest.mark.parametrize(
    "notes",
    [
        {"2026-02-20": STRIP, "2026-02-20-evening": MORE},
        {"2026-02-20-morning": STRIP, "2026-02-20-evening": MORE},
        {"2026-02-20": MORE, "2026-02-20-again": STRIP},
        {"2026-02-20": ("bench: [{stage: strip, finished: yes, hours: 1}, {stage: strip, hours: 2}]",)},
    ],
)
def test_of_two_notes_of_a_day_either_may_say_that_the_stage_is_finished(notes: dict[str, tuple[str, ...]]) -> None:
    wren, codes = _told(("route: plain",), notes)
    strip = wren.stage("strip")
    assert (strip.hours, strip.current.finished, len(strip.passes), codes) == (3, date(2026, 2, 20), 1, [])


def test_two_stages_of_a_day_may_stand_in_notes_read_in_either_order() -> None:
    for colour, strip in (("-a", "-b"), ("-b", "-a")):
        notes = {f"2026-02-20{colour}": ("stage: colour", "hours: 1"), f"2026-02-20{strip}": MORE}
        wren, codes = _told(("route: plain",), notes)
        assert wren.stage("strip").finished and not wren.stage("strip").current.assumed and codes == []


def test_what_was_scraped_off_is_told_after_the_note_of_the_day_alone() -> None:
    wren, codes = _told(("route: plain",), {"2026-02-20": STRIP, "2026-02-20-craters": ("redo: [strip]",)})
    assert ([p.hours for p in wren.stage("strip").passes], codes) == ([2, 0], [])


def test_a_later_stage_takes_the_earlier_ones_as_finished() -> None:
    wren, _ = _told(("route: plain",), {"2026-02-20": ("stage: clear", "hours: 1")})
    assert [s.current.assumed for s in wren.stages] == [True, True, False, False]


def test_stages_taken_as_finished_are_named_as_they_are_written() -> None:
    shop = shop_of({
        "shop.md": settings("routes: {plain: [strip, wax or oil, assembly]}"),
        "builds/wren/build.md": fenced("title: Wren", "route: plain"),
        "builds/wren/2026-02-20.md": fenced("stage: assembly", "hours: 1"),
    }, TODAY)  # fmt: skip
    _, troubles = progress_of(shop, work_events(shop, TODAY), TODAY)
    assert [t.found for t in troubles] == ["assembly was begun and strip and wax or oil are not finished; taken as finished"]


def test_hours_on_a_stage_only_taken_as_finished_reopen_it() -> None:
    wren, codes = _told(("route: plain",), {"2026-02-20": ("stage: colour", "hours: 1"), "2026-02-21": ("stage: strip", "hours: 1")})
    assert not wren.stage("strip").finished and codes == ["stage-begun-early"]


def test_warranty_work_is_hours_and_no_pass() -> None:
    sheet = ("route: plain", "sale: {date: 2026-02-10, price: 900}")
    wren, codes = _told(sheet, {"2026-02-20": ("stage: strip", "hours: 1", "after_sale: yes")})
    assert (wren.hours_after_sale, wren.stage("strip").hours, codes, wren.state) == (1, 0, [], "sold")


def test_work_after_the_sale_is_told() -> None:
    sheet = ("route: plain", "sale: {date: 2026-02-10, price: 900}")
    assert _told(sheet, {"2026-02-20": ("stage: strip", "hours: 1", "finished: yes")})[1] == ["work-after-close"]


def test_outside_work_runs_from_the_last_hours_until_it_is_back() -> None:
    sheet = ("stages: [{stage: plating, hours: 0.5, wait: 7}, {stage: assembly, hours: 1}]",)
    sent, _ = _told(sheet, {"2026-02-27": ("stage: plating", "hours: 0.5", "finished: yes")})
    assert (sent.stage("plating").free_on, sent.state) == (date(2026, 3, 6), "waiting for a part")
    back, codes = _told(sheet, {"2026-02-20": ("stage: plating", "hours: 0.5"), "2026-02-27": ("stage: plating", "finished: yes")})
    assert (back.stage("plating").free_on, back.state, codes) == (date(2026, 2, 27), "on the bench", [])


def test_three_times_twenty_minutes_are_the_hour_after_which_it_is_sent_out() -> None:
    sheet = ("stages: [{stage: plating, hours: 1, wait: 7}, {stage: assembly, hours: 1}]",)
    days = {f"2026-02-2{day}": ("stage: plating", "hours: 0:20") for day in (4, 5, 6)}
    assert _told(sheet, days)[0].state == "waiting for a part"


def test_what_takes_no_hands_goes_out_with_a_note_that_names_its_stage() -> None:
    sheet = ("stages: [{stage: oil, hours: 1}, {stage: plating, wait: 7}]",)
    sent, codes = _told(sheet, DONE | {"2026-02-27": ("stage: plating",)})
    assert (sent.stage("plating").current.begun, sent.state, sent.hours, codes) == (date(2026, 2, 27), "waiting for a part", 1, [])
    back, codes = _told(sheet, DONE | {"2026-02-20": ("stage: plating",), "2026-02-28": ("stage: plating", "finished: yes")})
    assert (back.stage("plating").free_on, back.state, codes) == (date(2026, 2, 28), "finished", [])
    named, codes = _told(sheet, DONE | {"2026-02-27": ("stage: oil", "shots: [the shine]")})
    assert (named.stage("oil").current.finished, codes) == (date(2026, 1, 10), [])


RESTING = "stages: [{stage: glue, hours: 1}, {stage: rest, cure: 10 days}, {stage: settle, cure: 2 days}, {stage: fit, hours: 1}]"
GLUED = {"2026-02-10": ("stage: glue", "hours: 1", "finished: yes")}


def test_what_only_rests_begins_by_itself_one_after_another() -> None:
    """Glued on 10 February: rested on the 20th, settled on the 22nd."""
    for day, state, free in ((date(2026, 2, 12), "curing", [20, None]), (date(2026, 2, 20), "curing", [20, 22]), (date(2026, 2, 23), "on the bench", [20, 22])):
        wren, codes = _told((RESTING,), GLUED, day)
        assert (wren.state, codes) == (state, [])
        assert [wren.stage(name).free_on and wren.stage(name).free_on.day for name in ("rest", "settle")] == free


def test_a_note_that_a_rest_is_over_moves_no_day_and_is_no_slip() -> None:
    for noted in ("2026-02-10", "2026-02-14", "2026-02-20"):
        wren, codes = _told((RESTING,), GLUED | {noted: (*GLUED.get(noted, ()), "bench: [{stage: rest, finished: yes}]")}, date(2026, 2, 21))
        assert (wren.stage("rest").free_on, codes) == (date(2026, 2, 20), [])
    wren, codes = _told((RESTING,), GLUED | {"2026-02-23": ("stage: fit", "hours: 1", "finished: yes")}, date(2026, 2, 24))
    assert (wren.state, codes) == ("finished", [])


def test_work_on_what_still_rests_is_told() -> None:
    wren, codes = _told((RESTING,), GLUED | {"2026-02-21": ("stage: fit", "hours: 1")}, date(2026, 2, 24))
    assert codes == ["cure-cut-short"] and wren.stage("settle").free_on == date(2026, 2, 22)


def test_a_rest_at_the_head_of_a_route_runs_from_the_day_the_instrument_came() -> None:
    stages = "stages: [{stage: acclimatise, cure: 7 days}, {stage: strip, hours: 1}]"
    came, _ = _told((stages, "acquired: {date: 2026-02-20, price: 90, arrived: 2026-02-27}"), {})
    assert (came.stage("acclimatise").free_on, came.state) == (date(2026, 3, 6), "curing")
    rested, _ = _told((stages, "acquired: {date: 2026-02-20, price: 90}"), {})
    assert (rested.stage("acclimatise").finished, rested.state) == (True, "in the rack")  # no hands were on it yet
    coming, _ = _told((stages, "acquired: {date: 2026-02-20, price: 90, arrived: 2026-03-09}"), {})
    assert coming.stage("acclimatise").free_on is None
    noted, _ = _told((stages,), {"2026-02-26": ()})
    assert noted.stage("acclimatise").free_on == date(2026, 3, 5)
    unknown, _ = _told((stages,), {})
    assert unknown.stage("acclimatise").free_on is None


def test_a_rest_comes_again_with_what_is_done_again() -> None:
    """Scraped off on the 14th, glued again on the 16th: rested on the 26th."""
    again = {"2026-02-14": ("redo: [glue]",), "2026-02-16": ("stage: glue", "hours: 1", "finished: yes")}
    wren, codes = _told((RESTING,), GLUED | again, date(2026, 2, 17))
    assert (wren.stage("rest").current.number, wren.stage("rest").free_on, codes) == (2, date(2026, 2, 26), [])


@pytest.mark.parametrize("needed", [", for: rest", ""])
@pytest.mark.parametrize(("arrived", "free"), [("2026-02-08", 20), ("2026-02-14", 24), ("2026-02-26", None), ("", None)])
def test_a_rest_waits_for_its_part(needed: str, arrived: str, free: int | None) -> None:
    """Glued on 10 February; ten days under a caul that came before, on the 14th, or has not come."""
    stages = RESTING if needed else RESTING.replace("{stage: rest,", "{stage: rest, needs: [caul],")
    parts = f"parts: [{{part: caul, cost: 9{needed}{', arrived: ' + arrived if arrived else ''}}}]"
    wren, _ = _told((stages, parts), GLUED, date(2026, 2, 25))
    assert (wren.stage("rest").free_on, wren.stage("rest").finished) == (date(2026, 2, free) if free else None, free is not None)
    assert (wren.state == "waiting for a part") == (free is None)


def test_what_is_to_rest_again_rests_from_that_day() -> None:
    """Told on the 24th to rest 10 days more: free on 6 March."""
    wren, codes = _told((RESTING,), GLUED | {"2026-02-24": ("redo: [rest]",)}, date(2026, 2, 25))
    assert (wren.stage("rest").free_on, wren.stage("settle").finished, wren.state, codes) == (date(2026, 3, 6), False, "curing", [])


def test_hours_on_a_rest_before_its_turn_keep_it_from_no_beginning() -> None:
    """Glued on the 10th with 2 days of cure, turned over on the 11th: rested from the 12th on."""
    sheet = RESTING.replace("glue, hours: 1", "glue, hours: 1, cure: 2 days")
    wren, codes = _told((sheet,), GLUED | {"2026-02-11": ("stage: rest", "hours: 0.2")}, date(2026, 2, 13))
    assert (wren.stage("rest").free_on, wren.state, codes) == (date(2026, 2, 22), "curing", ["cure-cut-short"])


def test_what_is_out_before_it_cures_waits_and_then_cures() -> None:
    sheet = ("stages: [{stage: plating, hours: 0.5, wait: 5, cure: 4 days}, {stage: fit, hours: 1}]",)
    sent = {"2026-02-20": ("stage: plating", "hours: 0.5", "finished: yes")}
    assert [_told(sheet, sent, date(2026, 2, day))[0].state for day in (24, 25, 28)] == ["waiting for a part", "curing", "curing"]
    assert _told(sheet, sent, date(2026, 3, 1))[0].state == "on the bench"


# --- states ----------------------------------------------------------------------------------------------------------

DONE = {"2026-01-10": ("bench: [{stage: oil, hours: 1, finished: yes}]",)}
OIL = "stages: [{stage: oil, hours: 1}]"
STATES = [
    ((), {}, "in the rack", "in the works"),
    ((OIL,), {}, "in the rack", "in the works"),
    (("stages: [{stage: oil, hours: 2}, {stage: wax, hours: 1}]",), DONE, "on the bench", "in the works"),
    ((OIL, "parts: [{part: bridge, for: oil}]"), {}, "waiting for a part", "in the works"),
    (("stages: [{stage: top coat, needs: [bone nut]}]", "parts: [{part: Bone  Nut}]"), {}, "waiting for a part", "in the works"),
    (("stages: [{stage: top coat}]", "parts: [{part: bridge, for: Top  coat}]"), {}, "waiting for a part", "in the works"),
    ((OIL, "parts: [{part: bridge, for: oil, arrived: 2026-02-02}]"), {}, "in the rack", "in the works"),
    ((OIL,), DONE, "finished", "finished"),
    ((OIL, "for_sale: {asking: 100}"), {}, "for sale", "for sale"),
    ((OIL, "for_sale: {asking: 100, since: 2026-03-03}"), {}, "in the rack", "in the works"),
    ((OIL, "hold: {since: 2026-03-01, until: 2026-03-02}", "for_sale: {asking: 100}"), {}, "on hold", "in the works"),
    ((OIL, "hold: {since: 2026-02-01, until: 2026-03-01}"), {}, "in the rack", "in the works"),
    ((OIL, "sale: {date: 2026-03-02, price: 9}"), DONE, "sold", "sold"),
    ((OIL, "sale: {date: 2026-03-03, price: 9}"), DONE, "finished", "finished"),
    ((OIL, "sale: {date: 2026-02-01, price: 9, back: {date: 2026-02-20, refund: 9, goods: yes}}"), DONE, "finished", "finished"),
    ((OIL, "units: 2", "sale: {date: 2026-02-01, price: 9}"), DONE, "finished", "finished"),
    ((OIL, "units: 2", "sale: [{date: 2026-02-01, price: 9}, {date: 2026-02-02, price: 9}]"), DONE, "sold", "sold"),
    ((OIL, "kind: commission", "commission: {delivered: {date: 2026-02-02}}"), DONE, "delivered", "delivered"),
    ((OIL, "kind: commission", "units: 2", "commission: {delivered: {date: 2026-02-02}}"), DONE, "finished", "finished"),
    (("kind: batch", "units: 8", "sale: {date: 2026-02-01, units: 3, price: 54}"), {"2026-01-20": ("hours: 2",)}, "finished", "finished"),
    (("kind: commission", "units: 2", "commission: {delivered: {date: 2026-02-02}}"), {"2026-01-20": ("hours: 2",)}, "on the bench", "in the works"),
    (
        ("kind: batch", "units: 8", "sale: {date: 2026-02-01, units: 3, price: 54, back: {date: 2026-02-20, units: 1, refund: 18, goods: yes}}"),
        {"2026-01-20": ("hours: 2",)},
        "on the bench",
        "in the works",
    ),
    (("kind: batch", "units: 8", "sale: {date: 2026-03-03, units: 3, price: 54}"), {"2026-01-20": ("hours: 2",)}, "on the bench", "in the works"),
    (("kind: collection",), {}, "kept", "finished"),
    (("kind: collection", "stages: [{stage: oil, hours: 2}, {stage: wax, hours: 1}]"), DONE, "on the bench", "in the works"),
    ((OIL, "kind: collection"), DONE, "kept", "finished"),
    ((OIL, "moved: {date: 2026-02-02, to: collection}"), DONE, "kept", "finished"),
    ((OIL, "kind: collection", "moved: {date: 2026-02-02, to: shop}"), DONE, "finished", "finished"),
    ((OIL, "kind: collection", "for_sale: {asking: 100}"), DONE, "for sale", "for sale"),
    ((OIL, "kind: collection", "for_sale: {asking: 100, since: 2026-03-03}"), DONE, "kept", "finished"),
    ((OIL, "kind: collection", "for_sale: {asking: 100, until: 2026-02-28}"), DONE, "kept", "finished"),
    ((OIL, "moved: {date: 2026-02-02, to: collection}", "for_sale: {asking: 100, since: 2026-02-01}"), DONE, "kept", "finished"),
    ((OIL, "moved: {date: 2026-02-02, to: collection}", "for_sale: {asking: 100}"), DONE, "kept", "finished"),
    ((OIL, "moved: {date: 2026-02-02, to: collection}", "for_sale: {asking: 100, since: 2026-02-20}"), DONE, "for sale", "for sale"),
    ((OIL, "ended: {date: 2026-02-02, how: scrapped}"), DONE, "scrapped", "finished"),
    ((OIL, "ended: {date: 2026-02-02, how: scrapped}"), {}, "scrapped", "finished"),
    ((OIL, "ended: {date: 2026-02-02, how: taken back}"), {}, "taken back", "finished"),
    ((OIL, "ended: {date: 2026-02-02, how: given}"), {}, "given away", "delivered"),
    ((OIL, "ended: {date: 2026-02-02, how: lost}"), {}, "lost", "finished"),
]


@pytest.mark.parametrize(("sheet", "notes", "state", "public"), STATES)
def test_the_state_in_one_word(sheet: tuple[str, ...], notes: dict[str, tuple[str, ...]], state: str, public: str) -> None:
    wren, _ = _told(sheet, notes)
    assert (wren.state, wren.public_state) == (state, public)


def test_fretwork_goes_on_while_the_clear_cures() -> None:
    shop = ("routes: {neck: [{stage: clear, hours: 1, cure: 30 days}, {stage: frets, hours: 3, follows: []}, {stage: assembly, hours: 1}]}",)
    wren, _ = _told(("route: neck",), {"2026-02-27": ("stage: clear", "hours: 1", "finished: yes")}, shop=shop)
    assert wren.state == "on the bench"


def test_a_case_goes_with_the_instrument_it_was_sold_with() -> None:
    files = {
        "shop.md": settings(),
        "builds/heron/build.md": fenced("title: Heron", "sale: {date: 2026-02-01, price: 900, with: [heron-case]}"),
        "builds/heron-case/build.md": fenced("title: Heron's case", "goes_with: heron"),
    }
    progress, _ = told(shop_of(files))
    assert progress["heron-case"].state == "sold" and progress["heron-case"].closed_on == date(2026, 2, 1)


def test_one_of_a_batch_goes_with_a_sale_and_comes_back_with_it() -> None:
    files = {
        "shop.md": settings(),
        "builds/heron/build.md": fenced(
            "title: Heron", "sale: {date: 2026-02-01, price: 900, with: [cases], back: {date: 2026-02-20, refund: 900, goods: yes}}"
        ),
        "builds/wren/build.md": fenced("title: Wren", "sale: {date: 2026-02-03, price: 900, with: [cases]}"),
        "builds/cases/build.md": fenced("title: Cases", "kind: batch", "units: 2"),
    }
    days = (date(2026, 2, 2), date(2026, 2, 4), date(2026, 2, 20))
    assert [told(shop_of(files, day), day)[0]["cases"].closed_on for day in days] == [None, date(2026, 2, 3), None]


def test_what_came_back_and_was_sold_again_the_same_day_is_gone_from_that_day() -> None:
    sales = "sale: [{date: 2026-02-01, price: 9, back: {date: 2026-02-20, refund: 9, goods: yes}}, {date: 2026-02-20, price: 9}]"
    assert _told((sales,), {})[0].closed_on == date(2026, 2, 20)


def test_the_sheet_s_dates_are_told() -> None:
    sheet = ("due: 2026-02-01", "parts: [{part: nut, ordered: 2026-02-03, arrived: 2026-02-01}]")
    assert sorted(_told(sheet, {})[1]) == ["due-past", "part-before-order"]


def test_notes_after_the_day_are_not_known() -> None:
    wren, _ = _told(("route: plain",), {"2026-03-01": ("stage: strip", "hours: 1"), "2026-03-03": ("stage: strip", "hours: 9")})
    assert wren.hours == 1


def test_a_part_of_a_journal_day_is_work_on_its_build() -> None:
    files = {
        "shop.md": settings(ROUTE),
        "builds/wren/build.md": fenced("title: Wren", "route: plain"),
        "journal/2026-03-01.md": fenced("bench: [{for: shop, hours: 2, what: booth filters}]")
        + "# Wren\nstage: strip\nhours: 2\nfinished: yes\n\nIt came off in one sheet.\n",
    }
    progress, codes = told(shop_of(files))
    assert progress["wren"].stage("strip").finished and progress["wren"].hours == 2 and codes == []
