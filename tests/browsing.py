"""Debian's chromium, headless, driven by its own chromium-driver: the rule for machines without it, and small doings.

Without them the browser tests are skipped and say so; PURFLE_NEED_BROWSER=1 makes their absence a failure.
"""

import io
import json
import os
import shutil
from contextlib import contextmanager

import pytest
from PIL import Image

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
NEEDED = os.environ.get("PURFLE_NEED_BROWSER") == "1"
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(
        not (CHROMIUM and DRIVER) and not NEEDED, reason="chromium and chromium-driver are not installed (Debian: apt install chromium chromium-driver)"
    ),
]
PATIENCE = 120
"""Seconds until a test takes what it waits for to be lost; a busy machine is slow, and no fault of the page."""


def until(browser, condition):
    """Wait until a condition holds of the browser."""
    from selenium.webdriver.support.ui import WebDriverWait

    return WebDriverWait(browser, PATIENCE, 0.05).until(condition)


def width(browser, pixels, height=900):
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": pixels, "height": height, "deviceScaleFactor": 1, "mobile": False})


def scheme(browser, name):
    """Light or dark, as the visitor's system asks for it."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "screen", "features": [{"name": "prefers-color-scheme", "value": name}]})


@contextmanager
def forced_colours(browser):
    """The few colours that a visitor's system has in place of a page's own, as a high-contrast theme does."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "screen", "features": [{"name": "forced-colors", "value": "active"}]})
    yield
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})


@contextmanager
def letters_of(browser, pixels):
    """The size of letters that a visitor sets in the browser; 16 pixels where none is set."""
    browser.execute_cdp_cmd("Page.setFontSizes", {"fontSizes": {"standard": pixels}})
    try:
        yield
    finally:
        browser.execute_cdp_cmd("Page.setFontSizes", {"fontSizes": {"standard": 16}})


def seen(browser, selector):
    """The first element of a selector, as the pixels it is drawn with."""
    with Image.open(io.BytesIO(browser.find_element("css selector", selector).screenshot_as_png)) as drawn:
        return drawn.convert("RGB").tobytes()


def requested(browser):
    """The addresses the browser asked for since the last call."""
    messages = (json.loads(entry["message"])["message"] for entry in browser.get_log("performance"))
    return [m["params"]["request"]["url"] for m in messages if m["method"] == "Network.requestWillBeSent"]


SHIFT = """
const done = arguments[0]; let sum = 0; const moved = new Set();
new PerformanceObserver(l => l.getEntries().forEach(e => {
  sum += e.value;
  e.sources.forEach(s => moved.add(s.node?.parentElement?.closest('[class], [id]')?.className ?? ''));
})).observe({type: 'layout-shift', buffered: true});
const frames = () => new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)));
const here = i => i.getBoundingClientRect().top < innerHeight && i.getBoundingClientRect().bottom > 0;
const come = i => i.complete || new Promise(r => { i.addEventListener('load', r); i.addEventListener('error', r); });
const look = async () => {
  await document.fonts.ready;
  for (let y = 0; y < Math.min(document.documentElement.scrollHeight, 4200); y += 700) {
    scrollTo(0, y);
    await frames();
    await Promise.all([...document.images].filter(here).map(come));
  }
  await frames();
  setTimeout(() => done([sum, [...moved]]));
};
look();
"""


def shifted(browser):
    """How much of a page moved while it came and was scrolled through (W3C, Layout Instability: the sum of the scores), and the classes of what moved."""
    return browser.execute_async_script(SHIFT)


def rendered(browser):
    """A page's source, and its text as rendered: what is hidden is not in it. The driver may ask this while the page's own scripts are off."""
    return browser.page_source, browser.execute_script("return document.body.innerText")


def kinds(pages):
    """The pages by kind: those at a site's root are each a kind of their own, those in one folder are of one kind."""
    found = {}
    for page in pages:
        folder = page.rpartition("/")[0]
        found.setdefault(page if "/" not in folder else folder, []).append(page)
    return found
