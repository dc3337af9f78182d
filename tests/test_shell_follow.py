"""Following: however an editor saves, one look, one compile; and it survives what happens to folders."""

import errno
import gc
import os
import shutil
import subprocess
import sys
import threading
import time
import weakref
from datetime import date, datetime
from pathlib import Path

import pytest
import watchdog.events

from purfle.shell import follow as follow_module
from purfle.shell import watch as watch_module
from purfle.shell.cli import run
from purfle.shell.follow import Trials, follow, look, seconds_to_midnight
from purfle.shell.watch import Bell

DAY = date(2026, 5, 20)


@pytest.fixture
def shop(tmp_path):
    for name in ("builds/heron", "journal", "out"):
        (tmp_path / name).mkdir(parents=True)
    (tmp_path / "shop.md").write_text("---\nname: s\n---\n")
    (tmp_path / "builds/heron/build.md").write_text("one")
    return tmp_path


class Follower:
    """`follow` on a thread, keeping every look it compiled."""

    def __init__(self, root):
        self.root, self.bell, self.looks, self.went, self.today, self.fails, self.there = root, Bell(), [], [], DAY, 0, True
        self.deafened = []
        self.thread = threading.Thread(target=follow, args=(self,))
        self.thread.start()
        self.until(lambda: self.looks)

    def day(self):
        return self.today

    def stands(self):
        return self.there

    def gone(self):
        self.went.append(1)

    def deaf(self, why):
        self.deafened.append(why)

    def compile_it(self, look):
        """Fails as often as it is told to."""
        self.looks.append(look)
        self.there = True
        self.fails -= 1
        return self.fails < 0

    def until(self, condition, patience=60.0):
        end = time.monotonic() + patience
        while not condition():
            assert time.monotonic() < end, "it did not happen in time"
            time.sleep(0.02)

    def note(self, name="builds/heron/build.md"):
        return self.looks[-1].folder.files.get(name)

    def stop(self):
        self.bell.end()
        self.thread.join(60)
        assert not self.thread.is_alive()


@pytest.fixture
def follower(shop):
    follower = Follower(shop)
    yield follower
    follower.stop()


def truncate_and_write(note):
    note.write_text("two")


def beside_and_rename(note, words="two"):
    """In one step: however slow the machine, no half of it is seen."""
    beside = note.with_name(".build.md.tmp")
    beside.write_text(words)
    beside.replace(note)


def backup_dance(note):
    note.rename(note.with_name("build.md~"))
    note.write_text("two")
    note.with_name("build.md~").unlink()


def delete_and_create(note):
    note.unlink()
    time.sleep(0.02)
    note.write_text("two")


def in_pieces(note):
    with note.open("w") as file:
        for letter in "two":
            file.write(letter)
            file.flush()
            time.sleep(0.01)


@pytest.mark.parametrize("save", [truncate_and_write, beside_and_rename, backup_dance, delete_and_create, in_pieces])
def test_every_way_of_saving_is_seen(follower, shop, save):
    save(shop / "builds/heron/build.md")
    follower.until(lambda: follower.note() == b"two")


def test_what_was_written_and_is_gone_is_written_again(follower):
    follower.there = False
    follower.until(lambda: len(follower.looks) == 2)


def test_what_nobody_told_of_is_seen_at_the_next_ring(follower, shop, monkeypatch):
    """First the folders that were named are looked at, then all of them."""
    monkeypatch.setattr(watch_module._Ringer, "on_any_event", lambda ringer, event: ringer._bell.ring("journal"))
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.note() == b"two")


def refused(*_, **__):
    raise OSError(errno.EMFILE, "inotify instance limit reached")


@pytest.mark.parametrize("name", ["Observer", "Observer.schedule"])
def test_a_system_that_watches_no_more_is_told_and_looked_at_often(shop, monkeypatch, name):
    """inotify(7): EMFILE and ENOSPC when /proc/sys/fs/inotify's max_user_instances or max_user_watches are used up, as by a large editor."""
    monkeypatch.setattr(follow_module, "LOOK_OFTEN", 0.1)
    monkeypatch.setattr(f"{'watchdog.observers.' if '.' in name else 'purfle.shell.watch.'}{name}", refused)
    follower = Follower(shop)
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.note() == b"two", 15)  # before it would be looked at anyway
    follower.stop()
    assert follower.deafened == ["the system reports no more changes, because other programs use up its watches"]


def test_what_was_not_told_is_found_and_from_then_on_looked_for_often(shop, monkeypatch):
    """A network's file system tells nothing of what others do, and watchdog passes over folders for which there are no more watches."""
    monkeypatch.setattr(watch_module._Ringer, "on_any_event", lambda ringer, event: None)
    monkeypatch.setattr(follow_module, "LOOK_OFTEN", 0.1)
    monkeypatch.setattr(follow_module, "_TOLD_LATE", 0.1)
    monkeypatch.setattr(follow_module, "_LOOK_ANYWAY", 0.5)
    follower = Follower(shop)
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.deafened)
    monkeypatch.setattr(follow_module, "_LOOK_ANYWAY", 600.0)
    for words in ("three", "four"):
        beside_and_rename(shop / "builds/heron/build.md", words)
        follower.until(lambda words=words: follower.note() == words.encode())
    follower.stop()
    assert follower.deafened == ["a change was found that the system did not report"]


def test_a_change_that_is_told_a_moment_late_is_no_untold_one(shop, monkeypatch):
    hear = watch_module._Ringer.on_any_event
    monkeypatch.setattr(watch_module._Ringer, "on_any_event", lambda ringer, event: (time.sleep(0.2), hear(ringer, event)))
    monkeypatch.setattr(follow_module, "_LOOK_ANYWAY", 0.05)
    monkeypatch.setattr(follow_module, "_TOLD_LATE", 60.0)
    follower = Follower(shop)
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.note() == b"two")
    beside_and_rename(shop / "builds/heron/build.md", "three")
    follower.until(lambda: follower.note() == b"three")
    follower.stop()
    assert follower.deafened == []


def test_what_a_compile_leaves_in_memory_is_collected_when_nothing_goes_on(shop, monkeypatch):
    """What points at itself is freed by the collector alone (Python's gc), which is called off here, as it nearly is by the command line."""
    monkeypatch.setattr(follow_module, "_LOOK_ANYWAY", 0.1)
    left, compile_it = [], Follower.compile_it

    def littering(follower, look):
        ring = Follower.__new__(Follower)
        ring.itself = ring
        left.append(weakref.ref(ring))
        return compile_it(follower, look)

    monkeypatch.setattr(Follower, "compile_it", littering)
    gc.disable()
    try:
        follower = Follower(shop)
        follower.until(lambda: left[0]() is None)
        beside_and_rename(shop / "builds/heron/build.md", "two")
        follower.until(lambda: len(left) > 1 and left[-1]() is None)
        follower.stop()
    finally:
        gc.enable()


def test_the_folder_of_a_change_is_looked_at_first(follower, shop, monkeypatch):
    looked, look_at = [], follow_module.look
    monkeypatch.setattr(follow_module, "look", lambda root, today, before, only: (looked.append(only), look_at(root, today, before, only))[1])
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.note() == b"two" and None in looked)
    assert looked[0] == {"builds/heron"} and len(follower.looks) == 2


@pytest.mark.skipif(sys.platform != "linux", reason="inotify is Linux's")
def test_news_that_comes_while_a_watch_ends_is_no_fault(shop, caplog):
    """The library's reader may ask once more after the end, and calls that an error of its own."""
    watch = watch_module.Watch(shop, Bell())
    watch.renew()
    reader = next(iter(watch._observer.emitters))
    watch.stop()
    reader.queue_events(0)
    assert caplog.records == []


def test_a_burst_of_files_is_few_compiles(follower, shop):
    for number in range(60):
        (shop / f"journal/2026-01-{number % 28 + 1:02}-{number}.md").write_text("x")
    follower.until(lambda: len(follower.looks[-1].folder.files) == 62)
    assert len(follower.looks) <= 4


def test_our_own_output_and_what_lies_beside_wake_nobody(follower, shop, monkeypatch):
    """News of one folder comes in order: what was heard before a note, or never, has rung or not."""
    rung, woke = [], {}

    def hear(ringer, event, hear=watch_module._Ringer.on_any_event):
        before = len(rung)
        hear(ringer, event)
        name = Path(os.fsdecode(event.src_path)).name
        woke[name] = woke.get(name, False) or len(rung) > before

    monkeypatch.setattr(Bell, "ring", lambda bell, folder="": rung.append(folder))
    monkeypatch.setattr(watch_module._Ringer, "on_any_event", hear)
    (shop / "out/index.html").write_text("x")
    (shop / "scratch.txt").write_text("x")
    (shop / "builds/heron/build.md").read_text()
    (shop / "shop.md").write_text("---\nname: t\n---\n")
    (shop / "builds/heron/2026-05-19.md").write_text("x")
    follower.until(lambda: {"shop.md", "2026-05-19.md"} <= woke.keys())
    assert woke == {"scratch.txt": False, "shop.md": True, "2026-05-19.md": True}


def test_saving_the_same_words_compiles_nothing(follower, shop, monkeypatch):
    looked, look_at = [], follow_module.look
    monkeypatch.setattr(follow_module, "look", lambda root, today, before, only: (looked.append(only), look_at(root, today, before, only))[1])
    beside_and_rename(shop / "builds/heron/build.md", "one")
    follower.until(lambda: None in looked)
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: follower.note() == b"two")
    assert [found.folder.files["builds/heron/build.md"] for found in follower.looks] == [b"one", b"two"]


def test_a_new_photo_is_seen(follower, shop):
    (shop / "builds/heron/front.jpg").write_bytes(b"x")
    follower.until(lambda: "builds/heron/front.jpg" in follower.looks[-1].folder.assets)
    (shop / "builds/heron/front.jpg").write_bytes(b"other")
    follower.until(lambda: len(follower.looks) >= 3)


@pytest.mark.parametrize(
    "name",
    [
        "builds/heron/build.md",
        pytest.param("builds/heron", marks=pytest.mark.skipif(not hasattr(watchdog.events, "DirAttribEvent"), reason="this watchdog does not tell it apart")),
    ],
)
def test_a_right_that_is_given_is_seen_at_once(follower, shop, monkeypatch, name):
    looked, look_at = [], follow_module.look
    monkeypatch.setattr(follow_module, "look", lambda root, today, before, only: (looked.append(only), look_at(root, today, before, only))[1])
    (shop / name).chmod(0o700)
    follower.until(lambda: None in looked)


def test_a_deleted_folder_that_comes_back_is_followed_again(follower, shop):
    shutil.rmtree(shop / "builds")
    follower.until(lambda: follower.note() is None)
    (shop / "builds/heron").mkdir(parents=True)
    (shop / "builds/heron/build.md").write_text("back")
    follower.until(lambda: follower.note() == b"back")
    beside_and_rename(shop / "builds/heron/build.md", "again")
    follower.until(lambda: follower.note() == b"again")


def test_a_shop_that_is_moved_away_and_back(tmp_path):
    root = tmp_path / "shop"
    (root / "builds/heron").mkdir(parents=True)
    (root / "shop.md").write_text("s")
    follower = Follower(root)
    root.rename(tmp_path / "away")
    follower.until(lambda: follower.went)
    (tmp_path / "away").rename(root)
    follower.until(lambda: len(follower.looks) == 2)
    (root / "builds/heron/build.md").write_text("x")
    follower.until(lambda: follower.note() == b"x")
    follower.stop()
    assert len(follower.went) == 1


def test_a_new_day_compiles_anew(follower):
    follower.today = date(2026, 5, 21)
    follower.bell.ring()
    follower.until(lambda: follower.looks[-1].today == date(2026, 5, 21))


def test_what_failed_is_tried_again_by_itself_until_it_is_done(follower, shop):
    follower.fails = 3
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: len(follower.looks) == 5)
    time.sleep(0.6)
    assert len(follower.looks) == 5 and follower.note() == b"two"


def test_news_of_nothing_hurries_no_trial_and_a_save_is_tried_at_once(follower, shop, monkeypatch):
    monkeypatch.setattr(follow_module, "_FIRST_PAUSE", 600.0)
    monkeypatch.setattr(follow_module, "_LONGEST_PAUSE", 600.0)
    follower.fails = 1000
    beside_and_rename(shop / "builds/heron/build.md", "two")
    follower.until(lambda: len(follower.looks) == 2)
    for _ in range(10):
        follower.bell.ring("builds/heron")
        time.sleep(0.05)
    assert len(follower.looks) == 2
    beside_and_rename(shop / "builds/heron/build.md", "three")
    follower.until(lambda: len(follower.looks) == 3)


def test_the_pause_between_trials_grows_to_half_a_minute():
    now = [0.0]
    trials, pauses = Trials(lambda: now[0]), []
    for _ in range(2000):
        trials.over(False)
        now[0] += trials.rest()
        while not trials.due():
            now[0] += trials.rest()
        pauses.append(now[0] - sum(pauses))
    assert pauses[:9] == [0.25, 0.5, 1, 2, 4, 8, 16, 30, 30] and set(pauses[9:]) == {30}
    trials.over(True)
    assert not trials.due() and trials.rest() == 20


RUNG_AT_EVERY_STEP = """
import sys
from purfle.shell.watch import Bell

for step in range(200):
    bell, left = Bell(), iter(range(step))

    def trace(*_):
        if not bell.ended and next(left, None) is None:
            bell.end()
        return trace

    sys.settrace(trace)
    bell.wait(0.001)
    sys.settrace(None)
print("done")
"""


def test_a_bell_may_be_rung_by_a_signal_in_the_middle_of_waiting_for_it():
    """At every step, as the interpreter runs a handler between two: a lock taken in the wait and asked for again in the handler would never be given."""
    said = subprocess.run([sys.executable, "-c", RUNG_AT_EVERY_STEP], capture_output=True, text=True, timeout=30)
    assert said.stdout == "done\n", said.stderr


def test_midnight_is_never_slept_through():
    assert seconds_to_midnight(datetime(2026, 5, 20, 23, 59, 59)) == 1.5
    assert seconds_to_midnight(datetime(2026, 5, 20, 0, 0, 0)) == 86_400.5


def test_a_look_is_the_same_only_when_all_is(shop):
    first = look(shop, DAY)
    assert first.same(look(shop, DAY))
    assert not first.same(look(shop, date(2026, 5, 21)))
    (shop / "builds/heron/x.jpg").write_bytes(b"x")
    assert not first.same(look(shop, DAY))


def test_served_bytes_alone_hold_the_reloading_script(tmp_path):
    root = tmp_path / "shop"
    assert run(["start", str(root), "--today", DAY.isoformat()]) == 0
    assert run(["compile", "--shop", str(root), "--today", DAY.isoformat(), "-q"]) == 0
    assert not [p for p in Path(root / "out").rglob("*.html") if b".purfle" in p.read_bytes()]
