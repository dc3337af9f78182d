"""Every record in a shop with the build it is about: one walk that the checks share.

Invariant: judges nothing.
"""

from dataclasses import dataclass

from purfle.notes.model import Shop
from purfle.notes.vocabulary.fields import Record, keys_of, once_a_record
from purfle.notes.vocabulary.named import Named


@dataclass(frozen=True, slots=True)
class Found:
    """A record and where it was met."""

    record: Record
    build: str | None
    """Id of the build whose sheet or note it stands in; None in a journal day, an episode, a bulletin or shop.md."""


def records(shop: Shop) -> tuple[Found, ...]:
    """Every record of the shop, outer before inner, in the order of files."""
    met: list[Found] = []
    _collect(shop.settings, None, met)
    for build in shop.builds:
        _collect(build.sheet, build.id, met)
    for note in shop.notes:
        _collect(note.sheet, note.build, met)
    _collect(tuple(episode.sheet for episode in shop.episodes), None, met)
    _collect(tuple(bulletin.sheet for bulletin in shop.bulletins), None, met)
    return tuple(met)


def _collect(value: object, build: str | None, met: list[Found]) -> None:
    """Add what a value holds: a record and its inner ones, or those in a list, named or not."""
    if isinstance(value, Record):
        met.append(Found(value, build))
        for name in _inner_fields(type(value)):
            if inner := getattr(value, name):
                _collect(inner, build, met)
    elif isinstance(value, tuple):
        for item in value:
            _collect(item, build, met)
    elif isinstance(value, Named):
        _collect(value.value, build, met)


@once_a_record
def _inner_fields(record: type[Record]) -> tuple[str, ...]:
    return tuple(name for name, declared in keys_of(record).values() if declared.kind.part is not None)
