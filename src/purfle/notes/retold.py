"""Values kept together with the troubles that reading them told: those are told again each time the value is asked for.

Invariant: reads nothing itself.
"""

from collections.abc import Callable, Hashable
from typing import TypeVar

from purfle.base.memo import Latest
from purfle.base.trouble import Trouble, Troubles

T = TypeVar("T")


class Retold:
    """One value for each place, kept as `Latest` keeps it."""

    def __init__(self) -> None:
        self._latest = Latest()

    def get(self, place: Hashable, text: Hashable, read: Callable[[Troubles], T], troubles: Troubles) -> T:
        """The value at a place, read when its text is another than the last; what `read` tells is told in `troubles`, too, when it is not read again."""

        def fresh() -> tuple[T, tuple[Trouble, ...]]:
            own = Troubles()  # none of another file's: a reader may ask whether anything was told
            return read(own), tuple(own.found)

        value, told = self._latest.get(place, text, fresh)
        troubles.found.extend(told)
        return value
