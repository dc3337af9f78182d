"""One edit at a time in a small shop: what a process makes that has compiled before equals what a new one makes, whatever the edit is seen by.

`test_incremental.py` tries random edits of the whole demo; here each thing that a kept value may depend on is changed alone.
"""

from contextlib import nullcontext
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest
from office_shop import FILES, TODAY
from shop_texts import fenced

from purfle import bench, books
from purfle.base import groups
from purfle.base.memo import turn
from purfle.compile import Analysis
from purfle.pages.site_files import packaged
from purfle.pages.templates import Templates
from purfle.sites import Kit, render, wanted
from purfle.views.office_troubles import Held

SHOP = {
    **FILES,
    "shop.md": FILES["shop.md"] + "We open in spring.\n\n![The door](photos/door.jpg)\n",
    "builds/teal/build.md": FILES["builds/teal/build.md"] + "A teal board.\n\n![The front](front.jpg)\n",
    "builds/teal/2026-02-10.md": FILES["builds/teal/2026-02-10.md"].replace("shots: [the old paint letting go]\n", "")
    + "It came off.\n\n![The old paint letting go](bare.jpg)\n",
    "builds/smew/build.md": FILES["builds/smew/build.md"].replace("route: plain", "route: plain\nshowroom: yes"),
    "journal/2026-02-15.md": "Rain.\n\n# Teal\nstage: colour\nhours: 1\n\nThe first of it went on.\n",
    "journal/bulletins/2026-03-02.md": fenced("build: teal", "stage: strip", "showroom: yes") + "Bare wood.\n\n![Wood](wood.jpg)\n",
    "journal/episodes/2026-02-27.md": FILES["journal/episodes/2026-02-27.md"].replace("aired: yes", "aired: yes\nshowroom: yes")
    + "We talked.\n\nA setup is $200, ask me.\n\nThat is all.\n",
}
ASSETS = frozenset(
    {
        *("photos/door.jpg", "photos/shut.jpg", "journal/bulletins/wood.jpg", "journal/episodes/wood.jpg"),
        *(f"builds/teal/{name}.jpg" for name in ("front", "side", "bare", "the-old-paint-letting-go")),
    }
)
KIT = Kit({}, {}, packaged("showroom"), packaged("office"), Held())


@pytest.fixture(autouse=True)
def small_lots(monkeypatch):
    """A note to a lot: no other note of a lot changes with the one that is edited."""
    monkeypatch.setattr(groups, "_LOT", 1)


@cache
def as_read(text):
    """The bytes of a file; the very same for the same text, as those of a file that is not opened again."""
    return text.encode()


def made(files, assets=ASSETS, kit=KIT, today=TODAY, keeping=False):
    """All that a compile comes to: the sites, the troubles, and the pictures that are wanted."""
    with turn() if keeping else nullcontext():
        analysis = Analysis({name: as_read(text) for name, text in files.items()}, assets, today)
        return render(analysis, kit), wanted(analysis)


def check(files, assets=ASSETS, kit=KIT, today=TODAY):
    """Made after the shop as it was, it is what is made from nothing; and no site is held, or nothing would be compared."""
    made(SHOP, keeping=True)
    check_after(files, assets, kit, today)


def check_after(files, assets, kit=KIT, today=TODAY):
    """The same, after the shop as it was made last."""
    warm, clean = made(files, assets, kit, today, keeping=True), made(files, assets, kit, today)
    assert clean[0].showroom and clean[0].office, clean[0].troubles
    assert warm == clean


def remarked(text):
    """A remark among the keys, which moves every line below it and changes nothing else."""
    return text.replace("---\n", "---\n# a remark\n", 1)


TEAL = "builds/teal/2026-02-10.md"
ONE_OF_EACH = [
    "shop.md",
    "builds/teal/build.md",
    "builds/teal/2026-02-10.md",
    "journal/2026-02-02.md",
    "journal/2026-02-15.md",
    "journal/episodes/2026-02-27.md",
    "journal/bulletins/2026-03-02.md",
]


@pytest.mark.parametrize("name", ONE_OF_EACH)
@pytest.mark.parametrize("edit", [remarked, lambda text: text + "\nAnd so to bed.\n"], ids=["a remark among the keys", "words at the end"])
def test_what_hardly_changes_anything(name, edit):
    check({**SHOP, name: edit(SHOP[name])})


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("shop.md", "photos/door.jpg", "photos/shut.jpg"),
        ("shop.md", "The door", "The door, open"),
        ("builds/teal/build.md", "(front.jpg)", "(side.jpg)"),
        ("builds/teal/2026-02-10.md", "![The old paint letting go]", "![Something else]"),  # it was the shot that strip wants
        ("builds/teal/2026-02-10.md", "(bare.jpg)", "(the-old-paint-letting-go.jpg)"),
        ("journal/episodes/2026-02-27.md", "We talked.\n\n", "We talked.\n* * *\n"),
        ("journal/episodes/2026-02-27.md", "$200, ask me.", "$200, ask me today."),  # a trouble stands on that line, and its page quotes it
        ("builds/teal/2026-02-10.md", "It came off.", "![The side](side.jpg)"),
        ("journal/2026-02-15.md", "Rain.", "Snow."),
        ("journal/2026-02-15.md", "# Teal\n", "\n# Teal\n"),
        ("journal/2026-02-15.md", "# Teal\n", "# Teal: amber\n"),
        ("journal/bulletins/2026-03-02.md", "Bare wood.", "Bare wood, at last."),
        ("journal/bulletins/2026-03-02.md", "![Wood](wood.jpg)", ""),
        ("journal/episodes/2026-02-27.md", "We talked.", "We talked.\n\n![Us](wood.jpg)"),
        ("builds/smew/build.md", "title: Smew", "title: Smews"),
        ("builds/teal/2026-03-03.md", "hours: 3", "hours: 4"),
        ("journal/bulletins/2026-03-02.md", "stage: strip", "stage: colour"),
        ("builds/smew/build.md", "price: 640", "price: 640.00"),
    ],
)
def test_one_line_changed(name, old, new):
    assert old in SHOP[name]
    check({**SHOP, name: SHOP[name].replace(old, new)})


@pytest.mark.parametrize(
    ("told", "note", "words", "name", "old", "new"),
    [
        ("leak-name", TEAL, "Odile Marsh came by.", "builds/smew/build.md", "price: 640", "price: 640, buyer: Odile Marsh"),
        ("key-in-text", "journal/2026-02-15.md", "# Smewses\nhours: 1", "builds/smew/build.md", "title: Smew", "title: Smewses"),
        ("picture-missing", TEAL, "![The side](gone.jpg)", "builds/teal/build.md", "showroom: yes", "showroom: no"),
    ],
)
def test_what_a_note_tells_is_told_by_the_words_of_another_file(told, note, words, name, old, new):
    """The sites may be held here, so that the trouble itself is asked for: it comes or goes with the edit."""
    before = {**SHOP, note: f"{SHOP[note]}\n{words}\n"}
    after = {**before, name: SHOP[name].replace(old, new)}
    codes = [{trouble.code for trouble in made(files, keeping=True)[0].troubles} for files in (before, after)]
    assert (told in codes[0]) != (told in codes[1])
    assert made(after, keeping=True)[0].troubles == made(after)[0].troubles


def test_a_picture_that_was_missing_is_found_by_the_note_that_shows_it():
    shows = {**SHOP, TEAL: f"{SHOP[TEAL]}\n![The back](back.jpg)\n"}
    assert "picture-missing" in {trouble.code for trouble in made(shows, keeping=True)[0].troubles}
    check_after(shows, ASSETS | {"builds/teal/back.jpg"})


def test_a_file_more_and_a_file_less():
    check({**SHOP, "builds/teal/2026-03-01.md": fenced("stage: colour", "hours: 0.25")})
    check({**SHOP, "journal/2026-03-01.md": "Nothing.\n"})
    check({name: text for name, text in SHOP.items() if name != "builds/smew/2026-02-07.md"})


@pytest.mark.parametrize("more", ["builds/teal/new.jpg", "photos/new.jpg", "builds/teal/Amber.jpg"])
def test_a_picture_more_and_a_picture_less(more):
    check(SHOP, ASSETS | {more})
    check(SHOP, ASSETS - {"builds/teal/side.jpg"})
    named = {**SHOP, "builds/teal/2026-02-10.md": SHOP["builds/teal/2026-02-10.md"] + f"\nIt stands in {more.rpartition('/')[2]} for all to see.\n"}
    made(named, keeping=True)
    assert made(named, ASSETS | {more}, keeping=True) == made(named, ASSETS | {more})  # whose name is private, and not sought before it was there


def test_a_picture_that_is_put_there_makes_neither_plan_nor_books_anew(monkeypatch):
    made(SHOP, keeping=True)
    monkeypatch.setattr(bench, "plan_bench", None)
    monkeypatch.setattr(books, "keep", None)
    assert made(SHOP, ASSETS | {"builds/teal/new.jpg"}, keeping=True)[0].office


WRONG = {
    "words that hold the showroom": SHOP[TEAL] + "\nI paid $120 for it.\n",
    "a key among the words": SHOP[TEAL] + "\nstage: colour\nhours: 2\n",
    "hours that can't be read": SHOP[TEAL].replace("hours: 2.5", "hours: soon"),
    "a fence that is none": SHOP[TEAL].replace("---\n", "--- [\n", 1),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG)
def test_once_a_trouble_is_mended_all_is_as_it_was_and_nothing_is_made_anew(wrong, monkeypatch):
    """But what shows how many troubles there are."""
    first, _ = made(SHOP, keeping=True)
    held, _ = made({**SHOP, TEAL: wrong}, keeping=True)
    assert first.showroom and first.office and not (held.showroom and held.office)
    monkeypatch.setattr(bench, "plan_bench", None)
    monkeypatch.setattr(books, "keep", None)
    monkeypatch.setattr(Templates, "_page", None)
    assert made(SHOP, keeping=True)[0] == first


def test_a_trouble_that_stays_for_many_saves_costs_no_page_of_the_rest(monkeypatch):
    made(SHOP, keeping=True)
    for line in range(5):
        held, _ = made({**SHOP, TEAL: SHOP[TEAL] + f"\nI paid $120 for it, {'really, ' * line}.\n"}, keeping=True)
        assert held.office and not held.showroom
    pages = []
    page = Templates._page
    monkeypatch.setattr(Templates, "_page", lambda self, name, values: (pages.append((self.site, name)), page(self, name, values))[1])
    assert made(SHOP, keeping=True)[0].showroom
    assert not [name for site, name in pages if site == "showroom"]


def test_a_note_renamed_within_its_day():
    check({name.replace("2026-03-03.md", "2026-03-03-amber.md"): text for name, text in SHOP.items()})


@pytest.mark.parametrize("days", [1, -1])
def test_another_day(days):
    check(SHOP, ASSETS, KIT, TODAY + timedelta(days))


@pytest.mark.parametrize(
    "kit",
    [
        replace(KIT, held=Held(date(2026, 3, 1), None)),
        replace(KIT, office={**KIT.office, "_base.html": KIT.office["_base.html"].replace(b"</main>", b"Mine.</main>")}),
        replace(KIT, showroom={**KIT.showroom, "about.html": b"<!doctype html><title>Mine</title>{{ site.name }}"}),
    ],
    ids=["held since another day", "a template of the office", "a template of the showroom"],
)
def test_another_kit(kit):
    check(SHOP, ASSETS, kit)
