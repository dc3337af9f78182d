"""One fact told in several places is the same in all of them: the week's JSON, its page, the timeline's table and the calendar file."""

from datetime import date

from shop_texts import fenced

from purfle.compile import Analysis
from purfle.shell import contract_week
from purfle.views.office import Office, office_of
from purfle.views.office_troubles import Held

SHOP = fenced(
    "name: Alder Bench",
    "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, friday: 4}",
    "show: {weekday: friday, minutes: 10, lead: 3 days}",
    "routes:",
    "  quick:",
    "    - {stage: strip, hours: 2}",
    "    - {stage: plating, hours: 0.5, wait: 5, cure: 4 days}",
    "    - {stage: fit, hours: 2}",
    "  slow:",
    "    - {stage: glue, hours: 1}",
    "    - {stage: rest, cure: 10 days}",
    "    - {stage: chrome, wait: 3}",
    "    - {stage: fit, hours: 2}",
)
HERON = fenced("title: Heron", "route: quick", "due: 2026-03-13")
WREN = fenced("title: Wren", "route: slow")
STRIPPED = {"builds/heron/2026-02-27.md": fenced("stage: strip", "hours: 2", "finished: yes")}
SENT = {**STRIPPED, "builds/heron/2026-03-02.md": fenced("stage: plating", "hours: 0.5")}
EPISODE = ("title: Week nine", "segments: [{build: heron, stage: strip, minutes: 4}]")


def _told(files: dict[str, str], today: str) -> tuple[dict, Office]:
    day = date.fromisoformat(today)
    texts = {"shop.md": SHOP, **files}
    a = Analysis({name: text.encode() for name, text in texts.items()}, frozenset(), day)
    office = office_of(a, a.troubles, a.lines, Held(None, None))
    return contract_week.week(a.plan, a.show, a.on_sale, a.shop.settings.currency), office


def _diary(office: Office, word: str) -> list[tuple[str, str, str]]:
    return [(e.id, e.day.isoformat(), e.description) for e in office.calendar if word in e.id]


def _spans(office: Office, stage: str) -> list[tuple[str, str, str]]:
    return [(s.mark, s.first.isoformat(), s.last.isoformat()) for s in office.plan.timeline.spans if s.stage == stage]


def _condition(office: Office, build: str, stage: str) -> str:
    (page,) = (b for b in office.builds if b.page == f"builds/{build}.html")
    return next(row.condition for row in page.stages if row.name == stage)


def test_what_is_out_and_cures_once_it_is_back_is_out_first_and_then_curing() -> None:
    """Sent on 2 March for 5 days: back on the 7th; cures for 4: free on the 11th, a Wednesday."""
    week, office = _told({"builds/heron/build.md": HERON, **SENT}, "2026-03-03")
    assert [(c["stage"], c["why"], c["until"]) for c in week["curing"]] == [("plating", "wait", "2026-03-07")]
    assert [r.why for r in office.week.curing] == ["at outside work"] and _condition(office, "heron", "plating") == "at outside work until Sat, Mar 7"
    assert _spans(office, "plating") == [("wait", "2026-03-03", "2026-03-06"), ("cure", "2026-03-07", "2026-03-10")]
    assert [s.words for s in office.plan.timeline.spans if s.mark == "cure"] == ["4 days, free on Mar 11"]
    assert _diary(office, "plating") == [
        ("back-heron-plating-1", "2026-03-07", "Then it cures 4 days."),
        ("cure-heron-plating-1", "2026-03-11", "As planned: 4 days."),
    ]
    assert [d["date"] for d in week["days"] if d["tasks"]] == [] and _diary(office, "bench-")[0][0] == "bench-2026-03-11"


def test_what_came_back_and_cures_is_out_no_more() -> None:
    back = {"builds/heron/2026-03-07.md": fenced("stage: plating", "finished: yes")}
    week, office = _told({"builds/heron/build.md": HERON, **SENT, **back}, "2026-03-09")
    assert [(c["stage"], c["why"], c["until"]) for c in week["curing"]] == [("plating", "cure", "2026-03-11")]
    assert [r.why for r in office.week.curing] == ["curing"] and _condition(office, "heron", "plating") == "curing until Wed, Mar 11"
    assert _spans(office, "plating") == [("cure", "2026-03-09", "2026-03-10")]
    assert _diary(office, "plating") == [("cure-heron-plating-1", "2026-03-11", "The first day it can be worked on again.")]


def test_a_rest_without_hands_runs_from_the_day_what_it_follows_is_free_and_asks_for_no_note() -> None:
    """Glued on 3 March, 10 days of rest: free on the 13th; out for 3 days: back on the 16th, a Monday."""
    glued = {"builds/wren/build.md": WREN, "builds/wren/2026-03-03.md": fenced("stage: glue", "hours: 1", "finished: yes")}
    for today in ("2026-03-03", "2026-03-09", "2026-03-12"):
        week, office = _told(glued, today)
        assert [(c["stage"], c["why"], c["until"]) for c in week["curing"]] == [("rest", "cure", "2026-03-13")]
        assert [(f["stage"], f["p50"]) for f in week["forecast"]] == [("chrome", "2026-03-16"), ("fit", "2026-03-16")]
        assert _condition(office, "wren", "rest") == "curing until Fri, Mar 13"
        assert _spans(office, "chrome") == [("wait", "2026-03-13", "2026-03-15")]
        assert [(id, day) for id, day, _ in _diary(office, "wren")] == [("cure-wren-rest-1", "2026-03-13"), ("cure-wren-chrome-1", "2026-03-16")]


def test_what_takes_no_hands_but_has_to_be_sent_out_is_told_on_its_day() -> None:
    glued = {"builds/wren/build.md": WREN, "builds/wren/2026-03-03.md": fenced("stage: glue", "hours: 1", "finished: yes")}
    week, office = _told(glued, "2026-03-12")
    assert [(d["date"], t["stage"], t["hours"]) for d in week["days"] for t in d["tasks"]] == [("2026-03-13", "chrome", "0.00"), ("2026-03-16", "fit", "2.00")]
    assert [(t.stage, t.hours, t.then) for t in office.week.days[1].tasks] == [("chrome", "to send out", "then it goes to outside work")]
    sent, _ = _told({**glued, "builds/wren/2026-03-13.md": fenced("stage: chrome")}, "2026-03-13")
    assert [(d["date"], t["stage"]) for d in sent["days"] for t in d["tasks"]] == [("2026-03-16", "fit")]


def test_what_is_sent_out_on_a_day_off_opens_no_bench() -> None:
    """Glued on 4 March, rested on Saturday the 14th."""
    glued = {"builds/wren/build.md": WREN, "builds/wren/2026-03-04.md": fenced("stage: glue", "hours: 1", "finished: yes")}
    _, office = _told(glued, "2026-03-12")
    (saturday,) = (day for day in office.week.days if day.iso == "2026-03-14")
    assert ([t.hours for t in saturday.tasks], saturday.closed) == (["to send out"], True)
    assert [column.open for column in office.plan.timeline.strips[0].columns[:5]] == [True, True, False, False, True]


def test_a_part_ordered_without_a_day_is_waited_for_in_the_timeline_as_in_the_plan() -> None:
    """Ordered on 27 February, ten days: on 9 March; the work it is for is planned for that day."""
    sheet = fenced("title: Heron", "route: quick", "parts: [{part: bridge, for: strip, lead: 10 days, ordered: 2026-02-27}]")
    week, office = _told({"builds/heron/build.md": sheet}, "2026-03-04")
    assert [d["date"] for d in week["days"] if d["tasks"]] == ["2026-03-09"]
    assert _spans(office, "strip") == [("wait", "2026-03-04", "2026-03-08"), ("bench", "2026-03-09", "2026-03-09")]


def _marks(office: Office) -> dict[str, tuple[str, ...]]:
    return {day.iso: day.marks for day in office.week.days if day.marks}


def test_an_episode_that_is_recorded_still_airs() -> None:
    """Recorded on Tuesday the 3rd for Friday the 6th; on Wednesday the next recording is on the 10th."""
    files = {"builds/heron/build.md": HERON, **STRIPPED, "journal/episodes/2026-03-06.md": fenced(*EPISODE)}
    _, office = _told(files, "2026-03-04")
    assert _marks(office) == {"2026-03-06": ("an episode airs",), "2026-03-10": ("record the episode",)}
    heads = {day: column.show for day, column in zip(range(4, 18), office.plan.timeline.strips[0].columns, strict=True) if column.show}
    assert heads == {6: "A", 10: "R", 13: "A", 17: "R"}
    assert [day for _, day, _ in _diary(office, "air-")][:2] == ["2026-03-06", "2026-03-13"]


PROMISED = {"journal/episodes/2026-02-27.md": fenced("title: A week", "aired: yes", "promises: [{build: heron, do: fit, in: next}]")}


def test_a_promised_day_stands_in_the_week_as_in_the_diary() -> None:
    week, office = _told({"builds/heron/build.md": HERON, **STRIPPED, **PROMISED}, "2026-03-02")
    assert [p["due"] for p in week["promises"]] == ["2026-03-06"]
    assert _marks(office)["2026-03-06"] == ("an episode airs", "Heron: fit due, promised on air")
    assert [(id, day) for id, day, _ in _diary(office, "due-")] == [("due-heron-fit", "2026-03-06"), ("due-heron", "2026-03-13")]
    assert ("due", "2026-03-06", "2026-03-06") in _spans(office, "fit")


def test_what_was_called_off_is_due_no_more_and_what_was_promised_of_it_is() -> None:
    """The audience still waits until the promise is taken back."""
    for end in ("ended: {date: 2026-03-01, how: taken back}", "sale: {date: 2026-03-01, price: 400}"):
        sheet = fenced("title: Heron", "route: quick", "due: 2026-03-05", "hold: {since: 2026-02-28}", end)
        _, office = _told({"builds/heron/build.md": sheet, **STRIPPED, **PROMISED}, "2026-03-02")
        assert _marks(office) == {"2026-03-03": ("record the episode",), "2026-03-06": ("an episode airs", "Heron: fit due, promised on air")}
        assert [id for id, _, _ in _diary(office, "due-")] == ["due-heron-fit"]


def test_of_promises_to_show_the_same_the_first_day_stands() -> None:
    files = {"journal/episodes/2026-02-20.md": fenced("title: Eight", "aired: yes", "promises: [{build: heron, do: fit, by: 2026-03-20}]"), **PROMISED}
    _, office = _told({"builds/heron/build.md": HERON, **STRIPPED, **files}, "2026-03-02")
    assert [(id, day) for id, day, _ in _diary(office, "due-heron-fit")] == [("due-heron-fit", "2026-03-06")]


def test_a_promise_in_words_is_in_the_diary_too() -> None:
    files = {"journal/episodes/2026-02-27.md": fenced("title: A week", "aired: yes", "promises: [{words: two more from the loft, do: start, by: 2026-03-06}]")}
    _, office = _told(files, "2026-03-02")
    assert _marks(office)["2026-03-06"] == ("an episode airs", "two more from the loft: start due, promised on air")
    assert [day for _, day, _ in _diary(office, "promised-")] == ["2026-03-06"]
