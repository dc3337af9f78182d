"""Writing a site: only what differs, whole or not at all, one writer at a time."""

import errno
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from out_folder import tree

from purfle.shell import output, write
from purfle.shell.output import Busy, locked
from purfle.shell.store import Store, write_whole
from purfle.shell.twin import Memory
from purfle.shell.write import Site, exchange, write_sites

MOUNTS = Path("/proc/mounts").read_text("utf-8").splitlines() if Path("/proc/mounts").exists() else []
"""What is mounted where, on Linux."""


def put(root, files, made=None, **more):
    with locked(root) as output:
        return write_sites(output, Site("showroom", files, made or {}, **more))[0]


@pytest.fixture
def out(tmp_path):
    return tmp_path / "out"


def test_the_site_holds_exactly_what_was_given(out):
    put(out, {"index.html": b"1", "a/b.html": b"2"})
    written = put(out, {"index.html": b"1", "a/c.html": b"3"})
    assert tree(out / "showroom") == {"index.html": b"1", "a/c.html": b"3"}
    assert (written.changed, written.removed) == (("a/c.html",), ("a/b.html",))


def test_compiling_twice_writes_nothing_the_second_time(out):
    put(out, {"index.html": b"1"})
    before = (out / "showroom").stat(), (out / "showroom/index.html").stat()
    assert not put(out, {"index.html": b"1"})
    after = (out / "showroom").stat(), (out / "showroom/index.html").stat()
    assert [(s.st_ino, s.st_mtime_ns) for s in before] == [(s.st_ino, s.st_mtime_ns) for s in after]


def test_an_unchanged_file_keeps_its_time(out):
    put(out, {"index.html": b"1", "other.html": b"1"})
    before = (out / "showroom/other.html").stat().st_mtime_ns
    put(out, {"index.html": b"2", "other.html": b"1"})
    assert (out / "showroom/other.html").stat().st_mtime_ns == before


def test_files_of_the_store_are_put_in_place(out, tmp_path):
    picture = tmp_path / "picture"
    picture.write_bytes(b"pixels")
    put(out, {"index.html": b"1"}, {"pictures/x.webp": picture})
    assert (out / "showroom/pictures/x.webp").read_bytes() == b"pixels"
    assert not put(out, {"index.html": b"1"}, {"pictures/x.webp": picture})


def test_others_are_kept_when_only_one_page_may_be_renewed(out):
    put(out, {"index.html": b"1", "troubles.html": b"none"})
    put(out, {"troubles.html": b"some"}, keep_others=True)
    assert tree(out / "showroom") == {"index.html": b"1", "troubles.html": b"some"}


def test_nothing_is_left_beside(out):
    put(out, {"index.html": b"1"})
    put(out, {"index.html": b"2"})
    assert sorted(p.name for p in out.iterdir()) == [".store", "showroom"]
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]


@pytest.mark.parametrize("path", ["../x", "/x", "a/../../x", "a//b", ".", "a\\b"])
def test_a_path_out_of_the_site_is_refused(out, path):
    with pytest.raises(ValueError, match="not a path inside"):
        put(out, {path: b"x"})


def test_a_link_in_place_of_the_site_is_replaced_and_not_followed(out, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "precious").write_text("p")
    out.mkdir()
    (out / "showroom").symlink_to(elsewhere)
    put(out, {"index.html": b"1"})
    assert tree(elsewhere) == {"precious": b"p"}
    assert not (out / "showroom").is_symlink()


def test_a_link_inside_the_site_is_replaced_and_not_followed(out, tmp_path):
    put(out, {"index.html": b"1"})
    precious = tmp_path / "precious"
    precious.write_bytes(b"1")
    (out / "showroom/index.html").unlink()
    (out / "showroom/index.html").symlink_to(precious)
    put(out, {"index.html": b"1"})
    assert not (out / "showroom/index.html").is_symlink()
    assert precious.read_bytes() == b"1"


def test_out_itself_may_not_be_a_link(out, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    out.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError, match="symbolic link"):
        put(out, {"index.html": b"1"})


# --- faults on the way ------------------------------------------------------------------------------------------------


def test_a_full_disk_leaves_the_last_good_site(out, monkeypatch):
    put(out, {"index.html": b"old", "b.html": b"old"})
    real = Path.write_bytes

    def full(self, data):
        if self.name == "b.html":
            real(self, data[:1])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="No space"):
        put(out, {"index.html": b"new", "b.html": b"new"})
    monkeypatch.undo()
    assert tree(out / "showroom") == {"index.html": b"old", "b.html": b"old"}
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]
    put(out, {"index.html": b"new"})
    assert tree(out / "showroom") == {"index.html": b"new"}


def test_without_second_names_files_are_copied(out, monkeypatch):
    put(out, {"index.html": b"1", "same.html": b"s"})
    monkeypatch.setattr(os, "link", lambda *a, **k: (_ for _ in ()).throw(OSError(errno.EPERM, "no links")))
    put(out, {"index.html": b"2", "same.html": b"s"})
    assert tree(out / "showroom") == {"index.html": b"2", "same.html": b"s"}


def test_without_an_exchanging_rename_two_steps_do(out, monkeypatch):
    monkeypatch.setattr(write, "exchange", lambda one, other: False)
    put(out, {"index.html": b"1"})
    put(out, {"index.html": b"2"})
    assert tree(out / "showroom") == {"index.html": b"2"}
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]


@pytest.mark.parametrize("fault", [PermissionError(errno.EACCES, "a page is open elsewhere"), KeyboardInterrupt()])
def test_a_fault_between_the_two_steps_puts_the_old_site_back(out, monkeypatch, fault):
    put(out, {"index.html": b"1"})
    real = Path.rename

    def rename(self, target):
        if self.parent.name == "beside" and not self.name.startswith("was-"):
            raise fault
        return real(self, target)

    monkeypatch.setattr(write, "exchange", lambda one, other: False)
    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(type(fault)):
        put(out, {"index.html": b"2"})
    assert tree(out / "showroom") == {"index.html": b"1"}
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]


@pytest.mark.parametrize("exchanging", [True, False])
def test_when_one_site_can_not_be_swapped_in_the_other_is_swapped_back(out, monkeypatch, exchanging):
    def both(page):
        with locked(out) as output:
            write_sites(output, Site("showroom", {"index.html": page}), Site("office", {"index.html": page}))

    both(b"old")
    real = write._swap

    def swap(beside, site, aside):
        if (beside.parent.name, site.name) == ("beside", "office"):
            raise PermissionError(errno.EACCES, "a page is open elsewhere")
        return real(beside, site, aside)

    monkeypatch.setattr(write, "_swap", swap)
    if not exchanging:
        monkeypatch.setattr(write, "exchange", lambda one, other: False)
    with pytest.raises(PermissionError):
        both(b"new")
    assert [tree(out / name) for name in ("showroom", "office")] == [{"index.html": b"old"}] * 2
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]


def test_a_site_caught_between_the_two_steps_is_put_back(out):
    put(out, {"index.html": b"1"})
    (out / ".store/beside").mkdir()
    (out / "showroom").rename(out / ".store/beside/was-showroom")
    with locked(out):
        assert tree(out / "showroom") == {"index.html": b"1"}


@pytest.mark.skipif(sys.platform != "linux", reason="renameat2 is Linux's")
def test_two_folders_change_places_in_one_step(tmp_path):
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    if not exchange(tmp_path / "one", tmp_path / "other"):
        pytest.skip("this file system knows no exchanging rename")
    assert (tmp_path / "one/other").exists()
    assert (tmp_path / "other/one").exists()


@pytest.mark.skipif(not any(mount.split()[1:3] == ["/dev/shm", "tmpfs"] for mount in MOUNTS), reason="no tmpfs on /dev/shm")
def test_two_folders_of_a_tmpfs_always_change_places_in_one_step():
    """rename(2): tmpfs knows RENAME_EXCHANGE since Linux 3.17, so here nothing may fall back to two steps."""
    with tempfile.TemporaryDirectory(dir="/dev/shm") as name:
        one, other = Path(name, "one"), Path(name, "other")
        for folder in (one, other):
            folder.mkdir()
            (folder / folder.name).touch()
        assert exchange(one, other)
        assert [p.name for folder in (one, other) for p in folder.iterdir()] == ["other", "one"]


@pytest.mark.skipif(sys.platform != "linux", reason="renameat2 is Linux's")
def test_a_name_that_is_not_there_is_told_with_the_system_s_own_error(tmp_path):
    """rename(2): ENOENT, RENAME_EXCHANGE was asked for and the new name does not exist."""
    (tmp_path / "one").mkdir()
    with pytest.raises(FileNotFoundError):
        exchange(tmp_path / "one", tmp_path / "other")


@pytest.mark.parametrize("code", [errno.ENOSYS, errno.EINVAL, errno.ENOTSUP])
def test_a_file_system_without_the_exchanging_rename_is_no_fault(tmp_path, monkeypatch, code):
    """rename(2): EINVAL of a file system that does not know the flag, ENOSYS of a kernel without the call."""
    monkeypatch.setattr(write, "_exchange", lambda one, other: (-1, code))
    assert exchange(tmp_path / "one", tmp_path / "other") is False


def test_a_shop_that_was_moved_away_is_not_made_anew(tmp_path):
    with pytest.raises(FileNotFoundError), locked(tmp_path / "moved" / "out"):
        pass
    assert not (tmp_path / "moved").exists()


@pytest.mark.parametrize("again", [False, True])
def test_a_shop_that_is_moved_away_while_it_is_written_is_not_made_anew(tmp_path, monkeypatch, again):
    """Else whoever moves it back finds a folder in its place, and `mv` puts it into that."""
    shop, memory = tmp_path / "shop", Memory()
    shop.mkdir()
    with locked(shop / "out", keeps_twins=True) as output:
        for words in (b"one", b"two")[: 2 * again]:
            write_sites(output, Site("office", {"index.html": words}), memory=memory)
        shop.rename(tmp_path / "away")
        with pytest.raises(FileNotFoundError):
            write_sites(output, Site("office", {"builds/new/index.html": b"three"}), memory=memory)
        with pytest.raises(FileNotFoundError):
            Store(output.store, "pictures", "").put("key", {}, {"pictures/x": b"pixels"})
        with pytest.raises(FileNotFoundError):
            write_whole(output.store / "held.json", b"{}")
    assert not shop.exists()


def test_one_writer_at_a_time(out):
    with locked(out):
        code = f"from pathlib import Path; from purfle.shell.output import locked, Busy\ntry:\n  locked(Path({str(out)!r})).__enter__()\nexcept Busy as b: print(b)"
        said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said == f"another purfle (process {os.getpid()}) is writing to out/ just now\n"
    with locked(out):
        pass


def test_the_lock_refuses_within_one_process_too(out):
    with locked(out), pytest.raises(Busy):
        locked(out).__enter__()


@pytest.mark.parametrize("shelf", ["pictures", "records", "records/sounds"])
def test_a_link_in_place_of_a_shelf_of_the_store_is_taken_away_and_not_followed(out, tmp_path, shelf):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / ".new-x").write_text("another's")
    with locked(out) as output:
        (output.store / shelf).parent.mkdir(exist_ok=True)
        (output.store / shelf).symlink_to(tmp_path / "elsewhere")
    with locked(out) as output:
        assert not os.path.lexists(output.store / shelf)
    assert (tmp_path / "elsewhere" / ".new-x").exists()


def test_a_file_system_without_locks_is_not_taken_for_another_purfle(out, monkeypatch):
    """ENOLCK is what flock(2) says where there are none."""

    def refuse(handle):
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(output, "_lock", refuse)
    with pytest.raises(OSError, match=os.strerror(errno.ENOLCK)):
        locked(out).__enter__()


WRITER = """
import sys
from pathlib import Path
from purfle.shell.output import locked
from purfle.shell.store import Store, write_whole
from purfle.shell.twin import Memory
from purfle.shell.write import Site, write_sites
out = Path(sys.argv[1])
for turn in range(10_000):
    with locked(out) as output:
        write_sites(output, Site("showroom", {f"{n}.html": f"{turn}".encode() for n in range(60)}))
    if not turn:
        print("ready", flush=True)
"""


def test_a_killed_writer_leaves_a_whole_site(out):
    """kill -9 at random moments: every page of the site is of one turn, and the next writer succeeds."""
    chance = random.Random(7)
    for _ in range(12):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(out)], stdout=subprocess.PIPE, text=True)
        assert writer.stdout.readline() == "ready\n"
        time.sleep(chance.uniform(0, 0.06))
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        site = tree(out / "showroom")
        assert len(site) == 60
        assert len(set(site.values())) == 1
    put(out, {"index.html": b"1"})
    assert tree(out / "showroom") == {"index.html": b"1"}
    assert [p.name for p in (out / ".store").iterdir()] == ["lock"]


def test_there_is_no_instant_without_a_site(out):
    """While a writer swaps as fast as it can, every page can be opened at any moment (with an exchanging rename)."""
    (out.parent / "one").mkdir()
    (out.parent / "other").mkdir()
    if not exchange(out.parent / "one", out.parent / "other"):
        pytest.skip("this file system knows no exchanging rename")
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(out)], stdout=subprocess.PIPE, text=True)
    try:
        assert writer.stdout.readline() == "ready\n"
        until, seen = time.monotonic() + 1.0, set()
        while (now := time.monotonic()) < until or (len(seen) <= 3 and now < until + 60):  # on a busy machine the writer may hardly have begun
            seen.add((out / "showroom/0.html").read_bytes())
        assert len(seen) > 3
    finally:
        writer.kill()
        writer.wait()
        writer.stdout.close()
