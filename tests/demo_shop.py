"""The demo shop, which is the repository itself, on the day that the Makefile names: its notes as bytes, and what they come to."""

import re
from datetime import date
from functools import cache
from pathlib import Path

from purfle.compile import Analysis

ROOT = Path(__file__).parents[1]
DAY = re.search(r"^DEMO_DAY := (\S+)$", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE)[1]
TODAY = date.fromisoformat(DAY)


def notes() -> dict[str, bytes]:
    """Every note by its path from the root."""
    found = (ROOT / "shop.md", *ROOT.glob("builds/*/*.md"), *ROOT.glob("journal/**/*.md"))
    return {path.relative_to(ROOT).as_posix(): path.read_bytes() for path in found}


@cache
def analysis() -> Analysis:
    """What they come to; for looking at alone."""
    assets = (path for folder in ("builds", "journal", "photos") for path in (ROOT / folder).rglob("*") if path.is_file() and path.suffix != ".md")
    return Analysis(notes(), frozenset(path.relative_to(ROOT).as_posix() for path in assets), TODAY)
