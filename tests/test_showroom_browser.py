"""The showroom's comforts in a real browser, from a disk: narrowing, looking up, holding a picture to the light; and none of them missed."""

import base64
import re

import pytest
from browsing import IN_A_BROWSER, forced_colours, rendered, seen, shifted, until, width
from PIL import Image
from shop_texts import put
from showroom_shop import FILES, site

pytestmark = IN_A_BROWSER

FRESH = {
    "builds/heron/2026-02-06.md": "---\nstage: colour\n---\nA rare word: quince.\n\n![One](photos/front.jpg)\n\n![Two](photos/bare.jpg)\n",
    "builds/wren/build.md": FILES["builds/wren/build.md"].replace("instrument:", "maker: Aldermoor\ninstrument:"),
    "builds/wren/2026-02-07.md": "---\nstage: strip\nfinished: yes\n---\n- [x] the top\n- [ ] the back\n",
}


@pytest.fixture(scope="module")
def disk(tmp_path_factory):
    """The site written out, with real files for its pictures."""
    root = tmp_path_factory.mktemp("site")
    made = site(FRESH)
    put(root, made.pages)
    pictures = {shown.picture for build in made.view.builds for shown in (build.cover, build.as_found) if shown}
    (root / "pictures").mkdir()
    for name in {name for page in made.pages.values() for name in _pictures(page)} | {v.path for p in pictures for v in p.files()}:
        Image.new("RGB", (48, 36), "#806040").save(root / name)
    return root


def _pictures(page: bytes) -> list[str]:
    return [found.decode() for found in re.findall(rb"pictures/[0-9a-f]+-\d+\.(?:webp|jpg)", page)]


def _open(browser, disk, page):
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 900, "height": 800, "deviceScaleFactor": 1, "mobile": False})
    browser.get_log("browser")
    browser.get((disk / page).as_uri())


def _left(browser):
    return browser.execute_script("return [...document.querySelectorAll('.rail li')].filter(li => !li.hidden).map(li => li.querySelector('h2').textContent)")


def _set(browser, selector, value):
    browser.execute_script(
        "const f = document.querySelector(arguments[0]); f.value = arguments[1]; f.dispatchEvent(new Event('input', {bubbles: true}))", selector, value
    )


@pytest.mark.parametrize(
    "page",
    [
        "index.html",
        "builds/heron.html",
        "builds/wren.html",
        "episodes.html",
        "episodes/2026-04-03.html",
        "bulletins.html",
        "about.html",
        "404.html",
        "tags/heron.html",
        "sheets/heron.html",
    ],
)
def test_every_kind_of_page_works_from_a_disk_with_a_clean_console(browser, disk, page):
    _open(browser, disk, page)
    assert [entry["message"] for entry in browser.get_log("browser")] == []
    assert browser.execute_script("return getComputedStyle(document.querySelector('h1')).fontFamily").startswith('"Big Shoulders Stencil"')


def test_names_in_letters_of_all_europe_are_set_in_the_shops_own_face(browser, tmp_path):
    """The browser itself tells which faces it took its glyphs from (DevTools protocol, CSS.getPlatformFontsForNode)."""
    made = site({"builds/heron/build.md": FILES["builds/heron/build.md"].replace("title: Heron", "title: Żółć Șteferiță Çığ Őszi Ģērbs Ångström")})
    put(tmp_path, made.pages)
    _open(browser, tmp_path, "builds/heron.html")
    browser.execute_async_script("const done = arguments[0]; document.fonts.ready.then(() => done())")
    for domain in ("DOM", "CSS"):
        browser.execute_cdp_cmd(f"{domain}.enable", {})
    root = browser.execute_cdp_cmd("DOM.getDocument", {})["root"]["nodeId"]
    name = browser.execute_cdp_cmd("DOM.querySelector", {"nodeId": root, "selector": "h1"})["nodeId"]
    faces = browser.execute_cdp_cmd("CSS.getPlatformFontsForNode", {"nodeId": name})["fonts"]
    assert [face["familyName"] for face in faces if not face["isCustomFont"]] == [] and faces


@pytest.mark.parametrize(("width", "height"), [(8.27, 11.69), (8.5, 11)], ids=["A4", "letter"])
def test_a_certificate_of_twenty_lines_is_one_sheet(browser, tmp_path, width, height):
    sold = FILES["builds/heron/build.md"].replace("showroom: yes", "showroom: yes\nsale: {date: 2026-05-19, price: 940}")
    put(tmp_path, site({"builds/heron/build.md": sold}).pages)
    page = tmp_path / "certificates/heron.html"
    text = page.read_text()
    line = re.search(r"<div><dt>Woods.*?</div>", text)[0]
    page.write_text(text.replace(line, line * (21 - text.count("<dt>"))))
    _open(browser, tmp_path, "certificates/heron.html")
    pdf = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": width, "paperHeight": height})["data"])
    assert page.read_text().count("<dt>") == 20
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1


BESIDE = """
const words = document.createRange(); words.selectNodeContents(document.querySelector('.from'));
return [Math.max(...[...words.getClientRects()].map(r => r.right)), document.querySelector('.kind').getBoundingClientRect().left];
"""
"""Where the shop's name ends and the stamp of what the paper is begins."""


@pytest.mark.parametrize("name", ["The Stringed Instrument Workshop Behind the Old Rope Walk by the Upper Ferry", "סדנת הקשת"], ids=["long", "from the right"])
def test_on_a_printed_certificate_the_shops_name_stays_clear_of_the_stamp(browser, tmp_path, name):
    sold = FILES["builds/heron/build.md"].replace("showroom: yes", "showroom: yes\nsale: {date: 2026-05-19, price: 940}")
    put(
        tmp_path,
        site({"builds/heron/build.md": sold, "shop.md": FILES["shop.md"].replace("name: Test Bench", f"name: {name}").replace("the lower valley", "")}).pages,
    )
    _open(browser, tmp_path, "certificates/heron.html")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": 680, "height": 1000, "deviceScaleFactor": 1, "mobile": False}
    )  # A4 within its margins
    try:
        ends, begins = browser.execute_script(BESIDE)
    finally:
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
        browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert ends < begins


@pytest.mark.parametrize("page", ["builds/heron.html", "sheets/heron.html"])
@pytest.mark.parametrize("across", [260, 320, 360])
def test_on_a_phone_what_a_line_says_has_more_room_than_its_name(browser, disk, page, across):
    """A rule of our own, no outside source: at least four sevenths of the line."""
    _open(browser, disk, page)
    width(browser, across)
    shares = browser.execute_script("return [...document.querySelectorAll('dl div')].map(e => e.querySelector('dd').clientWidth / e.clientWidth)")
    assert shares and min(shares) > 4 / 7
    assert browser.execute_script("return document.documentElement.scrollWidth") <= across


def test_the_rack_narrows_by_state(browser, disk):
    _open(browser, disk, "index.html")
    assert _left(browser) == ["Heron", "Wren"]
    browser.execute_script("document.querySelector('input[value=\"in the works\"]').click()")
    assert _left(browser) == ["Wren"]
    assert browser.execute_script("return document.querySelector('.found').textContent") == "1 of 2 shown"


def test_the_rack_narrows_by_instrument_and_says_when_nothing_is_left(browser, disk):
    _open(browser, disk, "index.html")
    _set(browser, "select[name=instrument]", "mandolin")
    assert _left(browser) == ["Wren"]
    _set(browser, "#words", "zzz")
    assert _left(browser) == [] and "Nothing" in browser.execute_script("return document.querySelector('.found').textContent")


@pytest.mark.parametrize("pixels", [360, 1280])
def test_what_narrows_the_rack_stays_in_sight_when_the_filters_are_shut(browser, disk, pixels):
    """On a phone the states are behind Filters as well."""
    _open(browser, disk, "index.html")
    width(browser, pixels)
    seen_of = "return ['#by-instrument', '#by-maker', 'fieldset'].map(s => document.querySelector(s)).filter(e => e && e.checkVisibility()).map(e => e.id || 'states')"
    always = ["states"] if pixels > 360 else []
    assert browser.execute_script(seen_of) == always
    browser.execute_script("document.querySelector('input[value=\"in the works\"]').click()")
    _set(browser, "#by-instrument", "mandolin")
    assert browser.execute_script(seen_of) == ["by-instrument", "states"]
    browser.execute_script("document.querySelector('input[name=state]').click(); document.getElementById('by-instrument').focus()")
    _set(browser, "#by-instrument", "")
    assert browser.execute_script(seen_of) == ["by-instrument", *always], "nobody loses their place"
    browser.execute_script("document.activeElement.blur()")
    assert browser.execute_script(seen_of) == always


def test_where_colours_are_forced_what_is_chosen_begun_or_done_is_seen(browser, disk):
    """CSS Color Adjustment 3.1: forced colours take a page's grounds and shadows away, so something else must tell these apart. By the pixels themselves."""
    with forced_colours(browser):
        _open(browser, disk, "index.html")
        chosen, here = seen(browser, "label:has([value=''])"), seen(browser, "nav a")
        browser.execute_script("document.querySelector('input[value=\"in the works\"]').click()")
        assert seen(browser, "label:has([value=''])") != chosen
        assert browser.execute_script("return getComputedStyle(document.querySelector('.tag')).backgroundColor") == "rgb(255, 255, 255)"
        _open(browser, disk, "about.html")
        assert seen(browser, "nav a") != here
        _open(browser, disk, "builds/wren.html")
        assert seen(browser, ".punches .out") != seen(browser, ".punches i:not(.out)")
        assert seen(browser, ".box.ticked") != seen(browser, ".box:not(.ticked)")


def test_a_build_of_which_only_the_name_is_told_has_its_state_stamped_as_all_have(browser, tmp_path):
    put(tmp_path, site({"builds/wren/build.md": "---\ntitle: Wren\nroute: plain\nshowroom: yes\n---\n"}).pages)
    _open(browser, tmp_path, "index.html")
    faces = browser.execute_script("return [...document.querySelectorAll('.rail .state')].map(s => getComputedStyle(s).fontFamily)")
    assert len(faces) == 2 and len(set(faces)) == 1 and faces[0].startswith('"Big Shoulders Stencil"')


def test_a_list_in_a_bulletin_is_no_slip_of_its_own(browser, tmp_path):
    """Nor do its pictures touch the day above them, on the rack, which has fewer styles, or on the page of bulletins."""
    words = "![Bare](bare.jpg)\n\n# Two things\n\n- one\n- two\n"
    made = site({"journal/bulletins/2026-04-07.md": f"---\nshowroom: yes\n---\n{words}"})
    put(tmp_path, made.pages)
    for page in ("index.html", "bulletins.html"):
        _open(browser, tmp_path, page)
        inner, heading = (browser.find_element("css selector", f".slips {kind}") for kind in ("li li", "li > * ~ :is(h3, h4)"))
        assert inner.value_of_css_property("border-left-width") == "0px" and inner.value_of_css_property("padding-left") == "0px"
        assert browser.find_element("css selector", ".slips .shots").value_of_css_property("margin-top") != "0px"
        assert heading.value_of_css_property("display") == "block" and heading.value_of_css_property("margin-top") != "0px"


def test_words_of_a_log_are_found_without_a_server(browser, disk):
    _open(browser, disk, "index.html")
    _set(browser, "#words", "QUINCE")
    browser.execute_script("document.querySelector('#words').focus()")
    until(browser, lambda b: _left(b) == ["Heron"])
    assert [entry["message"] for entry in browser.get_log("browser")] == []


def test_a_picture_is_held_to_the_light_by_keyboard(browser, disk):
    from selenium.webdriver.common.keys import Keys

    _open(browser, disk, "builds/heron.html")
    links = browser.execute_script("return document.querySelectorAll('a.look').length")
    browser.execute_script("document.querySelectorAll('a.look')[1].focus()")
    said = [browser.switch_to.active_element.find_element("tag name", "img").get_attribute("alt")]
    browser.switch_to.active_element.send_keys(Keys.ENTER)
    for key in (Keys.ARROW_RIGHT, Keys.ARROW_LEFT):
        said.append(browser.execute_script("return document.querySelector('dialog[open] img').alt"))
        browser.switch_to.active_element.send_keys(key)
    browser.switch_to.active_element.send_keys(Keys.ESCAPE)
    assert links > 3 and said[0] == said[1] != said[2]
    assert browser.execute_script("return !document.querySelector('dialog[open]') && document.activeElement.matches('a.look')")


def test_without_scripts_the_rack_is_a_plain_list_and_pictures_are_links(without_scripts, disk):
    _open(without_scripts, disk, "index.html")
    _, text = rendered(without_scripts)
    assert "Heron" in text and "Wren" in text and "Search" not in text
    page = (disk / "builds/heron.html").read_text()
    assert '<a class="look" href="../pictures/' in page


def test_nothing_moves_while_the_gallery_loads(browser, disk):
    """Cumulative layout shift by the browser's own measure (W3C Layout Instability); fonts may swap within a line."""
    _open(browser, disk, "index.html")
    shift, what = shifted(browser)
    assert shift < 0.02, what


LONG = "Donaudampfschifffahrtsgesellschaftskapitän"


@pytest.mark.parametrize("pixels", [320, 768, 1440])
def test_long_words_make_no_page_wider_than_its_window(browser, tmp_path, pixels):
    """WCAG 2.2, 1.4.10 Reflow, with a name that no line of a phone can hold."""
    named = {
        name: text.replace("title: Heron", f"title: {LONG}").replace("finish: ", f"finish: {LONG}-grün und ")
        for name, text in FILES.items()
        if name.startswith("builds/")
    }
    put(tmp_path, site(named).pages)
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": pixels, "height": 800, "deviceScaleFactor": 1, "mobile": False})
    wide = {}
    for page in ("index.html", "builds/heron.html", "bulletins.html", "tags/heron.html", "sheets/heron.html"):
        browser.get((tmp_path / page).as_uri())
        assert page == "bulletins.html" or LONG.casefold() in browser.page_source.casefold()
        wide[page] = browser.execute_script("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert set(wide.values()) == {0}, wide


PLACES = r"""
const words = document.querySelector(arguments[0]).firstChild, at = n => { const r = document.createRange(); r.setStart(words, n); r.setEnd(words, n + 1); return r.getBoundingClientRect().x; };
return [at(words.data.search(/\P{Cf}/u)), at(words.data.search(/\P{Cf}\p{Cf}*$/u))];
"""
"""Where the first and the last sign of a text are drawn, of those that take room."""


def test_words_that_run_from_the_right_end_on_the_left(browser, tmp_path):
    """Unicode Standard Annex 9, P2 and P3: the first strong letter gives a paragraph its direction; its full stop, which has none, stands at its end."""
    title, story = "عود قديم!", "هذا عود قديم."
    shop = FILES["shop.md"].replace("name: Test Bench", "name: Test Bench\nlocale: he_IL")
    made = site(
        {
            "builds/heron/build.md": FILES["builds/heron/build.md"].replace("title: Heron", f"title: {title}").rpartition("---\n")[0] + f"---\n\n{story}\n",
            "shop.md": shop,
        }
    )
    put(tmp_path, made.pages)
    browser.get((tmp_path / "builds/heron.html").as_uri())
    for selector in ("h1", ".story p", ".log time"):
        first, last = browser.execute_script(PLACES, selector)
        assert last < first, selector


def test_a_name_that_runs_from_the_right_leaves_its_price_where_it_was(browser, tmp_path):
    """Unicode Standard Annex 9, 2.7: a name set apart does not reorder what follows it, so the price stands right of the comma."""
    put(tmp_path, site({"builds/heron/build.md": FILES["builds/heron/build.md"].replace("title: Heron", "title: عود")}).pages)
    browser.get((tmp_path / "builds/heron.html").as_uri())
    name, link = browser.find_elements("css selector", ".press bdi")[-1], browser.find_elements("css selector", ".press")[-1]
    first, last = browser.execute_script(PLACES.replace("document.querySelector(arguments[0]).firstChild", "arguments[0].lastChild"), link)
    assert link.text.endswith("950") and name.rect["x"] + name.rect["width"] <= first + 1 < last


def test_a_picture_of_the_story_is_no_cover_on_a_phone(browser, tmp_path):
    """Beside a cover that stands, the story lies in the cover's box; only the cover itself runs from edge to edge."""
    put(tmp_path, site({"builds/heron/build.md": FILES["builds/heron/build.md"]}).pages)
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 360, "height": 740, "deviceScaleFactor": 1, "mobile": False})
    browser.get((tmp_path / "builds/heron.html").as_uri())
    browser.execute_script("document.querySelector('.front').append(document.querySelector('.story'))")
    cover, shown = (
        browser.execute_script(f"return document.querySelector('{place}').getBoundingClientRect().x") for place in (".front > .look", ".story .look")
    )
    assert cover == 0 and shown == browser.execute_script("return document.querySelector('.story').getBoundingClientRect().x") > 0


def test_on_paper_no_picture_of_the_log_takes_half_a_sheet(browser, disk):
    """6.5 cm are 245.7 pixels (CSS Values 4: 1 cm is 96 pixels over 2.54)."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print", "features": []})
    browser.get((disk / "builds/heron.html").as_uri())
    heights = browser.execute_script("return [...document.querySelectorAll('.log img')].map(i => getComputedStyle(i).maxHeight)")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
    assert heights and {round(float(height.removesuffix("px"))) for height in heights} == {246}


def test_on_a_phone_pictures_that_lie_stand_one_above_the_other(browser, disk):
    """As found and as left: side by side on a desk, and each as wide as a phone."""
    wide, tops = {}, {}
    for pixels in (360, 900):
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": pixels, "height": 800, "deviceScaleFactor": 1, "mobile": False})
        browser.get((disk / "builds/heron.html").as_uri())
        boxes = [picture.rect for picture in browser.find_elements("css selector", ".both figure")]
        wide[pixels], tops[pixels] = boxes[0]["width"], [box["y"] for box in boxes]
    assert tops[900][0] == tops[900][1] and tops[360][0] < tops[360][1]
    assert wide[360] > 300


def _as_drawn(browser, selector):
    """The words of an element of one line, from left to right."""
    return browser.execute_script(
        "const words = []; const range = document.createRange();"
        "const walk = document.createTreeWalker(document.querySelector(arguments[0]), NodeFilter.SHOW_TEXT);"
        "while (walk.nextNode()) for (const word of walk.currentNode.data.matchAll(/[^\\s,:.“”]+/g)) {"
        "  range.setStart(walk.currentNode, word.index); range.setEnd(walk.currentNode, word.index + word[0].length);"
        "  words.push([range.getBoundingClientRect().left, word[0].normalize()]); }"
        "return words.sort((a, b) => a[0] - b[0]).map(word => word[1]);",
        selector,
    )


def test_a_name_written_from_right_to_left_keeps_its_own_order_in_an_english_sentence(browser, tmp_path):
    """Expected orders: what Unicode Standard Annex #9 comes to, each name a text of its own that is read from its right end.

    Left alone, a name and the stage after it would be drawn as one run from right to left, and the stage be read first.
    """
    words = {name: text.replace("colour", "כחול").replace("title: Wren", "title: גדרון") for name, text in FILES.items()}
    made = site({
        **words,
        "journal/2026-03-01.md": "---\n---\n",
        "builds/heron/build.md": words["builds/heron/build.md"].replace("title: Heron", "title: הרון Heron 2"),
        "builds/heron/2026-02-08.md": "---\nstage: כחול\n---\nכחול.\n\n1. אחד\n2. שתיים\n\n> מילים\n",
    })  # fmt: skip
    put(tmp_path, made.pages)
    width(browser, 1200)
    browser.get((tmp_path / "index.html").as_uri())
    assert _as_drawn(browser, ".coming li") == ["גדרון", "כחול", "promised", "in", "Two", "blues"]
    browser.get((tmp_path / "tags/heron.html").as_uri())
    assert _as_drawn(browser, ".back") == ["Back", "to", "Heron", "2", "הרון"]
    browser.get((tmp_path / "builds/heron.html").as_uri())
    note = "const note = document.getElementById('log-2026-02-08');"
    assert browser.execute_script(f"{note} return [...note.querySelectorAll('ol, li')].map(e => getComputedStyle(e).direction)") == ["rtl"] * 3
    assert browser.execute_script(f"{note} const s = getComputedStyle(note.querySelector('blockquote')); return [s.borderLeftWidth, s.borderRightWidth]") == [
        "0px",
        "4px",
    ]
