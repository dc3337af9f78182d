"""Reading the shop folder: the named files alone, no link followed, nothing raised."""

import os
import shutil
import time
from pathlib import Path

import pytest

from purfle.notes.frontmatter.text import MOST_BYTES
from purfle.shell import stamps
from purfle.shell.cli import run
from purfle.shell.folder import read_folder
from purfle.shell.paths import find_shop


@pytest.fixture
def shop(tmp_path):
    for name in ("builds/heron/photos", "journal/episodes", "photos/shelf", "src", "tests", "out/office", "site_templates/showroom"):
        (tmp_path / name).mkdir(parents=True)
    files = {
        "shop.md": "s",
        "builds/heron/build.md": "b",
        "builds/heron/photos/front.JPG": "p",
        "journal/2026-03-14.md": "j",
        "photos/shelf/bench.jpg": "p",
        "src/secret.md": "x",
        "out/office/old.md": "o",
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    (tmp_path / "site_templates/showroom/page.html").write_text("t")
    return tmp_path


def test_reads_the_named_places_alone(shop):
    folder = read_folder(shop)
    assert folder.files == {"builds/heron/build.md": b"b", "journal/2026-03-14.md": b"j", "shop.md": b"s"}
    assert folder.assets == {"builds/heron/photos/front.JPG", "photos/shelf/bench.jpg"}
    assert folder.overrides == {"showroom/page.html": b"t"}
    assert folder.troubles == ()


@pytest.mark.parametrize("name", ["Journal", "BUILDS"])
def test_a_folder_of_notes_in_other_letters_is_told(tmp_path, name, capsys):
    shop = tmp_path / "s"
    assert run(["start", str(shop), "--today", "2026-05-20"]) == 0
    asked = ["check", "--shop", str(shop), "--today", "2026-05-20"]
    assert run(asked) == 0
    assert run(["compile", "--shop", str(shop), "--today", "2026-05-20"]) == 0
    if (shop / name).exists():
        pytest.skip("this disk takes both for the same")
    (shop / name).mkdir()
    capsys.readouterr()
    for again in asked, ["compile", *asked[1:]]:
        assert run(again) == 0
        said = capsys.readouterr()
        assert f"{name}  file-out-of-place  warns" in said.out + said.err


@pytest.mark.parametrize(
    ("file", "right"), [("journals/2026-03-15.md", "journal"), ("build/wren/build.md", "builds"), ("journal /2026-03-15-late.md", "journal")]
)
def test_a_folder_of_notes_under_a_near_name_is_told_and_that_of_another_program_is_not(shop, file, right):
    folder = file.partition("/")[0]
    (shop / file).parent.mkdir(parents=True)
    (shop / folder / "README.md").write_text("no note")
    assert read_folder(shop).troubles == ()
    (shop / file).write_text("n")
    (told,) = read_folder(shop).troubles
    assert (told.place.file, told.code) == (folder, "file-out-of-place") and told.mend == f"rename it to {right}, or move what is in it there"


def test_hidden_names_are_passed_over(shop):
    (shop / "builds/.git").mkdir()
    (shop / "builds/.git/x.md").write_text("x")
    (shop / "builds/heron/.2026-03-14.md.swp").write_text("x")
    assert len(read_folder(shop).files) == 3


@pytest.mark.parametrize("name", ["2026-03-14.md~", "2026-03-14.md.~2~", "#2026-03-14.md#", "2026-03-14.md.swp", "front.jpg~"])
@pytest.mark.parametrize("folder", ["builds/heron", "journal", "photos", "site_templates/showroom"])
def test_what_an_editor_puts_beside_a_file_is_nothing_new(shop, folder, name):
    """Emacs' backups and auto-saves (info emacs, Backup Names, Auto Save Files), those of nano -B, and Vim's swap file (:help swap-file) of a hidden name."""
    (shop / folder).mkdir(parents=True, exist_ok=True)
    before = read_folder(shop)
    (shop / folder / name).write_text("as it was")
    assert read_folder(shop) == before


def test_a_folder_of_such_a_name_is_still_read(shop):
    (shop / "builds/heron~").mkdir()
    (shop / "builds/heron~/build.md").write_text("x")
    assert "builds/heron~/build.md" in read_folder(shop).files


@pytest.mark.parametrize("name", ["builds/heron/2026-03-15.md", "builds/wren", "journal/episodes/2026-01-01.md"])
def test_links_to_notes_and_folders_are_told_and_not_followed(shop, tmp_path_factory, name):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "build.md").write_text("secret")
    (shop / name).symlink_to(elsewhere if name.endswith("wren") else elsewhere / "build.md")
    folder = read_folder(shop)
    assert b"secret" not in folder.files.values()
    assert [(t.place.file, t.code) for t in folder.troubles] == [(name, "file-is-link")]


def test_a_linked_top_folder_is_not_followed(shop, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "2026-01-01.md").write_text("secret")
    (shop / "journal").rename(shop / "old")
    (shop / "journal").symlink_to(elsewhere)
    folder = read_folder(shop)
    assert not any(name.startswith("journal") for name in folder.files)
    assert [t.code for t in folder.troubles] == ["file-is-link"]


def test_a_linked_photo_is_no_asset(shop):
    (shop / "builds/heron/photos/back.jpg").symlink_to("/etc/hostname")
    assert "builds/heron/photos/back.jpg" not in read_folder(shop).assets


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_is_never_opened(shop, monkeypatch):
    os.mkfifo(shop / "journal/2026-03-16.md")
    real, opened = os.open, []
    monkeypatch.setattr(os, "open", lambda path, *args, **more: opened.append(str(path)) or real(path, *args, **more))
    files = read_folder(shop).files
    assert "journal/2026-03-14.md" in files and "journal/2026-03-16.md" not in files
    assert any(path.endswith("2026-03-14.md") for path in opened) and not any(path.endswith("2026-03-16.md") for path in opened)


def test_an_unreadable_file_is_told(shop, monkeypatch):
    real = os.open

    def refusing(path, *args, **more):
        if str(path).endswith("2026-03-14.md"):
            raise PermissionError(13, "Permission denied")
        return real(path, *args, **more)

    monkeypatch.setattr(os, "open", refusing)
    folder = read_folder(shop)
    assert [(t.place.file, t.code) for t in folder.troubles] == [("journal/2026-03-14.md", "file-unreadable")]
    assert "shop.md" in folder.files


def test_no_more_is_read_of_a_huge_note_than_tells_that_it_is_huge(shop):
    (shop / "journal/2026-03-14.md").write_bytes(b"x" * (MOST_BYTES + 5000))
    assert len(read_folder(shop).files["journal/2026-03-14.md"]) == MOST_BYTES + 1


def test_a_name_that_is_not_utf8_is_told_and_not_read(shop):
    """A note or a folder that may hold some; a picture no text can name."""
    before = read_folder(shop)
    for name in (b"2026-03-14-\xff.md", b"front-\xff.jpg"):
        (shop / "builds/heron" / os.fsdecode(name)).write_text("x")
    (shop / "builds" / os.fsdecode(b"hero\xf1")).mkdir()
    folder = read_folder(shop)
    assert (folder.files, folder.assets) == (before.files, before.assets)
    assert [(t.place.file, t.code) for t in folder.troubles] == [
        ("builds/hero\\xf1", "file-unreadable"),
        ("builds/heron/2026-03-14-\\xff.md", "file-unreadable"),
    ]


def test_a_shop_with_a_name_that_is_not_utf8_is_checked(shop, capsys):
    (shop / "builds/heron" / os.fsdecode(b"2026-03-14-\xff.md")).write_text("x")
    assert run(["check", "--shop", str(shop), "--today", "2026-05-20"]) == 1
    assert "builds/heron/2026-03-14-\\xff.md  file-unreadable" in capsys.readouterr().out


def test_the_nearest_shop_upward(shop):
    assert find_shop(shop / "builds" / "heron") == shop
    assert find_shop(Path(shop.anchor)) is None


def test_what_is_read_is_watched_and_stamped():
    from purfle.shell.stamps import INPUTS
    from purfle.shell.watch import _WATCHED

    assert {"shop.md", *_WATCHED} == set(INPUTS)


# --- a second look ------------------------------------------------------------------------------------------------------


def settled(monkeypatch):
    """The next look takes all that was written before it for settled; a change of the entry can't be dated back, so the clock is what moves."""
    monkeypatch.setattr(stamps.time, "time_ns", lambda now=time.time_ns: now() + 10_000_000_000)


CHANGES = {
    "words": lambda shop: (shop / "builds/heron/build.md").write_text("c"),
    "new note": lambda shop: (shop / "builds/heron/2026-03-15.md").write_text("n"),
    "new build": lambda shop: ((shop / "builds/wren").mkdir(), (shop / "builds/wren/build.md").write_text("w")),
    "renamed build": lambda shop: (shop / "builds/heron").rename(shop / "builds/plover"),
    "deleted note": lambda shop: (shop / "journal/2026-03-14.md").unlink(),
    "deleted build": lambda shop: shutil.rmtree(shop / "builds/heron"),
    "photo": lambda shop: (shop / "builds/heron/photos/front.JPG").write_bytes(b"q"),
    "template": lambda shop: (shop / "site_templates/showroom/page.html").write_text("u"),
    "settings": lambda shop: (shop / "shop.md").write_text("S"),
    "link": lambda shop: ((shop / "builds/heron/build.md").unlink(), (shop / "builds/heron/build.md").symlink_to(shop / "shop.md")),
    "folder for a note": lambda shop: ((shop / "journal/2026-03-14.md").unlink(), (shop / "journal/2026-03-14.md").mkdir()),
    "nothing": lambda shop: None,
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_second_look_sees_what_a_first_would(shop, monkeypatch, change):
    settled(monkeypatch)
    before = read_folder(shop)
    CHANGES[change](shop)
    again = read_folder(shop, before)
    assert again == read_folder(shop)
    assert (again == before) == (change == "nothing")


def test_what_stands_as_it_did_is_not_opened_again(shop, monkeypatch):
    settled(monkeypatch)
    before = read_folder(shop)
    opened = []
    monkeypatch.setattr("purfle.shell.folder.os.open", lambda path, *more, open=os.open: (opened.append(str(path)), open(path, *more))[1])
    (shop / "builds/heron/build.md").write_text("c")
    read_folder(shop, before)
    assert [path.removeprefix(f"{shop}/") for path in opened if path.endswith(".md")] == ["shop.md", "builds/heron/build.md"]


def test_a_quick_look_sees_the_folders_that_were_named(shop, monkeypatch):
    settled(monkeypatch)
    before = read_folder(shop)
    (shop / "builds/heron/build.md").write_text("c")
    (shop / "journal/2026-03-14.md").write_text("k")
    quick = read_folder(shop, before, {"journal"})
    assert (quick.files["builds/heron/build.md"], quick.files["journal/2026-03-14.md"]) == (b"b", b"k")
    assert read_folder(shop, quick) == read_folder(shop)


def test_a_picture_changed_just_now_is_unsure(shop, monkeypatch):
    first = read_folder(shop)
    assert first.unsure == first.assets
    settled(monkeypatch)
    assert read_folder(shop).unsure == set()


def test_a_file_changed_just_now_is_opened_again(shop, monkeypatch):
    """A later change within the same tick of the file system's clock would leave the same size and time."""
    now, lstat = time.time_ns(), os.lstat
    monkeypatch.setattr(stamps.os, "lstat", lambda path, **more: Standing(lstat(path, **more), now))
    before = read_folder(shop)
    (shop / "builds/heron/build.md").write_text("c")
    assert read_folder(shop, before).files["builds/heron/build.md"] == b"c"


def test_a_file_changed_just_now_and_gone_by_the_next_look_is_missed(shop, monkeypatch):
    now, lstat, note = time.time_ns(), os.lstat, shop / "journal/2026-03-14.md"
    monkeypatch.setattr(stamps.os, "lstat", lambda path, **more: Standing(lstat(path, **more), now if str(path).endswith(note.name) else 0))
    before = read_folder(shop)
    note.unlink()
    assert read_folder(shop, before) == read_folder(shop)


class Standing:
    """What is told of a file by a clock that does not tick."""

    def __init__(self, s, now):
        self.st_mode, self.st_size, self.st_ino, self.st_mtime_ns, self.st_ctime_ns = s.st_mode, s.st_size, s.st_ino, now, now
