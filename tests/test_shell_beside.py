"""Work in a fork comes to what it comes to here. Each case runs in a process of its own, for only one without threads may fork."""

import subprocess
import sys
import textwrap

import pytest

from purfle.shell import stamps
from purfle.shell.stamps import INPUTS, stamp_of

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows forks no process")

_BEGUN = """
import os, signal, time
from purfle.shell.beside import begun
here = os.getpid()
def no_child_is_left():
    try:
        os.waitpid(-1, os.WNOHANG)
    except ChildProcessError:
        return True
"""


def alone(code):
    """What some code prints in a process of its own; warnings are faults there."""
    done = subprocess.run([sys.executable, "-W", "error", "-c", _BEGUN + textwrap.dedent(code)], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_another_process_does_the_work():
    assert alone("print(begun(lambda: b'%d' % (os.getpid() == here))(), no_child_is_left())") == "b'0' True\n"


def test_more_than_a_pipe_holds_comes_whole():
    assert alone("print(begun(lambda: bytes(range(256)) * 4000)() == bytes(range(256)) * 4000)") == "True\n"


@pytest.mark.parametrize("end", ["os._exit(3)", "os.kill(os.getpid(), signal.SIGKILL)", "1 / 0"])
def test_what_the_other_did_not_do_is_done_here(end):
    assert (
        alone(f"""
        def work():
            if os.getpid() != here:
                {end}
            return b"done"
        print(begun(work)(), no_child_is_left())
    """)
        == "b'done' True\n"
    )


@pytest.mark.parametrize("lacking", ["pipe", "fork"])
def test_where_no_process_is_to_be_had_the_work_is_done_here(lacking):
    assert (
        alone(f"""
        def refuse():
            raise BlockingIOError("no more processes")
        os.{lacking} = refuse
        open_before = len(os.listdir("/dev/fd"))
        print(begun(lambda: b'%d' % (os.getpid() == here))(), len(os.listdir("/dev/fd")) - open_before)
    """)
        == "b'1' 0\n"
    )


def test_a_system_that_sees_to_children_by_itself_is_no_hindrance():
    assert (
        alone("""
        signal.signal(signal.SIGCHLD, signal.SIG_IGN)
        print(begun(lambda: b'%d' % (os.getpid() == here))())
    """)
        == "b'0'\n"
    )


def test_what_waits_to_be_printed_is_printed_once():
    assert alone("print('before', end=' ', flush=False); print(begun(lambda: b'')())") == "before b''\n"


@pytest.fixture
def many(tmp_path):
    for n in range(stamps._MANY + 1):
        folder = tmp_path / "builds" / f"b{n:03}"
        (folder / "photos").mkdir(parents=True)
        (folder / "build.md").write_text(f"{n}", "utf-8")
    return tmp_path


_STAMP = """
    import sys
    from purfle.shell import stamps
    forks, fork = [], os.fork
    os.fork = lambda: forks.append(1) or fork()
    stamp = stamps.stamp_of(sys.argv[1], stamps.INPUTS, shared=True)
    print(len(forks), stamp.settled, stamp.seen.hex())
"""


def looked(shop, later=0):
    """A shared look in a process of its own whose clock is so many seconds on: the forks, whether it is settled, what was seen."""
    code = f"import time\nnow = time.time_ns\ntime.time_ns = lambda: now() + {later}_000_000_000\n" + textwrap.dedent(_STAMP).replace(
        "sys.argv[1]", repr(str(shop))
    )
    forks, settled, seen = alone(code).split()
    return int(forks), settled == "True", bytes.fromhex(seen)


def test_a_look_that_is_shared_sees_what_one_alone_sees(many):
    assert looked(many) == (1, False, stamp_of(str(many), INPUTS).seen)


def test_few_folders_are_not_shared(tmp_path):
    (tmp_path / "builds" / "b1").mkdir(parents=True)
    assert looked(tmp_path)[0] == 0


@pytest.mark.parametrize("number", [0, stamps._MANY])
def test_a_change_in_either_half_is_seen(many, number):
    before = looked(many, later=10)
    assert before[:2] == (1, True)
    (many / "builds" / f"b{number:03}" / "build.md").write_text("longer", "utf-8")
    after = looked(many, later=10)
    assert after[:2] == (1, True) and after[2] != before[2]


@pytest.mark.parametrize("number", [0, stamps._MANY])
def test_a_file_changed_lately_in_either_half_leaves_it_unsettled(many, number):
    import os
    import time

    ahead = time.time_ns() + 10_000_000_000
    os.utime(many / "builds" / f"b{number:03}" / "build.md", ns=(ahead, ahead))
    assert looked(many, later=10)[:2] == (1, False)
