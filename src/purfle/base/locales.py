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
