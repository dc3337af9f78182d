"""Promises that can't be kept in time for a reason the bench does not see: airs Friday 6 March, recorded Tuesday 3 March, so Monday 2 March counts."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from show_texts import SHOP, TODAY, build, episode, note, plan_of, show_of

from purfle.bench.model import AtRisk
from purfle.compile import Analysis
from purfle.shell import contract_week
from purfle.sites import office_view
from purfle.views.office_troubles import Held

PROMISED = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, in: next}]")}
DONE = note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}, {stage: mask, hours: 1, finished: yes}]")
MISSED = {"builds/heron/2026-02-20.md": DONE}
FILMED = {"builds/heron/2026-02-20.md": DONE.replace("bench:", "shots: [bare wood, the tape coming off]\nbench:")}


def risks(files, plan=None):
    return [(r.build, r.stage, r.due, r.chance, r.why) for r in show_of(files, plan=plan)[0].at_risk]


@pytest.mark.parametrize(
    ("files", "why"),
    [
        (FILMED, None),
        (MISSED, "the shot “the tape coming off” was missed"),
        ({**FILMED, "builds/heron/build.md": build(showroom="no")}, "its sheet does not say showroom: yes"),
        ({**FILMED, "builds/heron/build.md": build("commission: {customer: Ada, price: 90}")}, "the customer has not agreed to its being shown"),
    ],
)
def test_what_the_bench_does_not_see(files, why):
    assert risks({**PROMISED, **files}) == ([] if why is None else [("heron", "mask", TODAY, 0, why)])


def test_a_later_stage_that_is_ready_keeps_it():
    """Colour follows the masking; it is nine tenths likely by the day before recording."""
    assert risks({**PROMISED, **MISSED}, plan_of(chances=(("heron", "colour", "2026-03-02", 90),))) == []


def test_what_the_plan_tells_is_not_told_twice():
    """Nothing is finished. The asked likelihood is 80 %: the bench tells what is less likely, the show what it does not."""
    plan = plan_of(chances=(("heron", "mask", "2026-03-02", 70),))
    assert risks(PROMISED, plan) == [("heron", "mask", TODAY, Decimal("0.7"), "70 % likely to be finished by 2026-03-02; you ask for 80 %")]
    assert risks(PROMISED, replace(plan, dates=(AtRisk("heron", TODAY, Decimal("0.7"), 1, "mask"),))) == []


def test_a_promise_is_judged_in_the_episode_that_names_it():
    """Its file names the piece for the 13th, so the promise of the 20th is judged there: recorded on the 10th, work until the 9th counts."""
    made = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, by: 2026-03-20}]")}
    named = {"journal/episodes/2026-03-13.md": episode("segments: [{build: heron, stage: mask}]", aired=False)}
    assert risks({**made, **named, **FILMED}) == []
    assert risks({**made, **named, **MISSED}) == [("heron", "mask", date(2026, 3, 9), 0, "the shot “the tape coming off” was missed")]


def test_a_day_before_the_next_episode_airs_can_not_be_kept():
    """The next airs on the 6th, so a promise of the 4th will be late, whatever the bench does; once it is late, that is said of its state."""
    made = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, by: 2026-03-04}]")}
    why = "no episode that can show it airs by 2026-03-04; the first airs on 2026-03-06"
    assert risks({**made, **FILMED}) == [("heron", "mask", TODAY, 0, why)]
    in_time = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, by: 2026-03-06}]")}
    assert risks({**in_time, **FILMED}) == []
    late = {"journal/episodes/2026-02-20.md": episode("promises: [{build: heron, do: mask, by: 2026-02-27}]")}
    assert risks({**late, **FILMED}) == []


def test_what_is_recorded_today_can_keep_a_promise_with_what_is_finished():
    """On Tuesday the 3rd the episode of the 6th is recorded: what was masked and filmed by Monday is in it, what was not is too late."""
    made = {"journal/episodes/2026-02-27.md": episode("promises: [{build: heron, do: mask, in: next}]")}
    tuesday = date(2026, 3, 3)
    assert show_of({**made, **FILMED}, tuesday)[0].at_risk == ()
    (late,) = show_of(made, tuesday, plan_of(tuesday, chances=(("heron", "mask", "2026-03-09", 100),)))[0].at_risk
    assert (late.stage, late.why) == ("mask", "no episode that can show it airs by 2026-03-06; the first airs on 2026-03-13")


def test_what_the_build_leaves_out_is_judged_by_the_first_stage_that_follows_it():
    """Without masking the colour keeps the promise; where the job ends before it, nothing can."""
    skipped = {**PROMISED, "builds/heron/build.md": build("stages: [{stage: mask, skip: yes}]")}
    assert risks(skipped) == [("heron", "colour", TODAY, 0, "0 % likely to be finished by 2026-03-02; you ask for 80 %")]
    assert risks(skipped, plan_of(chances=(("heron", "colour", "2026-03-02", 90),))) == []
    ended = {**PROMISED, "builds/heron/build.md": build("ends_at: prime")}
    assert risks(ended) == [("heron", "mask", TODAY, 0, "the build leaves out mask, and no stage of its own follows it")]


def test_the_plan_is_asked_for_the_stage_that_keeps_the_promise_of_one_left_out():
    files = {"shop.md": SHOP, "builds/heron/build.md": build("stages: [{stage: mask, skip: yes}]"), **PROMISED}
    assert Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY).promised == (("heron", "colour", TODAY),)


def test_it_is_told_beside_the_plan_s():
    shop = {"shop.md": SHOP, "builds/heron/build.md": build(showroom="no"), **PROMISED, **FILMED}
    found = Analysis({name: text.encode() for name, text in shop.items()}, frozenset(), TODAY)
    (risk,) = contract_week.week(found.plan, found.show, (), "USD")["at_risk"]
    assert (risk["build"], risk["stage"], risk["chance"], risk["why"]) == ("heron", "mask", "0.00", "its sheet does not say showroom: yes")
    view = office_view(found, (), Held()).week
    assert [(r.stage, r.why) for r in view.at_risk] == [("mask", "its sheet does not say showroom: yes")]
