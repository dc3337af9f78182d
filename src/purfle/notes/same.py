"""Whether two readings of a shop are the same to a phase that looks at records alone, or at records and at what bodies show.

It must be the very records, for equal ones can be written differently: 39.8 and 39.80 are equal.
Invariant: compares, and keeps what others made of the same; reads nothing.
"""

from collections.abc import Callable, Hashable
from datetime import date
from typing import Generic, TypeVar

from purfle.base.memo import Mark, Memo
from purfle.notes.model import Build, Bulletin, Episode, Note, Shop

T = TypeVar("T")


def same_records(one: Shop, other: Shop) -> bool:
    """Whether two shops say the same less their bodies, whatever pictures and sounds lie beside them."""
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
        and one.assets == other.assets
        and one.about.pictures == other.about.pictures
        and _alike(one.builds, other.builds, lambda build: build.story.pictures)
        and _alike(one.notes, other.notes, lambda note: note.body.pictures)
        and _alike(one.episodes, other.episodes, lambda episode: episode.body.pictures)
        and _alike(one.bulletins, other.bulletins, lambda bulletin: bulletin.body)
    )


RECORDS = Mark(same_records)
"""The mark of a shop's records: a phase that reads no body, and asks for no picture, comes to the same for the same mark."""


class OfDays(Generic[T]):
    """What a phase that reads no body makes of past days, kept, while purfle follows, by what the shop's records say up to each of them."""

    def __init__(self) -> None:
        self._memo = Memo()

    def turn(self) -> None:
        """Begin a new turn: a day that is not asked for in it is forgotten at the next."""
        self._memo.turn()

    def get(self, shop: Shop, day: date, make: Callable[[], T], *others: Hashable) -> T:
        """What is made of a day by the notes up to it; `others` are what else it is made from."""
        key = (day, *others, _told_until(shop, day)) if Memo.keeping else None
        made, _ = self._memo.get(key, lambda: (make(), shop))  # the shop is held, so that no other record can have the number of one of its own
        return made


def _told_until(shop: Shop, until: date) -> tuple[object, ...]:
    """What a shop says up to a day less its bodies, as a key."""
    return (
        *_of_folder(shop),
        tuple(map(_of_build, shop.builds)),
        tuple(_of_note(note) for note in shop.notes if note.date <= until),
        tuple(map(_of_air, shop.episodes)),
        tuple(map(_of_air, shop.bulletins)),
    )


# A record stands for itself by its number in memory (`id`), so each of these can be compared and looked up.


def _of_folder(shop: Shop) -> tuple[object, ...]:
    return id(shop.settings), tuple(shop.unread.items()), tuple(shop.names.items())


def _of_build(build: Build) -> tuple[object, ...]:
    return build.id, id(build.sheet)


def _of_note(note: Note) -> tuple[object, ...]:
    return note.file, note.build, id(note.sheet), note.at.line, note.at.column


def _of_air(one: Episode | Bulletin) -> tuple[object, ...]:
    return one.file, id(one.sheet)


def _alike(some: tuple[T, ...], others: tuple[T, ...], told: Callable[[T], object]) -> bool:
    """Whether each of some tells the same as its fellow among the others: nearly all are the very same."""
    return len(some) == len(others) and all(one is other or told(one) == told(other) for one, other in zip(some, others, strict=True))
