"""What one file can't tell by itself: names that must exist, pictures that must be there, secrets that must not.

Invariant: works nothing out that a later phase works out (no stock, no money, no order of stages).
"""

from collections.abc import Callable

from purfle.base.memo import Memo
from purfle.base.trouble import Troubles
from purfle.notes.checks.addresses import check_addresses
from purfle.notes.checks.amounts import check_amounts, check_locale
from purfle.notes.checks.names import check_names
from purfle.notes.checks.pictures import check_pictures
from purfle.notes.checks.sense import check_sense
from purfle.notes.leaks.check import check_leaks
from purfle.notes.model import Shop
from purfle.notes.openly import parted_texts
from purfle.notes.retold import retold
from purfle.notes.same import mark_of_records
from purfle.notes.walk import Found, records

BY_RECORDS: tuple[Callable[[Shop, tuple[Found, ...], Troubles], None], ...] = (check_names, check_amounts, check_locale, check_addresses, check_sense)


def check(shop: Shop, troubles: Troubles) -> None:
    """Run every check on a read shop."""
    met = retold(_CHECKED, (), mark_of_records(shop), lambda own: _by_records(shop, own), troubles)
    public, private = parted_texts(shop)
    check_pictures(shop, public, private, troubles)
    check_leaks(shop, public, met, troubles)


_CHECKED = Memo()
"""The records that the checks that look at no text met, with what these told."""


def _by_records(shop: Shop, troubles: Troubles) -> tuple[Found, ...]:
    met = records(shop)
    for one in BY_RECORDS:
        one(shop, met, troubles)
    return met
