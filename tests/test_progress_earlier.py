"""Progress looked back at is the progress that was told on the day."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from purfle.events import stream
from purfle.notes.model import Shop
from purfle.notes.shop import read_shop
from purfle.progress import progress_of
from purfle.progress.earlier import Earlier
from purfle.shell.folder import read_folder

LAST = date(2026, 5, 20)


@pytest.fixture(scope="module")
def demo() -> Shop:
    folder = read_folder(Path(__file__).parent.parent)
    return read_shop(folder.files, folder.assets, LAST)[0]


def test_any_day_looked_back_at_is_what_was_told_then(demo: Shop) -> None:
    """Law: one tale told in steps equals the tale told afresh from the notes up to each day."""
    earlier = Earlier(demo, stream(demo, LAST), LAST)
    for day in (LAST - timedelta(days=back) for back in range(0, 200, 9)):
        then = replace(demo, notes=tuple(note for note in demo.notes if note.date <= day))
        told, _ = progress_of(then, stream(then, day), day)
        assert earlier.on(day) == {id: p for id, p in told.items() if p.since is not None and p.since <= day}, day


def test_a_build_that_has_not_come_yet_is_not_there(demo: Shop) -> None:
    first = min(note.date for note in demo.notes)
    assert Earlier(demo, stream(demo, LAST), LAST).on(first - timedelta(days=3650)) == {}
