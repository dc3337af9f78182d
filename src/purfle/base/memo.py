"""What is kept between the compiles of one process: values of pure functions, each for as long as what it was made from is the same.

`follow` wraps each compile in a `turn`; outside of one nothing is kept, for a one-shot command asks nothing twice. A value stands at a place of a
`Memo` beside what it was made from, and is made anew when that is no longer the same; the one before it stays behind it, for what is half typed, wrong
or taken back is soon as it was. What a turn that asks a memo for anything does not ask it for is forgotten; but whatever was asked for while another
value was made stays for as long as that one.
Invariant: nothing is ever declared stale by hand.
"""

import contextlib
import hashlib
from collections.abc import Callable, Hashable, Iterator
from operator import eq, is_
from typing import Any, TypeVar
from weakref import WeakValueDictionary

T = TypeVar("T")


class _Entry:
    """A value, what it was made from, the entries that were asked for while it was made, and the entry before it; these live as long as it does."""

    __slots__ = ("__weakref__", "at", "before", "given", "parts", "place", "value")

    def __init__(self, at: "_Standing", place: Hashable, given: Any, value: Any, parts: "list[_Entry]") -> None:
        self.at, self.place, self.given, self.value, self.parts = at, place, given, value, parts
        self.before: _Entry | None = None

    def stand(self) -> None:
        """Stand at its place, and those that it was made with at theirs, where others may have come after them."""
        last = self.at.get(self.place)
        if last is not self:
            self.at[self.place], self.before = self, last
            if last is not None:
                last.before = None
            for part in self.parts:
                part.stand()


_Standing = WeakValueDictionary[Hashable, _Entry]


class _Turn:
    """Where the process is."""

    def __init__(self) -> None:
        self.number = 0
        self.keeping = False
        self.parts: list[_Entry] | None = None
        """What was asked for by the value that is being made; None while none is."""


_turn = _Turn()


@contextlib.contextmanager
def turn() -> Iterator[None]:
    """One of several compiles in this process: what was made in those before is at hand, and what is made is kept."""
    _turn.number, _turn.keeping = _turn.number + 1, True
    try:
        yield
    finally:
        _turn.keeping = False


def keeping() -> bool:
    """Whether what is made now is kept."""
    return _turn.keeping


class Memo:
    """The values of one function by place: one at each, and the one before it."""

    def __init__(self) -> None:
        self._at = _Standing()
        self._turn = 0
        self._asked: list[_Entry] = []
        """Those that this turn asked for, or the last that asked for any; it and the list of the turn before are what holds them."""
        self._before: list[_Entry] = []

    def get(self, place: Hashable, given: Any, make: Callable[[], T], same: Callable[[Any, Any], bool] = eq) -> T:
        """The value at a place, made when what is `given` is not the `same` as what the last one there, or the one before, was made from."""
        if not _turn.keeping:
            return make()
        if self._turn != _turn.number:
            self._turn, self._before, self._asked = _turn.number, self._asked, []
        entry = self._at.get(place)
        if entry is None or not (entry.given is given or same(entry.given, given)):
            entry = self._other(entry, place, given, make, same)
        entry.given = given  # the newest is held: it is compared the quickest, and an old one may be large
        (self._asked if _turn.parts is None else _turn.parts).append(entry)
        return entry.value  # type: ignore[no-any-return]

    def _other(self, last: _Entry | None, place: Hashable, given: Any, make: Callable[[], Any], same: Callable[[Any, Any], bool]) -> _Entry:
        """The entry before the last if it was made from the same, else a new one; it stands at the place from now on."""
        before = last and last.before
        entry = before if before and same(before.given, given) else self._made(place, given, make)
        entry.stand()
        return entry

    def _made(self, place: Hashable, given: Any, make: Callable[[], Any]) -> _Entry:
        around, _turn.parts = _turn.parts, []
        try:
            return _Entry(self._at, place, given, make(), _turn.parts)
        finally:
            _turn.parts = around


def very(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Whether all of some things are the very same: equal ones may be written differently, as 39.8 and 39.80 are."""
    return len(one) == len(other) and all(map(is_, one, other))


_STEADY = Memo()


def steady(place: Hashable, value: T) -> T:
    """The very value that stood at a place before while it is equal to this one, so that whoever is given it knows it at a glance."""
    return _STEADY.get(place, value, lambda: value)


def told(*values: object) -> str | None:
    """A digest of how values write themselves, which tells 1.0 from 1.00; None when one writes an address in memory, which says nothing about it."""
    text = repr(values)
    return None if " at 0x" in text else digest(text)


def digest(text: str) -> str:
    """A digest of a text."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
