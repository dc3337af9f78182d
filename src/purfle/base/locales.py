"""Which locales there are, as the CLDR has them.

Invariant: writes no figure; Babel is imported only when a locale is asked for.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel.core import Locale

USUAL = "en_US"
"""The locale of a shop that names none."""
_LEAST_GROUPED = dict.fromkeys("be bg es et hu hy ia ie it ka lv pl pt_PT ru_UA sl sq".split(), 2) | {"ee": 3, "es_419": 1, "pt_AO": 1}
"""CLDR 48's minimumGroupingDigits where it is not 1 or its parent's; Babel's data leave it out."""


@cache
def locale_of(name: str) -> Locale | None:
    """The locale of a name such as `en_US` or `de-AT`; None when there is none."""
    from babel.core import Locale, UnknownLocaleError

    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return None


@cache
def like(name: str) -> Locale:
    """The locale of a name, or the one an unknown name is written like: its language, else `en_US`."""
    found = locale_of(name) or locale_of(name.replace("-", "_").split("_")[0]) or locale_of(USUAL)
    if found is None:  # a Babel without the data of its own default
        raise LookupError(name)
    return found


@cache
def least_grouped(name: str) -> int:
    """How many digits must stand before the first group mark for there to be any: 2 in Spanish, which writes 1234 and 12.345."""
    from babel.core import get_global

    parents, locale = get_global("parent_exceptions"), str(like(name))
    while locale and locale not in _LEAST_GROUPED:
        locale = parents.get(locale) or locale.rpartition("_")[0]
    return _LEAST_GROUPED.get(locale, 1)
