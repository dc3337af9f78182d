"""Care for everyone who visits either site: axe-core's rules in both schemes, a tour by keyboard alone, nothing that moves.

The engine is the one that PyPI's selenium-axe-python carries (axe-core 4.9). A redirect page leaves before it can be looked at,
so it is served without its refresh.
"""

import json
from importlib import resources

import pytest
from browsing import IN_A_BROWSER, forced_colours, kinds, letters_of, scheme, seen, shifted, width

pytestmark = IN_A_BROWSER


@pytest.fixture(scope="module")
def some(out, pages):
    """Of each kind of page the longest and the shortest; a redirect is held where it is."""
    moved = [page for page in pages if b'http-equiv="refresh"' in (out / page).read_bytes()]
    assert moved
    chosen = {f"{page}?stay" for page in moved}
    for alike in kinds([page for page in pages if page not in moved]).values():
        by_size = sorted(alike, key=lambda page: ((out / page).stat().st_size, page))
        chosen |= {by_size[0], by_size[-1]}
    return sorted(chosen)


@pytest.fixture(scope="module")
def axe():
    return (resources.files("selenium_axe_python") / "axe-core" / "axe.min.js").read_text("utf-8")


FAULTS = """
const done = arguments[arguments.length - 1];
axe.run(document, {resultTypes: ['violations'], ...arguments[0]}).then(
  r => done([r.passes.length, r.violations.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.target.join(' ') + ' ' + n.failureSummary.split('\\n')[1]).join(' | '))]),
  e => done([0, [String(e)]]));
"""


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_axe_finds_no_violation(browser, served, some, axe, colours):
    """Every rule in light; in dark, where nothing but colours is another, the rules about colour."""
    options = {} if colours == "light" else {"runOnly": ["cat.color"]}
    width(browser, 1280)
    scheme(browser, colours)
    faults = {}
    for page in some:
        browser.get(f"{served}/{page}")
        browser.execute_script(axe)
        passed, found = browser.execute_async_script(FAULTS, options)
        if found or passed < (10 if colours == "light" else 1):
            faults[page] = found or "hardly a rule applied"
    scheme(browser, "light")
    assert not faults, json.dumps(faults, indent=1)


def test_where_colours_are_forced_the_offices_page_and_year_are_seen(browser, served):
    """CSS Color Adjustment 3.1: a page's grounds are not painted there."""
    with forced_colours(browser):
        drawn = {}
        for page in ("index", "money"):
            browser.get(f"{served}/office/{page}.html")
            drawn[page] = seen(browser, "nav li:first-child a")
        assert drawn["index"] != drawn["money"]
        assert browser.find_element("css selector", ".card").value_of_css_property("border-top-width") != "0px"
        this, last = (browser.find_element("css selector", f".years li:nth-child({n}) a").value_of_css_property("background-color") for n in (1, 2))
        assert this != last


def test_axe_can_find_one(browser, axe):
    browser.get("data:text/html,<html><body><img src=x><p style='color:%23999'>grey</p>")
    browser.execute_script(axe)
    found = " ".join(browser.execute_async_script(FAULTS, {})[1])
    assert "image-alt" in found and "color-contrast" in found and "document-title" in found


# --- tables ------------------------------------------------------------------------------------------------------------

BROKEN = """
const broken = [];
for (const cell of document.querySelectorAll('thead th, a.build, .stamp')) {
  if (cell.closest('thead')?.clientWidth < 2) continue;
  const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
  for (let node = texts.nextNode(); node; node = texts.nextNode())
    for (const word of node.data.matchAll(/\\S+/g)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      if (word[0].length < 12 && new Set([...range.getClientRects()].map(r => Math.round(r.top))).size > 1) broken.push(word[0]);
    }
}
return broken;
"""
COVERED = """
return [...document.querySelectorAll('.stack td')].filter(td => td.checkVisibility()).filter(td => {
  const label = document.createElement('div');
  const style = getComputedStyle(td, '::before');
  label.textContent = td.dataset.l;
  Object.assign(label.style, {position: 'absolute', width: style.width, font: style.font});
  td.append(label);
  const high = label.getBoundingClientRect().height;
  label.remove();
  return style.content !== 'none' && td.getBoundingClientRect().height < high - 1;
}).map(td => td.dataset.l);
"""


@pytest.mark.parametrize("across", [360, 768, 1440])
def test_no_short_word_of_a_head_or_a_name_is_broken_and_no_label_covered(browser, served, pages, across):
    """A word of up to eleven letters has room in every column; on a phone a cell is as high as the label beside it."""
    width(browser, across)
    faults = {}
    for page in (page for page in pages if page.startswith("office/") and page.count("/") == 1):
        browser.get(f"{served}/{page}")
        found = browser.execute_script(BROKEN), browser.execute_script(COVERED)
        if any(found):
            faults[page] = found
    assert not faults, json.dumps(faults, indent=1)


STACKED = """
return [...document.querySelectorAll('main :is(a, b, h1, h2, p, span, td, dd)')].filter(e => {
  const box = e.getBoundingClientRect(), size = parseFloat(getComputedStyle(e).fontSize);
  return !e.childElementCount && e.textContent.trim().length > 5 && box.width > 1 && box.width < 1.6 * size && box.height > 3 * size;
}).map(e => e.textContent.trim());
"""


@pytest.mark.parametrize("pixels", [360, 1280])
def test_letters_twice_as_large_fit_into_a_phone(browser, served, some, pixels):
    """WCAG 2.2, 1.4.4 Resize Text: to 200 percent without loss of content; by the size a visitor sets in the browser, 32 pixels for 16."""
    width(browser, pixels)
    faults = {}
    with letters_of(browser, 32):
        for page in some:
            browser.get(f"{served}/{page}")
            assert browser.execute_script("return matchMedia('(max-width: 15rem)').matches") is (pixels == 360)
            over, stacked = browser.execute_script("return document.documentElement.scrollWidth - innerWidth"), browser.execute_script(STACKED)
            if over > 0 or stacked:
                faults[page] = (over, stacked)
    assert not faults, json.dumps(faults, indent=1)


# --- by keyboard alone ------------------------------------------------------------------------------------------------

STOPS = """
const stops = [...document.querySelectorAll('a[href], button, input, select, textarea, summary, audio[controls], [tabindex="0"]')]
  .filter(e => e.checkVisibility({visibilityProperty: true}) && !e.disabled && e.tabIndex >= 0)
  .filter(e => e.type !== 'radio' || e.checked || !e.form.querySelector(`[name="${e.name}"]:checked`));
stops.forEach((e, n) => e.dataset.stop = n);
return stops.map(e => e.outerHTML.slice(0, 90));
"""
WATCH = """
globalThis.reached = [];
document.addEventListener('focusin', ({target: e}) => {
  let ring = e;
  for (let n = 0; n < 5 && ring && getComputedStyle(ring).outlineStyle === 'none'; n++) ring = ring.parentElement;
  const box = e.getBoundingClientRect();
  reached.push([+(e.dataset.stop ?? -1), e.tagName === 'AUDIO' || (!!ring && parseFloat(getComputedStyle(ring).outlineWidth) >= 2), box.bottom > 0 && box.top < innerHeight]);
});
"""
TAB = {"type": "rawKeyDown", "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9}


def toured(browser):
    """The stops of the page, and those reached by Tab alone with whether a ring is seen and the stop is on the screen."""
    stops = browser.execute_script(STOPS)
    browser.execute_script(WATCH)
    players = sum(stop.startswith("<audio") for stop in stops)
    for _ in range(len(stops) + 8 * players):  # a player has stops of its own inside
        browser.execute_cdp_cmd("Input.dispatchKeyEvent", TAB)
    return stops, {number: seen for number, *seen in browser.execute_script("return reached")}


def test_every_page_is_toured_by_keyboard(browser, served, some):
    """WCAG 2.2, 2.1.1 Keyboard, 2.1.2 No Keyboard Trap, 2.4.7 Focus Visible, 2.4.11 Focus Not Obscured."""
    width(browser, 1280)
    lost = {}
    for page in some:
        browser.get(f"{served}/{page}")
        stops, reached = toured(browser)
        missed = [stop for number, stop in enumerate(stops) if number not in reached]
        unseen = [stops[number] for number, (ring, shown) in reached.items() if number >= 0 and not (ring and shown)]
        if missed or unseen or not stops:
            lost[page] = (missed[:4], unseen[:4])
    assert not lost, json.dumps(lost, indent=1)


# --- nothing moves ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pixels", [360, 1280])
def test_nothing_moves_while_a_page_loads(browser, served_late, some, pixels):
    """Cumulative layout shift; a tenth of the 0.1 that web.dev calls good."""
    width(browser, pixels)
    browser.execute_cdp_cmd("Network.setCacheDisabled", {"cacheDisabled": True})
    moved = {}
    pictured = [
        page
        for page in some
        if page.rpartition("/")[0] in ("showroom/builds", "showroom/episodes") or page.endswith(("index.html", "episodes.html", "about.html"))
    ]
    for page in pictured:
        browser.get(f"{served_late}/{page}")
        shift, what = shifted(browser)
        if shift > 0.01:
            moved[page] = (shift, what)
    browser.execute_cdp_cmd("Network.setCacheDisabled", {"cacheDisabled": False})
    assert not moved
