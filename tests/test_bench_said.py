"""What was said when the week began is kept while it serves as well: orders by hand on a bench of an hour a day, and a week worked as planned."""

from datetime import date, timedelta

import pytest
from shop_texts import TODAY, fenced, settings, shop_of, told

from purfle.base.memo import turn
from purfle.bench.gather import situation_of
from purfle.bench.order import ordered
from purfle.compile import Analysis

DAILY = "bench_hours: {monday: 1, tuesday: 1, wednesday: 1, thursday: 1, friday: 1, saturday: 1, sunday: 1}"


def _bench(**builds: str):
    files = {"shop.md": settings(DAILY)}
    for name, said in builds.items():
        hours, _, more = said.partition(" ")
        files[f"builds/{name}/build.md"] = fenced(f"title: {name}", f"stages: [{{stage: work, hours: {hours}}}]", *([more] if more else []))
    shop = shop_of(files)
    progress, _ = told(shop)
    return situation_of(shop, progress, (), TODAY)


def _order(situation, *said: str) -> list[str]:
    return [situation.steps[n].build for n in ordered(situation, [(name, "work") for name in said]).laid.order]


@pytest.mark.parametrize(
    ("builds", "said", "order"),
    [
        ({"ash": "2", "beech": "2"}, (), "ash beech"),
        ({"ash": "2", "beech": "2"}, ("beech", "ash"), "beech ash"),  # both are done by days 1 and 3, either way
        ({"ash": "1", "beech": "5"}, ("beech", "ash"), "ash beech"),  # 4 + 5 against 0 + 5: two days sooner each
        ({"ash": "2", "beech": "3"}, ("beech", "ash"), "beech ash"),  # 2 + 4 against 1 + 4: half a day each
        ({"ash": f"2 due: {TODAY + timedelta(days=1)}", "beech": "2"}, ("beech", "ash"), "ash beech"),  # ash would be two days late
        ({"ash": f"2 due: {TODAY + timedelta(days=9)}", "beech": "2"}, ("beech", "ash"), "beech ash"),  # and is not, nine days off
        ({"ash": "2", "beech": "2", "cedar": "2"}, ("beech", "ash"), "beech cedar ash"),  # the new one behind whom it follows today
    ],
)
def test_what_was_said_is_kept_unless_another_order_is_better(builds, said, order):
    assert _order(_bench(**builds), *said) == order.split()


def test_the_page_says_where_the_order_comes_from():
    bench = _bench(ash="2", beech="2")
    assert ordered(bench).proof.startswith("Nothing still to do is due or promised; the order of work is by rule: ")
    assert (
        ordered(bench, [("beech", "work"), ("ash", "work")]).proof
        == "Nothing still to do is due or promised; the order of work is as it was when the week began."
    )


@pytest.mark.parametrize(
    ("came", "heard"), [("acquired: {date: 2026-03-01, price: 9}", True), ("acquired: {date: 2026-03-04, price: 9}", False), ("priority: 1", True)]
)
def test_of_what_came_in_later_in_the_week_nobody_had_heard_when_it_began(came, heard):
    """Wednesday the 4th: the week began on Monday the 2nd. Of a build with no day at all nobody knows when it was written down."""
    files = {"shop.md": settings(DAILY), "builds/ash/build.md": fenced("title: Ash", "stages: [{stage: work, hours: 2}]")}
    files["builds/cedar/build.md"] = fenced("title: Cedar", "due: 2026-03-09", "stages: [{stage: work, hours: 2}]", came)
    found = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), date(2026, 3, 4))
    assert (("cedar", "work") in found.said, ("ash", "work") in found.said) == (heard, True)
    assert any(task.build == "cedar" for day in found.plan.days for task in day.tasks)


@pytest.mark.parametrize(("bought", "heard"), [("2026-02-27", True), ("2026-03-03", False)])
def test_nor_had_anybody_of_a_lot_that_came_in_later(bought, heard):
    """Whether the lot's note was there at once or is written while what the sheet alone says is kept."""
    files = {"shop.md": settings(DAILY), "builds/cedar/build.md": fenced("title: Cedar", "acquired: {how: lot}", "stages: [{stage: work, hours: 2}]")}
    lot = {f"journal/{bought}.md": fenced("lots: {lot: shed, cost: 40, values: {cedar: 1}}")}
    sheets, note = ({name: text.encode() for name, text in some.items()} for some in (files, lot))
    for noted, said in ((sheets, True), (sheets | note, heard)):
        with turn():
            assert (("cedar", "work") in Analysis(noted, frozenset(), date(2026, 3, 4)).said) == said


SHOP = fenced(
    "name: Test Bench",
    "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4}",
    "routes:",
    "  whole:",
    "    - {stage: strip, hours: [2, 3, 5]}",
    "    - {stage: seal, hours: 1, whole: yes, cure: 2 days}",
    "    - {stage: colour, hours: [2, 3, 4], whole: yes, cure: 4 days}",
    "    - {stage: clear, hours: 3, whole: yes, cure: 10 days}",
    "    - {stage: frets, hours: 3, follows: [strip]}",
    "    - {stage: rub, hours: 4, follows: [clear]}",
    "    - {stage: setup, hours: 2, follows: [rub, frets]}",
)
DUES = ("2026-04-13", "2026-03-29", "2026-04-10", "2026-04-14", None, None, None)


def _planned(files: dict[str, str], today: date):
    plan = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), today).plan
    return {day.date: [(t.build, t.stage, t.hours) for t in day.tasks] for day in plan.days}


def test_a_week_worked_as_planned_goes_on_as_it_was_said():
    """On each evening the next day's work is what it was the evening before: nothing happened that the plan did not say."""
    files = {"shop.md": SHOP}
    files |= {f"builds/b{n}/build.md": fenced(f"title: B{n}", "route: whole", *([f"due: {due}"] if due else [])) for n, due in enumerate(DUES)}
    before = None
    for today in (TODAY + timedelta(days=n) for n in range(5)):
        plan = _planned(files, today)
        assert before is None or [task[:2] for task in plan[today]] == [task[:2] for task in before[today]]
        later = {task[:2] for day, tasks in plan.items() if day > today for task in tasks}
        for build in {build for build, _, _ in plan[today]}:
            lines = [f"{{stage: {s}, hours: {h}{'' if (b, s) in later else ', finished: yes'}}}" for b, s, h in plan[today] if b == build]
            files[f"builds/{build}/{today}.md"] = fenced(f"bench: [{', '.join(lines)}]")
        before = plan
