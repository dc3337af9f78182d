"""Debian's chromium, headless, driven by its own chromium-driver: the rule for machines without it, and small doings.

Without them the browser tests are skipped and say so; PURFLE_NEED_BROWSER=1 makes their absence a failure.
"""

import json
import os
import shutil

import pytest

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
NEEDED = os.environ.get("PURFLE_NEED_BROWSER") == "1"
IN_A_BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(
        not (CHROMIUM and DRIVER) and not NEEDED, reason="chromium and chromium-driver are not installed (Debian: apt install chromium chromium-driver)"
    ),
]


def width(browser, pixels, height=900):
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": pixels, "height": height, "deviceScaleFactor": 1, "mobile": False})


def scheme(browser, name):
    """Light or dark, as the visitor's system asks for it."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "screen", "features": [{"name": "prefers-color-scheme", "value": name}]})


def requested(browser):
    """The addresses the browser asked for since the last call."""
    messages = (json.loads(entry["message"])["message"] for entry in browser.get_log("performance"))
    return [m["params"]["request"]["url"] for m in messages if m["method"] == "Network.requestWillBeSent"]


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
