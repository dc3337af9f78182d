"""The showroom's pages: valid, self-contained, rightly linked, and described in open standards."""

import re
from base64 import b64encode
from datetime import date
from hashlib import sha256
from html.parser import HTMLParser
from posixpath import dirname, join, normpath
from urllib.parse import urlsplit
from xml.etree import ElementTree

import feedparser
import html5lib
import pytest
from showroom_shop import ASSETS, FILES, HERON, SHOP, TEMPLATES, Site, read, site, site_of

from purfle.pages.showroom import pages_of

SITE = site()
PAGES = sorted(path for path in SITE.pages if path.endswith(".html"))
PAPERS = ("tags/", "sheets/", "certificates/")
BASE = "https://example.org/bench/"


class _Tags(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))


def _tags(path: str, where: Site = SITE) -> list[tuple[str, dict[str, str | None]]]:
    return _Tags(where.text(path)).tags


def test_every_kind_of_page_is_made() -> None:
    assert [path for path in PAGES if not path.startswith(PAPERS)] == [
        "404.html",
        "about.html",
        "builds/heron.html",
        "builds/old-heron.html",
        "builds/wren.html",
        "bulletins.html",
        "episodes.html",
        "episodes/2026-04-03.html",
        "index.html",
    ]
    assert {"feed.xml", "sitemap.xml", "robots.txt", "style.css", "tokens.css", "rack.js", "light.js"} <= SITE.pages.keys()


@pytest.mark.parametrize("path", PAGES)
def test_pages_are_valid_html(path: str) -> None:
    """html5lib in strict mode raises on every parse error of the HTML standard."""
    html5lib.HTMLParser(strict=True).parse(SITE.text(path))


@pytest.mark.parametrize("path", PAGES)
def test_ids_are_there_once_and_pictures_have_words_and_sizes(path: str) -> None:
    tags = _tags(path)
    ids = [attrs["id"] for _, attrs in tags if "id" in attrs]
    assert len(ids) == len(set(ids))
    assert all(attrs.get("alt") and attrs.get("width") and attrs.get("height") for tag, attrs in tags if tag == "img")
    assert sum(tag == "h1" for tag, _ in tags) == 1


@pytest.mark.parametrize("path", [path for path in PAGES if path != "404.html"])
def test_links_lead_to_what_is_there(path: str) -> None:
    """Every relative link, sheet, script and picture is a page, an asset, an anchor or a published file."""
    for tag, attrs in _tags(path):
        for value in filter(None, (attrs.get("href"), attrs.get("src"))):
            url = urlsplit(value)
            if url.scheme or value.startswith("#"):
                continue
            target = normpath(join(dirname(path), url.path))
            assert target in SITE.pages or target.startswith(("pictures/", "sounds/")), (tag, value)
            if url.fragment:
                assert f'id="{url.fragment}"' in SITE.text(target)


@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_fetched_from_another_host_and_nothing_is_inline(path: str) -> None:
    for tag, attrs in _tags(path):
        assert "style" not in attrs and not any(name.startswith("on") for name in attrs)
        fetched = [attrs.get("src"), attrs.get("srcset"), attrs.get("href") if tag == "link" and attrs.get("rel") in ("stylesheet", "icon") else None]
        assert not any("//" in value for value in fetched if value)
        assert (tag != "style" or path == "404.html") and (tag != "script" or attrs.get("src"))


def test_style_sheets_fetch_only_the_bundled_fonts() -> None:
    for name in ("style.css", "tokens.css"):
        for target in re.findall(r"url\(([^)]+)\)", SITE.text(name)):
            assert target in SITE.pages
        assert "@import" not in SITE.text(name)


def test_bundled_fonts_are_small_and_carry_their_licence() -> None:
    fonts = {name: data for name, data in SITE.pages.items() if name.endswith(".woff2")}
    assert len(fonts) == 4 and all(len(data) <= 30_000 for data in fonts.values())
    for name in fonts:
        family = name.removeprefix("fonts/").split("-latin")[0]
        assert b"SIL OPEN FONT LICENSE" in SITE.pages[f"fonts/{family}-OFL.txt"]


@pytest.mark.parametrize(("asked", "locale", "currency", "written"), [
    ("950", "en_US", "USD", "$950"),
    ("949.50", "en_US", "USD", "$949.50"),
    ("890", "de_DE", "EUR", "890\u00a0€"),
    ("1450", "sv_SE", "SEK", "1\u00a0450\u00a0kr"),
    ("90000", "en_US", "JPY", "¥90,000"),
])  # fmt: skip
def test_a_price_of_whole_units_has_no_decimals(asked: str, locale: str, currency: str, written: str) -> None:
    """As ECMA-402's Intl.NumberFormat writes it with trailingZeroDisplay: "stripIfInteger" (asked of ICU 72)."""
    shop = SHOP.replace("name: Test Bench", f"name: Test Bench\ncurrency: {currency}\nlocale: {locale}")
    shown = site({"shop.md": shop, "builds/heron/build.md": HERON.replace("asking: 950", f"asking: {asked}")})
    assert f'<b class="price">{written}</b>' in shown.text("index.html")


def test_the_rack_begins_with_what_the_shop_says_of_itself() -> None:
    assert '<p class="lead">We take old boards apart. Write if you like.</p>' in SITE.text("index.html")
    assert 'class="lead"' not in site({"shop.md": "---\nname: New\n---\n"}).text("index.html")


def test_one_build_needs_no_finder() -> None:
    alone = site({"builds/wren/build.md": FILES["builds/wren/build.md"].replace("showroom: yes", "showroom: no")})
    assert len(alone.view.builds) == 1 and "<form" not in alone.text("index.html") and "<form" in SITE.text("index.html")


def test_a_long_name_is_written_smaller_wherever_it_is_large() -> None:
    long = site({"builds/heron/build.md": HERON.replace("title: Heron", "title: Doppelresonanzgitarre")})
    for page in ("index.html", "builds/heron.html", "tags/heron.html", "sheets/heron.html"):
        assert re.search(r'<h[12] class="long"[^>]*>(<a [^>]*>)?Doppelresonanzgitarre', long.text(page)), page


def test_a_build_names_its_episodes_with_their_days() -> None:
    said = SITE.text("builds/heron.html").partition('id="seen"')[2].partition("</section>")[0]
    shown = next(episode for episode in SITE.view.episodes if episode.path == "episodes/2026-04-03.html")
    assert f'<a href="../{shown.path}"><bdi>{shown.title}</bdi></a> <time class="soft" datetime="2026-04-03">Apr 3, 2026</time>' in said


@pytest.mark.parametrize(("page", "place"), [("builds/heron.html", "On the rack"), ("episodes/2026-04-03.html", "Episodes")])
def test_a_page_below_says_where_it_belongs_and_leads_back_there(page: str, place: str) -> None:
    assert re.findall(r'aria-current="true">([^<]*)', SITE.text(page)) == [place]
    below = SITE.text(page).partition("<article")[2]
    assert f'href="../{"index" if place == "On the rack" else "episodes"}.html"' in below


def test_a_page_below_leads_back_by_relative_links() -> None:
    hrefs = {attrs.get("href") for tag, attrs in _tags("builds/heron.html") if tag == "link"}
    assert {"../style.css", "../tokens.css", "../feed.xml"} <= hrefs


def test_the_page_for_nothing_stands_alone() -> None:
    """A host shows it at any depth, so relative links would break: it fetches nothing and its links are whole."""
    tags = _tags("404.html")
    assert not [tag for tag, attrs in tags if tag in ("img", "script") or (tag == "link" and attrs["rel"] != "canonical")]
    assert all(str(attrs["href"]).startswith((BASE, "#", "mailto:")) for tag, attrs in tags if tag == "a")
    assert "url(" not in SITE.text("404.html")


def test_the_policy_of_the_page_for_nothing_admits_its_own_style_alone() -> None:
    """Content Security Policy 3, hash-source: the base64 of the sha256 of the element's text."""
    style = re.search(r"<style>(.*?)</style>", SITE.text("404.html"), re.DOTALL)
    policy = next(str(attrs["content"]) for _, attrs in _tags("404.html") if attrs.get("http-equiv") == "Content-Security-Policy")
    assert style is not None
    assert f"style-src 'self' 'sha256-{b64encode(sha256(style[1].encode()).digest()).decode()}';" in policy


def test_an_old_address_leads_on() -> None:
    text = SITE.text("builds/old-heron.html")
    assert 'content="0; url=../builds/heron.html"' in text and f'rel="canonical" href="{BASE}builds/heron.html"' in text


def test_an_old_address_never_hides_a_page() -> None:
    files = {"builds/heron/build.md": HERON.replace("was: [old-heron]", "was: [wren]")}
    assert b"Found a crack" in site(files).pages["builds/wren.html"]


# --- selling ---------------------------------------------------------------------------------------------------------


def _items(path: str, where: Site = SITE) -> dict[str, str | None]:
    return {attrs["itemprop"]: attrs.get("content") or attrs.get("href") or "" for _, attrs in _tags(path, where) if attrs.get("itemprop")}


def test_a_build_for_sale_is_an_offer_in_stock() -> None:
    """schema.org Product with an Offer; ItemAvailability InStock."""
    items = _items("builds/heron.html")
    assert items["availability"] == "https://schema.org/InStock" and (items["price"], items["priceCurrency"]) == ("950", "USD")
    assert items["itemCondition"] == "https://schema.org/RefurbishedCondition"
    # schema.org: brand expects a Brand or an Organization, whose name is text
    assert '<div itemprop="brand" itemscope itemtype="https://schema.org/Brand"><meta itemprop="name" content="Aldermoor"></div>' in SITE.text(
        "builds/heron.html"
    )
    assert "$950<" in SITE.text("builds/heron.html") and "mailto:bench@example.org" in SITE.text("builds/heron.html")


def test_a_sold_build_is_sold_out_and_names_no_price() -> None:
    sold = site({"builds/heron/build.md": HERON.replace("showroom: yes", "sale: {date: 2026-05-10, price: 901.07}\nshowroom: yes")})
    items = _items("builds/heron.html", sold)
    assert items["availability"] == "https://schema.org/SoldOut" and "price" not in items
    assert not re.search(r"950|901|Ask about", sold.text("builds/heron.html"))


def test_a_build_in_the_works_is_no_offer() -> None:
    assert "schema.org" not in SITE.text("builds/wren.html")


def test_open_graph_has_what_the_protocol_requires() -> None:
    """ogp.me, Basic Metadata: title, type, image, url."""
    said = {attrs.get("property"): attrs.get("content") for tag, attrs in _tags("builds/heron.html") if tag == "meta"}
    assert said["og:title"] == "Heron – Test Bench" and said["og:type"] == "product" and said["og:url"] == f"{BASE}builds/heron.html"
    assert str(said["og:image"]).startswith(f"{BASE}pictures/")


def _said(path: str, shown: Site = SITE) -> dict[str, str]:
    found = re.findall(r'<meta (?:name="description" )?property="([^"]+)" content="([^"]*)"', shown.text(path))
    assert len({name for name, _ in found}) == len(found)
    return dict(found)


def test_the_rack_is_passed_on_in_the_shops_own_words() -> None:
    assert _said("index.html")["og:description"] == "We take old boards apart. Write if you like."
    wordless = site({"shop.md": SHOP.replace("We take old boards apart. Write if you like.\n", "")})
    assert _said("index.html", wordless)["og:description"].startswith("Test Bench, the lower valley")


def test_every_preview_says_how_large_its_picture_is_and_what_it_shows() -> None:
    """ogp.me, Structured Properties: width and height in pixels; a page with og:image should have og:image:alt."""
    talk = "journal/episodes/2026-04-03-two.md"
    shop = read(FILES | {talk: FILES[talk].replace("showroom: yes", "showroom: yes\nstill: stills/1.jpg")}, ASSETS | {"journal/episodes/stills/1.jpg"})
    shown = site_of(shop)
    pictures = [kept.picture for kept in (shown.view.builds[0].cover, shown.view.episodes[0].still) if kept]
    sizes = {file.path: (str(file.width), str(file.height)) for picture in pictures for file in picture.files()}
    assert len(pictures) == 2
    for path in ("index.html", "builds/heron.html", "episodes.html", "episodes/2026-04-03.html"):
        said = _said(path, shown)
        assert (said["og:image:width"], said["og:image:height"]) == sizes[said["og:image"].removeprefix(BASE)], path
        assert said["og:image:alt"], path


def test_what_is_passed_on_says_what_it_is_and_what_it_costs() -> None:
    assert _said("builds/heron.html")["og:description"].startswith("For sale, $950: electric bass, Aldermoor Type 2, about 1974. Heron stood in a barn.")
    assert _said("builds/wren.html")["og:description"] == "mandolin"
    told = site({"builds/wren/build.md": FILES["builds/wren/build.md"] + "Found in a hedge.\n"})
    assert _said("builds/wren.html", told)["og:description"] == "Mandolin. Found in a hedge."
    bare = site({"builds/heron/build.md": "---\ntitle: Heron\nshowroom: yes\nfor_sale: {asking: 950, since: 2026-05-01}\n---\n"})
    assert _said("builds/heron.html", bare)["og:description"] == "For sale, $950. Heron"


def test_what_is_for_sale_is_heard_beside_its_price() -> None:
    """The last sound of its log; one of a private note, and one of what is not for sale, stay where they are."""
    played = "<audio controls"
    page = SITE.text("builds/heron.html")
    assert page.count(played) == 2 and page.index(played) < page.index('class="story"')
    later = {"builds/heron/2026-03-01.md": "---\nstage: strip\n---\n![A high note](high.ogg)\n"}
    heard = site_of(read(FILES | later, ASSETS | {"builds/heron/high.ogg"})).view.builds[0].heard
    assert heard is not None and heard.alt == "A high note"
    kept_back = {name: text.replace("stage: strip", "showroom: no\nstage: strip") for name, text in later.items()}
    heard = site_of(read(FILES | kept_back, ASSETS | {"builds/heron/high.ogg"})).view.builds[0].heard
    assert heard is not None and heard.alt == "A low note"
    kept = site({"builds/heron/build.md": HERON.replace("for_sale: {asking: 950, since: 2026-05-01}\n", "")})
    assert kept.text("builds/heron.html").count(played) == 1


# --- paper -----------------------------------------------------------------------------------------------------------


def _modules(drawing: str) -> list[list[bool]]:
    """The dark modules of a QR drawing made of horizontal strokes, row by row, quiet zone included."""
    size = int(re.search(r'viewBox="0 0 (\d+) ', drawing)[1])  # type: ignore[index]
    dark, x, y = [[False] * size for _ in range(size)], 0.0, 0.0
    for command, args in re.findall(r"([Mmh])([-\d. ]+)", re.search(r'stroke="#000" d="([^"]+)"', drawing)[1]):  # type: ignore[index]
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", args)]
        if command == "h":
            dark[int(y)][int(x) : int(x + numbers[0])] = [True] * int(numbers[0])
            x += numbers[0]
        else:
            x, y = (numbers[0], numbers[1]) if command == "M" else (x + numbers[0], y + numbers[1])
    return dark


def test_the_tags_code_has_its_quiet_zone_and_finder_patterns() -> None:
    """ISO/IEC 18004: four light modules all round; 7 × 7 finder patterns in three corners, as every account of the standard has it."""
    dark = _modules(SITE.text("tags/heron.html"))
    last = len(dark) - 11
    assert not any(any(row) for row in (*dark[:4], *dark[-4:])) and not any(any((*row[:4], *row[-4:])) for row in dark)
    for top, left in ((4, 4), (4, last), (last, 4)):
        for y in range(7):
            for x in range(7):
                assert dark[top + y][left + x] is (max(abs(y - 3), abs(x - 3)) != 2)


def test_a_tag_needs_an_address_for_its_code_and_shows_the_price_while_for_sale() -> None:
    bare = site({"shop.md": SHOP.replace("site: https://example.org/bench\n", "")})
    assert "<svg" not in bare.text("tags/heron.html") and "$950<" in bare.text("tags/heron.html")


def test_a_certificate_comes_with_the_sale_and_keeps_the_serial_unless_told() -> None:
    sold = HERON.replace("showroom: yes", "sale: {date: 2026-05-10, price: 901.07}\nshowroom: yes")
    assert "certificates/heron.html" not in SITE.pages
    text = site({"builds/heron/build.md": sold}).text("certificates/heron.html")
    assert "strip, colour" in text and "AX10417" not in text and "901" not in text
    assert "AX10417" in site({"builds/heron/build.md": sold.replace("serial:", "serial_public: yes\nserial:")}).text("certificates/heron.html")


def _certificate(**notes: str) -> tuple[str, str]:
    """When Heron's certificate says it was worked on, and what it says was done, with these notes of February beside that of its first day."""
    sold = HERON.replace("showroom: yes", "sale: {date: 2026-05-10, price: 901.07}\nshowroom: yes")
    noted = {f"builds/heron/2026-02-{name[1:].replace('_', '-')}.md": f"---\n{text}\n---\n" for name, text in notes.items()}
    page = site({**noted, "builds/heron/build.md": sold}).text("certificates/heron.html")
    return re.sub("<[^>]+>", "", page.split("Worked on by hand")[1].split("</p>")[0]), re.findall("What was done</dt><dd>(.*?)</dd>", page)[0]


def test_a_certificate_names_the_stages_and_days_of_notes_without_a_word() -> None:
    when, done = _certificate(_03="stage: colour", _09="stage: clear\nshowroom: no")
    assert (when, done) == (" at Test Bench from Feb 1, 2026 to Feb 3, 2026.", "strip, colour")


def test_a_certificate_tells_the_work_of_one_day_as_of_one() -> None:
    when, done = _certificate(_01="stage: colour", _03="stage: clear\nshowroom: no")
    assert (when, done) == (" at Test Bench on Feb 1, 2026.", "strip, colour")


@pytest.mark.parametrize("stages", [("colour", "clear"), ("clear", "colour")])
def test_what_was_done_on_one_day_stands_as_the_route_has_it_whatever_the_files_are_called(stages: tuple[str, str]) -> None:
    """File names are private, and notes without words have nothing else to be told by."""
    assert _certificate(_01_a=f"stage: {stages[0]}", _01_b=f"stage: {stages[1]}", _03="stage: clear")[1] == "strip, colour, clear"


def test_a_stage_is_spelt_as_the_route_spells_it_whatever_its_case_in_a_note() -> None:
    words = {name: text.replace("stage: colour", "stage: COLOUR").replace("do: colour", "do: Colour") for name, text in FILES.items()}
    begun = "---\nbench: [{stage: Strip, hours: 1}, {stage: strip, hours: 1}]\n---\nBegun.\n"
    sold = HERON.replace("showroom: yes", "sale: {date: 2026-05-10, price: 901.07}\nshowroom: yes")
    made = site({**words, "shop.md": SHOP, "builds/heron/2026-01-30.md": begun, "builds/heron/build.md": sold})
    assert ">strip, colour<" in made.text("certificates/heron.html")
    assert [name for name, page in made.pages.items() if name.endswith(".html") and re.search(rb">[^<>]*(?:COLOUR|Colour|Strip\b)[^<>]*<", page)] == []


def test_what_was_sold_as_it_came_has_no_certificate_and_no_pair_of_pictures() -> None:
    same = HERON.replace("as_found: photos/before.jpg", "as_found: photos/front.jpg").replace("route: plain", "sale: {date: 2026-02-01, price: 9}")
    untouched = site({"builds/heron/build.md": same})
    assert "certificates/heron.html" not in untouched.pages and "as found" not in untouched.text("builds/heron.html").casefold()


def test_an_episode_without_words_or_link_leaves_no_column_empty() -> None:
    bare = "---\ntitle: Two blues\naired: yes\nshowroom: yes\nsegments: [{build: heron, stage: colour}]\n---\n"
    text = site({"journal/episodes/2026-04-03-two.md": bare}).text("episodes/2026-04-03.html")
    assert re.search(r'<div class="aired">\s*<div class="beside">', text)
    assert not re.search(r'<div class="aired">\s*<div class="beside">', SITE.text("episodes/2026-04-03.html"))


# --- feed, sitemap, robots -------------------------------------------------------------------------------------------


def test_the_feed_has_what_rfc_4287_requires() -> None:
    """Feed and entry: id, title, updated; an author (RFC 4287, 4.1.1 and 4.1.2); read by an independent parser."""
    feed = feedparser.parse(SITE.pages["feed.xml"])
    assert not feed.bozo and feed.version == "atom10"
    assert feed.feed.title == "Test Bench" and feed.feed.author == "Test Bench" and feed.feed.updated == "2026-04-05T00:00:00Z"
    assert all(entry.id and entry.title and entry.updated and entry.link.startswith(BASE) for entry in feed.entries)
    assert len({entry.id for entry in feed.entries}) == len(feed.entries) == 5


def test_feed_days_are_the_notes_own_and_the_newest_comes_first() -> None:
    feed = feedparser.parse(SITE.pages["feed.xml"])
    assert [entry.updated[:10] for entry in feed.entries] == ["2026-04-05", "2026-04-03", "2026-03-01", "2026-02-03", "2026-02-01"]


def _told(shown: Site) -> dict[str, str]:
    """By title, what a feed reader shows of each entry."""
    return {entry.title: entry.content[0].value for entry in feedparser.parse(shown.pages["feed.xml"]).entries}


def test_a_feed_reader_shows_all_that_was_told_with_its_pictures() -> None:
    """RFC 4287, 4.1.3.3: content of type html is escaped HTML; nothing in it needs the page's address, style or scripts."""
    bare, talk = _told(SITE)["Heron: strip"], _told(SITE)["Episode: Two blues"]
    assert bare.startswith("<p>Stripped it.") and f'src="{BASE}pictures/' in bare and f'src="{BASE}sounds/' in bare
    assert not re.search(r'(?:src|href)="(?!https://|mailto:)|srcset|class=|<picture|<source', bare + talk)
    assert '<a href="https://example.org/watch/1">Watch the episode</a>' in talk and "Disclosure: pickups in heron, gifted" in talk


def test_a_list_of_tasks_in_a_feed_has_its_ticks_without_the_style() -> None:
    listed = {"builds/wren/2026-02-07.md": '---\nstage: strip\n---\n- [x] the top\n- [ ] the back, by `class="x"`\n'}
    assert re.findall(r"<li>(.*?)</li>", _told(site(listed))["Wren: strip"], re.DOTALL)[-2:] == ["☑ the top", "☐ the back, by <code>class=&quot;x&quot;</code>"]


def test_a_feed_without_an_address_leads_from_where_it_lies() -> None:
    bare = _told(site({"shop.md": SHOP.replace("site: https://example.org/bench\n", "")}))["Heron: strip"]
    assert 'src="pictures/' in bare and "../" not in bare


def test_feed_ids_stay_when_the_site_moves() -> None:
    moved = feedparser.parse(site({"shop.md": SHOP.replace("example.org/bench", "elsewhere.example/x")}).pages["feed.xml"])
    assert [e.id for e in moved.entries] == [e.id for e in feedparser.parse(SITE.pages["feed.xml"]).entries]


def test_the_feed_survives_characters_xml_has_not() -> None:
    odd = site({"journal/bulletins/2026-04-05.md": "---\nshowroom: yes\n---\nBell \x07 & <b>\n"})
    ElementTree.fromstring(odd.pages["feed.xml"])


def test_the_sitemap_lists_each_page_once_with_its_whole_address() -> None:
    """sitemaps.org protocol: urlset/url/loc; absolute addresses."""
    names = [loc.text for loc in ElementTree.fromstring(SITE.pages["sitemap.xml"]).iter("{http://www.sitemaps.org/schemas/sitemap/0.9}loc")]
    assert sorted(map(str, names)) == sorted(BASE + path for path in PAGES if path not in ("404.html", "builds/old-heron.html") and not path.startswith(PAPERS))
    assert f"Sitemap: {BASE}sitemap.xml" in SITE.text("robots.txt")


@pytest.mark.parametrize(
    ("written", "address", "read"),
    [
        ("https://Bücher.example/größe", "https://xn--bcher-kva.example/gr%C3%B6%C3%9Fe/", "bücher.example/größe/"),
        ("https://example.org/工房/", "https://example.org/%E5%B7%A5%E6%88%BF/", "example.org/工房/"),
        ("https://example.org/a%20b", "https://example.org/a%20b/", "example.org/a%20b/"),
    ],
)
def test_an_address_in_other_letters_is_one_that_every_program_takes(written, address, read) -> None:
    """sitemaps.org: addresses are escaped as RFC 3986 and 3987 have it. `xn--bcher-kva` is the host's form in RFC 3492 (Punycode), as examples of it have it; escapes: UTF-8, by hand."""
    made = site({"shop.md": SHOP.replace("https://example.org/bench", written)})
    named = [loc.text for loc in ElementTree.fromstring(made.pages["sitemap.xml"]).iter("{http://www.sitemaps.org/schemas/sitemap/0.9}loc")]
    assert f"{address}index.html" in named and f"Sitemap: {address}sitemap.xml" in made.text("robots.txt")
    assert f'<link rel="canonical" href="{address}index.html">' in made.text("index.html")
    assert f"{read}builds/heron.html" in made.text("tags/heron.html").replace("<wbr>", "")


def test_without_an_address_there_is_no_sitemap_and_all_else_works() -> None:
    bare = site({"shop.md": SHOP.replace("site: https://example.org/bench\n", "")})
    assert "sitemap.xml" not in bare.pages and "canonical" not in bare.text("index.html")
    assert not feedparser.parse(bare.pages["feed.xml"]).bozo


# --- weight and sameness ---------------------------------------------------------------------------------------------


def test_a_gallery_of_sixty_is_light() -> None:
    """At most 60 kB of HTML, CSS and script before pictures."""
    many = {f"builds/b{n:02}/build.md": HERON.replace("title: Heron", f"title: Build number {n}").replace("[old-heron]", f"[old{n}]") for n in range(58)}
    photos = frozenset(f"builds/b{n:02}/photos/front.jpg" for n in range(58))
    about = "Old boards come apart here and go together again. " * 9
    shown = site_of(read(many | {"shop.md": SHOP.replace("We take old boards apart.", about)}, ASSETS | photos))
    assert len(shown.view.site.opening) > 190
    assert len(shown.view.builds) == 60 and shown.text("index.html").count("<img") == 59
    assert sum(len(shown.pages[name]) for name in ("index.html", "style.css", "tokens.css", "rack.js")) <= 60_000


def test_the_same_shop_gives_the_same_bytes_on_any_day() -> None:
    assert site(today=date(2026, 5, 21)).pages == site().pages == pages_of(SITE.view, TEMPLATES)


def test_an_empty_shop_has_a_gallery_too() -> None:
    empty = site(dict.fromkeys(FILES, "") | {"shop.md": "---\nname: New\n---\n"})
    assert "Nothing on the rack yet" in empty.text("index.html") and "feed.xml" not in empty.pages


@pytest.mark.parametrize(("stages", "rack", "page"), [(1, "0 of 1 stage", "0 of 1 stage finished"), (2, "0 of 2 stages", "0 of 2 stages finished")])
def test_a_route_of_one_stage_has_no_stages(stages: int, rack: str, page: str) -> None:
    route = ", ".join(f"{{stage: s{n}, hours: 1}}" for n in range(stages))
    made = site(
        {"shop.md": f"---\nname: T\nroutes: {{short: [{route}]}}\n---\n", "builds/wren/build.md": "---\ntitle: Wren\nroute: short\nshowroom: yes\n---\n"}
    )
    assert f"<small>{rack}</small>" in made.text("index.html") and f"<small>{page}</small>" in made.text("builds/wren.html")


def test_words_in_another_language_say_so_and_the_pages_own_stay_english() -> None:
    """WCAG 2.2, 3.1.2 Language of Parts; RFC 5646 for the tag, RFC 4287 (section 2) for the feed's."""
    made = site({"shop.md": SHOP.replace("name:", "language: de_AT\nname:", 1)})
    spoken = 'lang="de-AT"'
    for name in (name for name in made.pages if name.endswith(".html") and name != "builds/old-heron.html"):
        page = html5lib.parse(made.pages[name], namespaceHTMLElements=False)
        held = [element for element in page.iter() if element.get("lang") == "de-AT"]
        words = " ".join(word for element in held for word in element.itertext())
        assert page.get("lang") == "en" and held, name
        assert not re.search(r"\b(On the rack|The log|stages|Where to find|Seen on|For sale|Watch)\b", words), name
    build = made.text("builds/heron.html")
    assert all(part in build for part in (f'itemprop="name" {spoken}>Heron<', f'dir="auto" {spoken}>', f'<span class="stamp" {spoken}>strip<'))
    assert f'<div {spoken}><span class="sound">' in build
    assert f'<li id="post-2026-04-05" {spoken}>' in made.text("bulletins.html")
    assert re.search(rf'<h2 id="coming".*?<li><a [^>]*{spoken}>', made.text("episodes.html"), re.DOTALL)
    assert feedparser.parse(made.pages["feed.xml"]).feed.language == "de-AT"
    assert all(b"lang=" not in re.sub(rb'<html lang="en">', b"", page) for name, page in SITE.pages.items() if name.endswith((".html", ".xml")))
