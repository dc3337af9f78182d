"""After any sequence of edits, what a process makes that has compiled before equals what a new one makes, byte for byte."""

import random
import shutil
import struct
import zlib
from contextlib import nullcontext
from datetime import date
from pathlib import Path
from weakref import WeakSet

import pytest
from out_folder import sites as written
from shop_texts import put

from purfle.base import groups
from purfle.base.memo import Memo, told, turn
from purfle.bench import score
from purfle.compile import Analysis
from purfle.pages.site_files import packaged
from purfle.shell.folder import read_folder
from purfle.shell.follow import look
from purfle.shell.make import compile_to_disk
from purfle.shell.twin import Memory
from purfle.sites import Kit, render
from purfle.views.office_troubles import Held

ROOT = Path(__file__).parents[1]
TODAY = date(2026, 5, 20)


@pytest.fixture(autouse=True)
def small_lots(monkeypatch):
    """As many lots of notes in the demo as a large shop has."""
    monkeypatch.setattr(groups, "_LOT", 7)


def _png(grey):
    """One grey pixel (PNG, 11.2: header, data, end)."""
    chunks = ((b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)), (b"IDAT", zlib.compress(bytes((0, grey)))), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks)


PIXEL = _png(20), _png(230)
NAMES = ("builds", "journal", "photos")


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """The whole demo, each of its photos one pixel and few of its past forecasts scored: soon compiled many times, and nothing holds its sites."""
    monkeypatch.setattr(score, "WEEKS", 4)
    shutil.copy(ROOT / "shop.md", tmp_path)
    for name in NAMES:
        shutil.copytree(ROOT / name, tmp_path / name, copy_function=_copied)
    return tmp_path


def _copied(source, target):
    return Path(target).write_bytes(PIXEL[0]) if source.endswith(".jpg") else shutil.copyfile(source, target)


def notes_of(root):
    """All that may be edited, by path."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for name in ("shop.md", *NAMES)
        for path in (root / name, *(root / name).rglob("*"))
        if path.is_file()
    }


def put_back(root, notes):
    """As a builder does who sees that an edit holds the sites."""
    for name in NAMES:
        shutil.rmtree(root / name, ignore_errors=True)
    put(root, notes)


def sites(root, keeping, today=TODAY):
    with turn() if keeping else nullcontext():
        folder = read_folder(root)
        analysis = Analysis(folder.files, folder.assets, today, folder.troubles)
        return render(analysis, Kit({}, {}, packaged("showroom"), packaged("office"), Held()))


def edit(chance, root):
    """One edit as a builder might make it, good or bad."""
    notes = sorted(path for name in ("shop.md", *NAMES) for path in (root / name, *(root / name).rglob("*.md")) if path.is_file())
    note = chance.choice(notes)
    text = note.read_text("utf-8")
    kind = chance.choice(
        (
            "words",
            "words",
            "words",
            "number",
            "line",
            "delete",
            "new",
            "private",
            "broken",
            "title",
            "settings",
            "rename",
            "picture",
            "told picture",
            "copy",
            "sheet",
        )
    )
    if kind == "words":
        note.write_text(text + f"\nSanded it again, {chance.randrange(999)} strokes.\n", "utf-8")
    elif kind == "number":
        note.write_text(text.replace("2", chance.choice("123"), 1), "utf-8")
    elif kind == "line":
        note.write_text(text.replace("hours: 2", "hours: 2.50", 1), "utf-8")
    elif kind == "delete" and note.name not in ("shop.md", "build.md"):
        note.unlink()
    elif kind == "new":
        new = chance.choice(sorted(path for path in (root / "builds").iterdir())) / f"2026-05-{chance.randrange(1, 20):02}-{chance.randrange(99)}.md"
        new.write_text(f"---\nstage: {chance.choice(('strip', 'repair', 'colour', 'setup'))}\nhours: {chance.randrange(1, 9)}\n---\n\nA day's work.\n", "utf-8")
    elif kind == "private":
        note.write_text(text + "\n::: private\nOnly for me.\n:::\n", "utf-8")
    elif kind == "broken":
        note.write_text(text.replace("---", "--- oops [", 1) if chance.random() < 0.3 else text, "utf-8")
    elif kind == "title":
        note.write_text(text.replace("title: ", "title: The ", 1), "utf-8")
    else:
        edit_more(kind, chance, root, note)


def edit_more(kind, chance, root, note):
    """Edits of other files than a note, and of more than one."""
    settings, builds = root / "shop.md", sorted(path for path in (root / "builds").iterdir() if path.is_dir())
    if kind == "settings":
        old, new = chance.choice(
            (("name: ", "name: New "), ("contact: ", "contact: x"), ("margin: ", "margin: 1"), ("hours: ", "hours: 1"), ("cure: ", "cure: 1"))
        )
        settings.write_text(settings.read_text("utf-8").replace(old, new, 1), "utf-8")
    elif kind == "rename" and len(builds) > 1:
        build = chance.choice(builds)
        build.rename(build.with_name(f"{build.name[:20]}-{chance.randrange(99)}"))
    elif kind == "picture":
        picture = chance.choice(builds) / f"{chance.randrange(3)}.png"
        picture.unlink() if picture.exists() and chance.random() < 0.5 else picture.write_bytes(PIXEL[chance.randrange(2)])
    elif kind == "told picture" and note.parent.parent.name == "builds":
        note.write_text(note.read_text("utf-8") + f"\n![What it shows]({chance.randrange(3)}.png)\n", "utf-8")
    elif kind == "copy" and note.name != "build.md":
        shutil.copy(note, note.with_name(f"{note.stem}-again.md"))
    elif kind == "sheet":
        sheet = chance.choice(builds) / "build.md"
        if sheet.exists():
            old, new = chance.choice(
                (
                    ("showroom: yes", "showroom: no"),
                    ("cost: ", "cost: 1"),
                    ("price: ", "price: 2"),
                    ("model: ", "model: Old "),
                    ("---\n\n", "for_sale: {asking: 950}\n---\n\n"),
                )
            )
            sheet.write_text(sheet.read_text("utf-8").replace(old, new, 1), "utf-8")


@pytest.mark.parametrize("seed", range(5))
def test_the_incremental_sites_equal_the_clean_ones(shop, seed):
    """Two sites that are both held are equal without being compared: an edit that holds one is taken back."""
    chance, good, made = random.Random(seed), notes_of(shop), 0
    sites(shop, keeping=True)
    for _ in range(6):
        for _ in range(chance.randrange(1, 3)):
            edit(chance, shop)
        warm, clean = sites(shop, keeping=True), sites(shop, keeping=False)
        assert warm.troubles == clean.troubles
        assert (warm.showroom, warm.office, warm.troubles_page) == (clean.showroom, clean.office, clean.troubles_page)
        if clean.showroom and clean.office:
            good, made = notes_of(shop), made + 1
        else:
            put_back(shop, good)
    assert made >= 2


ELSEWHERE = (
    (
        "shop.md",
        "    - {stage: repair, hours: [1.5, 3, 6], cure: 4 days}\n",
        "    - {stage: wax, hours: 1}\n    - {stage: repair, hours: [1.5, 3, 6], cure: 4 days}\n",
    ),
    ("shop.md", "locale: en_US", "locale: de_DE"),
    ("journal/episodes/2026-05-19-surely.md", "title: Surely yes", "title: Surely no"),
    ("journal/episodes/2026-05-19-surely.md", "minutes: 6}", "minutes: 5}"),
    ("journal/bulletins/2026-05-15-walnut.md", "Two tins", "Three tins"),
    ("builds/lackey/build.md", "title: Lackey", "title: Lackeys"),
    ("builds/lackey/build.md", "showroom: yes", "showroom: no"),
    ("builds/lackey/build.md", "showroom: no", "showroom: yes"),
    ("builds/emerald/build.md", "asking: 890", "asking: 890.00"),
    ("builds/emerald/build.md", "title: Emerald\n", "# a remark, which moves every line below it\ntitle: Emerald\n"),
)
"""Edits that are seen on other pages than that of the file they are made in, or hardly seen at all."""


def test_an_edit_reaches_all_pages_that_show_it(shop):
    before = sites(shop, keeping=True)
    for file, old, new in ELSEWHERE:
        text = (shop / file).read_text("utf-8")
        assert text.count(old) >= 1, (file, old)
        (shop / file).write_text(text.replace(old, new, 1), "utf-8")
        warm, clean = sites(shop, keeping=True), sites(shop, keeping=False)
        assert clean.showroom and clean.office and clean != before, (file, old)
        assert warm == clean, (file, old)
        before = clean


@pytest.mark.parametrize("seed", range(2))
def test_what_a_follower_leaves_on_the_disk_is_what_a_compile_would(shop, tmp_path_factory, seed):
    """With looks, twins and pictures kept, as `follow` does it; a compile without troubles begins from nothing, for held sites are those of before."""
    chance, memory, seen, good, both = random.Random(100 + seed), Memory(), None, notes_of(shop), 0
    for number in range(6):
        for _ in range(chance.randrange(1, 3) if number else 0):
            edit(chance, shop)
        seen = look(shop, TODAY, seen)
        with turn():
            made = compile_to_disk(seen.folder, TODAY, memory=memory)
        clean = tmp_path_factory.mktemp("clean") / "shop"
        shutil.copytree(shop, clean, ignore=shutil.ignore_patterns("out") if made.sites.showroom and made.sites.office else None)
        compile_to_disk(read_folder(clean), TODAY)
        assert written(shop) == written(clean)
        if made.sites.showroom and made.sites.office:
            good, both = notes_of(shop), both + 1
        else:
            put_back(shop, good)
    assert both >= 2


def test_another_day_is_another_compile(shop):
    sites(shop, keeping=True)
    tomorrow = date(2026, 5, 21)
    assert sites(shop, True, tomorrow).office == sites(shop, False, tomorrow).office


def test_a_digest_tells_what_equality_does_not():
    from decimal import Decimal

    assert Decimal("1.0") == Decimal("1.00") and told(Decimal("1.0")) != told(Decimal("1.00"))
    assert told(1) != told(True) and told(object()) is None


def test_a_memo_forgets_what_is_not_asked_for():
    memo, made = Memo(), []
    for asked in ("ab", "a", "", "", "a", "ab"):  # a turn that asks for nothing forgets nothing
        with turn():
            for place in asked:
                memo.get(place, 1, lambda place=place: made.append(place))
    assert made == ["a", "b", "b"]


def test_what_was_asked_for_while_a_value_was_made_is_kept_as_long_as_that():
    outer, inner, made = Memo(), Memo(), []
    for given in (1, 1, 1, 1, 2, 3):
        with turn():
            outer.get("whole", given, lambda: [inner.get(part, 0, lambda part=part: made.append(part)) for part in "ab"])
            inner.get("c", 0, lambda: None)
    assert made == ["a", "b"]


def test_what_is_taken_back_is_as_it_was_and_no_more_than_that_is_held():
    class Value:
        """Can be referred to weakly."""

    memo, alive, values = Memo(), WeakSet(), []
    for given in (1, 2, 1, 2, 3, 2, 1, *range(10, 60)):
        with turn():
            value = memo.get("place", given, Value)
            alive.add(value)
            values.append(id(value) if given < 10 else None)
            del value
        assert len(alive) <= 3  # this one, the one before, and what the turn before asked for
    one, two, again, two_again, _, two_anew, *_ = values
    assert (one, two) == (again, two_again) and two_anew == two
    assert len({one, two}) == 2


def test_nothing_is_kept_outside_of_a_turn():
    memo, made = Memo(), []
    for _ in range(2):
        memo.get("a", 1, lambda: made.append(1))
    assert len(made) == 2
