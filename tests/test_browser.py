"""Every page of the demo shop in a real browser."""

import base64
import io
import re
import shutil
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from urllib.parse import unquote

import pytest
from browsing import IN_A_BROWSER, rendered, requested, until, width

from purfle.shell.preview import Preview, State

pytestmark = IN_A_BROWSER


# Elements that stick out to the right, but for those inside a box that scrolls by itself.
STICKING_OUT = """
const wide = [];
for (const element of document.body.querySelectorAll('*')) {
  const box = element.getBoundingClientRect();
  if (box.width === 0 || box.right <= innerWidth + 1) continue;
  let inside = false;
  for (let p = element.parentElement; p; p = p.parentElement) if (['auto', 'scroll', 'hidden', 'clip'].includes(getComputedStyle(p).overflowX)) inside = true;
  if (!inside) wide.push(element.tagName + '.' + (element.getAttribute('class') || ''));
}
return [document.documentElement.scrollWidth - innerWidth, wide.slice(0, 5)];
"""
# Tables that are wider than the card they lie on, but for those inside a box that scrolls by itself.
OFF_CARD = """
const scrolls = e => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX);
return [...document.querySelectorAll('.card table')].filter(table => {
  const card = table.closest('.card');
  for (let p = table.parentElement; p !== card; p = p.parentElement) if (scrolls(p)) return false;
  return table.getBoundingClientRect().right > card.getBoundingClientRect().right;
}).map(table => table.closest('.card').innerText.slice(0, 40));
"""
# The spacing of WCAG 2.2, 1.4.12; and the widest letters that a system is likely to read pages in.
SHEETS = {
    "as it is": "",
    "spaced": "* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-bottom: 2em !important }",
    "wide letters": "* { font-family: 'DejaVu Sans', Verdana !important }",
}
# A visitor's own sheet, which the pages' policy does not bind.
WORN = "const sheet = new CSSStyleSheet(); sheet.replaceSync(arguments[0]); document.adoptedStyleSheets = [sheet]"
BLIND = """
return [...document.images].filter(i => !i.hasAttribute('alt') || (i.complete && i.naturalWidth === 0 && i.loading !== 'lazy')).map(i => i.currentSrc || i.src)
"""


@dataclass(frozen=True)
class Visit:
    """What was seen of one page on a wide screen."""

    console: list[str]
    requests: list[str]
    over: tuple[int, list[str]]
    blind: list[str]


@pytest.fixture(scope="module")
def held(out, pages):
    """Every page; one that sends its visitor on is held where it is, or it would be looked at in the middle of going."""
    return [f"{page}?stay" if b'http-equiv="refresh"' in (out / page).read_bytes() else page for page in pages]


@pytest.fixture(scope="module")
def visits(browser, served, held):
    width(browser, 1280)
    browser.get("about:blank")
    browser.get_log("browser")
    requested(browser)
    seen = {}
    for page in held:
        browser.get(f"{served}/{page}")
        over, blind = browser.execute_script(STICKING_OUT), browser.execute_script(BLIND)
        seen[page] = Visit([entry["message"] for entry in browser.get_log("browser")], requested(browser), tuple(over), blind)
    return seen


def test_the_console_is_clean(visits, out, pages):
    """But for the icon of one page: a host shows it at any depth, so it can name none beside it, and the browser asks the root for one when it has time."""
    html = {page: (out / page).read_bytes() for page in pages}
    assert [page for page in pages if b'rel="icon"' not in html[page] and b'http-equiv="refresh"' not in html[page]] == ["showroom/404.html"]
    said = {page: [words for words in visit.console if "/favicon.ico" not in words] for page, visit in visits.items()}
    assert not {page: words for page, words in said.items() if words}


def test_no_request_leaves_the_host(visits, served):
    assert all(any(url == f"{served}/{page}" for url in visit.requests) for page, visit in visits.items()), "a log without the page itself proves nothing"
    strangers = {page: [url for url in visit.requests if not url.startswith((served, "data:"))] for page, visit in visits.items()}
    assert not {page: urls for page, urls in strangers.items() if urls}


def test_every_picture_is_seen_and_says_what_it_shows(visits):
    assert not {page: visit.blind for page, visit in visits.items() if visit.blind}


def test_no_page_scrolls_sideways_on_a_desk(visits):
    assert not {page: visit.over for page, visit in visits.items() if visit.over[0] > 0 or visit.over[1]}


def test_tables_lie_on_their_cards(browser, served, pages):
    off = {}
    for page in (page for page in pages if re.fullmatch(r"office/[^/]+\.html", page)):
        browser.get(f"{served}/{page}")
        for wide in (768, 1200, 1600):
            width(browser, wide)
            if found := browser.execute_script(OFF_CARD):
                off[page, wide] = found
    assert not off


def test_no_page_scrolls_sideways_on_a_phone(browser, served, held):
    """WCAG 2.2, 1.4.10 Reflow: no scrolling in two dimensions at a width of 320 CSS pixels; 1.4.12 Text Spacing: nor with its spacing; nor in wide letters."""
    width(browser, 320)
    wide = {}
    for page in held:
        browser.get(f"{served}/{page}")
        assert browser.execute_script("return innerWidth") == 320
        for worn in SHEETS:
            browser.execute_script(WORN, SHEETS[worn])
            over, elements = browser.execute_script(STICKING_OUT)
            if over > 0 or elements:
                wide[page, worn] = (over, elements)
    assert not wide


def drawn_on(sheet):
    """The boxes of a sheet's pictures."""
    from pdfminer.layout import LTFigure, LTImage

    for part in sheet:
        if isinstance(part, LTFigure):
            yield from drawn_on(part)
        elif isinstance(part, LTImage):
            yield part.bbox


def test_no_picture_of_a_log_is_printed_across_two_sheets(browser, served, pages):
    """pdfminer.six reads the PDF: it knows nothing of our pages. A4, ISO 216, in inches."""
    from pdfminer.high_level import extract_pages

    boxes = {}
    for page in (page for page in pages if page.startswith("showroom/builds/")):
        browser.get(f"{served}/{page}")
        pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})["data"])
        boxes[page] = [(box, sheet.height) for sheet in extract_pages(io.BytesIO(pdf)) for box in drawn_on(sheet)]
    assert sum(map(len, boxes.values())) > 100
    assert not {page: cut for page, found in boxes.items() if (cut := [box for box, high in found if box[1] < 0 or box[3] > high])}


CUT_OFF = """
return [...document.querySelectorAll('#plot-forecast .wide')].map(table => table.scrollWidth - table.clientWidth);
"""


@pytest.mark.parametrize("pixels", [360, 1280, 1920])
def test_the_days_by_which_a_stage_is_done_are_all_in_sight(browser, served, pages, pixels):
    """The fourth column has the day to promise, so it may not be one that has to be scrolled to."""
    width(browser, pixels)
    cut, drawn = {}, 0
    for page in (page for page in pages if page.startswith("office/builds/")):
        browser.get(f"{served}/{page}")
        found = browser.execute_script(CUT_OFF)
        drawn += len(found)
        if any(over > 0 for over in found):
            cut[page] = found
    assert drawn and not cut


def test_five_builds_of_the_list_stand_on_one_screen_of_a_phone(browser, served):
    width(browser, 360, 740)
    browser.get(f"{served}/office/builds.html")
    heights = browser.execute_script("return [...document.querySelectorAll('tbody tr')].filter(r => !r.closest('.plot')).map(r => r.offsetHeight)")
    assert len(heights) > 10 and max(heights) < 740 / 5


CROWDED = """
return [...document.querySelectorAll('tbody td .stamp')].map(s => [s.textContent, s.getBoundingClientRect().right - s.closest('td').getBoundingClientRect().right]);
"""


@pytest.mark.parametrize("pixels", [1200, 1280, 1600])
def test_no_state_in_the_list_of_builds_runs_into_the_column_beside_it(browser, served, pixels):
    """The longest state there is among them."""
    width(browser, pixels)
    browser.get(f"{served}/office/builds.html")
    stamps = browser.execute_script(CROWDED)
    assert "waiting for a part" in [words for words, _ in stamps]
    assert [words for words, over in stamps if over > 0] == []


FIRST = """
const card = [...document.querySelectorAll('.rail li')].find(li => li.querySelector('.price'));
return ['h2', '.price', '.state'].map(part => card.querySelector(part).getBoundingClientRect().bottom);
"""


@pytest.mark.parametrize(("pixels", "high"), [(360, 740), (390, 740), (430, 740), (1280, 900)])
def test_the_first_screen_has_a_name_and_a_price(browser, served, pixels, high):
    """Of what is for sale; on phones and on a laptop."""
    width(browser, pixels, high)
    browser.get(f"{served}/showroom/index.html")
    browser.execute_async_script("const done = arguments[0]; document.fonts.ready.then(() => done())")
    assert max(browser.execute_script(FIRST)) < high


@pytest.mark.parametrize(("pixels", "high"), [(360, 740), (390, 664)])
@pytest.mark.parametrize(("page", "part"), [("builds/emerald.html", ".price"), ("episodes/2026-05-19.html", ".press")], ids=["price", "watch"])
def test_who_comes_by_a_shared_link_sees_at_once_what_it_costs_and_how_to_watch(browser, served, page, part, pixels, high):
    """Below a picture that stands, on the first screen of a phone."""
    width(browser, pixels, high)
    browser.get(f"{served}/showroom/{page}")
    browser.execute_async_script("const done = arguments[0]; document.fonts.ready.then(() => done())")
    assert browser.execute_script("return document.querySelector(arguments[0]).getBoundingClientRect().bottom", part) < high


def test_every_page_can_be_read_with_scripts_off(without_scripts, served, pages):
    width(without_scripts, 1280)
    mute = []
    for page in pages:
        without_scripts.get(f"{served}/{page}")
        html, text = rendered(without_scripts)
        heading = re.search(r"<h1[^>]*>(.*?)</h1>", html, re.DOTALL | re.IGNORECASE)
        words = " ".join(re.sub(r"<[^>]+>", " ", heading[1]).split()) if heading else ""
        if 'http-equiv="refresh"' not in html and (not words or len(text.split()) < 10):
            mute.append(page)
    assert not mute


def test_scripts_show_nothing_that_is_not_there_without_them(browser, served):
    """What a visitor reads of the gallery with scripts on is a part of what one reads with them off."""
    width(browser, 1280)
    texts = []
    for off in (True, False):
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": off})
        browser.get(f"{served}/showroom/index.html")
        texts.append(rendered(browser)[1])
    titles = re.findall(r"<h[23][^>]*>\s*<a[^>]*>([^<]+)</a>", browser.page_source)
    assert len(titles) > 5
    # Style sheets set some words in capitals, and rendered text has them so.
    assert not [title for title in titles if unescape(title).strip().casefold() not in texts[0].casefold()]


def test_every_link_leads_somewhere(out):
    """Every address in the pages that is not on another host is a file of the same site, and every anchor is on its page."""
    broken = []
    for site in ("showroom", "office"):
        for page in (out / site).rglob("*.html"):
            html = page.read_text()
            for target in re.findall(r'\b(?:href|src)="([^"]*)"', html) + [
                part.split()[0] for each in re.findall(r'srcset="([^"]*)"', html) for part in each.split(",")
            ]:
                if not re.match(r"[a-z]+:", target) and not _leads(out / site, page, target):
                    broken.append((page.relative_to(out).as_posix(), target))
    assert not broken


def _leads(site, page, target):
    path, _, anchor = unescape(target).partition("#")
    file = page if not path else (site / unquote(path).lstrip("/") if path.startswith("/") else page.parent / unquote(path)).resolve()
    if not file.is_relative_to(site.resolve()) or not file.is_file():
        return False
    return not anchor or re.search(rf'\bid="{re.escape(unquote(anchor))}"', file.read_text()) is not None


def test_the_preview_reloads_a_page_and_shows_troubles_over_it(browser, out, tmp_path):
    """On a page of the office, whose own policy lets no script run; the console stays clean."""
    site = Path(shutil.copytree(out / "office", tmp_path / "office"))
    state = State()
    preview = Preview(site, 0, state)
    preview.start()
    browser.get_log("browser")
    browser.get(preview.url)
    (site / "index.html").write_bytes((site / "index.html").read_bytes().replace(b"<title>", b"<title>renewed "))
    state.tell(({"where": "a.md:1:1", "code": "x", "found": "<b>not markup</b>", "mend": "m"},), True)
    until(browser, lambda b: b.title.startswith("renewed"))
    until(browser, lambda b: "found: <b>not markup</b>" in b.execute_script("return document.body.innerText"))
    assert [entry["message"] for entry in browser.get_log("browser")] == []
    browser.get("about:blank")
    state.close()
    preview.stop()


def test_a_page_out_of_view_holds_no_connection_and_is_renewed_when_it_is_seen_again(browser, out, tmp_path):
    """A browser opens six connections to a site for all its tabs together: with more pages open, each waiting, the next one would wait for them."""
    site = Path(shutil.copytree(out / "office", tmp_path / "office"))
    state = State()
    preview = Preview(site, 0, state)
    preview.start()
    first = browser.current_window_handle
    browser.get(preview.url)
    until(browser, lambda b: any("/.purfle/state?since=0" in url for url in requested(b)))
    browser.switch_to.new_window("tab")
    until(browser, lambda b: any('"Network.loadingFailed"' in entry["message"] and '"canceled":true' in entry["message"] for entry in b.get_log("performance")))
    (site / "index.html").write_bytes((site / "index.html").read_bytes().replace(b"<title>", b"<title>renewed "))
    state.tell((), True)
    browser.close()
    browser.switch_to.window(first)
    until(browser, lambda b: b.title.startswith("renewed"))
    browser.get("about:blank")
    state.close()
    preview.stop()


def test_a_page_that_changed_before_its_script_first_asked_is_loaded_again(browser, out, tmp_path):
    """The page is read and then swapped, and only then asks; so is one that was opened in an earlier sitting."""
    site = Path(shutil.copytree(out / "office", tmp_path / "office"))

    class Late(State):
        def after(self, turn, patience):
            if turn < 0 and not self.turn:
                (site / "index.html").write_bytes((site / "index.html").read_bytes().replace(b"<title>", b"<title>renewed "))
                self.tell((), True)
            return super().after(turn, patience)

    state = Late()
    preview = Preview(site, 0, state)
    preview.start()
    browser.get(preview.url)
    until(browser, lambda b: b.title.startswith("renewed"))
    browser.get("about:blank")
    state.close()
    preview.stop()
