"""How long the books of a large shop take, as a multiple of reading and composing the same files with the bare library.

Run: python benchmarks/books.py [notes [rounds]]. Writes a shop of one build for every 20 notes into a temporary folder,
with frontmatter of the shapes, lengths and number of money lines that the demo shop's notes have, and times in one run, round by round:

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
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

import frontmatter
import yaml
from frontmatter.default_handlers import YAMLHandler

from purfle.books import keep, year_of, years
from purfle.events import stream
from purfle.notes.shop import read_shop
from purfle.shell.entry import SELDOM
from purfle.shell.folder import read_folder

TODAY = date(2026, 12, 31)
T = TypeVar("T")
SHOP = """---
name: A large shop
channels: {market place: {percent: 9, fixed: 0.30}}
routes: {refinish: [{stage: strip, hours: 4}, {stage: repair, hours: 3}, {stage: grain, hours: 1}, {stage: seal, hours: 1}, {stage: colour, hours: 3}, {stage: clear, hours: 3}, {stage: rub out, hours: 2}, {stage: setup, hours: 2}]}
stock: {items: {umber lacquer: {unit: can}, peg: {unit: piece}, sandpaper: {counted: no}}}
standing: [{what: rent, cost: 210, kind: rent, from: 2023-01-01}]
---
"""
SHEET = """---
title: Build {n}
kind: resale
instrument: electric guitar
maker: Fennimore
model: Double Ten
year: about 1979
finish: umber lacquer
serial: HD {n}
route: refinish
priority: 2
acquired: {{date: {day}, how: bought, price: 235, shipping: 38.50, from: an estate clearance by the quarry}}
parts:
  - {{part: tuner set, cost: 44.90, shipping: 5.20, for: setup, ordered: {day}, paid: {day}, arrived: {later}, from: Millrace Sundries}}
  - {{part: bone nut blank, cost: 7.50, for: setup, ordered: {day}, paid: {day}, arrived: {later}, from: Millrace Sundries}}
specs:
  scale_length: 25.5 in
  frets: 22
  nut_width: 42 mm
  radius: [9.5 in]
  strings:
    - {{gauge: 0.046, wound: yes, note: E2}}
    - {{gauge: 0.036, wound: yes, note: A2}}
    - {{gauge: 0.026, wound: yes, note: D3}}
    - {{gauge: 0.017, note: G3}}
{sale}---

It hung in a shed for twenty winters and was painted three times.
"""
SALE = "sale: {{date: {sold}, price: 900, channel: market place, shipping_charged: 60, shipping_paid: 48.20, packing: 12}}\n"
STAGES = ("strip", "strip", "repair", "repair", "grain", "grain", "seal", "colour", "colour", "clear", "clear", "rub out", "rub out", "setup", "setup")
STORY = "\nSwabbed it before I touched it, then went at it with a card scraper wherever the shape let me. Neutralised, wiped, left in the draught until\nthe evening; it is ash, and pretty ash.\n"


def shop_files(notes: int) -> dict[str, str]:
    """The files of the shop by name: of 20 notes on a build, 15 at the bench and 5 days in the journal."""
    builds = max(notes // 20, 1)
    files = {
        "shop.md": SHOP,
        "journal/2023-01-04.md": f"---\nbought: [{{item: peg, qty: {builds * 10}, cost: {builds}.35, for: stock}}, {{item: umber lacquer, qty: {builds}, cost: {builds * 9}.80, for: stock}}]\n---\n",
    }
    for n in range(builds):
        day = date(2023, 1, 5) + timedelta(days=n * 1300 // builds)
        sale = SALE.format(sold=day + timedelta(days=90)) if n % 3 else ""
        files[f"builds/b{n}/build.md"] = SHEET.format(n=n, day=day, later=day + timedelta(days=9), sale=sale)
        for k, stage in enumerate(STAGES):
            files[f"builds/b{n}/{day + timedelta(days=1 + 4 * k)}.md"] = _bench_note(k, stage)
        for k in range(5):
            files[f"journal/{day + timedelta(days=2 + 13 * k)}-{n}.md"] = _day(k, n)
    return files


def _bench_note(k: int, stage: str) -> str:
    done = "finished: yes\n" if stage not in STAGES[k + 1 :] else ""
    used = ("", "used: [{item: umber lacquer, qty: 0.5}]\n", "used: [{item: umber lacquer, qty: 0.1}, {item: peg, qty: 2}]\n")[k % 3]
    shots = "shots: [bare wood]\n" if k % 4 == 0 else ""
    return f"---\nstage: {stage}\nhours: 2.5\n{done}{used}{shots}---\n{STORY}"


def _day(k: int, n: int) -> str:
    lines = (
        "bought: [{item: umber lacquer, qty: 4, cost: 59.80, for: stock, from: Harrow & Vane}, {item: sandpaper, qty: 20, cost: 14.10, for: stock, from: Harrow & Vane}]",
        f"bench: [{{build: b{n}, stage: grain, hours: 1.5}}, {{for: shop, hours: 2, what: booth filters}}]\ndrove: {{distance: 31, unit: mi, why: plating works}}",
        f"paid: [{{what: nickel plating, cost: 45, kind: outside work, build: b{n}}}]\ndrove: {{distance: 24, unit: mi, why: plating works}}",
        "bought: [{item: peg, qty: 30, cost: 41.17, shipping: 8.50, for: stock, from: Odendahl Beschläge}]\nreceived: [{what: offcuts, amount: 15, kind: other income}]",
        "paid: [{what: lamp for the booth, cost: 27.50, kind: tools}]\nbench: [{for: shop, hours: 1, what: built the neck-heating jig}]",
    )
    return f"---\n{lines[k]}\n---\n{STORY}"


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
    shop, told = timed("purfle: the shop", lambda: read_shop(notes.files, (), TODAY))
    events = timed("events", lambda: stream(shop, TODAY))
    books, troubles = timed("keeping", lambda: keep(shop, events, {}, TODAY))
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
        for path, text in shop_files(notes).items():
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_text(text, "utf-8")
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
