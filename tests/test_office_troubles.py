"""The page of troubles, also when it is made alone."""

import re
from datetime import date

import html5lib
from office_shop import templates

from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.pages.office import troubles_page
from purfle.views.amounts import Writer
from purfle.views.office_troubles import Held, Since, troubles_of

LINES = {"builds/heron/build.md": ("---", "title: Heron", "\tacquired: {price: 1,450}", "---")}
NONE_YET = Held()
HOLDS = Trouble(Place("builds/heron/build.md", 3, 20), "number-unreadable", "price: amount 1,450 has a comma", "write 1450")
PLAIN = Writer("en_US", "USD")
WARNS = Trouble(Place("journal/x.md", 1, 1), "key-unknown", "there is no key <b> here", "take it out")


def page(*troubles, held=NONE_YET):
    return troubles_page(troubles, LINES, held, templates(), "The long bench", "en_US").decode()


def test_it_can_be_made_alone_and_parses():
    html5lib.HTMLParser(strict=True).parse(page(HOLDS, WARNS, held=Held(date(2026, 3, 1), None)))


def test_the_place_is_marked_in_its_line():
    row = troubles_of([HOLDS], LINES, Held(), PLAIN).files[0].rows[0]
    assert (row.before, row.marked, row.after) == (" acquired: {price: ", "1,450", "}")


def test_it_says_what_is_held_and_since_when():
    text = page(HOLDS, held=Held(date(2026, 3, 1), None))
    assert "The books are held." in text and "2026-03-01" in text
    assert "The showroom is held." not in text


def test_it_leads_to_other_pages_once_there_are_some():
    leads = [re.findall(r'href="(\w+\.html)"', page(HOLDS, held=held)) for held in (Held(), Held(date(2026, 3, 1), None))]
    assert leads[0] == ["troubles.html"] and {"index.html", "money.html"} < set(leads[1])


def test_a_warning_holds_nothing():
    assert "is held" not in page(WARNS) and "are held" not in page(WARNS)


def test_what_holds_comes_first():
    files = [f.file for f in troubles_of([WARNS, Trouble(Place("z.md", 1), "amount-unclear", "x", "y")], {}, Held(), PLAIN).files]
    assert files == ["z.md", "journal/x.md"]


def test_words_of_notes_are_escaped():
    assert "no key &lt;b&gt; here" in page(WARNS)


def test_no_trouble_says_so():
    assert "Nothing is wrong with the notes." in page()


def test_controls_and_turns_of_direction_are_made_visible():
    lines = {"a.md": ("x: \x1b[31m\u202eabc\x00",)}
    text = troubles_page([Trouble(Place("a.md", 1, 4), "key-unknown", "f", "m")], lines, Held(), templates(), "The long bench", "en_US").decode()
    assert "\x1b" not in text and "\u202e" not in text and "\x00" not in text


def test_a_place_past_the_end_of_its_line_is_shown():
    row = troubles_of([Trouble(Place("a.md", 1, 99), "key-unknown", "f", "m")], {"a.md": ("short",)}, Held(), PLAIN).files[0].rows[0]
    assert row.before == "short" and row.marked == ""


def test_the_last_good_state_has_its_day_in_the_shop_s_way():
    # The German form of a day, as CLDR's yMMMd has it: tests/test_office_amounts.py.
    assert troubles_of([], {}, Held(books=date(2026, 3, 4)), Writer("de_DE", "EUR")).books_since == Since("2026-03-04", "4. März 2026")
