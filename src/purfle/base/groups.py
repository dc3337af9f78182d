"""Things put together by what they have in common.

Invariant: groups, and the things in them, stand in the order in which they were met.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import TypeVar

K = TypeVar("K", bound=Hashable)
T = TypeVar("T")


def grouped(things: Iterable[T], by: Callable[[T], K]) -> dict[K, list[T]]:
    """The things under what `by` says of each."""
    found: dict[K, list[T]] = {}
    for thing in things:
        found.setdefault(by(thing), []).append(thing)
    return found


_LOT = 100


def lots(things: Sequence[T]) -> Iterator[tuple[int, tuple[T, ...]]]:
    """A hundred things at a time, with the number of the first: to tell that lots are as they were takes far less than to ask for each thing."""
    return ((start, tuple(things[start : start + _LOT])) for start in range(0, len(things), _LOT))
