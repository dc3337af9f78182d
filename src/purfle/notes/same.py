"""Whether two readings of a shop are the same to a phase that looks at records alone, or at records and at what bodies show.

It must be the very records, for equal ones can be written differently: 39.8 and 39.80 are equal.
Invariant: compares, and keeps what others made of the same; reads nothing.
"""

from collections.abc import Callable, Hashable
from datetime import date
from typing import TypeVar

from purfle.base.memo import Memo
from purfle.notes.model import Note, Shop

T = TypeVar("T")


def mark_of_records(shop: Shop) -> object:
    """The same mark for as long as records are the same: a phase that reads no body, and asks for no picture, comes to the same for the same mark.

    So a large shop need be compared once, with the one before it, and not for each phase that depends on it.
    """
    return _MARKS.get("records", shop, object, _same_records)


def mark_of_shown(shop: Shop) -> object:
    """The same for a phase that also asks what bodies show, and reads bulletins, whose words go on air."""
    return _MARKS.get("shown", (mark_of_records(shop), shop), object, _same_shown)


_MARKS = Memo()


def of_day(memo: Memo, shop: Shop, day: date, make: Callable[[], T], *others: Hashable) -> T:
    """What a phase that reads no body makes of a past day, kept for as long as records up to it are the same; `others` are what else it is made from."""
    return memo.get((day, *others), shop, make, lambda one, other: _same_records(one, other, day))


def _same_records(one: Shop, other: Shop, until: date | None = None) -> bool:
    """Whether two shops say the same less their bodies, whatever pictures and sounds lie beside them; with `until`, by the notes up to a day."""
    return (
        one.settings is other.settings
        and list(one.unread.items()) == list(other.unread.items())
        and list(one.names.items()) == list(other.names.items())
        # A record stands for itself by its number in memory (`id`), for both shops are at hand.
        and _alike(one.builds, other.builds, lambda build: (build.id, id(build.sheet)))
        and _alike(_notes(one, until), _notes(other, until), lambda note: (note.file, note.build, id(note.sheet), note.at.line, note.at.column))
        and _alike(one.episodes, other.episodes, lambda episode: (episode.file, id(episode.sheet)))
        and _alike(one.bulletins, other.bulletins, lambda bulletin: (bulletin.file, id(bulletin.sheet)))
    )


def _notes(shop: Shop, until: date | None) -> tuple[Note, ...]:
    return shop.notes if until is None else tuple(note for note in shop.notes if note.date <= until)


def _same_shown(marked: tuple[object, Shop], other_marked: tuple[object, Shop]) -> bool:
    (mark, one), (other_mark, other) = marked, other_marked
    return (
        mark is other_mark
        and one.assets == other.assets
        and one.about.pictures == other.about.pictures
        and _alike(one.builds, other.builds, lambda build: build.story.pictures)
        and _alike(one.notes, other.notes, lambda note: note.body.pictures)
        and _alike(one.episodes, other.episodes, lambda episode: episode.body.pictures)
        and _alike(one.bulletins, other.bulletins, lambda bulletin: bulletin.body)
    )


def _alike(some: tuple[T, ...], others: tuple[T, ...], told: Callable[[T], object]) -> bool:
    """Whether each of some tells the same as its fellow among the others: nearly all are the very same."""
    return len(some) == len(others) and all(one is other or told(one) == told(other) for one, other in zip(some, others, strict=True))
