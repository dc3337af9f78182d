"""Caches of pure functions, for a process that compiles again and again: a value is kept under everything it was made from.

What was not asked for since the turn before last is forgotten. A one-shot command keeps nothing (`keeping` is off), for it asks nothing twice.
Keys are what the function saw: bytes and names, or `told`, a digest of how a value writes itself, which tells 1.0 from 1.00 where equality does not.
Invariant: nothing is ever declared stale by hand; another key is another value.
"""

import hashlib
from collections.abc import Callable, Hashable, Iterable
from dataclasses import is_dataclass
from operator import is_
from typing import Any, Generic, TypeVar

K = TypeVar("K")
T = TypeVar("T")


class Memo:
    """The values of one function."""

    keeping = False
    """Whether anything is kept, for all memos; `follow` turns it on."""

    def __init__(self) -> None:
        self._now: dict[Hashable, Any] = {}
        self._before: dict[Hashable, Any] = {}

    def turn(self) -> None:
        """Begin a new turn: what is not asked for in it is forgotten at the next."""
        self._before, self._now = self._now, {}

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value of a key, made when it is not known."""
        if not Memo.keeping or key is None:
            return make()
        if key in self._now:
            return self._now[key]  # type: ignore[no-any-return]
        value = self._before[key] if key in self._before else make()
        self._now[key] = value
        return value


class Latest:
    """One value for each place, kept for as long as what stands there is the same: a record and the text it was read from."""

    def __init__(self) -> None:
        self._at: dict[Hashable, tuple[Hashable, Any]] = {}

    def get(self, place: Hashable, text: Hashable, make: Callable[[], T]) -> T:
        """The value at a place, made when its text is another than the last."""
        if not Memo.keeping:
            return make()
        kept = self._at.get(place)
        if kept is not None and (kept[0] is text or kept[0] == text):
            return kept[1]  # type: ignore[no-any-return]
        value = make()
        self._at[place] = text, value
        return value


class Each:
    """The value of each of many things, kept for as long as it is the very thing and all else it was made with is the very same."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[object, Any]] = {}
        self._given: tuple[object, ...] = ()

    def of(self, things: Iterable[K], given: tuple[object, ...], make: Callable[[K], T]) -> list[T]:
        """The values in order; `given` is what `make` looks at besides the thing. What is not among the things is forgotten."""
        if not Memo.keeping:
            return [make(thing) for thing in things]
        known = self._known if len(given) == len(self._given) and all(map(is_, given, self._given)) else {}
        now: dict[int, tuple[object, Any]] = {}
        values = []
        for thing in things:
            at = id(thing)  # the thing is held beside its value, so no other can have its number
            kept = now[at] = known.get(at) or (thing, make(thing))
            values.append(kept[1])
        self._known, self._given = now, given
        return values


class Mark(Generic[K]):
    """A mark for how something stands: the same mark for as long as it stands the same as the last time it was looked at.

    So a large value need be compared once, with the one before it, and not hashed for each phase that depends on it.
    """

    def __init__(self, same: Callable[[K, K], bool]) -> None:
        self._same = same
        self._last: tuple[K, object] | None = None

    def of(self, value: K) -> object:
        """The mark of a value; a new one each time when nothing is kept."""
        last = self._last
        if not Memo.keeping:
            return object()
        if last is None or not (last[0] is value or self._same(last[0], value)):
            last = value, object()
        self._last = value, last[1]
        return last[1]


class Digests:
    """Digests of how values write themselves, each record's kept for as long as it is the very same."""

    def __init__(self) -> None:
        self._now: dict[int, tuple[object, str | None]] = {}
        self._before: dict[int, tuple[object, str | None]] = {}

    def turn(self) -> None:
        """Begin a new turn: what is not asked for in it is forgotten at the next."""
        self._before, self._now = self._now, {}

    def of(self, *values: object) -> str | None:
        """As `told`, with the digest of each record in place of what it writes."""
        text = self._written(values)
        return None if text is None else _digest(text)

    def _written(self, value: object) -> str | None:
        if type(value) is tuple:
            parts = [self._written(part) for part in value]
            return None if None in parts else f"({','.join(map(str, parts))})"
        if not is_dataclass(value):
            return _plainly(value)
        at = id(value)  # the value is held beside its digest, so no other can have its number
        kept = self._now[at] = self._now.get(at) or self._before.get(at) or (value, told(value))
        return kept[1]


def told(*values: object) -> str | None:
    """A digest of how the values write themselves; None when one of them writes an address in memory, which says nothing about it."""
    text = _plainly(values)
    return None if text is None else _digest(text)


def _plainly(value: object) -> str | None:
    text = repr(value)
    return None if " at 0x" in text else text


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
