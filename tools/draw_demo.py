"""Draws the demo shop's photographs and sound samples from `tools/demo_pictures.toml`, whose head explains its keys.

    python tools/draw_demo.py [--again] [--check] [words of the paths wanted …]

Invariant: the same table gives the same bytes with the same Pillow and numpy; nothing is read but the table.
"""

import argparse
import sys
import tomllib
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from drawing.instrument import Look
from drawing.pluck import Sample, sample

ROOT = Path(__file__).resolve().parent.parent
TABLE = ROOT / "tools" / "demo_pictures.toml"


def wanted() -> tuple[list[Look], list[Sample]]:
    """The rows of the table; a key or a value it does not know is an error of the table."""
    table = tomllib.loads(TABLE.read_text("utf-8"))
    rows = [Look(**row) for row in table.get("picture", [])]
    sounds = [Sample(**{**row, "notes": tuple(row["notes"])}) for row in table.get("sound", [])]
    return rows, sounds


def draw(row: Look | Sample) -> str:
    """Draw one row and say what was made."""
    from drawing.develop import jpeg
    from drawing.scenes import SCENES

    path = ROOT / row.file
    path.parent.mkdir(parents=True, exist_ok=True)
    data = sample(row) if isinstance(row, Sample) else jpeg(SCENES[row.scene](row))
    path.write_bytes(data)
    return f"{len(data) // 1000:4} kB  {row.file}"


def main() -> int:
    """Draw what is missing, or what is asked for."""
    parser = argparse.ArgumentParser(description="Draw the demo shop's photographs and sound samples.")
    parser.add_argument("words", nargs="*", help="draw the files whose path holds one of these words")
    parser.add_argument("--again", action="store_true", help="draw what is there already, too")
    parser.add_argument("--check", action="store_true", help="list the files that are missing and draw nothing")
    asked = parser.parse_args()
    pictures, sounds = wanted()
    every: list[Look | Sample] = [*pictures, *sounds]
    rows = [row for row in every if not asked.words or any(word in row.file for word in asked.words)]
    if not (asked.again or asked.words):
        rows = [row for row in rows if not (ROOT / row.file).exists()]
    if asked.check:
        print("\n".join(row.file for row in rows) or "nothing is missing")
        return 1 if rows else 0
    with ProcessPoolExecutor(2) as pool:
        for line in pool.map(draw, rows):
            print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
