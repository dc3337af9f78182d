"""What a command printed is printed again only while nothing it depends on has changed."""

import os
import time
from datetime import date

import pytest

from purfle.shell import answered, stamps
from purfle.shell.cli import run

DAY = date(2026, 5, 20)


@pytest.fixture
def shop(tmp_path):
    (tmp_path / "shop.md").write_text("---\nname: A bench\n---\n", "utf-8")
    long_ago(tmp_path / "shop.md")
    return tmp_path


def long_ago(path):
    """A file whose last change is over; its ctime can't be set, so the clock is what moves in these tests."""
    os.utime(path, ns=(1, 1))


@pytest.fixture
def later(monkeypatch):
    monkeypatch.setattr(stamps.time, "time_ns", lambda now=time.time_ns: now() + 10_000_000_000)


def asked(shop, counter, words=("words",), day=DAY):
    def work():
        counter.append(1)
        print("an answer")
        return 0

    return answered.answer(shop, day, words, work)


def test_the_second_time_nothing_is_worked_out(shop, later, capsys):
    counter = []
    assert asked(shop, counter) == asked(shop, counter) == 0
    assert len(counter) == 1 and capsys.readouterr().out == "an answer\n" * 2


@pytest.mark.parametrize("change", ["note", "sheet deleted", "picture", "template", "mode"])
def test_any_change_to_the_shop_is_a_new_question(shop, later, change):
    (shop / "builds" / "heron").mkdir(parents=True)
    (shop / "builds" / "heron" / "build.md").write_text("---\ntitle: Heron\n---\n", "utf-8")
    counter = []
    asked(shop, counter)
    changes = {
        "note": lambda: (shop / "builds/heron/2026-05-01.md").write_text("---\nstage: strip\n---\n", "utf-8"),
        "sheet deleted": lambda: (shop / "builds/heron/build.md").unlink(),
        "picture": lambda: (shop / "builds/heron/front.jpg").write_bytes(b"x"),
        "template": lambda: ((shop / "site_templates/office").mkdir(parents=True), (shop / "site_templates/office/week.html").write_text("x")),
        "mode": lambda: (shop / "builds/heron/build.md").chmod(0o600),
    }
    changes[change]()
    asked(shop, counter)
    assert len(counter) == 2


def test_the_same_size_and_time_is_still_another_file(shop, later):
    counter = []
    asked(shop, counter)
    (shop / "shop.md").write_text("---\nname: B bench\n---\n", "utf-8")
    long_ago(shop / "shop.md")
    asked(shop, counter)
    assert len(counter) == 2


def test_another_day_and_other_words_are_other_questions(shop, later):
    counter = []
    asked(shop, counter)
    asked(shop, counter, day=date(2026, 5, 21))
    asked(shop, counter, words=("other",))
    assert len(counter) == 3


def test_nothing_is_kept_just_after_a_change(shop):
    counter = []
    asked(shop, counter)
    asked(shop, counter)
    assert len(counter) == 2 and not (shop / "out").exists()


@pytest.mark.parametrize("bytes_", [b"", b"{}", b'{"out": 1, "err": "", "status": 0}', b"\xff", b'{"out": "x", "err": "", "status": 9}'])
def test_a_store_that_is_not_ours_is_passed_over(shop, later, bytes_):
    counter = []
    asked(shop, counter)
    next((shop / "out/.store/answers").iterdir()).write_bytes(bytes_)
    asked(shop, counter)
    assert len(counter) == 2


def test_a_link_in_the_store_is_not_followed(shop, later, tmp_path):
    counter = []
    asked(shop, counter)
    kept = next((shop / "out/.store/answers").iterdir())
    kept.rename(tmp_path / "elsewhere")
    kept.symlink_to(tmp_path / "elsewhere")
    asked(shop, counter)
    assert len(counter) == 2


def test_answers_of_an_older_state_are_dropped(shop, later):
    for n in range(3):
        (shop / "shop.md").write_text(f"---\nname: Bench {n}\n---\n", "utf-8")
        asked(shop, [])
    assert len(list((shop / "out/.store/answers").iterdir())) == 1


def test_a_compile_sees_that_its_site_was_touched(shop, later, capsys):
    words = ["compile", "--shop", str(shop), "--today", "2026-05-20"]
    run(words)
    (shop / "out/office/index.html").write_text("not ours", "utf-8")
    capsys.readouterr()
    run(words)
    assert "out/office: 1 file written" in capsys.readouterr().out
    run(words)
    assert "out/office: nothing changed" in capsys.readouterr().out


def test_why_gives_a_reason_for_every_page(shop, later, capsys):
    words = ["compile", "--why", "--shop", str(shop), "--today", "2026-05-20"]
    run(words)
    assert "out/office/index.html: written: it was not there" in capsys.readouterr().out
    run(words)
    told = capsys.readouterr().out
    pages = [path for path in (shop / "out/office").rglob("*") if path.is_file()]
    assert all(f"out/office/{page.relative_to(shop / 'out/office')}: left alone" in told for page in pages)
