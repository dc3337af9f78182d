"""A shop that makes no show: its shop.md has no `show:`, and no episode was ever written."""

import re

import pytest
from shop_texts import fenced
from show_texts import SHOP, TODAY, build, episode, note, show_of

from purfle.compile import Analysis
from purfle.pages.office import office_templates, pages_of
from purfle.pages.site_files import packaged
from purfle.sites import office_view
from purfle.views.office_troubles import Held

QUIET = SHOP.replace("show: {weekday: friday, minutes: 14, lead: 3 days, likelihood: 80 %}\n", "")
WORK = {"builds/heron/2026-02-26.md": note("bench: [{stage: strip, hours: 1, finished: yes}, {stage: prime, hours: 1, finished: yes}]", "shots: [bare wood]")}
POST = {"journal/bulletins/2026-02-20.md": "Open again.\n"}
PAST = {"journal/episodes/2025-12-05.md": episode("segments: [{what: talk, minutes: 3}]")}


def offered(files):
    """How many episodes are lined up and stages featured, whether an episode's day is known, and how many bulletins are offered."""
    show, _ = show_of({"shop.md": QUIET, **WORK, **files})
    return len(show.lineup), len(show.feature), show.airs is not None, len(show.bulletins), show.bulletins_left


def test_nothing_is_proposed_until_the_notes_speak_of_a_show():
    assert "show:" not in QUIET
    assert offered({}) == (0, 0, False, 0, 0)
    assert offered(POST) == (0, 0, False, 1, 2)
    assert offered({"shop.md": SHOP}) == offered(PAST) == (1, 2, True, 1, 2)


def words_of(files):
    """The words of the office's pages, and its calendar."""
    sheet = {"builds/heron/build.md": build("due: 2026-04-01")}
    a = Analysis({name: text.encode() for name, text in {"shop.md": QUIET, **sheet, **WORK, **files}.items()}, frozenset(), TODAY)
    made = pages_of(office_view(a, a.troubles, Held()), office_templates(packaged("office"), "en_US"))
    return {name: re.sub(r"<[^<>]*>", " ", data.decode()) for name, data in made.items() if name.endswith((".html", ".ics"))}


@pytest.mark.parametrize(("files", "spoken"), [({}, False), ({"shop.md": SHOP}, True)])
def test_the_office_speaks_of_episodes_only_where_there_are_any(files, spoken):
    """Shots are of the route, which asks for them; those stay."""
    pages = words_of(files)
    week = pages["index.html"]
    told = ["Feature next" in week, "Promised on air" in week, "air day" in pages["plan.html"], "Episode airs" in pages["calendar.ics"]]
    assert told == [spoken] * 4
    assert any(name.startswith("run-") for name in pages) == spoken
    assert ("makes no show" in pages["show.html"]) != spoken
    assert "bare wood" in pages["builds/heron.html"] and "the tape coming off" in pages["show.html"]


def test_a_shop_of_nothing_but_a_name_has_a_show_plan_without_a_show():
    show, troubles = show_of({"shop.md": fenced("name: Bare")})
    assert (show.lineup, show.feature, show.run_sheets, show.recordings, troubles) == ((), (), (), [], ())
