"""How long the books of a large shop take, as a multiple of reading and composing the same files with the bare library.

Run: python benchmarks/books.py [notes [rounds]]. Writes a shop of `big_shop.py`, one build for every 20 notes, into a temporary folder,
and times in one run, round by round:

  bare compose   read each file, split it with python-frontmatter, compose the block to nodes (yaml.compose, C loader)
  bare load      read each file with frontmatter.load, which composes and constructs (C safe loader)
  purfle         read the folder and the shop, then events, keeping, the last year's figures, and all years'

and prints medians in processor seconds. Garbage is collected as seldom as the command line
has it (`shell/entry.py`), for the bare library too. Prints; asserts nothing.
"""

import gc
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import big_shop
import frontmatter
import yaml
from frontmatter.default_handlers import YAMLHandler

from purfle.books import keep, year_of, years
from purfle.events import stream
from purfle.notes.shop import read_shop
from purfle.progress import progress_of
from purfle.shell.entry import SELDOM
from purfle.shell.folder import read_folder

T = TypeVar("T")


def compose_bare(folder: Path) -> None:
    """Read and split every file and compose its block to nodes, typing nothing."""
    handler = YAMLHandler()
    for path in _notes(folder):
        block, _ = handler.split(path.read_text("utf-8"))
        yaml.compose(block, Loader=yaml.CSafeLoader)


def load_bare(folder: Path) -> None:
    """Read every file with python-frontmatter as its users do."""
    for path in _notes(folder):
        frontmatter.load(str(path))


def _notes(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.md"))


def one_round(folder: Path, seconds: dict[str, list[float]]) -> str:
    """Time every step once; gives a line about the size of the shop."""

    def timed(name: str, step: Callable[[], T]) -> T:
        started = time.process_time()
        value = step()
        seconds[name].append(time.process_time() - started)
        return value

    timed("bare compose", lambda: compose_bare(folder))
    timed("bare load", lambda: load_bare(folder))
    notes = timed("purfle: the folder", lambda: read_folder(folder))
    shop, told = timed("purfle: the shop", lambda: read_shop(notes.files, (), big_shop.TODAY))
    events = timed("events", lambda: stream(shop, big_shop.TODAY))
    progress, _ = timed("progress", lambda: progress_of(shop, events, big_shop.TODAY))
    books, troubles = timed("keeping", lambda: keep(shop, events, progress, big_shop.TODAY))
    known = years(books)
    year = timed("the last year", lambda: year_of(books, known[-1]))
    timed(f"all {len(known)} years", lambda: [year_of(books, number) for number in known])
    return f"{len(notes.files)} files, {len(events)} events, {len(books.postings)} postings, {len(told) + len(troubles)} troubles, net profit of the last year {year.net_profit}"


def main() -> None:
    """Write the shop, time the rounds, print the medians."""
    notes, rounds = (int(word) for word in (*sys.argv[1:3], *("20000", "5")[len(sys.argv) - 1 :]))
    gc.set_threshold(*SELDOM)
    seconds: dict[str, list[float]] = defaultdict(list)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        big_shop.write(folder, max(notes // 20, 2))
        for _ in range(rounds):
            says = one_round(folder, seconds)
            gc.collect()
    print(says)
    _print(seconds)


def _print(seconds: dict[str, list[float]]) -> None:
    middle = {name: statistics.median(took) for name, took in seconds.items()}
    middle["the books: events, keeping, the last year"] = sum(middle[name] for name in ("events", "keeping", "the last year"))
    print(f"{'median processor time':44} {'s':>7}  {'of bare compose':>15}  {'of bare load':>12}")
    for name, took in middle.items():
        print(f"{name:44} {took:7.2f}  {took / middle['bare compose']:15.2f}  {took / middle['bare load']:12.2f}")


if __name__ == "__main__":
    main()
