"""Kills: eight at random moments of compiles and followers (`make long` has two hundred and more), and one before every single step of a write."""

import os
import signal
import subprocess
import sys

import killing
import pytest

from purfle.shell import write
from purfle.shell.output import locked
from purfle.shell.store import write_whole
from purfle.shell.twin import Memory
from purfle.shell.write import Site, write_sites


def test_after_any_kill_the_sites_are_whole_and_the_next_compile_succeeds(tmp_path):
    counts = killing.kill(tmp_path, 8, seed=5)
    assert sum(counts.values()) == 8
    assert sum(n for when, n in counts.items() if "ended" not in when) >= 4, counts


def test_two_compiles_at_once_leave_a_whole_site(tmp_path):
    good = killing.good_sites(tmp_path)
    killing.write_notes(tmp_path, 0)
    words = [*killing.PURFLE, "compile", "--shop", str(tmp_path), "--today", killing.DAY]
    both = [subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    said = [(process.communicate()[1], process.returncode) for process in both]
    assert any(status == 0 for _, status in said)
    assert all(status == 0 or ("another purfle" in told and "nothing was written" in told) for told, status in said)
    assert all(killing.digests(tmp_path / "out" / name) == states[0] for name, states in good.items())
    killing.check_no_strays(tmp_path)


OLD, NEW = ({f"{n}.html": f"{state} {n}".encode() for n in range(3)} | {"same.html": b"same"} for state in ("old", "new"))


def write_both(out, pages, memory=None):
    """What a compile does on the disk: a picture kept, the showroom, the office. With a memory, what `follow` does on a save."""
    with locked(out, keeps_twins=memory is not None) as output:
        write_whole(output.store / "pictures" / "x.webp", b"pixels")
        write_sites(output, *(Site(name, pages, {"pictures/x.webp": output.store / "pictures" / "x.webp"}) for name in ("showroom", "office")), memory=memory)


def killed_before(step, out, memory=None):
    """Write the new pages in a process of its own that is killed before it does the step of that number; whether it was."""
    if (writer := os.fork()) == 0:
        left = iter(range(step))
        try:
            sys.addaudithook(lambda *_: None if next(left, None) is not None else signal.raise_signal(signal.SIGKILL))
            write_both(out, NEW, memory)
        finally:
            os._exit(0)  # never back into the tests
    return os.waitstatus_to_exitcode(os.waitpid(writer, 0)[1]) == -signal.SIGKILL


def state(out, name):
    """`old` or `new`, or what a site holds when it is neither."""
    files = {path.name: path.read_bytes() for path in (out / name).rglob("*") if path.is_file() and path.name != "x.webp"}
    assert (out / name / "pictures/x.webp").read_bytes() == b"pixels"
    return "old" if files == OLD else "new" if files == NEW else str(files)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process that can be doubled")
@pytest.mark.parametrize("following", [False, True])
@pytest.mark.parametrize("exchanging", [True, False])
def test_killed_before_every_single_step_both_sites_are_whole(tmp_path, monkeypatch, exchanging, following):
    """Steps are what the interpreter tells its audit hooks of: every open, link, rename and removal (PEP 578)."""
    if not exchanging:
        monkeypatch.setattr(write, "exchange", lambda one, other: False)
    found, step, more = set(), 0, True
    while more:
        out = tmp_path / str(step)
        memory = Memory() if following else None
        for pages in (OLD, {**OLD, "0.html": b"older"}, OLD) if following else (OLD,):
            write_both(out, pages, memory)
        more, step = killed_before(step, out, memory), step + 1
        if not exchanging:
            with locked(out):  # the next writer puts back what was caught between two renames
                pass
        found.add((state(out, "showroom"), state(out, "office")))
        write_both(out, NEW)
        assert (state(out, "showroom"), state(out, "office")) == ("new", "new")
        assert {path.name for path in (out / ".store").iterdir()} == {"lock", "pictures"}
    assert step > 40
    assert found == {("old", "old"), ("new", "old"), ("new", "new")}
