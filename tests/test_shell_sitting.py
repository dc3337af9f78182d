"""A real `purfle follow`, from its first line to its last: midnight changes the day, and Ctrl-C or a polite kill ends it cleanly at any moment."""

import contextlib
import errno
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from datetime import date

import pytest
from out_folder import strays
from test_shell_refused import bound_as_anyone

from purfle.shell import cli, commands
from purfle.shell import sitting as sitting_module
from purfle.shell.cli import run
from purfle.shell.follow import look
from purfle.shell.output import locked
from purfle.shell.preview import State
from purfle.shell.sitting import Sitting
from purfle.shell.terminal import Printer

DAY = "2026-05-20"
INTERRUPTED = (130, -signal.SIGINT)
"""The interpreter may end itself by the signal, all being put away, when Ctrl-C fell in code made from text or in its own last moments; a shell shows 130 for both."""
FOLLOW = ["follow", "--office-port", "0", "--showroom-port", "0"]
JUST_BEFORE_MIDNIGHT = """
import sys, time
from datetime import date, datetime, timedelta
from purfle.shell import cli, follow, sitting

start, began = datetime(2026, 5, 20, 23, 59, 58), []


class Clock(datetime):
    "Stands still until the first compile is done."

    @classmethod
    def now(cls, tz=None):
        return start + timedelta(seconds=time.monotonic() - began[0] if began else 0)


def rest(*asked):
    began.append(time.monotonic())
    resting(*asked)


class Day(date):
    @classmethod
    def today(cls):
        return Clock.now().date()


resting, follow._rest = follow._rest, rest
follow.datetime, sitting.datetime, sitting.date = Clock, Clock, Day
follow._LOOK_ANYWAY = 600.0  # so that it is midnight itself that wakes it
sys.exit(cli.run(sys.argv[1:]))
"""


@pytest.fixture
def shop(tmp_path):
    root = tmp_path / "shop"
    assert run(["start", str(root), "--today", DAY]) == 0
    return root


@contextlib.contextmanager
def running(*command, bound=()):
    """A process that does not outlive its test, whatever the test comes to."""
    with subprocess.Popen(
        [*bound, sys.executable, "-u", *command], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, "NO_COLOR": "1"}
    ) as process:
        patience = threading.Timer(90, process.kill)
        patience.start()
        try:
            yield process
        finally:
            patience.cancel()
            process.kill()


def following(shop, *more, code=None, bound=()):
    return running(*(("-c", code) if code else ("-m", "purfle.shell")), *FOLLOW, "--shop", str(shop), *more, bound=bound)


def read_to(sitting, words):
    """The first line that holds the words."""
    for line in sitting.stdout:
        if words in line:
            return line
    raise AssertionError(f"it ended without saying {words!r}: {sitting.stderr.read()}")


def check_left_clean(shop):
    """Nothing lies about, nobody holds the lock, and the shop compiles."""
    assert not strays(shop)
    with locked(shop / "out"):
        pass
    assert {path.name for path in (shop / "out").iterdir()} <= {".store", "showroom", "office"}
    assert run(["compile", "--quiet", "--shop", str(shop), "--today", DAY]) == 0


HANGS_UP = [] if signal.getsignal(signal.SIGHUP) is signal.SIG_IGN else [signal.SIGHUP]  # passed over under nohup, by its children too


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM, *HANGS_UP])
@pytest.mark.parametrize("after", ["Ctrl-C ends it.", "pages changed: showroom"])
def test_ctrl_c_a_polite_kill_and_a_closed_window_end_it(shop, end, after):
    """At once after the ports are open, so before the first compile or in it, which then comes to its end; and at rest."""
    with following(shop, "--today", DAY) as sitting:
        read_to(sitting, after)
        sitting.send_signal(end)
        out, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")
    assert out.endswith("Ended.\n")
    assert len({(shop / "out" / name / "index.html").exists() for name in ("showroom", "office")}) == 1
    check_left_clean(shop)


@pytest.mark.parametrize("pause", [0.0, 0.05, 0.2])
def test_ctrl_c_twice_ends_it_at_once(shop, pause):
    with following(shop, "--today", DAY) as sitting:
        read_to(sitting, "Ctrl-C ends it.")
        time.sleep(pause)
        sitting.send_signal(signal.SIGINT)
        time.sleep(0.1)
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert sitting.returncode in (0, *INTERRUPTED) and not err.strip()
    check_left_clean(shop)


@pytest.mark.parametrize("pause", [0.0, 0.1, 0.3, 0.5])
def test_ctrl_c_in_a_compile_leaves_whole_sites_and_no_traceback(shop, pause):
    with running("-m", "purfle.shell", "compile", "--quiet", "--shop", str(shop), "--today", DAY) as compile:
        while not (shop / "out/.store/lock").exists() and compile.poll() is None:
            time.sleep(0.001)
        time.sleep(pause)
        compile.send_signal(signal.SIGINT)
        err = compile.communicate(timeout=60)[1]
    assert compile.returncode in (0, *INTERRUPTED) and not err.strip()
    check_left_clean(shop)


def test_ctrl_c_where_python_can_raise_nothing_is_not_lost():
    """The interpreter prints what a weak reference's callback raises and goes on (library reference, `weakref.ref`); so would a compile."""
    code = """
import signal, sys, weakref
from purfle.shell import entry
signal.signal(signal.SIGINT, signal.default_int_handler)  # as at a terminal: what runs in the background may have been told to ignore it
class Thing: pass
def work(args):
    thing = Thing()
    kept = weakref.ref(thing, lambda _: signal.raise_signal(signal.SIGINT))
    del thing
    while True: pass
entry.run = work
entry.main()
"""
    with running("-c", code) as process:
        err = process.communicate(timeout=60)[1]
    assert process.returncode in INTERRUPTED and "ignored" not in err


@pytest.mark.parametrize("where", ["question_of", "run"])
def test_ctrl_c_before_there_is_anybody_to_take_it_shows_no_traceback(where):
    """While a shop is looked at, or the command line is being loaded."""
    code = f"""
import signal
from purfle.shell import entry
signal.signal(signal.SIGINT, signal.default_int_handler)
entry.{where} = lambda *_: signal.raise_signal(signal.SIGINT)
entry.main()
"""
    with running("-c", code, "week") as process:
        err = process.communicate(timeout=60)[1]
    assert (process.returncode, err) == (130, "")


def test_it_recovers_by_itself(shop):
    """From a trouble mended, an output folder taken away, a file in its place, a shop moved away and back."""
    note, out = next((shop / "builds/first").glob("*strip.md")), shop / "out"
    words = note.read_text("utf-8")
    with following(shop, "--today", DAY) as sitting:
        first = [sitting.stdout.readline() for _ in range(3)]
        assert [line.rpartition(":")[0] for line in first[:2]] == ["office    http://127.0.0.1", "showroom  http://127.0.0.1"]
        assert first[2] == "Ctrl-C ends it.\n"
        read_to(sitting, "pages changed: showroom")
        note.write_text(words.replace("1:30", "soon"), "utf-8")
        read_to(sitting, "hours-unreadable")
        shutil.rmtree(out)
        note.write_text(words.replace("1:30", "2:30"), "utf-8")
        read_to(sitting, "pages changed: showroom")
        assert (out / "showroom/index.html").exists()
        shutil.rmtree(out)
        out.write_text("in the way")
        note.write_text(words.replace("1:30", "3:30"), "utf-8")
        read_to(sitting, "out/ could not be written")
        out.unlink()
        read_to(sitting, "pages changed: showroom")
        shop.rename(shop.with_name("away"))
        read_to(sitting, "is gone; waiting for it to come back")
        shop.with_name("away").rename(shop)
        note.write_text(words, "utf-8")
        read_to(sitting, "pages changed")
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")
    check_left_clean(shop)


def test_an_output_folder_that_is_barred_for_a_while_ends_nothing(shop):
    with following(shop, "--today", DAY, bound=bound_as_anyone()) as sitting:
        read_to(sitting, "pages changed: showroom")
        (shop / "out").chmod(0)
        read_to(sitting, "out/ could not be written: Permission denied")
        (shop / "out").chmod(0o755)
        read_to(sitting, "nothing changed")
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")
    check_left_clean(shop)


def over_the_pages(port_line):
    """What a page is told just now."""
    with urllib.request.urlopen(port_line.split()[1] + ".purfle/state?since=-1") as answer:
        return json.load(answer)["troubles"]


def test_while_another_writes_it_tries_again_says_so_over_the_pages_and_needs_no_save(shop):
    note = next((shop / "builds/first").glob("*strip.md"))
    with following(shop, "--today", DAY) as sitting:
        pages = [read_to(sitting, site) for site in ("office", "showroom")]
        read_to(sitting, "pages changed: showroom")
        with locked(shop / "out", keeps_twins=True):
            note.write_text(note.read_text("utf-8").replace("1:30", "2:30"), "utf-8")
            assert "another purfle" in (said := read_to(sitting, "is writing to out/ just now")) and "tried again" in said
            for page in pages:
                (told,) = over_the_pages(page)
                assert told["code"] == "not-compiled" and f"process {os.getpid()}" in told["found"] and "tried again" in told["mend"]
        read_to(sitting, "pages changed: office")
        assert [over_the_pages(page) for page in pages] == [[], []]
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")
    check_left_clean(shop)


def test_a_shop_that_is_gone_is_told_over_the_pages(shop):
    with following(shop, "--today", DAY) as sitting:
        page = read_to(sitting, "office")
        read_to(sitting, "pages changed: showroom")
        shop.rename(shop.with_name("away"))
        read_to(sitting, "is gone; waiting for it to come back")
        assert [told["code"] for told in over_the_pages(page)] == ["shop-gone"]
        shop.with_name("away").rename(shop)
        read_to(sitting, "nothing changed")
        assert over_the_pages(page) == []
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")


def test_one_that_ends_takes_no_twins_away_while_another_is_at_work(shop):
    """They may be the other's, which is just building its next site from them."""
    with following(shop, "--today", DAY) as sitting:
        read_to(sitting, "pages changed: showroom")
        with locked(shop / "out", keeps_twins=True) as output:
            output.twins.mkdir()
            sitting.send_signal(signal.SIGINT)
            _, err = sitting.communicate(timeout=60)
            assert output.twins.exists()
    assert (sitting.returncode, err) == (0, "")


def test_the_same_failure_of_the_same_notes_is_said_once(shop, monkeypatch, capsys):
    def full(*_, **__):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(sitting_module, "compile_to_disk", full)
    sitting = Sitting(shop, Printer(sys.stdout), (State(), State()))
    first = look(shop, date(2026, 5, 20))
    assert not any(sitting.compile_it(first) for _ in range(5))
    assert capsys.readouterr().out.count("No space left on device") == 1
    assert not sitting.compile_it(look(shop, date(2026, 5, 21)))  # what was saved since is not passed over in silence
    assert capsys.readouterr().out.count("No space left on device") == 1


def test_a_folder_taken_away_in_the_middle_of_a_compile_is_spoken_of_only_if_that_goes_on(shop, monkeypatch, capsys):
    def taken_away(*_, **__):
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT))

    monkeypatch.setattr(sitting_module, "compile_to_disk", taken_away)
    sitting = Sitting(shop, Printer(sys.stdout), (State(), State()))
    first = look(shop, date(2026, 5, 20))
    assert not any(sitting.compile_it(first) for _ in range(sitting_module._PATIENCE))
    assert capsys.readouterr().out == ""
    assert not sitting.compile_it(first)
    assert capsys.readouterr().out.count("No such file or directory") == 1


def test_a_trouble_of_a_whole_file_is_told_over_the_pages_by_the_file_alone(shop):
    (shop / "builds/first/2026-02-30.md").write_text("no such day\n", "utf-8")
    sitting = Sitting(shop, Printer(sys.stdout), (State(), State()))
    assert sitting.compile_it(look(shop, date(2026, 5, 20)))
    assert [told["where"] for told in sitting.states[0].troubles if told["code"] == "file-date-bad"] == ["builds/first/2026-02-30.md"]


def test_ctrl_c_while_a_library_loads_is_no_fault_of_ours(shop, monkeypatch, capsys):
    """A library in C says only that it can't be loaded; what it was caught by is the cause of that."""

    def caught(*_):
        raise ImportError("initialization failed") from KeyboardInterrupt()

    monkeypatch.setattr(commands, "check", caught)
    assert run(["check", "--shop", str(shop)]) == 130
    assert "purfle itself failed" not in capsys.readouterr().err


def test_a_port_that_is_taken_is_told_with_its_option(shop, capsys):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        assert run(["follow", "--shop", str(shop), "--office-port", "0", "--showroom-port", str(port)]) == 2
    said = capsys.readouterr().err
    assert f"the preview of the showroom can't listen on port {port}: " in said and said.endswith("; try --showroom-port 0\n")


def test_a_terminal_that_is_gone_is_no_port_that_is_taken(shop, monkeypatch, capsys):
    """EIO is what writing to it comes to (termios(3)) where the hang-up was to be ignored."""

    def refuse(text):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(sys.stdout, "write", refuse)
    monkeypatch.setattr(cli, "_say_no_more", lambda: 0)
    assert run(["follow", "--shop", str(shop), "--office-port", "0", "--showroom-port", "0"]) == 1
    assert capsys.readouterr().err == f"What this command prints could not be written: {os.strerror(errno.EIO)}.\n"


def test_midnight_changes_the_day(shop):
    """A clock that stands just before midnight, in the process itself; nothing else tells it to look."""
    with following(shop, code=JUST_BEFORE_MIDNIGHT) as sitting:
        assert read_to(sitting, "pages changed").startswith("23:59:58")
        before = (shop / "out/office/index.html").read_text("utf-8")
        assert re.match(r"00:00:0\d", read_to(sitting, "pages changed"))
        after = (shop / "out/office/index.html").read_text("utf-8")
        sitting.send_signal(signal.SIGINT)
        _, err = sitting.communicate(timeout=60)
    assert (sitting.returncode, err) == (0, "")
    assert "2026-05-20" in before and "2026-05-21" in after and before != after


def test_sites_that_are_thrown_away_are_written_again_without_a_save(shop):
    with following(shop, "--today", DAY) as sitting:
        read_to(sitting, "pages changed")
        shutil.rmtree(shop / "out")
        read_to(sitting, "pages changed")  # were nothing written, the process would be ended by its timer, and no line come
        assert {path.name for path in (shop / "out").iterdir()} == {".store", "showroom", "office"}
        assert (shop / "out/showroom/index.html").is_file()
        sitting.send_signal(signal.SIGINT)
        assert sitting.wait(60) == 0
    check_left_clean(shop)
