"""What the office says of the show, against the small shop's notes. Sums are done by hand from those notes."""

import re
from datetime import date
from decimal import Decimal

import pytest
from office_shop import TODAY, office, pages, templates
from shop_texts import fenced

from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_show_sheets import clock
from purfle.views.office_troubles import Held

SHOW = office().show
SHOP = fenced(
    "name: New",
    "show: {weekday: friday, minutes: 6, lead: 2 days, bulletins: 2, limits: {photo feed: 40}}",
    "routes: {plain: [{stage: strip, hours: 2, shots: [bare wood]}, {stage: fit, hours: 1}]}",
)
TEAL = fenced("title: Teal", "route: plain", "showroom: yes", "parts: {part: pickups, how: gifted, from: Tarnwater Pickups, arrived: 2026-01-01}")


def site(today=TODAY, **notes):
    files = {"shop.md": SHOP, "builds/teal/build.md": TEAL, **{name.replace("__", "/") + ".md": note for name, note in notes.items()}}
    a = Analysis({name: note.encode() for name, note in files.items()}, frozenset(), today)
    view = office_view(a, a.troubles, Held())
    return view, {name: text(data) for name, data in pages_of(view, templates()).items() if name.endswith(".html")}


def text(data):
    return " ".join(re.sub(r"<[^>]+>", " ", data.decode()).split())


@pytest.mark.parametrize(("seconds", "words"), [("48", "0:48"), ("59.5", "1:00"), ("360", "6:00"), ("3599.4", "59:59"), ("0", "0:00")])
def test_running_time_in_minutes_and_seconds(seconds, words):
    assert clock(Decimal(seconds)) == words


def test_a_run_sheet_says_when_each_piece_begins_and_what_is_left():
    # 5 and 2 of 12 minutes.
    sheet = next(s for s in SHOW.run_sheets if s.page == "run-2026-03-06.html")
    assert [r.starts for r in sheet.rows] == ["0:00", "5:00"]
    assert (sheet.minutes, sheet.length, sheet.left, sheet.over) == ("7", "12", "5", "")
    assert "of 12 min : 5 left" in text(pages()["run-2026-03-06.html"]).replace("min:", "min :")


EPISODE = fenced(
    "title: Long",
    "segments: [{build: teal, stage: strip}, {what: talk, minutes: 3}]",
    "disclosures: [{what: a lamp, how: lent}]",
)
TAKEN = fenced("stage: strip", "hours: 2", "finished: yes", "shots: [{shot: bare wood, minutes: 600, speed: 100x}]")


def test_over_length_lapse_estimate_and_what_is_not_disclosed_are_on_the_sheet():
    # 600 min at 100x run 6:00; with the talk 9 of 6 minutes.
    page = site(**{"journal/episodes/2026-03-06": EPISODE, "builds/teal/2026-03-02": TAKEN})[1]["run-2026-03-06.html"]
    for words in (
        "3 over",
        "time-lapses run 6:00",
        "est. 6",
        "runs 6:00",
        "no disclosure yet pickups, gifted by Tarnwater Pickups",
        "a lamp, lent",
        "Every shot it wants is in the can.",
    ):
        assert words in page, words


def test_a_proposed_episode_has_a_sheet_and_its_shots_to_film():
    """Two hours of strip fit into the four of Thursday the 5th; nothing is said of the bare wood before."""
    view, made = site(shop=SHOP.replace("show:", "bench_hours: {thursday: 4, friday: 4}\nshow:"))
    assert "proposed, not written yet" in made[view.show.run_sheets[0].page]
    assert [(d.day, [s.shot for s in d.shots]) for d in view.show.shot_days] == [("Thu, Mar 5", ["bare wood"])]
    assert "Thu, Mar 5 Teal bare wood last chance during strip; by Thu, Mar 5; for Fri, Mar 13" in made["shots.html"]


def test_the_line_up_leads_to_its_run_sheets():
    assert len(SHOW.lineup) > 1
    for episode in SHOW.lineup:
        assert episode.sheet in pages() and f'href="{episode.sheet}"'.encode() in pages()["show.html"]


MADE = fenced(
    "title: First words",
    "aired: yes",
    "promises:",
    *(
        f"  - {line}"
        for line in (
            "{build: teal, do: strip, in: next}",
            "{build: teal, do: fit, by: 2026-03-20, withdrawn: {date: 2026-03-01, why: the neck cracked}}",
            "{words: two more from the loft, do: start}",
        )
    ),
)


def test_an_episode_with_minutes_to_spare_says_what_could_fill_them():
    """Of 12 min, 1 of talk and a piece of 4 leave 7; Smew is done and was never on, but its sheet keeps it from being shown."""
    third = office().show.lineup[2]
    assert (third.minutes, third.length, third.free) == ("5", "12", "7")
    assert [(x.build.words, x.stage, x.why) for x in third.nearest] == [("Smew", "strip", "its sheet does not say showroom: yes")]
    page = pages()["show.html"].decode()
    assert "7 min free. Closest to filling them:" in page and "5 min free. Nothing else is close: talk longer, or make it shorter." in page


def test_a_promise_is_told_alike_on_every_page():
    """The words said, and the stage to be shown: that alone can be kept."""
    said = fenced("title: Words", "aired: yes", "promises: {build: teal, words: the fit I spoilt, do: fit, by: 2026-04-30}")
    view, written = site(**{"journal/episodes/2026-02-27": said})
    assert [p.words for p in (*view.week.promises, *view.show.promises)] == ["the fit I spoilt: show fit"] * 2
    assert all("the fit I spoilt: show fit" in written[name] for name in ("index.html", "show.html", "promises.html"))


def test_the_page_of_promises_says_what_was_said_where_and_what_became_of_it():
    kept = fenced("title: Second words", "aired: yes", "segments: [{build: teal, stage: strip}]", "disclosures: {what: pickups in teal, how: gifted}")
    page = site(**{"journal/episodes/2026-02-20": MADE, "journal/episodes/2026-02-27": kept})[1]["promises.html"]
    assert "1 open, 1 kept, 1 withdrawn." in page
    for words in (
        "First words Feb 20, 2026",
        "show strip Teal kept Feb 27, 2026 Feb 27, 2026, Second words",
        "withdrawn Mar 20, 2026 taken back Mar 1, 2026: the neck cracked",
    ):
        assert words in page, words
    assert "two more from the loft: start — open" in page


PRESSING = ("{words: some day, do: start, by: 2026-04-30}", "{build: teal, do: fit, by: 2026-03-06}", "{build: teal, do: strip, by: 2026-03-01}")


def test_the_week_tells_the_most_pressing_promise_first():
    said = fenced("title: Words", "aired: yes", "promises:", *(f"  - {line}" for line in PRESSING))
    view = site(**{"journal/episodes/2026-02-20": said})[0]
    week = view.week
    assert view.show.promises == week.promises
    assert [(p.state, p.due) for p in week.promises] == [("late", "Mar 1, 2026"), ("due", "Mar 6, 2026"), ("open", "Apr 30, 2026")]


def test_the_week_lists_what_can_be_featured_and_counts_the_rest():
    made = site(**{"builds/teal/2026-03-02": TAKEN}, shop=SHOP.replace("show:", "bench_hours: {thursday: 4, friday: 4}\nshow:"))[0]
    everything = [(f.build.words, f.stage, f.ready, f.proposed) for f in made.show.feature]
    listed = [(f.build.words, f.stage, f.ready, f.proposed) for f in made.week.feature]
    assert {ready for *_, ready, _ in everything} == {"yes", "no"}
    assert listed == [row for row in everything if row[2] != "no" or row[3]] and listed
    assert made.week.feature_more == len(everything) - len(listed)


def test_bulletins_have_their_length_and_the_week_its_rhythm():
    view, made = site(**{"journal/bulletins/2026-03-02": fenced("build: teal", "where: photo feed", "disclosures: {what: the pickups}") + "Bare wood.\n"})
    assert (view.show.bulletins_left, view.show.posts[0].length) == (1, "10 of 40")
    assert "1 more to write this week." in made["show.html"]


def test_a_build_s_page_counts_the_show_s_hours():
    # 30 of ad share, all to Teal, and its whole 4 hours; nothing is sold yet.
    aired = fenced(
        "title: On air",
        "aired: yes",
        "hours: {filming: 1, editing: 3}",
        "segments: [{build: teal, stage: strip, minutes: 4}]",
        "income: {what: ad share, amount: 30}",
        "disclosures: {what: pickups in teal}",
    )
    view = site(**{"journal/episodes/2026-02-27": aired, "builds/teal/2026-02-20": TAKEN})[0].builds[0]
    assert (view.air_income.text, view.air_hours, view.per_hour_in_all) == ("$30.00", "4\xa0h", None)
    sold = TEAL.replace("showroom", "sale: {date: 2026-03-01, price: 90}\nshowroom")
    view = site(**{"journal/episodes/2026-02-27": aired, "builds/teal/2026-02-20": TAKEN, "builds/teal/build": sold})[0].builds[0]
    assert view.per_hour_in_all.text == "$20.00"  # (90 + 30) / (2 + 4)


def test_a_customer_who_has_not_agreed_is_to_be_asked_before_filming():
    notes = {"builds/teal/build": TEAL.replace("showroom", "kind: commission\nshowroom")}
    made = site(**notes, shop=SHOP.replace("show:", "bench_hours: {thursday: 4, friday: 4}\nshow:"))[1]
    assert "ask the customer first" in made["shots.html"] and "ask the customer first" in made["index.html"]


def test_delivered_and_shown_after_delivery_is_in_the_showroom():
    sold = TEAL.replace("showroom: yes", "sale: {date: 2026-03-01, price: 90}\nshowroom: after delivery")
    facts = {f.label: f.words for f in site(**{"builds/teal/build": sold})[0].builds[0].facts}
    assert facts["in the showroom"] == "sold"


def test_on_a_shop_s_first_day_the_pages_are_there():
    made = site(date(2026, 1, 1))[1]
    assert "Nothing has been promised on air yet." in made["promises.html"] and "shots.html" in made


def test_what_was_missed_long_ago_is_left_to_the_build_s_page():
    # Missed when strip was finished on 1 February; eight weeks later it is no news.
    done = {"builds/teal/2026-02-01": fenced("stage: strip", "hours: 2", "finished: yes")}
    assert [s.status for s in site(date(2026, 3, 29), **done)[0].show.shots] == ["missed"]
    view = site(date(2026, 3, 30), **done)[0]
    assert view.show.shots == () and [s.status for s in view.builds[0].shots] == ["missed"]


def test_a_day_over_half_a_year_away_is_told_with_its_year():
    # From 1 February, a Sunday, to 31 July are 27 + 31 + 30 + 31 + 30 + 31 = 180 days.
    told = [site(day, **{"builds/teal/2026-02-01": TAKEN})[0].builds[0].shots[0].taken for day in (date(2026, 7, 31), date(2026, 8, 1))]
    assert told == ["Sun, Feb 1", "Feb 1, 2026"]


def test_a_shot_that_could_always_be_taken_has_no_first_day():
    shop = fenced("name: T", "routes: {plain: [{stage: strip, hours: 1, shots: [{shot: as it came, until: colour}]}, {stage: colour, hours: 1}]}")
    (shot,) = site(shop=shop)[0].show.shots
    assert (shot.status, shot.window, shot.opens) == ("wanted", "until colour", "—")
