"""Makes a new shop: a settings file, one build with a note, a day in the journal, all commented.

Invariant: never writes over a file that is there.
"""

import contextlib
from collections.abc import Iterator
from datetime import date, timedelta
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from purfle.shell.anew import write_new


class Refused(Exception):
    """The folder already holds something of the kind; says what."""


def start(folder: Path, today: date) -> tuple[Path, ...]:
    """Write a new shop into `folder`, made if need be, and give the files written.

    Raises `Refused` when it already holds a shop or part of one, OSError when it can't be written.
    """
    for name in ("shop.md", "builds", "journal"):
        if (folder / name).exists() or (folder / name).is_symlink():
            raise Refused(f"{folder} already holds {name}; nothing was written")
    written: list[Path] = []
    try:
        for path, text in sorted(_texts(resources.files("purfle").joinpath("data/start"), "")):
            target = folder / _dated(path, today)
            if target.name == ".gitignore" and target.exists():
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            write_new(target, _dated(text, today))
            written.append(target)
    except OSError:
        _take_back(folder, written)
        raise
    return tuple(written)


def _take_back(folder: Path, written: list[Path]) -> None:
    """Leave nothing of a shop that could not be written whole, so that it can be started again."""
    for path in written:
        path.unlink(missing_ok=True)
    for inner in ("builds/first", "builds", "journal"):
        with contextlib.suppress(OSError):
            (folder / inner).rmdir()


def _texts(folder: Traversable, under: str) -> Iterator[tuple[str, str]]:
    for item in folder.iterdir():
        if item.is_dir():
            yield from _texts(item, f"{under}{item.name}/")
        else:
            # A packaged name without its dot: hidden files are easily lost on the way into a wheel.
            name = ".gitignore" if item.name == "gitignore" else item.name
            yield under + name, item.read_text("utf-8")


def _dated(text: str, today: date) -> str:
    days = {"@today@": today, "@due@": today + timedelta(days=45), "@holiday@": today + timedelta(days=90)}
    for word, day in days.items():
        text = text.replace(word, day.isoformat())
    return text
