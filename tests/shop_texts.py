"""Shops for tests, written as a person would write them."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from purfle.events.work import work_events
from purfle.notes.model import Shop
from purfle.notes.shop import read_shop
from purfle.progress import progress_of

TODAY = date(2026, 3, 2)
"""A Monday."""


def shop_of(files: dict[str, str], today: date = TODAY, assets: tuple[str, ...] = ()) -> Shop:
    """A shop read from texts, which must not have troubles of their own that stop it being read."""
    return read_shop({name: text.encode() for name, text in files.items()}, assets, today)[0]


def fenced(*lines: str) -> str:
    """Frontmatter lines between fences."""
    return "\n".join(("---", *lines, "---", ""))


def settings(*lines: str) -> str:
    """A shop.md with a name and these lines."""
    return fenced("name: Test Bench", *lines)


def with_show(root: Path) -> Path:
    """A shop as `purfle start` leaves it, with the line of its show taken in: until then it makes none."""
    settings = root / "shop.md"
    text = settings.read_text("utf-8")
    settings.write_text(text.replace("\n# show:", "\nshow:"), "utf-8")
    assert settings.read_text("utf-8") != text
    return root


def told(shop: Shop, today: date = TODAY):
    """Progress of every build, and the codes of its troubles."""
    progress, troubles = progress_of(shop, work_events(shop, today), today)
    return progress, [trouble.code for trouble in troubles]


def put(root: Path, files: Mapping[str, str | bytes]) -> Path:
    """The folder, with these files written below it."""
    for name, data in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(data.encode() if isinstance(data, str) else data)
    return root
