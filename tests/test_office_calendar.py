"""The calendar file, read back by icalendar and held against RFC 5545."""

from collections import Counter
from datetime import date, timedelta

import pytest
from icalendar import Calendar
from office_shop import TODAY, office, pages
from shop_texts import fenced

from purfle.compile import Analysis
from purfle.pages.calendar import calendar_file
from purfle.sites import office_view
from purfle.views.office_calendar import CalendarEntry
from purfle.views.office_troubles import Held


def entry(summary="Teal: clear is cured", description="", day=TODAY):
    return CalendarEntry("cure-teal-clear-1", day, summary, description)


def events(data: bytes):
    return Calendar.from_ical(data).walk("VEVENT")


def test_file_is_read_back_with_every_entry():
    read = events(pages()["calendar.ics"])
    assert [str(e["UID"]).partition("@")[0] for e in read] == [e.id for e in office().calendar]
    assert all(e["DTSTAMP"].dt.date() == TODAY for e in read)


def test_all_kinds_of_entry_are_there():
    kinds = {e.id.split("-")[0] for e in office().calendar}
    assert {"cure", "due", "bench", "record", "air"} <= kinds


def calendar_of(files):
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    return office_view(a, a.troubles, Held()).calendar


def test_a_customer_who_has_not_agreed_is_asked_before_their_instrument_is_filmed():
    shop = fenced("name: s", "bench_hours: {saturday: 4}", "routes: {r: [{stage: strip, hours: 4, shots: [the last of the paint]}]}")
    sheet = "title: Teal\nkind: commission\nroute: r\nacquired: {date: 2026-01-05, how: customer's}\ncommission: {price: 90%s}"
    for consent, asked in (("", True), (", consent: {show: yes}", False)):
        made = calendar_of({"shop.md": shop, "builds/teal/build.md": fenced(sheet % consent)})
        (film,) = [e for e in made if e.id.startswith("film-")]
        assert film.description.startswith("ask the customer first") == asked


def test_minutes_of_a_recording_are_told_to_the_hundredth():
    """By hand: 100 minutes at 12 times the speed of life are 500 seconds, 8 minutes and a third, more than a piece usually has."""
    made = calendar_of(
        {
            "shop.md": fenced("name: s", "bench_hours: {saturday: 4}", "routes: {r: [{stage: strip, hours: 4, shots: [paint]}]}"),
            "builds/teal/build.md": fenced("title: Teal", "route: r", "showroom: yes"),
            "builds/teal/2026-03-01.md": fenced("stage: strip", "hours: 4", "finished: yes", "shots: [{shot: paint, minutes: 100, speed: 12x}]"),
            "journal/episodes/2026-03-06.md": fenced("title: One", "recorded: 2026-03-05", "segments: [{build: teal, stage: strip}]"),
        }
    )
    assert "Teal: strip, 8.33 min" in next(e.description for e in made if e.id == "record-2026-03-06")


def test_what_must_not_be_missed_stands_on_its_last_day():
    """By hand: a bench of Saturdays strips on the 7th, the last day of its paint; a hinge that takes ten days is late to order."""
    files = {
        "shop.md": fenced(
            "name: s", "bench_hours: {saturday: 4}", "routes: {r: [{stage: strip, hours: 4, shots: [the last of the paint]}, {stage: fit, hours: 1}]}"
        ),
        "builds/teal/build.md": fenced("title: Teal", "route: r", "parts: [{part: hinge, cost: 9, for: fit, lead: 10 days}]"),
    }
    made = calendar_of(files)
    found = {(e.day, e.summary) for e in made if e.id.startswith(("order-", "film-"))}
    assert found == {(TODAY, "Order for Teal: hinge"), (date(2026, 3, 7), "Last chance to film Teal: the last of the paint")}


def test_a_recording_says_what_is_shown():
    (first, *_) = [e for e in office().calendar if e.id.startswith("record-")]
    assert all(line.endswith(" min") for line in first.description.split("\n")) and "talk" in first.description


def test_two_shops_in_one_calendar_take_no_entry_from_each_other():
    """RFC 5545, 3.8.4.7: a UID must be globally unique; both shops have an episode on the same day."""
    one, other = ({str(e["UID"]) for e in events(calendar_file([entry()], shop, TODAY))} for shop in ("Gorse End", "Sallow Lane"))
    assert len(one) == len(other) == 1 and one != other


def test_the_end_is_the_day_after():
    # RFC 5545, 3.6.1: DTEND is not part of the event; one whose last day is 8 July 2007 has DTEND 20070709.
    data = calendar_file([entry(day=date(2007, 7, 8))], "Gorse End", TODAY)
    assert b"DTSTART;VALUE=DATE:20070708\r\n" in data
    assert b"DTEND;VALUE=DATE:20070709\r\n" in data


def test_lines_are_folded_at_75_octets_between_characters():
    # RFC 5545, 3.1: at most 75 octets before CRLF; the fold does not cut a UTF-8 character.
    words = "Bünde richten, Bundstäbchen für den Höcker " * 4
    data = calendar_file([entry(words.strip())], "Gorse End", TODAY)
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75 and all(line.decode() is not None for line in lines)
    assert str(events(data)[0]["SUMMARY"]) == words.strip()


def test_sixty_seven_letters_make_one_line_and_sixty_eight_two():
    one, two = (calendar_file([entry("x" * n)], "G", TODAY).split(b"\r\n") for n in (67, 68))
    assert b"SUMMARY:" + b"x" * 67 in one
    at = two.index(b"SUMMARY:" + b"x" * 67)
    assert two[at + 1] == b" x"


def test_text_is_escaped():
    # RFC 5545, 3.3.11: backslash, semicolon, comma and newline; a colon stays.
    data = calendar_file([entry("a;b,c\\d:e", "one\ntwo")], "G", TODAY)
    assert b"SUMMARY:a\\;b\\,c\\\\d:e\r\n" in data and b"DESCRIPTION:one\\ntwo\r\n" in data


@pytest.mark.parametrize("lead", range(55, 75))
def test_a_fold_never_parts_a_backslash_from_what_it_escapes(lead):
    """No line ends within an escape, so that a reader that unescapes each line by itself reads the same words."""
    data = calendar_file([entry("x" * lead + "\\,\\\\;and so on")], "G", TODAY)
    assert all((len(line) - len(line.rstrip(b"\\"))) % 2 == 0 for line in data.split(b"\r\n"))
    assert b"SUMMARY:" + b"x" * lead + rb"\\\,\\\\\;and so on" in data.replace(b"\r\n ", b"")


def test_taking_it_in_again_moves_an_entry():
    before, after = (events(calendar_file([entry(day=day)], "G", made)) for day, made in ((TODAY, TODAY), (TODAY + timedelta(3), TODAY + timedelta(1))))
    assert before[0]["UID"] == after[0]["UID"]
    assert after[0]["SEQUENCE"] > before[0]["SEQUENCE"] and after[0]["DTSTAMP"].dt > before[0]["DTSTAMP"].dt


def test_ids_are_unique():
    ids = [e.id for e in office().calendar]
    assert len(set(ids)) == len(ids)


def test_a_hyphen_in_an_id_or_a_stage_makes_no_two_entries_one():
    """Two cures of each of three builds, a due date of each, and three promises: every one is there."""
    shop = fenced("name: s", "show: {weekday: friday}", "routes: {r: [{stage: b, hours: 1, cure: 9 days}, {stage: a-b, hours: 1, cure: 9 days, follows: []}]}")
    sheet = fenced("title: {0}", "route: r", "due: 2026-04-01")
    noted = fenced("bench: [{stage: b, hours: 1, finished: yes}, {stage: a-b, hours: 1, finished: yes}]")
    said = fenced(
        "title: x",
        "aired: yes",
        "promises: [{build: teal, do: a-b, by: 2026-04-03}, {build: teal, do: b, by: 2026-04-03}, {build: teal-a, do: b, by: 2026-04-03}]",
    )
    files = {"shop.md": shop, "journal/episodes/2026-02-27.md": said}
    for id in ("teal", "teal-a", "teal-b"):
        files |= {f"builds/{id}/build.md": sheet.replace("{0}", id), f"builds/{id}/2026-03-01.md": noted}
    a = Analysis({name: text.encode() for name, text in files.items()}, frozenset(), TODAY)
    made = office_view(a, a.troubles, Held()).calendar
    assert a.troubles == ()
    kinds = Counter(entry.id.split("-")[0] for entry in made)
    assert (kinds["cure"], kinds["due"]) == (6, 6)
