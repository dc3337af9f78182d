"""The command line: exit statuses, JSON, pipes, near names; from a new shop to both sites."""

import csv
import io
import json
import os
import random
import shutil
import subprocess
import sys
import time
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from out_folder import tree
from shop_texts import with_show

from purfle.pages.tables import TABLES
from purfle.shell import commands
from purfle.shell.cli import run
from purfle.shell.differing import difference
from purfle.shell.output import locked
from purfle.shell.status import OUR_FAULT

DAY = "2026-05-20"
FULL = Path("/dev/full")


@pytest.fixture
def shop(made, tmp_path):
    return Path(shutil.copytree(made, tmp_path / "shop"))


@pytest.fixture
def purfle(shop, capsys):
    """Runs a command on the shop; gives status, output and error output."""

    def call(*args, at=shop):
        status = run([args[0], "--shop", str(at), "--today", DAY, *args[1:]])
        said = capsys.readouterr()
        return status, said.out, said.err

    return call


def outside(*args, **more):
    """A command in a process of its own, as a user starts it."""
    return subprocess.run([sys.executable, "-m", "purfle.shell", *args], capture_output=True, text=True, timeout=120, **more)


# --- a new shop -------------------------------------------------------------------------------------------------------


def test_a_new_shop_compiles_without_troubles(purfle, shop):
    status, _, err = purfle("compile")
    assert (status, err) == (0, "")
    assert "First build" in (shop / "out/showroom/index.html").read_text()
    assert (shop / "out/office/index.html").is_file()


def test_a_new_shop_has_a_week_a_year_and_a_sheet(purfle):
    assert "strip" in purfle("week")[1]
    assert "materials" in purfle("year")[1]
    assert "120.00" in purfle("sheet", "first")[1]
    assert "asking price" in purfle("quote", "first")[1]


def test_the_week_tells_to_ask_a_customer_before_their_instrument_is_filmed(purfle, shop):
    settings, sheet = with_show(shop) / "shop.md", shop / "builds/first/build.md"
    settings.write_text(settings.read_text("utf-8").replace("{stage: prime,", "{stage: prime, shots: [the ghost],"), "utf-8")

    def film():
        return next(line for line in purfle("week")[1].split("\n") if "the ghost" in line)

    assert film().endswith("last chance")
    sheet.write_text(sheet.read_text("utf-8").replace("kind: resale", "kind: commission"), "utf-8")
    assert film().endswith("last chance, ask the customer first")


def test_the_line_up_begins_with_its_first_episode(purfle, shop):
    """No blank line before it, one between two: as every other answer begins."""
    with_show(shop)
    lines = purfle("lineup", "--weeks", "2")[1].split("\n")
    heads = [number for number, line in enumerate(lines) if ", recorded " in line]
    assert len(heads) == 2 and heads[0] == 0 and lines[heads[1] - 1] == ""


@pytest.mark.parametrize(
    ("name", "says"), [("new shop", "Now: cd 'new shop' && purfle compile,"), (".", "Now: purfle compile,"), ("shop", "Now: cd shop && purfle compile,")]
)
def test_what_to_do_next_can_be_pasted_into_a_shell(tmp_path, monkeypatch, capsys, name, says):
    monkeypatch.chdir(tmp_path)
    assert run(["start", name, "--today", DAY]) == 0
    assert says in capsys.readouterr().out


def test_starting_refuses_to_overwrite(shop, capsys):
    before = tree(shop)
    assert run(["start", str(shop)]) == 2
    assert "already holds shop.md; nothing was written" in capsys.readouterr().err
    assert tree(shop) == before


def test_the_private_block_of_the_example_stays_in(purfle, shop):
    purfle("compile")
    shown = b"".join(tree(shop / "out/showroom").values())
    assert b"a neck worth keeping" in shown and b"is never published" not in shown


def test_compiling_twice_writes_nothing_the_second_time(purfle, shop):
    purfle("compile")
    assert purfle("compile")[1] == "out/showroom: nothing changed\nout/office: nothing changed\n"


def test_why_reads_past_a_file_that_is_no_page(purfle, shop):
    assert purfle("compile")[0] == 0
    (shop / "out/showroom/mine.txt").write_bytes(b"caf\xe9")
    assert purfle("compile", "--why")[0] == 0


def test_why_names_what_changed_and_says_of_each_page_why_it_was_written_or_not(purfle, shop):
    first = purfle("compile", "--why")[1].splitlines()
    assert "the last compile is not known" in first and "out/showroom/index.html: written: it is new" in first
    assert "nothing changed since the last compile" in purfle("compile", "--why")[1]
    with (shop / "builds/first/build.md").open("a") as sheet:
        sheet.write("\nMore words.\n")
    (shop / "journal/2026-05-01.md").write_text("Nothing much.\n")
    said = purfle("compile", "--why")[1].splitlines()
    assert [line for line in said if "since the last compile" in line] == [
        "builds/first/build.md: changed since the last compile",
        "journal/2026-05-01.md: new since the last compile",
    ]
    written = said[said.index("out/showroom/style.css: left alone: unchanged, byte for byte") :]
    story = "out/showroom/builds/first.html: written: its content changed: “More words.” is new after “"
    assert [line for line in written if line.startswith(story)]
    assert "out/showroom/style.css: left alone: unchanged, byte for byte" in said
    pages = {path.relative_to(shop).as_posix() for name in ("showroom", "office") for path in (shop / "out" / name).rglob("*") if path.is_file()}
    assert pages == {line.partition(": ")[0] for line in said if line.startswith("out/") and ("written: " in line or "left alone: " in line)}


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("<p>It took 20 h &amp; more</p>", "<p>It took <b>19</b> h &amp; more</p>", "“20” became “19” after “It took”"),
        ("a b c d", "a b c d e", "“e” is new after “b c d”"),
        ("a b c d", "a d", "“b c” is gone after “a”"),
        ("x y", "a b c d e f g h", "“x y” became “a b c d e f …”"),
        ("<p class='a'>one</p><style>p {}</style>", "<p>one</p><script>2 < 3</script>", "it reads the same, only its markup differs"),
    ],
)
def test_what_a_page_says_otherwise_is_told_in_its_words(old, new, told):
    assert difference(old, new) == told


def test_what_changed_is_counted_from_the_last_compile_that_made_both_sites(purfle, shop):
    purfle("compile")
    spoil(shop)
    (shop / "journal/2026-05-01.md").write_text("Nothing much.\n")
    purfle("compile")
    spoil(shop, "hours: soon", "hours: 1:30")
    assert "journal/2026-05-01.md: new since the last compile" in purfle("compile", "--why")[1]


def test_a_new_day_is_told_as_a_change(purfle, shop):
    purfle("compile")
    assert run(["compile", "--quiet", "--shop", str(shop), "--today", "2026-05-21"]) == 0
    assert "the day: changed since the last compile" in purfle("compile", "--why")[1]


def test_a_compile_changes_no_note(purfle, shop):
    before = tree(shop)
    purfle("compile")
    after = tree(shop)
    assert {name: data for name, data in after.items() if not name.startswith("out/")} == before


def test_without_its_store_a_shop_compiles_to_the_same_bytes(purfle, shop):
    purfle("compile")
    before = {**tree(shop / "out/showroom"), **tree(shop / "out/office")}
    shutil.rmtree(shop / "out")
    purfle("compile")
    assert {**tree(shop / "out/showroom"), **tree(shop / "out/office")} == before


# --- troubles ---------------------------------------------------------------------------------------------------------


def spoil(shop, old="hours: 1:30", new="hours: soon"):
    note = shop / f"builds/first/{DAY}-strip.md"
    assert old in note.read_text()
    note.write_text(note.read_text().replace(old, new))


def test_check_says_so_when_all_is_well(purfle):
    assert purfle("check") == (0, "No troubles.\n", "")


def test_check_tells_with_place_and_mend(purfle, shop):
    spoil(shop)
    status, out, _ = purfle("check")
    assert status == 1
    assert out.startswith(f"builds/first/{DAY}-strip.md:4:8  hours-unreadable  stops the books\n    hours: soon")
    assert "\nmend:  write how long it took, such as 2.5, 2:30 or 2h30\n" in out


def test_check_as_json_keeps_its_contract(purfle, shop):
    spoil(shop)
    status, out, _ = purfle("check", "--json")
    answer = json.loads(out)
    assert (status, answer["schema"]) == (1, 1)
    assert set(answer["troubles"][0]) == {"file", "line", "column", "stops", "code", "found", "mend"}


def test_a_warning_stops_nothing(purfle, shop):
    spoil(shop, "stage: strip", "stage: strip\ncolour_of_the_sky: blue")
    status, out, _ = purfle("check")
    assert (status, "key-unknown  warns" in out) == (0, True)


def test_a_template_that_takes_no_place_is_told_and_stops_nothing(purfle, shop):
    own = shop / "site_templates/showroom"
    own.mkdir(parents=True)
    (own / "abuot.html").write_text("Mine")
    status, out, _ = purfle("check", "--json")
    assert (status, [(t["file"], t["code"]) for t in json.loads(out)["troubles"]]) == (0, [("site_templates/showroom/abuot.html", "template-unused")])


def test_held_books_keep_the_last_good_office_but_its_page_of_troubles(purfle, shop):
    purfle("compile")
    before = tree(shop / "out/office")
    spoil(shop)
    status, out, err = purfle("compile")
    after = tree(shop / "out/office")
    assert status == 1
    assert "hours-unreadable" in err
    assert f"out/office: held by troubles; its last good state is from {DAY}" in out
    assert {name for name in after if after[name] != before.get(name)} == {"troubles.html"}
    assert b"hours-unreadable" in after["troubles.html"]


@pytest.mark.parametrize("forgotten", [False, True])
def test_an_office_held_from_its_first_day_opens_with_its_troubles(purfle, shop, forgotten):
    """Whoever opens its first page sees why there is no other, each time anew, and the first good compile puts the week there."""
    settings, index = (shop / "shop.md").read_text(), shop / "out/office/index.html"
    spoil(shop)
    assert purfle("compile")[0] == 1
    if forgotten:
        shutil.rmtree(shop / "out/.store")
    first = index.read_text()
    assert "hours-unreadable" in first and first == (shop / "out/office/troubles.html").read_text()
    (shop / "shop.md").write_text(settings.replace("name: ", "name: [", 1))
    assert purfle("compile")[0] == 1
    assert index.read_text() == (shop / "out/office/troubles.html").read_text() != first
    (shop / "shop.md").write_text(settings)
    shutil.rmtree(shop / "builds")
    assert purfle("compile")[0] == 0
    assert "<h1>The week" in index.read_text()


@pytest.mark.parametrize("site", ["office", "showroom"])
def test_a_last_good_state_that_was_thrown_away_is_none(purfle, shop, site):
    """What is held is not there to be seen, and the office opens with why, as it does where it never was good."""
    purfle("compile")
    (shop / "shop.md").write_text((shop / "shop.md").read_text().replace("name: ", "name: [", 1))
    shutil.rmtree(shop / "out" / site)
    status, out, _ = purfle("compile")
    assert (status, f"out/{site}: held by troubles; it has no good state yet" in out) == (1, True)
    assert (shop / "out" / site / "index.html").exists() == (site == "office")
    other = {"office": "showroom", "showroom": "office"}[site]
    assert f"out/{other}: held by troubles; its last good state is from {DAY}" in out


def test_held_books_let_no_figures_out(purfle, shop):
    spoil(shop)
    for command in (["year"], ["week"], ["sheet", "first"], ["quote", "first"], ["lineup"]):
        status, out, err = purfle(*command)
        assert (status, out) == (1, "")
        assert "hours-unreadable" in err
        status, out, _ = purfle(*command, "--json")
        assert status == 1
        assert json.loads(out)["held"] is True


def test_a_held_showroom_keeps_its_last_good_state(purfle, shop):
    purfle("compile")
    before = tree(shop / "out/showroom")
    (shop / "builds/first/build.md").write_text((shop / "builds/first/build.md").read_text() + "\n![](photos/gone.jpg)\n")
    status, out, _ = purfle("compile")
    assert status == 1
    assert f"out/showroom: held by troubles; its last good state is from {DAY}" in out
    assert tree(shop / "out/showroom") == before


@pytest.mark.parametrize(
    ("now", "why"),
    [
        ("showroom: no", "its sheet does not say showroom: yes"),
        ("showroom: yes\ncommission: {customer: a player}", "the customer has not agreed to its being shown"),
        ("showroom: from 2026-05-21", "it may be shown from 2026-05-21"),
        ("showroom: yes", None),
    ],
)
def test_what_a_held_showroom_still_shows_and_no_longer_may_is_told(purfle, shop, now, why):
    """A customer who takes their consent back must not have to wait for another note's mend without anybody knowing."""
    sheet = shop / "builds/first/build.md"
    text = sheet.read_text()
    assert "showroom: yes" in text
    purfle("compile")
    sheet.write_text(text.replace("showroom: yes", now))
    assert "showroom-outdated" not in purfle("compile")[2]
    assert (shop / "out/showroom/builds/first.html").exists() is (why is None)

    sheet.write_text(text)
    purfle("compile")
    (shop / "builds/held").mkdir()
    (shop / "builds/held/build.md").write_text("---\ntitle: Held\nshowroom: yes\n---\n![](gone.jpg)\n")
    sheet.write_text(text.replace("showroom: yes", now))
    status, _, told = purfle("compile")
    assert status == 1 and (shop / "out/showroom/builds/first.html").exists()
    assert ("showroom-outdated" in told) is (why is not None)
    assert why is None or f"it still shows first, and {why}" in " ".join(told.split())


# --- wrong usage ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["compil"], "compile"),
        (["check", "--today", "2026-02-30"], "there is no day 2026-02-30"),
        (["check", "--today", "20.5.2026"], "write 2026-05-20"),
        (["check", "--shop", "/no/such/folder"], "not a folder"),
        (["sheet"], "ID"),
        (["sheet", "frist"], "did you mean first?"),
        (["quote", "first", "--channel", "moon"], "no channel moon"),
        (["quote", "first", "--resale", "1,450"], "write 1450"),
        (["quote", "first", "--resale", "1.450"], "write 1.45 or 1450, whichever is meant"),
        (["quote", "first", "--margin", "0.35"], "write 35 % or 0.35 %, whichever is meant"),
        (["year", "1999"], "the notes have nothing from 1999"),
        (["year", "26"], "26 is not a year; write one such as 2026"),
        (["year", "last"], "last is not a year; write one such as 2026"),
        (["year", "--json", "--csv"], "combined"),
        (["year", "--xlsx", "builds/first/build.md"], "does not end in .xlsx"),
        (["lineup", "--keep", "2026-05-21"], "no episode is lined up"),
        (["note", "../../x"], "there is no build"),
        (["note", "--", "-rf"], "there is no build -rf"),
    ],
)
def test_wrong_usage_is_status_two_and_says_what_to_do(shop, monkeypatch, capsys, args, says):
    monkeypatch.chdir(shop)
    before = tree(shop)
    assert run(args) == 2
    assert says in capsys.readouterr().err
    assert tree(shop) == before


def test_without_a_shop_it_says_how_to_make_one(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["check"]) == 2
    assert "purfle start DIR" in capsys.readouterr().err


def test_the_shop_is_found_upward(shop, monkeypatch, capsys):
    monkeypatch.chdir(shop / "builds/first")
    assert run(["check", "--today", DAY]) == 0


def test_a_fault_of_our_own_is_neither(shop, monkeypatch, capsys):
    monkeypatch.setattr(commands, "check", lambda *_: 1 / 0)
    assert run(["check", "--shop", str(shop)]) == OUR_FAULT == 70
    assert "purfle itself failed" in capsys.readouterr().err


@pytest.mark.skipif(not FULL.exists(), reason="a device that is always full is a thing of Linux (full(4))")
@pytest.mark.parametrize("args", [["check"], ["year"], ["compile"], ["--help"]])
def test_an_output_that_can_not_be_written_is_told_and_is_no_fault_of_ours(shop, args):
    command = [sys.executable, "-m", "purfle.shell", *args, *([] if args == ["--help"] else ["--shop", str(shop), "--today", DAY])]
    for _ in range(2):  # the second time an answer may be known
        with FULL.open("w") as full:
            said = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True)
        assert (said.returncode, said.stderr) == (1, "What this command prints could not be written: No space left on device.\n")


@pytest.mark.skipif(os.name != "posix", reason="no shell to close a stream with")
@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
def test_a_stream_that_is_closed_is_no_matter(shop, closed):
    """A file opened later must not get its number: what is printed would be written into it."""
    command = [sys.executable, "-m", "purfle.shell", "compile", "--shop", str(shop), "--today", DAY]
    assert subprocess.run(["sh", "-c", f'"$@" {closed}', "sh", *command], stdin=subprocess.DEVNULL).returncode == 0
    assert (shop / "out/.store/lock").read_text("ascii").strip().isdigit()


def test_help_and_version(capsys):
    assert run(["--help"]) == 0
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.endswith("purfle 0.1.0\n")


# --- figures ----------------------------------------------------------------------------------------------------------

YEAR_KEYS = {
    "year",
    "from",
    "to",
    "currency",
    "sales",
    "returns",
    "cost_of_goods_sold",
    "gross_profit",
    "expenses",
    "show_income",
    "other_income",
    "net_profit",
    "hours",
    "profit_per_hour",
    "deposits_held",
    "owed_by_customers",
    "payables",
    "sales_tax",
    "partner_shares_owed",
    "withdrawn",
    "inventory",
    "stock",
    "cash",
    "builds",
    "collection",
}
WEEK_KEYS = {"from", "to", "days", "curing", "film", "order", "feature", "promises", "at_risk", "forecast"}
QUOTE_KEYS = {"cost", "labour", "asking_price", "fees", "profit", "margin", "offer_ceiling"}
BUILD_KEYS = {"id", "kind", "state", "cost", "revenue", "fees", "profit", "margin", "hours", "profit_per_hour", "days_held", "carried"}


def no_floats(value):
    if isinstance(value, dict):
        return all(map(no_floats, value.values()))
    return all(map(no_floats, value)) if isinstance(value, list) else not isinstance(value, float)


@pytest.mark.parametrize(
    ("command", "keys"),
    [(["year"], YEAR_KEYS), (["week"], WEEK_KEYS), (["quote", "first"], QUOTE_KEYS), (["lineup"], {"episodes"}), (["sheet", "first"], BUILD_KEYS)],
)
def test_json_keeps_its_contract(purfle, command, keys):
    status, out, _ = purfle(*command, "--json")
    answer = json.loads(out)
    assert (status, answer["schema"]) == (0, 1)
    assert keys <= set(answer)
    assert no_floats(answer)


def test_the_first_year_of_a_new_shop(purfle):
    """By hand from the example: 120 for the instrument, cans for 29.80 and stripper for 31.00 on the shelf, 10 sheets for 8.50 used up at once."""
    year = json.loads(purfle("year", "--json")[1])
    assert year["cost_of_goods_sold"]["purchases"] == "180.80"
    assert year["cost_of_goods_sold"]["total"] == "8.50"
    assert year["inventory"] == {"instruments": "0.00", "work_in_progress": "120.00", "stock": "60.80", "on_the_way": "0.00"}
    assert year["cash"]["out"] == "189.30"
    assert year["hours"] == "1.50"


@pytest.mark.parametrize("table", TABLES)
def test_csv_is_one_table(shop, table):
    """RFC 4180: lines end in CRLF and have as many fields each."""
    raw = subprocess.run(
        [sys.executable, "-m", "purfle.shell", "year", "--shop", str(shop), "--today", DAY, "--csv", "--table", table], capture_output=True, check=True
    ).stdout
    assert raw.count(b"\n") == raw.count(b"\r\n") > 0
    assert len({len(row) for row in csv.reader(io.StringIO(raw.decode(), newline=""))}) == 1


def test_a_cell_never_becomes_a_formula(purfle, shop):
    build = shop / f"journal/{DAY}.md"
    build.write_text(build.read_text().replace("item: sandpaper", 'item: "=HYPERLINK(1)"'))
    settings = shop / "shop.md"
    settings.write_text(settings.read_text().replace("sandpaper: {unit", '"=HYPERLINK(1)": {unit'))
    purfle("year", "--xlsx", str(shop / "y.xlsx"))
    cells = [cell for sheet in openpyxl.load_workbook(shop / "y.xlsx") for row in sheet.iter_rows() for cell in row]
    assert any(cell.value == "=HYPERLINK(1)" for cell in cells)
    assert not any(cell.data_type == "f" and "HYPERLINK" in cell.value for cell in cells)


def test_the_workbook_says_what_the_year_says(purfle, shop):
    """Read back by openpyxl, another library than the one that wrote it."""
    assert purfle("year", "--xlsx", str(shop / "y.xlsx"))[0] == 0
    book = openpyxl.load_workbook(shop / "y.xlsx", read_only=True, data_only=True)
    figures = {row[0]: row[1] for row in book["year"].iter_rows(values_only=True)}
    year = json.loads(purfle("year", "--json")[1])
    assert Decimal(str(figures["purchases"])) == Decimal(year["cost_of_goods_sold"]["purchases"])
    assert Decimal(str(figures["net profit"])) == Decimal(year["net_profit"])


def test_a_workbook_takes_the_place_of_its_own_name_alone_and_keeps_its_rights(purfle, shop, tmp_path):
    """Whatever the names of its neighbours are, and over a link as any program that saves."""
    (shop / ".y.xlsx.new").write_text("the owner's own")
    (tmp_path / "private.xlsx").write_text("older")
    (tmp_path / "private.xlsx").chmod(0o600)
    (shop / "y.xlsx").symlink_to(tmp_path / "private.xlsx")
    before = tree(shop)
    assert purfle("year", "--xlsx", str(shop / "y.xlsx"))[0] == 0
    assert {path: data for path, data in tree(shop).items() if path != "y.xlsx"} == {path: data for path, data in before.items() if path != "y.xlsx"}
    assert (shop / "y.xlsx").is_symlink() and (tmp_path / "private.xlsx").stat().st_mode & 0o777 == 0o600
    assert openpyxl.load_workbook(tmp_path / "private.xlsx")


# --- notes and episodes -----------------------------------------------------------------------------------------------


def test_note_makes_todays_note_and_opens_it(purfle, shop, monkeypatch):
    monkeypatch.setenv("EDITOR", f"{sys.executable} -c \"import sys; open(sys.argv[1], 'a').write('edited')\"")
    monkeypatch.delenv("VISUAL", raising=False)
    status, _, _ = purfle("note", "FIRST", at=shop)
    notes = sorted(p.name for p in (shop / "builds/first").glob("*.md"))
    assert status == 0
    assert notes == [f"{DAY}-strip.md", "build.md"]
    assert (shop / f"builds/first/{DAY}-strip.md").read_text().endswith("edited")


@pytest.mark.parametrize("command", ["week", "compile", "check"])
def test_a_deleted_folder_is_no_shop(tmp_path, command):
    here = tmp_path / "here"
    here.mkdir()
    code = f"import os, sys; from purfle.shell.entry import main; os.rmdir({str(here)!r}); sys.argv[1:] = [{command!r}]; sys.exit(main())"
    said = subprocess.run([sys.executable, "-c", code], cwd=here, capture_output=True, text=True, timeout=60)
    assert said.returncode == 2 and "there is no shop.md here" in said.stderr


@pytest.mark.parametrize("command", ["compile", "follow", "week"])
def test_a_folder_that_is_no_shop_gets_no_out_of_its_own(tmp_path, command):
    (tmp_path / "letter.txt").write_text("dear")
    assert run([command, "--shop", str(tmp_path)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_note_says_when_the_editor_failed(purfle, shop, monkeypatch):
    monkeypatch.setenv("EDITOR", f"{sys.executable} -c 'raise SystemExit(3)'")
    monkeypatch.delenv("VISUAL", raising=False)
    status, _, said = purfle("note", "first", at=shop)
    assert status == 1 and "ended with 3" in said and f"{DAY}-strip.md" in said


def test_note_knows_a_build_by_its_title_as_the_notes_do(purfle, shop, monkeypatch):
    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    assert purfle("note", "first BUILD")[:2] == (0, f"{shop}/builds/first/{DAY}-strip.md\n")
    assert purfle("note", "first buidl")[0] == 2


def test_a_new_note_is_written_and_compiles_as_it_is(purfle, shop, monkeypatch):
    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    (shop / f"builds/first/{DAY}-strip.md").unlink()
    status, out, _ = purfle("note", "first")
    assert (status, out.strip()) == (0, str(shop / f"builds/first/{DAY}.md"))
    assert purfle("check")[0] == 0


def test_note_opens_what_is_there_and_never_overwrites(purfle, shop, monkeypatch):
    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    before = tree(shop)
    assert purfle("note", "first")[0] == 0
    assert tree(shop) == before


def test_note_does_not_climb_out_over_a_link(purfle, shop, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (shop / "builds/away").symlink_to(tmp_path / "elsewhere")
    assert purfle("note", "away")[0] == 2
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_keeping_a_line_up_writes_an_episode_that_checks(purfle, shop):
    with_show(shop)
    day = json.loads(purfle("lineup", "--json")[1])["episodes"][0]["airs"]
    assert purfle("lineup", "--keep", day)[0] == 0
    kept = (shop / f"journal/episodes/{day}.md").read_bytes()
    assert purfle("check")[0] == 0
    assert b"build: first" in kept


def test_a_link_to_itself_is_no_hindrance_to_a_workbook(purfle, shop):
    (shop / "y.xlsx").symlink_to("y.xlsx")
    assert purfle("year", "--xlsx", str(shop / "y.xlsx"))[0] == 0
    assert not (shop / "y.xlsx").is_symlink() and openpyxl.load_workbook(shop / "y.xlsx")


@pytest.mark.parametrize("linked", ["journal", "journal/episodes"])
def test_keeping_follows_no_link_out_of_the_shop(purfle, shop, tmp_path, linked):
    with_show(shop)
    day = json.loads(purfle("lineup", "--json")[1])["episodes"][0]["airs"]
    (shop / "journal/episodes").mkdir()
    (shop / linked).rename(tmp_path / "elsewhere")
    (shop / linked).symlink_to(tmp_path / "elsewhere")
    before = tree(tmp_path / "elsewhere")
    assert purfle("lineup", "--keep", day)[0] == 1
    assert tree(tmp_path / "elsewhere") == before


def test_a_note_and_an_episode_whose_names_end_in_capitals_are_there(purfle, shop, monkeypatch):
    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    with_show(shop)
    day = json.loads(purfle("lineup", "--json")[1])["episodes"][0]["airs"]
    (shop / f"builds/first/{DAY}-strip.md").rename(shop / f"builds/first/{DAY}.MD")
    (shop / "journal/episodes").mkdir()
    (shop / f"journal/episodes/{day}.MD").write_text("---\ntitle: Mine\n---\n")
    before = tree(shop / "builds"), tree(shop / "journal")
    assert purfle("note", "first")[:2] == (0, f"{shop}/builds/first/{DAY}.MD\n")
    assert purfle("lineup", "--keep", day)[0] == 1
    assert (tree(shop / "builds"), tree(shop / "journal")) == before


def test_keeping_never_overwrites(purfle, shop):
    with_show(shop)
    day = json.loads(purfle("lineup", "--json")[1])["episodes"][0]["airs"]
    (shop / "journal/episodes").mkdir()
    (shop / f"journal/episodes/{day}-mine.md").write_text("---\ntitle: Mine\n---\n")
    before = tree(shop / "journal")
    assert purfle("lineup", "--keep", day)[0] in (1, 2)
    assert tree(shop / "journal") == before


# --- pipes, colour, faults --------------------------------------------------------------------------------------------


def test_a_closed_pipe_is_no_fault(shop):
    fields = subprocess.Popen([sys.executable, "-m", "purfle.shell", "fields"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    fields.stdout.read(10)
    fields.stdout.close()
    assert fields.wait(60) == 0
    assert fields.stderr.read() == b""
    fields.stderr.close()


def test_a_pipe_that_is_closed_in_the_middle_is_no_fault(shop):
    """More than a pipe and a buffer hold (pipe(7): 64 KiB)."""
    code = "import sys\nfrom purfle.shell import commands\nfrom purfle.shell.cli import run\ncommands.fields = lambda schema: [print('x' * 100) for _ in range(9999)]\nsys.exit(run(['fields']))"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as said:
        assert said.stdout.readline() == "x" * 100 + "\n"
        said.stdout.close()
        assert (said.wait(60), said.stderr.read()) == (0, "")


def test_no_colour_into_a_pipe(shop):
    spoil(shop)
    said = outside("check", "--shop", str(shop), "--today", DAY)
    assert said.returncode == 1
    assert "\x1b" not in said.stdout + said.stderr


def test_a_channel_can_give_a_terminal_no_order(purfle, tmp_path):
    """ECMA-48 begins its control sequences with ESC; a name in double quotes may hold one (YAML 1.2, 5.7)."""
    (tmp_path / "odd/builds/heron").mkdir(parents=True)
    (tmp_path / "odd/shop.md").write_text('---\nname: The bench\nchannels: {"\\e[31mfair": {percent: 5}}\n---\n')
    (tmp_path / "odd/builds/heron/build.md").write_text('---\ntitle: Heron\nfor_sale: {asking: 500, where: ["\\e[31mfair"]}\n---\n')
    status, said, _ = purfle("quote", "heron", at=tmp_path / "odd")
    assert status == 0 and "\x1b" not in said
    assert said.startswith("heron: in USD, by \\x1b[31mfair\n")


def coloured(shop, **env):
    """What `check` writes on a terminal of its own."""
    pty = pytest.importorskip("pty")
    master, slave = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "purfle.shell", "check", "--shop", str(shop), "--today", DAY], stdout=slave, env={**os.environ, "TERM": "xterm", **env}
    ):
        os.close(slave)
        said = b""
        try:
            while chunk := os.read(master, 4096):
                said += chunk
        except OSError:  # Linux tells the end of a terminal this way
            pass
    os.close(master)
    return said


def test_no_color_is_honoured_on_a_terminal(shop):
    spoil(shop)
    assert b"\x1b[31m" in coloured(shop, NO_COLOR="")
    assert b"\x1b" not in coloured(shop, NO_COLOR="1")


def test_a_writer_at_work_is_named(purfle, shop):
    with locked(shop / "out"):
        status, _, err = purfle("compile")
    assert status == 1
    assert err.startswith(f"another purfle (process {os.getpid()}) is writing to out/ just now; nothing was written.")


def test_an_out_that_can_not_be_written_is_told(purfle, shop):
    (shop / "out").write_text("a file in the way")
    status, _, err = purfle("compile")
    assert status == 1
    assert "could not be written" in err
    assert "Traceback" not in err
    assert purfle("check")[0] == 0


def test_light_commands_load_nothing_heavy(shop):
    """`fields`, `note` and wrong usage load no imaging, solving, watching or template library."""
    heavy = {"numpy", "ortools", "PIL", "jinja2", "watchdog", "babel", "icalendar", "xlsxwriter", "segno"}
    code = "import sys; from purfle.shell.cli import run; status = run(sys.argv[1:]); print(*{m.split('.')[0] for m in sys.modules}, file=sys.stderr); sys.exit(status)"
    for args, status in ((["fields"], 0), (["note", "first", "--shop", str(shop)], 0), (["sheet"], 2), (["year", "--shop", str(shop), "--today", DAY], 0)):
        said = subprocess.run([sys.executable, "-c", code, *args], capture_output=True, text=True, env={**os.environ, "EDITOR": "true"}, timeout=60)
        assert said.returncode == status and not heavy & set(said.stderr.split()), args


def test_a_killed_compile_leaves_whole_sites(purfle, shop):
    """kill -9 at random moments of a compile: each site is wholly the one before or wholly the one after."""
    states = []
    for hours in ("1:30", "2:30"):
        spoil(shop, "hours: 1:30", f"hours: {hours}")
        purfle("compile")
        states.append((tree(shop / "out/showroom"), tree(shop / "out/office")))
        spoil(shop, f"hours: {hours}", "hours: 1:30")
    chance = random.Random(5)
    for turn in range(8):
        spoil(shop, "hours: 1:30", f"hours: {('1:30', '2:30')[turn % 2]}")
        command = [sys.executable, "-m", "purfle.shell", "compile", "--shop", str(shop), "--today", DAY]
        with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as compile:
            time.sleep(chance.uniform(0.3, 1.2))
            compile.kill()
        assert tree(shop / "out/showroom") in [state[0] for state in states]
        assert tree(shop / "out/office") in [state[1] for state in states]
        spoil(shop, f"hours: {('1:30', '2:30')[turn % 2]}", "hours: 1:30")
    assert purfle("compile")[0] == 0
    assert (tree(shop / "out/showroom"), tree(shop / "out/office")) == states[0]
    assert not (shop / "out/.store/beside").exists()


def test_an_unknown_currency_holds_the_books_and_not_the_showroom(tmp_path, capsys):
    """As its code declares: `currency-unknown` stops the books alone, and no template is blamed for it."""
    (tmp_path / "shop.md").write_text("---\nname: s\ncurrency: QQQ\n---\n", "utf-8")
    sheet = tmp_path / "builds/heron/build.md"
    sheet.parent.mkdir(parents=True)
    sheet.write_text("---\ntitle: Heron\nshowroom: yes\nfor_sale: {asking: 450.5, since: 2026-05-01}\n---\n", "utf-8")
    assert run(["compile", "--quiet", "--shop", str(tmp_path), "--today", DAY]) == 1
    told = capsys.readouterr().err
    assert "currency-unknown" in told and "template-fault" not in told
    assert "450.50" in (tmp_path / "out/showroom/builds/heron.html").read_text("utf-8")


def test_good_figures_are_promised_only_where_there_are_some(purfle, shop):
    spoil(shop)
    assert purfle("year")[2].endswith("The books are held until that is mended.\n")
    spoil(shop, "hours: soon", "hours: 1:30")
    purfle("compile")
    spoil(shop)
    assert purfle("year")[2].endswith("The books are held until that is mended; out/office has the last good figures.\n")


def test_the_line_of_a_template_of_ones_own_is_shown_and_no_line_of_what_is_not_there(purfle, shop):
    about = shop / "site_templates/showroom/about.html"
    about.parent.mkdir(parents=True)
    about.write_text('{% extends "_base.html" %}\n{% block main %}{{ site.nam }}{% endblock %}\n')
    (about.parent / "abut.html").write_text("")
    status, out, _ = purfle("check")
    assert status == 1 and "about.html:2:1  showroom-template-fault  stops the showroom\n    {% block main %}{{ site.nam }}{% endblock %}\n    ^\n" in out
    assert "abut.html  template-unused  warns\nfound:" in out


@pytest.mark.parametrize(("more", "words"), [("", "The episode of Fri 2026-05-15 is not marked as aired"), ("aired: yes\n", None)])
@pytest.mark.parametrize("command", ["week", "lineup"])
def test_an_episode_that_nobody_said_had_aired_is_told_where_its_pieces_are_proposed_again(shop, monkeypatch, capsys, command, more, words):
    monkeypatch.chdir(shop)
    (shop / "journal/episodes").mkdir(parents=True, exist_ok=True)
    (shop / "journal/episodes/2026-05-15.md").write_text(f"---\ntitle: One\n{more}---\n", "utf-8")
    assert run([command, "--today", "2026-05-20"]) == 0
    told = capsys.readouterr().out
    assert words in told if words else "marked as aired" not in told
    assert run([command, "--json", "--today", "2026-05-20"]) == 0
    assert json.loads(capsys.readouterr().out)["unaired"] == (["2026-05-15"] if words else [])
