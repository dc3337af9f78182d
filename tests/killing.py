"""Kills compiles and followers at random moments and looks at what is left. `python tests/killing.py [kills] [seed]` for a long run.

Half of the kills fall anywhere in a compile, half within the moments after the new site has begun to be written. After each: every site under
`out/` is whole and one of the states that the notes have had; the next compile succeeds; and no stray file is left.
"""

import hashlib
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from out_folder import strays, tree

PURFLE = [sys.executable, "-m", "purfle.shell"]
DAY = "2026-05-20"
SHOP = "---\nname: Bench {state}\nroutes: {{short: [{{stage: strip, hours: 2}}, {{stage: clear, hours: 1, cure: 2 days}}]}}\n---\n\nWhat passes over it.\n"


def write_notes(root, state):
    """The notes in one of two states that differ in every page and in one file, put in place at once: whoever reads them sees the one or the other.

    A note emptied and written again can be read while it is empty; then both sites are held and the office's page of troubles says so, a third state.
    """
    if not (root / "builds").exists():
        for n in range(6):
            folder = root / "builds" / f"b{n}"
            folder.mkdir(parents=True)
            (folder / "build.md").write_text(f"---\ntitle: Piece {n}\nroute: short\nshowroom: yes\n---\n\nA piece.\n", "utf-8")
            (folder / "2026-05-01.md").write_text("---\nstage: strip\nhours: 2\n---\n\nWork.\n", "utf-8")
    beside = root / "builds" / ".shop.md"  # hidden names are passed over
    beside.write_text(SHOP.format(state=state), "utf-8")
    beside.replace(root / "shop.md")


def compile_(root):
    return subprocess.run([*PURFLE, "compile", "--quiet", "--shop", str(root), "--today", DAY], capture_output=True, text=True)


def digests(folder):
    """A site's files, each with the digest of its bytes."""
    return {path: hashlib.sha256(data).hexdigest() for path, data in tree(folder).items()}


def check_whole(folder, states):
    """A site is one of its whole states; if not, the files that tell it from each are named."""
    have = digests(folder)
    odd = [sorted(dict(have.items() ^ state.items())) for state in states]
    assert not all(odd), f"{folder.name} is not whole; it differs from its states in {odd}"


def good_sites(root):
    """For each site, the states that are whole: the one and the other."""
    found = {"showroom": [], "office": []}
    for state in (0, 1):
        write_notes(root, state)
        assert compile_(root).returncode == 0
        for name in found:
            found[name].append(digests(root / "out" / name))
    assert all(one != other for one, other in found.values())
    return found


def kill_one(root, chance, good, state, seconds):
    """One kill of a writer that has `state` to write, which takes so many seconds; gives a word on when it fell."""
    how = chance.choice(("compile", "compile", "follow"))
    write_notes(root, state)
    ports = ["--office-port", "0", "--showroom-port", "0"] if how == "follow" else ["--quiet"]
    writer = subprocess.Popen([*PURFLE, how, "--shop", str(root), "--today", DAY, *ports], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    late = chance.random() < 0.5
    if late:
        beside, until = root / "out/.store/beside", time.monotonic() + 20
        while not beside.exists() and writer.poll() is None and time.monotonic() < until:
            if how == "follow" and chance.random() < 0.01:
                write_notes(root, chance.randrange(2))
            time.sleep(0.0005)
        time.sleep(chance.uniform(0, 0.02))
    else:
        time.sleep(chance.uniform(0, seconds))
    hit = writer.poll() is None
    writer.send_signal(signal.SIGKILL)
    writer.wait()
    for name, states in good.items():
        check_whole(root / "out" / name, states)
    write_notes(root, state)
    done = compile_(root)
    assert done.returncode == 0, done.stderr
    for name, states in good.items():
        check_whole(root / "out" / name, states[state : state + 1])
    check_no_strays(root)
    return f"{how} {'in writing' if late else 'anywhere'}{'' if hit else ' (had ended)'}"


def check_no_strays(root):
    assert {path.name for path in root.iterdir()} == {"shop.md", "builds", "out"}
    assert {path.name for path in (root / "out").iterdir()} <= {"showroom", "office", ".store"}
    assert not strays(root), strays(root)


def kill(root, kills, seed):
    """So many kills; gives how many fell when."""
    began = time.monotonic()
    good, chance, counts = good_sites(root), random.Random(seed), {}
    seconds = (time.monotonic() - began) / 2
    for number in range(kills):
        when = kill_one(root, chance, good, number % 2, seconds)  # never the state that is there: a compile with nothing to write ends at once
        counts[when] = counts.get(when, 0) + 1
    return counts


if __name__ == "__main__":
    kills, seed = (int(word) for word in (*sys.argv[1:3], *("200", "1")[len(sys.argv) - 1 :]))
    os.environ.setdefault("PYTHONDONTWRITEBYTECODE", "1")
    with tempfile.TemporaryDirectory() as folder:
        print(kills, "kills, seed", seed, kill(Path(folder), kills, seed))
