"""Notes written to do harm: nothing runs, nothing climbs out, nothing is obeyed; one shop of them, compiled on a disk and opened in Chromium.

The shapes of the vectors are those of the OWASP XSS Filter Evasion Cheat Sheet (read), each with a payload that would leave a mark on the page.
"""

import csv
import io
import os
import re
import shutil
import socket
import stat
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from browsing import IN_A_BROWSER
from shop_texts import put

from purfle.shell.cli import run

DAY = "2026-05-20"
MARK = "globalThis.ran=1"
VECTORS = (
    f"<SCRIPT>{MARK}</SCRIPT>",
    f"</title></style></textarea></script><svg/onload={MARK}>",
    f'<IMG """><SCRIPT>{MARK}</SCRIPT>">',
    f"<IMG SRC=/ onerror={MARK}>",
    f'" onmouseover="{MARK}" autofocus onfocus="{MARK}',
    f"' onerror='{MARK}",
    f"<svg/onload={MARK}>",
    f"<BODY ONLOAD={MARK}>",
    f"<<SCRIPT>{MARK};//\\<</SCRIPT>",
    f"</script><script>{MARK}</script>",
    f"<iframe srcdoc='<script>parent.{MARK}</script>'>",
    f"<details open ontoggle={MARK}>",
    f"<SCRIPT/X>{MARK}</SCRIPT>",
    f"-->]]><script>{MARK}</script>",
    f"{{{{ cycler.__init__.__globals__ }}}}<b onclick={MARK}>",
    f"<math><mtext></form><mglyph><style></math><img src onerror={MARK}>",
)
LINKS = (
    f"javascript:{MARK}",
    f"JaVaScRiPt:{MARK}",
    f"java\tscript:{MARK}",
    f"&#106;avascript:{MARK}",
    f"&#x6A&#x61;vascript:{MARK}",
    f" &#14; javascript:{MARK}",
    "data:text/html,<script>parent.ran=1</script>",
    f"vbscript:{MARK}",
    f"//evil.example/{MARK}",
    "../../../etc/passwd",
    "file:///etc/passwd",
    "/etc/passwd",
    "%2e%2e/%2e%2e/shop.md",
    "\\\\server\\share",
)
ESCAPES = "\\x1b]0;owned\\x07\\x1b[31m\\u202eevil\\u200b"


def quoted(text):
    """A value in YAML's double quotes; a tab and a backslash written out, escapes of our own left."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t") + '"'


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    """A shop in which every public and private text is a vector."""
    root = tmp_path_factory.mktemp("hostile")
    (root / "secret.txt").write_text("TOP-SECRET")
    shop = root / "shop"
    shop.mkdir()
    (shop / "shop.md").write_text(
        f"---\nname: {quoted(VECTORS[1])}\nplace: {quoted(VECTORS[3])}\nroutes: {{r: [{{stage: strip, hours: 2}}, {{stage: {quoted(VECTORS[6])}, hours: 2}}]}}\nstock: {{items: {{{quoted('=' + VECTORS[0])}: {{unit: can}}}}}}\n---\n\n{VECTORS[0]}\n",
        "utf-8",
    )
    for n, vector in enumerate(VECTORS):
        folder = shop / "builds" / f"b{n}"
        folder.mkdir(parents=True)
        asked = "for_sale: {asking: 100, since: 2026-05-01}\n" if n % 3 == 0 else ""
        (folder / "build.md").write_text(
            f"---\ntitle: {quoted(vector)}\nkind: resale\nroute: r\ninstrument: {quoted(vector)}\nmaker: {quoted(vector)}\nmodel: {quoted(vector)}\nfinish: {quoted(vector)}\nyear: {quoted(vector)}\nserial: {quoted(vector)}\nserial_public: yes\n"
            f"specs: {{tuning: {quoted(vector)}, pickups: [{quoted(vector)}], woods: [{{what: {quoted(vector)}}}], controls: {quoted(vector)}}}\n{asked}"
            f"acquired: {{date: 2026-01-01, how: bought, price: 10, from: a shed}}\nshowroom: yes\n---\n\n{vector}\n\n"
            + "\n\n".join(f"[a link](<{link}>) and ![alt {vector}](<{link}>) and <{link}>" for link in LINKS)
            + "\n",
            "utf-8",
        )
        (folder / "2026-05-01.md").write_text(
            f'---\nstage: strip\nhours: 1\nshots: [{quoted(vector)}]\n---\n\n# {vector}\n\n| a | b |\n|---|---|\n| {vector} | `{vector}` |\n\n```html\n{vector}\n```\n\n[^1]: {vector}\n\n[ref]: {LINKS[0]} "{vector}"\n\n[ref] x[^1]\n',
            "utf-8",
        )
    with (shop / "builds/b0/2026-05-01.md").open("a") as note:
        note.write("\n![a link](linked.jpg)\n")
    (shop / "builds/b0/linked.jpg").symlink_to(root / "secret.txt")
    (shop / "builds/b1/2026-05-02.md").symlink_to(root / "secret.txt")
    os.mkfifo(shop / "builds/b2/2026-05-02.md")
    server = socket.socket(socket.AF_UNIX)
    here = Path.cwd()
    os.chdir(shop / "builds/b3")  # a socket's path has room for 108 bytes
    server.bind("2026-05-02.md")
    os.chdir(here)
    (shop / "journal/episodes").mkdir(parents=True)
    (shop / "journal/episodes/2026-05-05.md").write_text(
        f'---\ntitle: {quoted(VECTORS[9])}\naired: yes\nlink: https://example.org/"onclick={MARK}\nsegments: [{{build: b1, minutes: 3}}]\nshowroom: yes\n---\n\n{VECTORS[0]}\n',
        "utf-8",
    )
    (shop / "journal/2026-05-06.md").write_text(
        f'---\npaid: [{{what: {quoted("=cmd|x!A1")}, cost: 4, kind: tools}}, {{what: {quoted("+1+1")}, cost: 4, kind: tools}}, {{what: {quoted("@SUM(1)")}, cost: 4, kind: tools}}]\nbench: [{{for: shop, hours: 1, what: "{ESCAPES}"}}]\nbought: {{item: {quoted("=" + VECTORS[0])}, qty: 1, cost: 4, for: stock}}\n---\n',
        "utf-8",
    )
    (shop / "journal/bulletins").mkdir()
    (shop / "journal/bulletins/2026-05-07.md").write_text(f"---\nbuild: b1\nshowroom: yes\n---\n\n{VECTORS[3]}\r\nBEGIN:VEVENT\n", "utf-8")
    yield shop
    server.close()


@pytest.fixture(scope="module")
def compiled(hostile):
    """The shop compiled; what is refused is told, and made good as a builder would, so that the rest is published."""
    run(["compile", "--quiet", "--shop", str(hostile), "--today", DAY])
    for name in ("builds/b1/2026-05-02.md", "builds/b0/linked.jpg"):
        (hostile / name).unlink()
    for note in hostile.rglob("*.md"):
        if note.is_file():
            text = note.read_text("utf-8")
            note.write_text(
                re.sub(r"!\[[^\n]*?\]\(<[^\n]*?>\)", "", text).replace("![a link](linked.jpg)", "").replace(f'/"onclick={MARK}', "/x"),
                "utf-8",
            )
    run(["compile", "--quiet", "--shop", str(hostile), "--today", DAY])
    return hostile / "out"


def test_what_climbs_or_is_no_file_is_told_and_never_read(hostile, capsys):
    status = run(["check", "--shop", str(hostile), "--today", DAY])
    said = capsys.readouterr().out
    assert status in (0, 1) and "TOP-SECRET" not in said and "\x1b" not in said and "\u202e" not in said and "\u200b" not in said


def test_both_sites_are_there_and_hold_nothing_from_outside(compiled):
    assert (compiled / "showroom/index.html").exists() and (compiled / "office/index.html").exists()
    assert not [path for path in compiled.rglob("*") if path.is_file() and b"TOP-SECRET" in path.read_bytes()]
    assert not [path for path in compiled.rglob("*") if path.is_symlink()]


def parsed(page):
    import html5lib

    return html5lib.parse(page.read_bytes(), treebuilder="etree", namespaceHTMLElements=False)


def test_no_attribute_or_element_comes_from_a_note(compiled):
    own = {"script", "style"}
    for page in sorted(compiled.rglob("*.html")):
        for element in parsed(page).iter():
            if not isinstance(element.tag, str):
                continue
            assert not [name for name in element.attrib if str(name).casefold().startswith("on")], page
            assert element.tag not in ("iframe", "object", "embed", "base", "math", "mglyph"), page
            assert element.tag not in own or MARK not in (element.text or ""), page
            for name in ("href", "src", "action", "formaction", "srcset"):
                assert not re.match(r"[\s\x00-\x20]*(javascript|vbscript|data|file):", element.attrib.get(name, ""), re.IGNORECASE), (page, element.attrib)


def test_every_page_has_a_policy_without_inline_scripts(compiled):
    for page in sorted(compiled.rglob("*.html")):
        policies = [e.attrib["content"] for e in parsed(page).iter("meta") if e.attrib.get("http-equiv", "").casefold() == "content-security-policy"]
        assert len(policies) == 1, page
        scripts = re.search(r"(?:script-src|default-src) ([^;]*)", policies[0])
        assert scripts and "unsafe-inline" not in re.sub(r"style-src[^;]*", "", policies[0]) and "*" not in scripts[1], (page, policies)


def test_no_cell_of_a_table_is_a_formula(hostile, compiled, capsysbinary):
    for table, vector in (("lines", "cmd|x!A1"), ("builds", "b0"), ("stock", VECTORS[0])):
        assert run(["year", "2026", "--csv", "--table", table, "--shop", str(hostile), "--today", DAY]) == 0
        said = capsysbinary.readouterr().out.decode()
        assert vector in said
        for row in csv.reader(io.StringIO(said)):
            assert not [cell for cell in row if re.match(r"[=+@\t\r]", cell) or (cell.startswith("-") and not re.fullmatch(r"-[\d.]+", cell))], row


def test_feed_and_calendar_stay_what_they_are(compiled):
    import icalendar

    feed = compiled / "showroom/feed.xml"
    assert feed.exists() and {e.tag.rpartition("}")[2] for e in ET.fromstring(feed.read_bytes()).iter()} <= {
        "feed",
        "title",
        "id",
        "updated",
        "link",
        "author",
        "name",
        "entry",
        "content",
        "summary",
        "subtitle",
        "published",
        "category",
        "rights",
    }
    calendar = icalendar.Calendar.from_ical((compiled / "office/calendar.ics").read_bytes())
    assert {part.name for part in calendar.walk()} <= {"VCALENDAR", "VEVENT", "VTODO", "VALARM", "VTIMEZONE", "STANDARD", "DAYLIGHT"}


@pytest.mark.parametrize("name", ["../../x", "..", "/etc/passwd", "-rf", "--help-me", "a/b", "con", "x\x00y", "heron\n"])
def test_a_note_never_lands_outside(hostile, name, capsys, monkeypatch):
    monkeypatch.setenv("EDITOR", "true")
    before = sorted(hostile.parent.rglob("*"))
    assert run(["note", "--shop", str(hostile), "--today", DAY, "--", name]) == 2
    assert sorted(hostile.parent.rglob("*")) == before


@pytest.mark.parametrize("id", ["-rf", "con", "aux", "index", "a b", "x" * 90, "é", "a.b"])
def test_an_id_that_can_not_be_an_address_is_told(tmp_path, id, capsys):
    (tmp_path / "shop.md").write_text("---\nname: s\n---\n")
    (tmp_path / "builds" / id).mkdir(parents=True)
    (tmp_path / "builds" / id / "build.md").write_text("---\ntitle: T\nshowroom: yes\n---\n")
    run(["check", "--shop", str(tmp_path), "--today", DAY])
    assert "file-name-refused" in capsys.readouterr().out


def told(root, files):
    """The codes that `check` tells of a shop with these files, by file."""
    import contextlib
    import json

    put(root, {"shop.md": "---\nname: s\n---\n", **files})
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert run(["check", "--json", "--shop", str(root), "--today", DAY]) in (0, 1)
    return {(trouble["file"], trouble["code"]) for trouble in json.loads(out.getvalue())["troubles"]}


@pytest.mark.parametrize("written", ["281,37", "$281.37", "-281.37"])
def test_an_amount_that_can_not_be_read_yet_is_not_published_by_the_words_that_tell_it(tmp_path, written):
    """What was paid is looked for in public words; until it is read, they wait."""
    bought = f"acquired: {{date: 2026-01-10, how: bought, price: {written}}}\n"
    assert told(tmp_path, {"builds/heron/build.md": sheet(more=bought, words="It came to 281.37 in all.")}) & {
        ("builds/heron/build.md", "amount-unclear"),
        ("builds/heron/build.md", "amount-negative"),
    }
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 1 and not (tmp_path / "out/showroom").exists()


def test_a_note_that_is_not_read_holds_what_might_tell_of_it(tmp_path):
    """A note without a day, or over a link: what it says was paid is looked for nowhere."""
    told(tmp_path, {"builds/heron/build.md": sheet(words="It came to 281.37 in all."), "elsewhere.md": "---\npaid: {what: a thing, cost: 281.37}\n---\n"})
    for name, code in (("2026-13-40.md", "file-date-bad"), ("2026-02-01.md", "file-is-link")):
        note = tmp_path / "builds/heron" / name
        note.symlink_to(tmp_path / "elsewhere.md") if code == "file-is-link" else shutil.copy(tmp_path / "elsewhere.md", note)
        assert told(tmp_path, {}) == {(f"builds/heron/{name}", code)}
        assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 1 and not (tmp_path / "out/showroom").exists()
        note.unlink()


def picture():
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (60, 40), "teal").save(out, "JPEG")
    return out.getvalue()


def sheet(title="T", more="", words=""):
    return f"---\ntitle: {title}\nshowroom: yes\n{more}---\n{words}\n"


def test_folders_alike_are_told(tmp_path):
    found = told(tmp_path, {"builds/heron/build.md": sheet("One"), "builds/Heron/build.md": sheet("Two")})
    assert "file-names-alike" in {code for _, code in found}


def test_a_name_may_have_all_the_letters_that_a_disk_allows(tmp_path):
    long = f"builds/heron/2026-05-01-{'w' * 241}.md"
    assert len(Path(long).name) == 255
    assert not told(
        tmp_path,
        {"builds/heron/build.md": sheet(words=f"![A bass]({'p' * 251}.jpg)"), f"builds/heron/{'p' * 251}.jpg": picture(), long: "---\nbench: []\n---\n"},
    )
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0


@pytest.mark.parametrize("more", ["address: plover\n", "address: PLOVER\n", "was: [plover]\n"])
def test_an_address_of_another_page_is_told(tmp_path, more):
    found = told(tmp_path, {"builds/wren/build.md": sheet("Wren", more), "builds/plover/build.md": sheet("Plover")})
    assert {code for _, code in found} == {"address-taken"}


@pytest.mark.parametrize("address", ["index", "-rf", "../x", "con", "NUL", "com1", "x" * 81, "a b", "é", "a.b"])
@pytest.mark.parametrize("key", ["address: {}\n", "was: [{}]\n"])
def test_an_address_that_can_be_no_page_is_told(tmp_path, key, address):
    assert {code for _, code in told(tmp_path, {"builds/wren/build.md": sheet("Wren", key.format(address))})} == {"address-refused"}


def test_letters_that_take_no_room_are_no_part_of_an_address(tmp_path):
    assert not told(tmp_path, {"builds/wren/build.md": sheet("Wren", "address: 'a\u200bb'\n")})
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0
    assert [page.name for page in (tmp_path / "out/showroom/builds").glob("*.html")] == ["ab.html"]


def test_two_notes_whose_names_differ_by_how_an_accent_is_stored(tmp_path):
    note = "---\nstage: strip\n---\n"
    found = told(tmp_path, {"builds/heron/build.md": sheet(), "builds/heron/2026-05-01-caf\u00e9.md": note, "builds/heron/2026-05-01-cafe\u0301.md": note})
    assert "file-names-alike" in {code for _, code in found}


@pytest.mark.parametrize(
    ("written", "stored"),
    [("caf\u00e9", "cafe\u0301"), ("cafe\u0301", "caf\u00e9"), ("ギター", "キ\u3099ター"), ("앞면", "\u110b\u1161\u11c1\u1106\u1167\u11ab")],
)
def test_a_picture_whose_letters_are_stored_otherwise_is_the_one_meant(tmp_path, written, stored):
    """Canonically equivalent names (Unicode Standard Annex #15): a Mac's archive, or a syncing program, may store a name in pieces."""
    names = f"cover: {written}.jpg\nas_found: {written}.jpg\n"
    shown = {f"{place}/{stored}.jpg": picture() for place in ("builds/heron", "journal/episodes")}
    notes = {
        "builds/heron/build.md": sheet("Heron", names, words=f"![A bass]({written}.jpg)"),
        "journal/episodes/2026-05-01.md": f"---\ntitle: T\naired: yes\nshowroom: yes\nstill: {written}.jpg\n---\n",
    }
    assert not told(tmp_path, {**notes, **shown})
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0
    assert all("<img" in (tmp_path / "out/showroom" / page).read_text() for page in ("index.html", "builds/heron.html", "episodes/2026-05-01.html"))


@pytest.mark.parametrize("value", ["!!python/object/apply:os.system ['touch ran']", "!!python/name:os.system", "!include /etc/passwd", "&a [*a]"])
def test_no_tag_or_alias_is_obeyed(tmp_path, monkeypatch, value):
    monkeypatch.chdir(tmp_path)
    found = {code for _, code in told(tmp_path, {"builds/heron/build.md": sheet(value)})}
    assert found & {"yaml-tag", "yaml-anchor"} and not (tmp_path / "ran").exists()


def test_what_looks_like_a_template_is_words(tmp_path):
    words = "{{ 7*7 }} {% include 'shop.md' %} {# gone #} ${7*7} <%= 7*7 %>"
    assert not told(tmp_path, {"builds/heron/build.md": sheet(quoted(words), words=words)})
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0
    page = parsed(tmp_path / "out/showroom/builds/heron.html")
    assert "".join(next(page.iter("h1")).itertext()) == words
    assert "{{ 7*7 }} {% include" in "".join(page.itertext()) and "{# gone #}" in "".join(page.itertext())


@pytest.mark.parametrize("ending", ["mp3", "ogg", "opus", "wav", "flac", "m4a", "jpg", "png", "webp", "heic"])
def test_a_page_under_the_name_of_a_sound_or_picture_is_told_and_holds_the_showroom(tmp_path, ending):
    page = f"<!doctype html><script>{MARK}</script>"
    found = told(tmp_path, {"builds/heron/build.md": sheet(words=f"![A take](take.{ending})"), f"builds/heron/take.{ending}": page})
    assert {code for _, code in found} <= {"sound-unreadable", "picture-unreadable"} and len(found) == 1
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 1 and not (tmp_path / "out/showroom").exists()


@pytest.mark.parametrize("key", ["cover: ../../secret.jpg", "as_found: /etc/passwd", "as_left: ../wren/hidden.jpg"])
def test_a_picture_of_a_sheet_does_not_climb(tmp_path, key):
    found = told(tmp_path, {"builds/heron/build.md": sheet(more=f"{key}\n"), "builds/wren/hidden.jpg": b"x", "secret.jpg": b"x"})
    assert {code for _, code in found} == {"path-climbs"}


def test_a_still_does_not_climb(tmp_path):
    episode = "---\ntitle: E\naired: yes\nshowroom: yes\nstill: ../../builds/wren/hidden.jpg\n---\n"
    found = {code for _, code in told(tmp_path, {"journal/episodes/2026-05-05.md": episode, "builds/wren/hidden.jpg": b"x"})}
    assert found & {"path-climbs", "picture-missing"}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
@pytest.mark.parametrize(
    "name",
    [
        "builds/heron/2026-05-01.md",
        "builds/heron/front.jpg",
        "builds/heron/take.mp3",
        "builds/wren/build.md",
        "journal/2026-05-01.md",
        "site_templates/showroom/about.html",
        "photos/bench.jpg",
    ],
)
@pytest.mark.parametrize("device", [False, True])
def test_no_pipe_or_device_is_opened(tmp_path, name, device):
    """A pipe nobody writes to would be waited for without end, and a device of noughts read without end."""
    words = "![A bass](front.jpg) ![A take](take.mp3)" if name.endswith(("jpg", "mp3")) else ""
    (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
    if device:
        try:
            os.mknod(tmp_path / name, stat.S_IFCHR | 0o600, os.makedev(1, 5))  # /dev/zero, Linux's list of devices
        except (PermissionError, AttributeError):
            pytest.skip("making a device is root's affair")
    else:
        os.mkfifo(tmp_path / name)
    found = told(tmp_path, {"builds/heron/build.md": sheet(words=words)})
    assert {code for _, code in found} <= {"picture-missing", "sound-missing", "build-sheet-missing"}


@pytest.mark.parametrize("mark", ["\u202e", "\u2066", "\u202a"])
def test_no_mark_turns_the_direction_of_a_page(tmp_path, mark):
    """Neither as a letter nor written as an escape in quotes."""
    escaped = f"\\u{ord(mark):04x}"
    found = told(tmp_path, {"builds/heron/build.md": sheet(f'"Heron{escaped} 059"', words=f"It is {mark}059 words.")})
    assert found == {("builds/heron/build.md", "text-turned")}
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0
    assert not [page for page in (tmp_path / "out").rglob("*.html") if page.name != "troubles.html" and mark in page.read_text("utf-8")]


def test_a_calendar_or_feed_is_not_broken_out_of(tmp_path):
    """Line ends in a title would end a property (RFC 5545, 3.1), and ]]> a section of character data."""
    import icalendar

    evil = '"A]]>\\r\\nEND:VEVENT\\r\\nBEGIN:VALARM\\r\\nACTION:AUDIO"'
    files = {
        "shop.md": "---\nname: s\nroutes: {r: [{stage: strip, hours: 2}]}\nshow: {weekday: friday}\n---\n",
        "builds/heron/build.md": sheet(evil, f"route: r\nparts: [{{part: {evil}, cost: 4, ordered: 2026-05-01, eta: 2026-06-01}}]\n", "A]]><script>"),
        "journal/bulletins/2026-05-07.md": "---\nbuild: heron\nshowroom: yes\n---\nA]]><script>x</script>\n",
        "journal/episodes/2026-05-29.md": f"---\ntitle: {evil}\nsegments: [{{build: heron, stage: strip, words: {evil}}}]\npromises: [{{build: heron, do: strip, by: 2026-06-05, words: {evil}}}]\n---\n",
    }
    told(tmp_path, files)
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 0
    text = (tmp_path / "out/office/calendar.ics").read_text("utf-8")
    assert "VALARM" in text.replace("\r\n ", "") and "BEGIN:VALARM" not in text.splitlines() and "ACTION:AUDIO" not in text.splitlines()
    assert {part.name for part in icalendar.Calendar.from_ical(text).walk()} == {"VCALENDAR", "VEVENT"}
    ET.fromstring((tmp_path / "out/showroom/feed.xml").read_bytes())


def test_a_workbook_holds_no_formula_of_the_notes(hostile, compiled, tmp_path):
    import openpyxl

    assert run(["year", "2026", "--xlsx", str(tmp_path / "year.xlsx"), "--shop", str(hostile), "--today", DAY]) == 0
    cells = [cell for page in openpyxl.load_workbook(tmp_path / "year.xlsx") for row in page.iter_rows() for cell in row if cell.value is not None]
    assert [cell for cell in cells if "cmd|x!A1" in str(cell.value)]
    assert not [cell for cell in cells if cell.data_type == "f" and re.search(r"cmd|\+1\+1|script|@", str(cell.value), re.IGNORECASE)]
    assert not [cell for cell in cells if cell.hyperlink and "javascript" in str(cell.hyperlink.target)]


class TestInChromium:
    pytestmark = IN_A_BROWSER

    def test_no_script_of_a_note_runs(self, browser, compiled):
        pages = sorted(compiled.rglob("*.html"))
        assert len(pages) > len(VECTORS) * 2
        for page in pages:
            browser.get(page.as_uri())
            for element in browser.find_elements("css selector", "details summary, a[href^='#']")[:3]:
                browser.execute_script("arguments[0].dispatchEvent(new MouseEvent('mouseover', {bubbles: true})); arguments[0].focus()", element)
            assert browser.execute_script("return globalThis.ran") is None, page

    def test_the_vectors_would_run_in_an_unguarded_page(self, browser, tmp_path):
        pages = put(tmp_path, {f"{n}.html": f"<!doctype html><title>x</title><body>{vector}" for n, vector in enumerate(VECTORS)})
        ran: list[bool] = []
        for patience in (60, 1000, 5000):  # milliseconds: some wait for a frame, which a busy machine is slow to draw
            if sum(ran) < 9:
                ran = [self.runs(browser, pages / f"{n}.html", patience) for n in range(len(VECTORS))]
        assert sum(ran) >= 9, list(zip(ran, VECTORS, strict=True))

    def runs(self, browser, page, patience):
        browser.get(page.as_uri())
        return bool(browser.execute_script("return new Promise(r => setTimeout(() => r(globalThis.ran), arguments[0]))", patience))

    def test_the_pages_policy_stops_an_inline_script(self, browser, compiled):
        browser.get((compiled / "showroom/index.html").as_uri())
        refused = browser.execute_async_script(
            f"""
            const done = arguments[0], refused = [];
            document.addEventListener('securitypolicyviolation', e => refused.push(e.effectiveDirective) < 3 || done(refused.sort()));
            const script = document.createElement('script'), image = new Image();
            script.textContent = '{MARK}';
            image.setAttribute('onerror', '{MARK}');
            image.src = 'none:';
            document.body.append(script, image);
            """
        )
        assert refused == ["img-src", "script-src-attr", "script-src-elem"]  # Content Security Policy 3, 6.1: the picture, its handler, the script
        assert browser.execute_script("return globalThis.ran") is None
