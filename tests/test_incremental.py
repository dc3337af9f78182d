"""After any sequence of edits, what a process makes that has compiled before equals what a new one makes, byte for byte."""

import random
import shutil
from datetime import date
from pathlib import Path

import pytest

from purfle.base.memo import Memo, told
from purfle.compile import Analysis, Kit, render
from purfle.pages.templates import packaged
from purfle.shell.folder import read_folder
from purfle.views.office_troubles import NEVER_HELD

ROOT = Path(__file__).parents[1]
TODAY = date(2026, 5, 20)
BUILDS = ("burnet", "ghost", "ermine", "muslin")


@pytest.fixture
def shop(tmp_path):
    """Four of the demo's builds with the whole journal: small enough to compile many times."""
    shutil.copy(ROOT / "shop.md", tmp_path)
    shutil.copytree(ROOT / "journal", tmp_path / "journal")
    for build in BUILDS:
        shutil.copytree(ROOT / "builds" / build, tmp_path / "builds" / build, ignore=shutil.ignore_patterns("*.jpg", "*.png", "*.wav"))
    return tmp_path


@pytest.fixture(autouse=True)
def forgetting():
    yield
    Memo.keeping = False


def sites(root, keeping, today=TODAY):
    Memo.keeping = keeping
    folder = read_folder(root)
    analysis = Analysis(folder.files, folder.assets, today, folder.troubles)
    made = render(analysis, Kit({}, {}, packaged("showroom"), packaged("office"), NEVER_HELD))
    return made


def edit(chance, root):
    """One edit as a builder might make it, good or bad."""
    notes = sorted(root.rglob("*.md"))
    note = chance.choice(notes)
    text = note.read_text("utf-8")
    kind = chance.choice(("words", "words", "words", "number", "line", "delete", "new", "private", "broken", "title"))
    if kind == "words":
        note.write_text(text + f"\nSanded it again, {chance.randrange(999)} strokes.\n", "utf-8")
    elif kind == "number":
        note.write_text(text.replace("2", chance.choice("123"), 1), "utf-8")
    elif kind == "line":
        note.write_text(text.replace("hours: 2", "hours: 2.50", 1), "utf-8")
    elif kind == "delete" and note.name not in ("shop.md", "build.md"):
        note.unlink()
    elif kind == "new":
        new = root / "builds" / chance.choice(BUILDS) / f"2026-05-{chance.randrange(1, 20):02}-{chance.randrange(99)}.md"
        new.write_text(f"---\nstage: {chance.choice(('strip', 'repair', 'colour', 'setup'))}\nhours: {chance.randrange(1, 9)}\n---\n\nA day's work.\n", "utf-8")
    elif kind == "private":
        note.write_text(text + "\n::: private\nOnly for me.\n:::\n", "utf-8")
    elif kind == "broken":
        note.write_text(text.replace("---", "--- oops [", 1) if chance.random() < 0.3 else text, "utf-8")
    elif kind == "title":
        note.write_text(text.replace("title: ", "title: The ", 1), "utf-8")


@pytest.mark.parametrize("seed", range(3))
def test_the_incremental_sites_equal_the_clean_ones(shop, seed):
    chance = random.Random(seed)
    sites(shop, keeping=True)
    for _ in range(4):
        for _ in range(chance.randrange(1, 4)):
            edit(chance, shop)
        warm, clean = sites(shop, keeping=True), sites(shop, keeping=False)
        assert warm.troubles == clean.troubles
        assert (warm.showroom, warm.office, warm.troubles_page) == (clean.showroom, clean.office, clean.troubles_page)


def test_another_day_is_another_compile(shop):
    sites(shop, keeping=True)
    tomorrow = date(2026, 5, 21)
    assert sites(shop, True, tomorrow).office == sites(shop, False, tomorrow).office


def test_a_digest_tells_what_equality_does_not():
    from decimal import Decimal

    assert Decimal("1.0") == Decimal("1.00") and told(Decimal("1.0")) != told(Decimal("1.00"))
    assert told(1) != told(True) and told(object()) is None


def test_a_memo_forgets_what_is_not_asked_for():
    Memo.keeping = True
    memo, made = Memo(), []
    for asked in ("a", None, None, "a"):
        memo.turn()
        if asked:
            memo.get(asked, lambda: made.append(1))
    assert len(made) == 2
