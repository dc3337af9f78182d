"""What the disk refuses: room, writing, reading. The last good sites stay whole, the next compile succeeds, and nothing is left lying about."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from out_folder import sites
from shop_texts import with_show

from purfle.shell.cli import run

DAY = "2026-05-20"
NO_RIGHT_TO_ALL = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")
"""Before a command: root is refused as anyone is (capabilities(7))."""

CROWDED = str(Path(__file__).with_name("crowded.py"))
SMALL_DISK = 'mount -t tmpfs -o size=4m none "$1" && cp -r "$2" "$1"/shop && exec "$3" "$4" "$1"/shop disk "$5"'


def on_a_small_disk(shop, mount):
    """The crowded compiles on a disk of 4 MB in memory, mounted for this one process; None where that is not allowed (here root's, or a user namespace's, affair)."""
    for own in (["unshare", "--mount"], ["unshare", "--map-root-user", "--mount"]):
        if shutil.which("unshare") and subprocess.run([*own, "mount", "-t", "tmpfs", "none", mount], capture_output=True).returncode == 0:
            return subprocess.run([*own, "sh", "-c", SMALL_DISK, "sh", mount, shop, sys.executable, CROWDED, DAY], capture_output=True, text=True)
    return None


def under_a_limit(shop):
    """The crowded compiles with the kernel's limit on the size of a file, which stands for a full disk anywhere."""
    return subprocess.run([sys.executable, CROWDED, shop, "limit", DAY], capture_output=True, text=True)


def check(said):
    assert said.returncode == 0, said.stderr
    found = json.loads(said.stdout)
    refused = [turn for turn in found if turn["status"] == 1]
    assert len(refused) >= 3 and found[-1]["status"] == 0, found
    assert all(turn["whole"] and not turn["left"] for turn in refused), found
    assert all(turn["again"] == 0 and turn["after"] for turn in found), found
    assert said.stderr.count("could not be written") == len(refused) and "Traceback" not in said.stderr


def test_a_full_disk(made, tmp_path):
    """A real one where it may be mounted; the next test has a limit stand for it anywhere."""
    shop, mount = shutil.copytree(made, tmp_path / "shop"), tmp_path / "disk"
    mount.mkdir()
    said = on_a_small_disk(shop, mount)
    if said is None:
        pytest.skip("no small disk may be mounted here: that is root's affair, or a user namespace's")
    check(said)


def test_no_file_may_grow(made, tmp_path):
    check(under_a_limit(shutil.copytree(made, tmp_path / "shop")))


WITHOUT_ROOM = """
import resource, sys
from purfle.shell.cli import run
resource.setrlimit(resource.RLIMIT_FSIZE, (20, 20))
sys.exit(run(sys.argv[1:]))
"""


@pytest.mark.parametrize(
    "words",
    [
        ["note", "first", "--shop", "."],
        ["lineup", "--keep", "2026-05-29", "--shop", "."],
        ["start", "."],
        ["start", "new"],
        ["year", "2026", "--xlsx", "year.xlsx", "--shop", "."],
    ],
)
def test_no_file_that_is_not_whole_is_left_where_notes_are(made, tmp_path, words):
    shop = tmp_path / "shop"
    if words == ["start", "."]:
        shop.mkdir()
    else:
        with_show(shutil.copytree(made, shop))
    before = {path.relative_to(shop) for path in shop.rglob("*")}
    said = subprocess.run([sys.executable, "-c", WITHOUT_ROOM, *words, "--today", "2026-05-21"], cwd=shop, capture_output=True, text=True)
    assert (said.returncode, "could not be written" in said.stderr, "Traceback" in said.stderr) == (1, True, False), said.stderr
    left = {path.relative_to(shop) for path in shop.rglob("*")} - before
    assert {path.as_posix() for path in left if path.parts[0] != "out"} <= {"journal/episodes", "new"}  # folders


def test_a_note_that_can_not_be_written_or_an_editor_that_can_not_be_understood_is_told(shop, monkeypatch, capsys):
    (shop / "builds/first").chmod(0o555)
    said = refused_as_anyone("note", "first", "--shop", str(shop), "--today", "2026-06-01")
    assert (said.returncode, said.stderr) == (1, "today's note could not be written: Permission denied. What was there before is as it was.\n")
    (shop / "builds/first").chmod(0o755)
    monkeypatch.setenv("VISUAL", 'vi "')
    assert run(["note", "first", "--shop", str(shop), "--today", "2026-06-01"]) == 1
    assert "can't be understood" in capsys.readouterr().err and (shop / "builds/first/2026-06-01.md").exists()


def bound_as_anyone():
    """What stands before a command that may only do what the modes of files allow; its test is skipped where root can't be so bound."""
    bound = NO_RIGHT_TO_ALL if os.geteuid() == 0 else ()
    if bound and not shutil.which(bound[0]):
        pytest.skip("these tests run as root, and util-linux's setpriv, which would bind root by the modes of files, is not here")
    return bound


def refused_as_anyone(*args):
    """A command in a process that may only do what the modes of files allow; skipped where root can't be so bound."""
    return subprocess.run([*bound_as_anyone(), sys.executable, "-m", "purfle.shell", *args], capture_output=True, text=True)


def test_a_workbook_that_may_not_be_written_to_is_not_written_over(shop):
    book = shop / "year.xlsx"
    book.write_text("handed in")
    book.chmod(0o444)
    said = refused_as_anyone("year", "--xlsx", str(book), "--shop", str(shop), "--today", DAY)
    assert (said.returncode, said.stderr) == (1, f"{book} could not be written: Permission denied. What was there before is as it was.\n")
    assert book.read_text() == "handed in" and not [path for path in shop.iterdir() if path.name.startswith(".purfle")]


@pytest.fixture
def shop(made, tmp_path):
    """A compiled shop, with another name since, so that every page has to be written."""
    shop = shutil.copytree(made, tmp_path / "shop")
    assert compiled(shop) == 0
    settings = (shop / "shop.md").read_text("utf-8")
    (shop / "shop.md").write_text(settings.replace("\nname: ", "\nname: New "), "utf-8")
    return shop


def compiled(shop, bound=False):
    words = ("compile", "--quiet", "--shop", str(shop), "--today", DAY)
    return refused_as_anyone(*words) if bound else run([*words])


@pytest.mark.parametrize("closed", ["out", "out/.store", "out/showroom", "out/office"])
def test_a_folder_of_the_output_that_is_read_only(shop, closed):
    before = sites(shop)
    (shop / closed).chmod(0o555)
    said = compiled(shop, bound=True)
    (shop / closed).chmod(0o755)
    assert (said.returncode, "could not be written: Permission denied" in said.stderr, "Traceback" in said.stderr) == (1, True, False)
    assert sites(shop) == before
    assert compiled(shop) == 0 and sites(shop) != before
    assert {path.name for path in (shop / "out").iterdir()} == {"showroom", "office", ".store"} and not (shop / "out/.store/beside").exists()


@pytest.mark.parametrize("closed", ["out/showroom/builds", "out/office/builds", "out/showroom/index.html"])
def test_what_is_read_only_inside_a_site_is_in_nobodys_way(shop, closed):
    (shop / closed).chmod(0o555)
    assert compiled(shop, bound=True).returncode == 0
    (shop / "shop.md").write_text((shop / "shop.md").read_text("utf-8").replace("\nname: ", "\nname: Newer "), "utf-8")
    assert compiled(shop, bound=True).returncode == 0
    assert b"Newer" in (shop / "out/showroom/index.html").read_bytes() and not (shop / "out/.store/beside").exists()


@pytest.mark.parametrize("more", [[], ["--why"]])
def test_a_page_that_may_not_be_read_is_made_anew(shop, more):
    assert compiled(shop) == 0
    page, words = shop / "out/showroom/about.html", (shop / "out/showroom/about.html").read_bytes()
    page.chmod(0)
    said = refused_as_anyone("compile", *more, "--shop", str(shop), "--today", DAY)
    assert (said.returncode, said.stderr) == (0, "") and "out/showroom" in said.stdout
    assert page.read_bytes() == words and page.stat().st_mode & 0o400


@pytest.mark.parametrize("more", [[], ["--why"]])
@pytest.mark.parametrize(
    ("barred", "mode"), [("out/showroom/builds", 0), ("out/showroom/builds", 0o111), ("out/showroom/builds", 0o444), ("out", 0), ("out", 0o444)]
)
def test_a_folder_that_may_not_be_entered_or_read_is_no_fault_of_ours(shop, more, barred, mode):
    assert compiled(shop) == 0
    (shop / barred).chmod(mode)
    said = refused_as_anyone("compile", *more, "--shop", str(shop), "--today", DAY)
    (shop / barred).chmod(0o755)
    assert (said.returncode, "could not be written: Permission denied. What was there before is as it was." in said.stderr) == (1, True), said.stderr


@pytest.mark.parametrize("command", ["compile --why", "week", "lineup", "sheet first"])
def test_a_shop_that_may_be_listed_and_not_entered_is_told(shop, command):
    assert compiled(shop) == 0
    shop.chmod(0o444)
    said = refused_as_anyone(*command.split(), "--shop", str(shop), "--today", DAY)
    shop.chmod(0o755)
    assert (said.returncode, "Permission denied" in said.stderr, "Traceback" in said.stderr) == (1, True, False), said.stderr


@pytest.mark.parametrize("command", ["week", "year", "lineup", "check", "sheet first", "quote first"])
def test_a_shop_that_is_read_only_can_be_asked(made, tmp_path, command):
    shop = shutil.copytree(made, tmp_path / "shop")
    for folder in (shop, shop / "builds", shop / "journal"):
        folder.chmod(0o555)
    said = refused_as_anyone(*command.split(), "--shop", str(shop), "--today", DAY)
    for folder in (shop, shop / "builds", shop / "journal"):
        folder.chmod(0o755)
    assert (said.returncode, said.stderr) == (0, "") and not (shop / "out").exists()


@pytest.mark.parametrize("command", ["check", "compile", "follow", "week", "note first"])
def test_a_shop_to_which_the_way_is_barred_is_no_fault_of_ours(shop, tmp_path, command):
    tmp_path.chmod(0)
    said = refused_as_anyone(*command.split(), "--shop", str(shop), "--today", DAY)
    tmp_path.chmod(0o755)
    assert (said.returncode, "is not a folder" in said.stderr, said.stdout) == (2, True, ""), said.stderr


def test_a_note_that_may_not_be_read_is_told_and_holds_both_sites(shop):
    before = sites(shop)
    (shop / "builds/first/build.md").chmod(0)
    said = compiled(shop, bound=True)
    assert said.returncode == 1 and "file-unreadable" in said.stderr and "Permission denied" in said.stderr
    changed = {path for path, data in sites(shop).items() if before.get(path) != data}
    assert changed == {"out/office/troubles.html"}
    (shop / "builds/first/build.md").chmod(0o644)
    assert compiled(shop) == 0
