"""Things put together by what they have in common.

Invariant: groups, and the things in them, stand in the order in which they were met.
"""

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

K = TypeVar("K", bound=Hashable)
T = TypeVar("T")


def grouped(things: Iterable[T], by: Callable[[T], K]) -> dict[K, list[T]]:
    """The things under what `by` says of each."""
    found: dict[K, list[T]] = {}
    for thing in things:
        found.setdefault(by(thing), []).append(thing)
    return found
