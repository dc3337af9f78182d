"""Every record in a shop with the build it is about: one walk that the checks share.

Invariant: judges nothing.
"""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

from purfle.notes.fields import Named, Record
from purfle.notes.model import Shop


@dataclass(frozen=True, slots=True)
class Found:
    """A record and where it was met."""

    record: Record
    build: str | None
    """Id of the build whose sheet or note it stands in; None in a journal day, an episode, a bulletin or shop.md."""


def records(shop: Shop) -> Iterator[Found]:
    """Every record of the shop, outer before inner, in the order of files."""
    yield from _under(shop.settings, None)
    for build in shop.builds:
        yield from _under(build.sheet, build.id)
    for note in shop.notes:
        yield from _under(note.sheet, note.build)
    for sheet in (*(e.sheet for e in shop.episodes), *(b.sheet for b in shop.bulletins)):
        yield from _under(sheet, None)


def _under(record: Record, build: str | None) -> Iterator[Found]:
    yield Found(record, build)
    for name in _inner_fields(type(record)):
        value = getattr(record, name)
        for item in value if isinstance(value, tuple) else (value,):
            yield from _value(item.value if isinstance(item, Named) else item, build)


def _value(value: object, build: str | None) -> Iterator[Found]:
    if isinstance(value, Record):
        yield from _under(value, build)
    elif isinstance(value, tuple):  # a named list, such as the stages of a route
        for item in value:
            yield from _value(item, build)


_INNER: dict[type[Record], tuple[str, ...]] = {}


def _inner_fields(record: type[Record]) -> tuple[str, ...]:
    if record not in _INNER:
        _INNER[record] = tuple(
            field.name for field in dataclasses.fields(record) if "key" in field.metadata and field.metadata["key"].kind.part is not None
        )
    return _INNER[record]
