"""How long the books of a large shop take, as a multiple of composing the same frontmatter with the bare YAML library.

Run: python benchmarks/books.py [notes]. Prints seconds and multiples; asserts nothing.
"""

import sys
import time
from datetime import date, timedelta
from itertools import pairwise

import yaml

from purfle.books import keep, year_of, years
from purfle.events import stream
from purfle.notes.shop import read_shop

TODAY = date(2026, 12, 31)
SHOP = """---
name: A large shop
channels: {market place: {percent: 9, fixed: 0.30}}
stock: {items: {umber lacquer: {unit: can}, peg: {unit: piece}, sandpaper: {counted: no}}}
standing: [{what: rent, cost: 210, kind: rent, from: 2023-01-01}]
---
"""


def shop_files(notes: int) -> dict[str, bytes]:
    """A shop of one build for every 20 notes, over four years."""
    builds = max(notes // 20, 1)
    files = {"shop.md": SHOP}
    for n in range(builds):
        day = date(2023, 1, 5) + timedelta(days=n * 1300 // builds)
        sale = f"sale: {{date: {day + timedelta(days=90)}, price: 900, channel: market place, shipping_charged: 60, shipping_paid: 48.20}}\n" if n % 3 else ""
        files[f"builds/b{n}/build.md"] = f"---\ntitle: Build {n}\nacquired: {{date: {day}, price: 280, shipping: 45}}\nparts: [{{part: bridge, cost: 120, paid: {day}, arrived: {day + timedelta(days=9)}}}]\n{sale}---\n"
    for n in range(notes):
        build = n % builds
        day = date(2023, 1, 5) + timedelta(days=build * 1300 // builds + 1 + n // builds * 3)
        if n % 10 == 0:
            files[f"journal/{day}-{n}.md"] = f"---\nbought: [{{item: umber lacquer, qty: 9, cost: 90.40, for: stock}}, {{item: peg, qty: 30, cost: 41.17, for: stock}}]\npaid: [{{what: plating, cost: 45, kind: outside work, build: b{build}}}]\ndrove: {{distance: 24, why: plating}}\n---\n"
        else:
            files[f"builds/b{build}/{day}-{n}.md"] = "---\nhours: 2.5\nused: [{item: umber lacquer, qty: 0.5}, {item: peg, qty: 2}]\n---\nSanded and sprayed.\n"
    return {path: text.encode() for path, text in files.items()}


def main() -> None:
    """Time each step once."""
    files = shop_files(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
    marks = [("", time.process_time())]

    def mark(name: str) -> None:
        marks.append((name, time.process_time()))

    for data in files.values():
        yaml.compose(data.decode().split("---\n")[1], Loader=yaml.CBaseLoader)
    mark("bare YAML library")
    shop, _ = read_shop(files, (), TODAY)
    mark("reading the shop")
    events = stream(shop, TODAY)
    mark("events")
    books, troubles = keep(shop, events, {}, TODAY)
    mark("keeping")
    known = years(books)
    figures = [year_of(books, year) for year in known]
    mark(f"figures of {len(known)} years")
    bare = marks[1][1] - marks[0][1]
    for (_, before), (name, after) in pairwise(marks):
        print(f"{name:24} {after - before:7.2f} s  {(after - before) / bare:5.2f} of the bare library")
    print(f"{len(files)} files, {len(events)} events, {len(books.postings)} postings, {len(troubles)} troubles, net {figures[-1].net_profit}")


if __name__ == "__main__":
    main()
