"""A made-up shop of any size, the same for the same seed: builds, bench notes, journal days, episodes, a few photographs.

The lengths, keys and kinds of lines follow the demo shop's notes; about half of the builds are public, 3 in 100 are open, the others
sold. Every build has 20 notes: 15 at the bench and 5 days in the journal. Words are drawn from a small shop vocabulary.
"""

import random
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

SEED = 20260520
TODAY = date(2026, 5, 20)
FIRST = date(2023, 1, 9)
SHOP = """---
name: The long bench
place: a valley with a river
contact: mailto:bench@example.org
site: https://example.org/bench/
currency: USD
labour_rate: 26
target_margin: 35 %
bench_hours: {tuesday: 2, wednesday: 2, thursday: 2, friday: 2, saturday: 3}
show: {weekday: tuesday, minutes: 14, lead: 3 days, hours: 5, likelihood: 80 %}
channels: {market place: {percent: 9, fixed: 0.30}, in person: {percent: 0}}
cures: {colour: 2 days, clear: 3 days, glue: 24 h}
routes:
  refinish:
    - {stage: strip, hours: [3, 4, 7]}
    - {stage: repair, hours: [2, 3, 6], cure: glue}
    - {stage: colour, hours: [2, 3, 5], cure: colour}
    - {stage: clear, hours: [2, 3, 4], cure: clear}
    - {stage: setup, hours: [1, 2, 3]}
stock: {items: {umber lacquer: {unit: can}, peg: {unit: piece}, sandpaper: {counted: no}}}
standing: [{what: rent, cost: 210, kind: rent, every: month, from: 2023-01-01}]
---

A bench by a window, and what passes over it.
"""
STAGES = ("strip", "repair", "colour", "clear", "setup")
MAKERS = ("Fennimore", "Ostrey", "Halvorn", "Tidewell")
KINDS = ("electric guitar", "electric bass", "lap steel", "archtop guitar")
WORDS = (
    "scraper",
    "ash",
    "grain",
    "filler",
    "neck",
    "joint",
    "cloth",
    "lacquer",
    "glue",
    "wedge",
    "clamp",
    "draught",
    "evening",
    "window",
    "bench",
    "dust",
    "edge",
    "heel",
    "slot",
    "fret",
    "nut",
    "bridge",
    "pocket",
    "cavity",
    "wire",
    "solder",
    "pot",
    "jack",
    "screw",
    "thread",
    "hole",
    "plug",
    "dowel",
    "veneer",
    "binding",
    "lamp",
    "heat",
    "iron",
    "steam",
    "cold",
    "slow",
    "patient",
    "thin",
    "coat",
    "level",
    "sheen",
    "orange",
    "peel",
    "run",
    "sag",
)
VERBS = ("went at", "took off", "left", "came back to", "worked round", "levelled", "filled", "swabbed", "scraped", "warmed")


def write(folder: Path, builds: int, photos: int = 0, seed: int = SEED) -> int:
    """Write a shop of `builds` builds into an empty folder; gives the number of notes."""
    notes = 0
    for path, text in shop_files(builds, seed):
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, "utf-8")
        notes += not path.endswith(("build.md", "shop.md"))
    for n in range(photos):
        photo(folder / f"builds/b{n:04}/photos/front.jpg", seed + n)
    return notes


def shop_files(builds: int, seed: int = SEED) -> Iterator[tuple[str, str]]:
    """Path and text of every file."""
    chance = random.Random(seed)
    yield "shop.md", SHOP
    yield (
        "journal/2023-01-04.md",
        f"---\nbought: [{{item: peg, qty: {builds * 40}, cost: {builds * 4}.35, for: stock}}, {{item: umber lacquer, qty: {builds * 4}, cost: {builds * 36}.80, for: stock}}]\n---\n",
    )
    open_ = max(2, builds * 3 // 100)
    span = (TODAY - FIRST).days - 150
    for n in range(builds):
        still = n >= builds - open_
        day = TODAY - timedelta(days=70 + n % 20) if still else FIRST + timedelta(days=n * span // max(1, builds - open_))
        yield from _build(chance, n, day, still)
    airs = date(2023, 2, 7)
    while airs <= TODAY:
        yield f"journal/episodes/{airs}.md", _episode(chance, airs, builds)
        airs += timedelta(days=7)


def _build(chance: random.Random, n: int, day: date, still: bool) -> Iterator[tuple[str, str]]:
    id = f"b{n:04}"
    yield f"builds/{id}/build.md", _sheet(chance, n, day, still)
    done = 2 if still else len(STAGES)
    for k in range(15):
        stage = STAGES[min(k * done // 15, done - 1)]
        last = (k + 1) * done // 15 > k * done // 15 and not (still and k == 14)
        yield f"builds/{id}/{day + timedelta(days=1 + 4 * k)}.md", _bench_note(chance, k, stage, last)
    for k in range(5):
        yield f"journal/{day + timedelta(days=2 + 12 * k)}-{id}.md", _day(chance, k, id, "strip" if still else "repair")


def _sheet(chance: random.Random, n: int, day: date, still: bool) -> str:
    later = day + timedelta(days=9)
    sale = (
        ""
        if still
        else f"sale: {{date: {day + timedelta(days=80)}, price: {chance.randint(500, 1400)}, channel: market place, shipping_charged: 60, shipping_paid: 48.20, packing: 12}}\n"
    )
    due = f"due: {TODAY + timedelta(days=20 + n % 60)}\n" if still and n % 3 == 0 else ""
    return f"""---
title: Build number {n}
kind: resale
instrument: {chance.choice(KINDS)}
maker: {chance.choice(MAKERS)}
model: Double Ten
year: about {chance.randint(1950, 1990)}
finish: umber lacquer
serial: HD {7000 + n}
route: refinish
priority: 2
{due}acquired: {{date: {day}, how: bought, price: {chance.randint(90, 380)}, shipping: 38.50, from: an estate clearance by the quarry}}
parts:
  - {{part: tuner set, cost: 44.90, shipping: 5.20, for: setup, ordered: {day}, paid: {day}, arrived: {later}, from: Millrace Sundries}}
  - {{part: bone nut blank, cost: 7.50, for: setup, ordered: {day}, paid: {day}, arrived: {later}, from: Millrace Sundries}}
specs:
  scale_length: 25.5 in
  frets: 22
  nut_width: 42 mm
  radius: [9.5 in]
  tuning: E2 A2 D3 G3 B3 E4
  pickups: [two single coils]
  woods: [{{what: ash, for: body}}, {{what: maple, for: neck}}]
{sale}{"showroom: yes" if n % 2 == 0 else "showroom: no"}
---

{_story(chance, 2)}
"""


def _bench_note(chance: random.Random, k: int, stage: str, last: bool) -> str:
    done = "finished: yes\n" if last else ""
    used = ("", "used: [{item: umber lacquer, qty: 0.5}]\n", "used: [{item: umber lacquer, qty: 0.1}, {item: peg, qty: 2}]\n")[k % 3]
    shots = f"shots: [{chance.choice(WORDS)}]\n" if k % 4 == 0 else ""
    return f"---\nstage: {stage}\nhours: {chance.choice(('0.5', '1', '0:45', '0:20', '0h30'))}\n{done}{used}{shots}---\n\n{_story(chance, 1 + k % 2)}\n"


def _day(chance: random.Random, k: int, id: str, stage: str) -> str:
    lines = (
        "bought: [{item: umber lacquer, qty: 4, cost: 59.80, for: stock, from: Harrow & Vane}, {item: sandpaper, qty: 20, cost: 14.10, for: stock, from: Harrow & Vane}]",
        f"bench: [{{build: {id}, stage: {stage}, hours: 1.5}}, {{for: shop, hours: 2, what: booth filters}}]\ndrove: {{distance: 31, unit: mi, why: plating works}}",
        f"paid: [{{what: nickel plating, cost: 45, kind: outside work, build: {id}}}]\ndrove: {{distance: 24, unit: mi, why: plating works}}",
        "bought: [{item: peg, qty: 30, cost: 41.17, shipping: 8.50, for: stock, from: Odendahl Beschläge}]\nreceived: [{what: offcuts, amount: 15, kind: other income}]",
        "paid: [{what: lamp for the booth, cost: 27.50, kind: tools}]\nbench: [{for: shop, hours: 1, what: built the neck-heating jig}]",
    )
    return f"---\n{lines[k]}\n---\n\n{_story(chance, 1)}\n"


def _episode(chance: random.Random, airs: date, builds: int) -> str:
    one = chance.randrange(builds // 2) * 2
    return f"---\ntitle: The week of {airs}\naired: yes\nminutes: 14\nhours: {{filming: 2, editing: 4}}\nsegments: [{{build: b{one:04}, what: look back, minutes: 8}}, {{what: talk, minutes: 2}}]\nincome: [{{what: ad share, amount: 12.20, date: {airs}}}]\nshowroom: yes\n---\n\n{_story(chance, 1)}\n"


def _story(chance: random.Random, paragraphs: int) -> str:
    return "\n\n".join(_paragraph(chance) for _ in range(paragraphs))


def _paragraph(chance: random.Random) -> str:
    sentences = []
    for _ in range(chance.randint(2, 4)):
        words = chance.sample(WORDS, 6)
        words[2] = f"*{words[2]}*" if chance.random() < 0.2 else words[2]
        sentences.append(
            f"The {words[0]} and the {words[1]}: I {chance.choice(VERBS)} the {words[2]} until the {words[3]} was gone, and then the {words[4]} {words[5]}."
        )
    text = "\n".join(sentences)
    if chance.random() < 0.1:
        text += "\n\n- first the " + "\n- then the ".join(chance.sample(WORDS, 3))
    return text


def photo(path: Path, seed: int) -> None:
    """A 12-megapixel photograph of soft noise, as heavy to read as a real one."""
    import numpy
    from PIL import Image

    noise = numpy.random.default_rng(seed).integers(0, 256, (300, 400, 3), dtype=numpy.uint8)
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(noise).resize((4000, 3000), Image.Resampling.BICUBIC).save(path, quality=88)
