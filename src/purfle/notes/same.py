"""Whether two readings of a shop say the same, as far as a phase asks: of its records, or of what its bodies show besides.

It must be the very records, for equal ones can be written differently: 39.8 and 39.80 are equal.
Invariant: compares, and reads nothing.
"""

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from purfle.base.memo import Mark
from purfle.notes.model import Build, Bulletin, Episode, Note, Shop

T = TypeVar("T")


def same_records(one: Shop, other: Shop) -> bool:
    """Whether two shops say the same less their bodies."""
    return (
        _of_folder(one) == _of_folder(other)
        and _alike(one.builds, other.builds, _of_build)
        and _alike(one.notes, other.notes, _of_note)
        and _alike(one.episodes, other.episodes, _of_air)
        and _alike(one.bulletins, other.bulletins, _of_air)
    )


def same_shown(one: Shop, other: Shop) -> bool:
    """Whether they say the same, and their bodies show the same pictures; and whether bulletins, whose words go on air, are the same."""
    return (
        same_records(one, other)
        and one.about.pictures == other.about.pictures
        and _alike(one.builds, other.builds, lambda build: build.story.pictures)
        and _alike(one.notes, other.notes, lambda note: note.body.pictures)
        and _alike(one.episodes, other.episodes, lambda episode: episode.body.pictures)
        and _alike(one.bulletins, other.bulletins, lambda bulletin: bulletin.body)
    )


RECORDS = Mark(same_records)
"""The mark of a shop's records: a phase that reads no body comes to the same for the same mark."""


def told_by_records(shop: Shop, until: date) -> tuple[object, ...]:
    """What a shop says up to a day less its bodies, as a key: a phase that reads no body gives the same for the same key while these records are in memory."""
    return (
        *_of_folder(shop),
        tuple(map(_of_build, shop.builds)),
        tuple(_of_note(note) for note in shop.notes if note.date <= until),
        tuple(map(_of_air, shop.episodes)),
        tuple(map(_of_air, shop.bulletins)),
    )


# A record stands for itself by its number in memory (`id`), so each of these can be compared and looked up.


def _of_folder(shop: Shop) -> tuple[object, ...]:
    return id(shop.settings), shop.assets, shop.unread, tuple(shop.names.items())


def _of_build(build: Build) -> tuple[object, ...]:
    return build.id, id(build.sheet)


def _of_note(note: Note) -> tuple[object, ...]:
    return note.file, note.build, id(note.sheet), note.at.line, note.at.column


def _of_air(one: Episode | Bulletin) -> tuple[object, ...]:
    return one.file, id(one.sheet)


def _alike(some: tuple[T, ...], others: tuple[T, ...], told: Callable[[T], object]) -> bool:
    """Whether each of some tells the same as its fellow among the others: nearly all are the very same."""
    return len(some) == len(others) and all(one is other or told(one) == told(other) for one, other in zip(some, others, strict=True))
