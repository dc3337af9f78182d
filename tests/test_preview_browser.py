"""A page from elsewhere, in real Chromium, gets nothing of the office that is previewed on the same machine."""

import threading
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

import pytest
from browsing import IN_A_BROWSER

from purfle.shell.preview import Preview, State

pytestmark = IN_A_BROWSER
SECRET = "profit-of-heron"
TRIES = """
const [office, done] = arguments, got = {};
const wait = (name, make) => new Promise(r => {
  const element = make();
  element.onload = () => r(got[name] = 'loaded');
  element.onerror = () => r(got[name] = 'refused');
  document.body.append(element);
});
const made = (tag, key, to) => () => Object.assign(document.createElement(tag), {[key]: office + to});
(async () => {
  for (const mode of ['cors', 'no-cors'])
    got['fetch ' + mode] = await fetch(office, {mode}).then(a => a.text()).catch(() => 'refused') || 'refused';
  got.state = await fetch(office + '.purfle/state', {mode: 'no-cors'}).then(a => a.text()).catch(() => 'refused') || 'refused';
  await wait('script', made('script', 'src', 'figures.js'));
  await wait('json as script', made('script', 'src', '.purfle/state'));
  await wait('picture', made('img', 'src', 'dot.svg'));
  await wait('sheet', () => Object.assign(document.createElement('link'), {rel: 'stylesheet', href: office + 'style.css'}));
  got.events = await new Promise(r => { const e = new EventSource(office + '.purfle/state'); e.onerror = () => (e.close(), r('refused')); e.onopen = () => r('loaded'); });
  got.socket = await new Promise(r => { const s = new WebSocket(office.replace('http', 'ws')); s.onerror = () => r('refused'); s.onopen = () => r('loaded'); });
  got.figures = String(globalThis.figures);
  done(got);
})();
"""


@pytest.fixture
def office(tmp_path):
    """The address of an office's preview."""
    site = tmp_path / "out" / "office"
    site.mkdir(parents=True)
    (site / "index.html").write_text(f"<!doctype html><title>Office</title><body>{SECRET}</body>")
    (site / "figures.js").write_text(f"globalThis.figures = '{SECRET}';")
    (site / "style.css").write_text("body { color: red }")
    (site / "dot.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" width="1" height="1"/>')
    state = State()
    preview = Preview(site, 0, state)
    preview.start()
    yield preview.url
    state.close()
    preview.stop()


@pytest.fixture
def elsewhere(tmp_path):
    """The address of a plain page on another port of this machine: to the browser of the same site, and of another origin."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    (folder / "index.html").write_text("<!doctype html><title>Elsewhere</title><body>")
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(SimpleHTTPRequestHandler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost"])
def test_a_page_from_elsewhere_gets_nothing(browser, office, elsewhere, name):
    browser.get(elsewhere.replace("127.0.0.1", name))
    got = browser.execute_async_script(TRIES, office)
    assert got.pop("figures") == "undefined"
    assert set(got.values()) == {"refused"}, got


def test_the_offices_own_page_gets_it(browser, office):
    """The same tries, where they may succeed."""
    browser.get(office)
    got = browser.execute_async_script(TRIES, office)
    assert SECRET in got["fetch cors"] and got["figures"] == SECRET and "turn" in got["state"]
    assert (got["script"], got["picture"], got["sheet"]) == ("loaded", "loaded", "loaded")


def test_a_frame_or_a_window_of_it_can_not_be_looked_into(browser, office, elsewhere):
    browser.get(elsewhere)
    browser.execute_async_script(
        "const [office, done] = arguments, f = document.createElement('iframe'); f.src = office; f.onload = () => done(); document.body.append(f)", office
    )
    browser.switch_to.frame(0)
    assert SECRET not in browser.page_source
    browser.switch_to.default_content()
    looked = "const w = open(arguments[0]); return new Promise(r => setTimeout(() => { try { r(w.document.body.innerText) } catch (e) { r(e.name) } }, 1500))"
    assert SECRET not in (browser.execute_script(looked, office) or "")
    mine, *others = browser.window_handles
    for other in others:
        browser.switch_to.window(other)
        browser.close()
    browser.switch_to.window(mine)
