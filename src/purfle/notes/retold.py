"""Values kept together with the troubles that reading them told: those are told again each time the value is asked for.

Invariant: reads nothing itself.
"""

from collections.abc import Callable, Hashable
from operator import eq
from typing import Any, TypeVar

from purfle.base.memo import Memo
from purfle.base.trouble import Trouble, Troubles

T = TypeVar("T")


def retold(memo: Memo, place: Hashable, given: Any, read: Callable[[Troubles], T], troubles: Troubles, same: Callable[[Any, Any], bool] = eq) -> T:
    """As `Memo.get`; what `read` tells is told in `troubles`, too, when it is not read again."""

    def fresh() -> tuple[T, tuple[Trouble, ...]]:
        own = Troubles()  # none of another file's: a reader may ask whether anything was told
        return read(own), tuple(own.found)

    value, told = memo.get(place, given, fresh, same)
    troubles.found.extend(told)
    return value
