"""What a command printed is printed again only while nothing it depends on has changed."""

import io
import os
import subprocess
import sys
import time

import pytest

from purfle.shell import entry, stamps
from purfle.shell.answered import Question, question_of
from purfle.shell.copying import answer
from purfle.shell.entry import run
from purfle.shell.terminal import Printer

DAY = "2026-05-20"


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


def asked(shop, counter, words=("week",), day=DAY):
    """Ask as the door does: say again what is known, else work and keep."""

    def work():
        counter.append(1)
        print("an answer")
        return 0

    question = Question(str(shop), day, words)
    said = entry._said_again(question)
    return answer(question, work) if said is None else said


def test_the_second_time_nothing_is_worked_out(shop, later, capsys):
    counter = []
    assert asked(shop, counter) == asked(shop, counter) == 0
    assert len(counter) == 1 and capsys.readouterr().out == "an answer\n" * 2


def test_what_a_narrow_stream_could_not_hold_is_said_again_as_it_was_said(shop, later, monkeypatch):
    def work():
        Printer().line("a walnut é")
        return 0

    said = []
    for _ in range(2):
        stream = io.TextIOWrapper(io.BytesIO(), "ascii")
        monkeypatch.setattr(sys, "stdout", stream)
        question = Question(str(shop), DAY, ("week",))
        known = entry._said_again(question)
        said.append((known, answer(question, work) if known is None else known, stream.flush() or stream.buffer.getvalue()))
    assert said == [(None, 0, b"a walnut \\u00e9\n"), (0, 0, b"a walnut \\u00e9\n")]


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


@pytest.mark.parametrize("name", ["site-packages", "dist-packages"])
def test_a_library_that_is_installed_is_a_new_question(shop, later, tmp_path, monkeypatch, name):
    libraries = tmp_path / name
    libraries.mkdir()
    monkeypatch.setattr(sys, "path", [*sys.path, str(libraries)])
    counter = []
    for moment in (1, 2, 2):
        os.utime(libraries, (moment, moment))
        asked(shop, counter)
    assert len(counter) == 2


def test_another_day_and_other_words_are_other_questions(shop, later):
    counter = []
    asked(shop, counter)
    asked(shop, counter, day="2026-05-21")
    asked(shop, counter, words=("year",))
    asked(shop, counter, words=("year", "--json"))
    assert len(counter) == 4


def test_words_whose_files_have_one_name_are_two_questions(shop, later):
    """A file's name can't hold every word: what it can't hold is compared inside."""
    counter = []
    for words in (("sheet", "a/b"), ("sheet", "a.b"), ("sheet", "a/b" * 99), ("sheet", "a/b" * 98)):
        asked(shop, counter, words)
    assert len(counter) == 4 and len(list((shop / "out/.store/answers").glob("sheet*"))) == 2


def test_nothing_is_kept_just_after_a_change(shop):
    counter = []
    asked(shop, counter)
    asked(shop, counter)
    assert len(counter) == 2 and not (shop / "out").exists()


def test_nothing_is_kept_of_a_change_just_before_a_long_piece_of_work(shop, monkeypatch):
    """What counts is how long the change was past when the folder was looked at, not when the work was done."""
    asked_at = Question(str(shop), DAY, ("week",))
    monkeypatch.setattr(stamps.time, "time_ns", lambda now=time.time_ns: now() + 10_000_000_000)
    answer(asked_at, lambda: 0)
    assert not (shop / "out").exists()


@pytest.mark.parametrize("name", ["seen", "week.said"])
@pytest.mark.parametrize(
    "spoil", [lambda data: b"", lambda data: b"{}", lambda data: b"\xff\n", lambda data: data[1:], lambda data: data[:-1], lambda data: data + b"x"]
)
def test_a_store_that_is_not_ours_is_passed_over(shop, later, name, spoil):
    counter = []
    asked(shop, counter)
    kept = shop / "out/.store/answers" / name
    kept.write_bytes(spoil(kept.read_bytes()))
    asked(shop, counter)
    assert len(counter) == 2


def test_an_answer_to_an_older_look_is_not_an_answer(shop, later):
    """Though a look with the same mark is never drawn again, an answer that came back from elsewhere must not be believed."""
    counter = []
    asked(shop, counter)
    kept = shop / "out/.store/answers/week.said"
    old = kept.read_bytes()
    (shop / "shop.md").write_text("---\nname: Another\n---\n", "utf-8")
    asked(shop, counter)
    kept.write_bytes(old)
    asked(shop, counter)
    assert len(counter) == 3


@pytest.mark.parametrize("name", ["seen", "week.said"])
def test_a_link_in_the_store_is_not_followed(shop, later, tmp_path, name):
    counter = []
    asked(shop, counter)
    kept = shop / "out/.store/answers" / name
    kept.rename(tmp_path / "elsewhere")
    kept.symlink_to(tmp_path / "elsewhere")
    asked(shop, counter)
    assert len(counter) == 2


def test_answers_of_an_older_state_are_dropped(shop, later):
    for n in range(3):
        (shop / "shop.md").write_text(f"---\nname: Bench {n}\n---\n", "utf-8")
        asked(shop, [], words=("sheet", str(n)))
    assert sorted(p.name for p in (shop / "out/.store/answers").iterdir()) == ["seen", "sheet-2.said"]


def test_not_more_answers_are_kept_than_a_shop_has_use_for(shop, later):
    for n in range(70):
        asked(shop, [], words=("sheet", str(n)))
    assert len(list((shop / "out/.store/answers").iterdir())) <= 66


# --- the door -----------------------------------------------------------------------------------------------------------


def put(*args):
    question = question_of(list(args))
    return question and (question.root, question.day, question.words)


def test_the_shop_and_the_day_are_found_wherever_they_are_said(shop, monkeypatch):
    monkeypatch.chdir(shop.parent)
    known = (str(shop), DAY, ("year", "2026", "--json"))
    assert put("year", "2026", "--json", "--shop", str(shop), "--today", DAY) == known
    assert put("year", f"--shop={shop}", "2026", f"--today={DAY}", "--json") == known
    assert put("year", "--today", DAY, "2026", "--shop", f"./{shop.name}/", "--json") == known
    (shop / "builds").mkdir()
    monkeypatch.chdir(shop / "builds")
    assert put("year", "2026", "--json", "--today", DAY) == known
    assert put("week")[1] == time.strftime("%Y-%m-%d")


@pytest.mark.parametrize(
    "args", [[], ["check"], ["follow"], ["note", "heron"], ["--help"], ["sheet", "--", "--shop"], ["week", "--shop", "a/../b"], ["week", "--shop"], ["week", "--today", "1st of May"]]
)  # fmt: skip
def test_what_is_not_put_plainly_is_left_to_the_command(shop, monkeypatch, args):
    monkeypatch.chdir(shop)
    assert put(*args) is None


def test_a_folder_that_is_gone_is_the_command_s_to_tell(tmp_path, monkeypatch, capsys):
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    assert entry._asked(["week"]) is None


def test_an_answer_is_kept_only_for_the_shop_that_was_asked(shop, later, tmp_path, capsys):
    """An option's value that looks like --shop misleads the door; the command knows better, and keeps nothing."""
    other = tmp_path / "other"
    other.mkdir()
    assert run(["quote", "x", "--channel", f"--shop={other}", "--shop", str(shop), "--today", DAY]) == 2
    assert not (other / "out").exists()


def test_a_command_says_the_same_again(shop, later, capsys):
    words = ["year", "--shop", str(shop), "--today", DAY]
    said = [(run(words), capsys.readouterr()) for _ in range(2)]
    assert said[0] == said[1] and (shop / "out/.store/answers/year.said").exists()


@pytest.mark.parametrize("more", [["--csv"], ["--xlsx", "x.xlsx"], ["--help"], ["1899"]])
def test_what_writes_or_is_wrong_is_not_kept(shop, later, tmp_path, monkeypatch, more):
    monkeypatch.chdir(tmp_path)
    run(["year", *more, "--shop", str(shop), "--today", DAY])
    assert not (shop / "out/.store/answers").exists()


_DOOR = """
import sys, time
old, now = set(sys.modules), time.time_ns
time.time_ns = lambda: now() + 10_000_000_000
from purfle.shell.entry import run
run(sys.argv[1:])
print(*sorted(set(sys.modules) - old), file=sys.stderr)
"""


def test_nothing_is_loaded_to_say_an_answer_again(shop):
    """Speed as a list of modules, which no machine's load can change: those of the door, and none that they would bring along."""
    for _ in range(2):
        said = subprocess.run([sys.executable, "-c", _DOOR, "year", "--shop", str(shop), "--today", DAY], capture_output=True, text=True, timeout=60)
        assert said.stdout.startswith("2026: ")
    door = {"purfle", "purfle.shell", *(f"purfle.shell.{name}" for name in ("answered", "beside", "entry", "manner", "opening", "stamps"))}
    assert set(said.stderr.split()) - {"gc"} == door
