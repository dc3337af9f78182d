"""The locale that shop.md asks for.

Invariant: writes nothing by it; the usual one is never looked up.
"""

from purfle.base.locales import USUAL, like, locale_of
from purfle.base.trouble import Troubles
from purfle.notes.model import Shop
from purfle.notes.walk import Found


def check_locale(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of a locale that does not exist, and of the one that stands in for it."""
    name = shop.settings.locale
    if name == USUAL or locale_of(name) is not None:
        return
    stands_in = like(name)
    troubles.add(
        shop.settings.where("locale"),
        "locale-unknown",
        f"locale: “{name}” is not known; amounts and dates are written as in {stands_in}",
        "write a language and a country, such as en_GB" if str(stands_in) == USUAL else f"write {stands_in}, or it with a country that speaks it",
    )
