"""What several tests share within one run: the demo shop compiled once, served as a plain host would, and one browser."""

import re
import shutil
import threading
import time
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from browsing import CHROMIUM, DRIVER, PATIENCE
from demo_shop import DAY, ROOT
from hypothesis import settings

# A slow machine is no fault of the code, and a run that failed can be run again to fail the same way; `make long` goes on from there.
settings.register_profile("purfle", deadline=None, derandomize=True)
settings.load_profile("purfle")


@pytest.fixture(scope="session")
def out(tmp_path_factory):
    """The demo shop's two sites, compiled apart from the working tree; pictures made before are taken along."""
    from purfle.shell.cli import run

    shop = tmp_path_factory.mktemp("demo") / "shop"
    shop.mkdir()
    shutil.copy(ROOT / "shop.md", shop)
    for name in ("builds", "journal", "photos", "site_templates"):
        shutil.copytree(ROOT / name, shop / name)
    for kept in ("pictures", "sounds", "records"):
        if (ROOT / "out/.store" / kept).is_dir():
            shutil.copytree(ROOT / "out/.store" / kept, shop / "out/.store" / kept)
    assert run(["compile", "--shop", str(shop), "--today", DAY, "-q"]) == 0
    return shop / "out"


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    """A shop as `purfle start` makes it, not yet compiled; for copying."""
    from purfle.shell.cli import run

    folder = tmp_path_factory.mktemp("made") / "shop"
    assert run(["start", str(folder), "--today", DAY]) == 0
    return folder


@pytest.fixture(scope="session")
def pages(out):
    """Every page of both sites, relative to out/."""
    found = sorted(p.relative_to(out).as_posix() for site in ("showroom", "office") for p in (out / site).rglob("*.html"))
    assert len(found) > 20
    return found


class _Quiet(SimpleHTTPRequestHandler):
    def do_GET(self):
        """A page asked for with ?stay comes without its refresh, so that one can look at what a visitor sees who is not sent on."""
        if not self.path.endswith("?stay"):
            return super().do_GET()
        page = re.sub(rb'<meta http-equiv="refresh"[^>]*>', b"", Path(self.translate_path(self.path)).read_bytes())
        self.send_response(200)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(page)))
        self.end_headers()
        self.wfile.write(page)

    def log_message(self, *_):
        pass


class _Late(_Quiet):
    """A host on a slow line: the head of a page is painted before the rest comes, and that before its pictures and letters do."""

    def do_GET(self):
        if re.search("/(pictures|fonts)/", self.path):
            time.sleep(0.3)
        super().do_GET()

    def copyfile(self, source, outputfile):
        head, rest = source.read().partition(b"<main")[::2]
        outputfile.write(head)
        if rest:
            outputfile.flush()
            time.sleep(0.3)
            outputfile.write(b"<main" + rest)


def _serving(handler, folder):
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}"
    server.shutdown()


@pytest.fixture(scope="session")
def served(out):
    """The address under which both sites are served, as any plain host of files would."""
    yield from _serving(_Quiet, out)


@pytest.fixture(scope="session")
def served_late(out):
    """The same by a host on a slow line."""
    yield from _serving(_Late, out)


@pytest.fixture(scope="session")
def one_browser():
    """Debian's chromium, headless, for the whole run."""
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM or "chromium"
    for flag in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--disable-gpu",
        "--disable-background-networking",
        "--no-first-run",
        "--window-size=1280,900",
    ):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options, webdriver.ChromeService(DRIVER or "chromedriver"))
    driver.set_page_load_timeout(PATIENCE)
    driver.set_script_timeout(PATIENCE)
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def browser(one_browser):
    """The run's browser, as new to each module."""
    one_browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
    one_browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    one_browser.get("about:blank")
    one_browser.get_log("browser")
    return one_browser


@pytest.fixture
def without_scripts(browser):
    """The browser with scripts off, proved."""
    from browsing import rendered

    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    browser.get("data:text/html,<p id=p>still</p><script>document.getElementById('p').textContent = 'ran'</script>")
    assert rendered(browser)[1] == "still"
    yield browser
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
