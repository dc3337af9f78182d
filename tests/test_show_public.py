"""What the showroom says of the show: episodes and builds lead to each other, gifts are told, and nothing unaired is promised."""

from xml.etree import ElementTree

import pytest
from showroom_shop import site

POST = "---\nbuild: heron\nstage: colour\nshowroom: yes\ndisclosures: [{{what: pickups in {0}, how: gifted, from: Sallow Coils, build: {0}}}]\n---\nBrown.\n"
BULLETIN = "journal/bulletins/2026-04-05.md"
MADE = "---\ntitle: Later words\n{0}showroom: {1}\npromises: [{{build: wren, do: strip, by: 2026-08-01}}]\n---\nWords.\n"


def test_a_bulletin_tells_its_gifts_wherever_it_stands():
    made = site({BULLETIN: POST.format("heron")})
    assert [(d.what, d.how) for d in made.view.bulletins[0].disclosures] == [("pickups in heron", "gifted")]
    assert all("<bdi>pickups in heron</bdi>, gifted" in made.text(page) for page in ("bulletins.html", "index.html"))
    assert not any("Sallow Coils" in data.decode() for name, data in made.pages.items() if name.endswith(".html"))


def test_a_gift_of_a_private_build_is_not_told():
    assert site({BULLETIN: POST.format("plover")}).view.bulletins[0].disclosures == ()


def test_the_feed_tells_gifts_in_the_words_of_a_bulletin():
    """RFC 4287, 4.2.13: a summary conveys what the entry says."""
    feed = ElementTree.fromstring(site({BULLETIN: POST.format("heron")}).pages["feed.xml"])
    atom = {"a": "http://www.w3.org/2005/Atom"}
    assert "Brown. (pickups in heron: gifted)" in [e.text for e in feed.findall("a:entry/a:summary", atom)]


def test_builds_and_episodes_lead_to_each_other():
    made = site()
    assert 'href="../builds/heron.html"' in made.text("episodes/2026-04-03.html")
    assert 'href="../episodes/2026-04-03.html"' in made.text("builds/heron.html")
    assert "episodes/" not in made.text("builds/wren.html").split("<main")[1].split("</main")[0]


@pytest.mark.parametrize(("aired", "public", "shown"), [("aired: yes\n", "yes", True), ("", "yes", False), ("aired: yes\n", "no", False)])
def test_only_a_public_episode_that_aired_says_what_is_coming(aired, public, shown):
    coming = site({"journal/episodes/2026-04-17.md": MADE.format(aired, public)}).view.coming_up
    assert ("Later words" in [c.episode.title for c in coming]) is shown


@pytest.mark.parametrize(("day", "shown"), [("2026-08-01", True), ("2026-04-18", False)])
def test_what_is_coming_says_when_as_the_owner_said_it_and_no_more_once_it_is_late(day, shown):
    """The last day of the promise itself stays private; the tests' day is in May."""
    made = MADE.format("aired: yes\n", "yes").replace("by: 2026-08-01", f"by: {day}, when: before the leaves fall")
    page = site({"journal/episodes/2026-04-17.md": made}).text("index.html")
    assert 'promised in “<a href="episodes/2026-04-17.html"' in page and ("<b>strip</b>, <bdi>before the leaves fall</bdi>" in page) is shown
    assert "August" not in page and "Aug 1" not in page


def test_what_was_promised_and_kept_is_no_longer_coming():
    kept = "---\ntitle: Kept\naired: yes\nsegments: [{build: wren, stage: strip}]\n---\n"
    coming = site({"journal/episodes/2026-04-17.md": MADE.format("aired: yes\n", "yes"), "journal/episodes/2026-04-24.md": kept}).view.coming_up
    assert "Later words" not in [c.episode.title for c in coming]


@pytest.mark.parametrize(
    ("end", "shown"),
    [
        ("", True),
        ("ended: {date: 2026-04-20, how: scrapped}\n", False),
        ("ended: {date: 2026-04-20, how: taken back}\n", False),
        ("sale: {date: 2026-04-20, price: 90}\n", True),
    ],
)
def test_of_what_was_called_off_nothing_is_coming(end, shown):
    """What was sold may still be shown again."""
    made = {
        "builds/wren/build.md": f"---\ntitle: Wren\nroute: plain\nshowroom: yes\n{end}---\n",
        "journal/episodes/2026-04-17.md": MADE.format("aired: yes\n", "yes"),
    }
    assert ("Later words" in [c.episode.title for c in site(made).view.coming_up]) is shown
