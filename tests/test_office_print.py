"""The office from a disk and on paper, in a real browser: Debian's chromium, headless.

Without it these tests are skipped and say so; PURFLE_NEED_BROWSER=1 makes its absence a failure.
"""

import base64
import re
from dataclasses import replace
from datetime import timedelta
from functools import reduce

import pytest
from browsing import IN_A_BROWSER, width
from office_shop import FILES, TODAY, office, templates
from shop_texts import put

from purfle.base.codes import CODES
from purfle.compile import Analysis
from purfle.pages.office import pages_of
from purfle.sites import office_view
from purfle.views.office_show_sheets import FilmRow, ShotDayView, ShotRow
from purfle.views.office_troubles import Held
from purfle.views.timeline import DAYS, Day, Span, days_of, timeline

pytestmark = IN_A_BROWSER
SHEETS = {"A4": (8.27, 11.69), "Letter": (8.5, 11)}
"""Inches: ISO 216 and ANSI/ASME Y14.1 A."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """An office of a busy week and a bench with 24 builds on it."""
    view = replace(office(), week=busy(office().week), plan=replace(office().plan, timeline=full()), show=crowded(office().show))
    root = tmp_path_factory.mktemp("office")
    return put(root, pages_of(view, templates()))


def busy(week):
    film = (FilmRow(week.curing[0].build, "the old paint letting go", "during strip", "Fri, Mar 6", True, ""),) * 2
    days = tuple(replace(d, tasks=next(x.tasks for x in week.days if x.tasks)[:1] * 3, closed=False, film=film) for d in week.days)
    curing, feature, promises = week.curing * 5, (week.feature * 8)[:8], tuple(replace(p, source=None) for p in office().show.promises * 5)
    return replace(week, days=days, curing=curing, feature=feature, promises=promises)


def crowded(show):
    """Ten pieces of three shots each, a shot list of twelve days, and six things to say."""
    run = show.run_sheets[0]
    shot = ShotRow(run.rows[0].build, "the old paint letting go at last", "last chance", "during strip", "—", "—", "—", "0:48")
    film = FilmRow(run.rows[0].build, "the old paint letting go", "during strip", "Fri, Mar 6", True, "Fri, Mar 6", True)
    row = replace(run.rows[0], words="a note of some length for the one who stands before the camera", shots=(shot,) * 3, say=("pickups, gifted by a maker",))
    sheet = replace(run, page="run-crowded.html", rows=(row,) * 10, film=(film,) * 12, disclosures=("pickups in Teal, gifted by a maker",) * 6)
    days = tuple(ShotDayView(f"2026-03-{n:02}", "Fri, Mar 6", "", (film,) * 3) for n in range(4, 16))
    return replace(show, run_sheets=(*show.run_sheets, sheet), shot_days=days)


def full():
    days = tuple(Day(day, "We", str(day.day), True, "") for day in days_of(TODAY, 3 * DAYS))
    spans = [Span("teal", f"Build number {n}", "bench", "s", TODAY + timedelta(n), TODAY + timedelta(n + 15), "2 h") for n in range(24)]
    return timeline([replace(s, build=f"b{n}") for n, s in enumerate(spans)], days, TODAY, ("one", "two", "three"))


def sheets(browser, page, size):
    width, height = SHEETS[size]
    browser.get(page.as_uri())
    pdf = browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": False, "printBackground": True})
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", base64.b64decode(pdf["data"])))


@pytest.mark.parametrize("size", SHEETS)
def test_a_busy_week_fits_on_one_sheet(browser, folder, size):
    assert sheets(browser, folder / "index.html", size) == 1


@pytest.mark.parametrize("size", SHEETS)
def test_the_timeline_of_24_builds_fits_on_one_sheet(browser, folder, size):
    assert sheets(browser, folder / "plan.html", size) == 1


@pytest.mark.parametrize("size", SHEETS)
@pytest.mark.parametrize("page", ["run-crowded.html", "run-2026-03-06.html", "shots.html"])
def test_run_sheet_and_shot_list_fit_on_one_sheet_each(browser, folder, page, size):
    assert sheets(browser, folder / page, size) == 1


@pytest.mark.parametrize(
    "page", ["run-crowded.html", "builds.html", "builds/teal.html", "promises.html", "money.html", "ledger-2026.html", "stock.html", "show.html"]
)
def test_a_table_on_paper_is_a_table(browser, folder, page):
    """What is narrow on a telephone is stacked; a sheet of paper is no telephone."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 710, "height": 1000, "deviceScaleFactor": 1, "mobile": False})
    browser.get((folder / page).as_uri())
    shown = browser.execute_script("return [...document.querySelectorAll('.stack tr > *')].map(c => getComputedStyle(c).display)")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert shown and set(shown) == {"table-cell"}


def test_a_long_page_takes_several_sheets(browser, folder):
    # Proves that the count counts.
    assert sheets(browser, folder / "money.html", "A4") > 1


def test_style_and_links_work_from_a_disk(browser, folder):
    browser.get((folder / "builds/teal.html").as_uri())
    assert browser.execute_script("return getComputedStyle(document.querySelector('.rail')).backgroundColor") not in ("", "rgba(0, 0, 0, 0)")
    browser.find_element("css selector", ".rail a[href='../index.html']").click()
    assert browser.title.startswith("Week")


def test_targets_are_large_enough_for_a_thumb(browser, folder):
    # WCAG 2.2, 2.5.5 (AAA): at least 44 by 44 CSS pixels.
    browser.get((folder / "index.html").as_uri())
    sizes = browser.execute_script(
        "return [...document.querySelectorAll('.rail a')].map(a => { const b = a.getBoundingClientRect(); return [b.width, b.height] })"
    )
    assert sizes and min(min(size) for size in sizes) >= 44


LONG = "Donaudampfschifffahrtsgesellschaftskapitän"


@pytest.mark.parametrize("pixels", [320, 768, 1440])
def test_long_words_make_no_page_wider_than_its_window(browser, tmp_path, pixels):
    """WCAG 2.2, 1.4.10 Reflow, with a name and a finish that no line of a phone can hold, and a price that no column expects."""
    long = {"title: Teal": f"title: {LONG}\nfinish: {LONG * 3}", "amber lacquer": f"{LONG.lower()} lacquer", "price: 120,": "price: 123456789.99,"}
    files = {name: reduce(lambda words, pair: words.replace(*pair), long.items(), text).encode() for name, text in FILES.items()}
    a = Analysis(files, frozenset(), TODAY)
    assert not [t for t in a.troubles if CODES[t.code].stops.books()]
    wide = {}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": pixels, "height": 900, "deviceScaleFactor": 1, "mobile": False})
    made = pages_of(office_view(a, a.troubles, Held()), templates())
    put(tmp_path, made)
    for name in (name for name in made if name.endswith(".html")):
        browser.get((tmp_path / name).as_uri())
        if over := browser.execute_script("return document.documentElement.scrollWidth - document.documentElement.clientWidth"):
            wide[name] = over
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert not wide and f"{LONG * 3}</dd>".encode() in made["builds/teal.html"] and b"$123,456,816.99" in made["builds.html"]  # + 15 + 12


def test_the_name_of_a_stage_is_not_cut_by_days_that_are_long(browser, tmp_path):
    """Days such as `6. März – 14. Apr.` may take two lines, so that German names of stages stay whole in the narrow cards of a laptop."""
    german = {"name: Gorse": "locale: de_DE\nname: Gorse", "colour": "Grundieren", "clear": "Hochglanz", "fit": "Endmontage", "cure: 9 days": "cure: 40 days"}
    files = {name: reduce(lambda words, pair: words.replace(*pair), german.items(), text).encode() for name, text in FILES.items()}
    a = Analysis(files, frozenset(), TODAY)
    put(tmp_path, pages_of(office_view(a, a.troubles, Held()), templates()))
    width(browser, 1200)
    browser.get((tmp_path / "plan.html").as_uri())
    cut = browser.execute_script(
        "const range = document.createRange(); return [...document.querySelectorAll('.spans td:nth-child(2)')].flatMap(cell => [...cell.firstChild.data.matchAll(/\\p{L}+/gu)]"
        ".filter(word => { range.setStart(cell.firstChild, word.index); range.setEnd(cell.firstChild, word.index + word[0].length); return range.getClientRects().length > 1 })"
        ".map(word => word[0]))"
    )
    assert cut == [] and "Grundieren" in (tmp_path / "plan.html").read_text()
