"""Addresses of pages: no two alike, none that could not be a page's name.

Invariant: builds no page.
"""

import re
from collections.abc import Iterator

from purfle.base.names import plain
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Shop
from purfle.notes.walk import Found

_ADDRESS = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,79}")
_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10)), "index"}
"""Names that Windows keeps for devices, whatever their ending, and that of a folder's own page."""


def is_address(name: str) -> bool:
    """Whether a name can be that of a page, on any disk and in any address."""
    return bool(_ADDRESS.fullmatch(name)) and name.casefold() not in _RESERVED


def as_address(name: str) -> str:
    """The name itself if a page can have it, else the nearest that one can have, letters with accents as their plain ones; empty for none."""
    if is_address(name):
        return name
    near = re.sub(r"[^A-Za-z0-9_-]+", "-", plain(name[:200])).strip("-_")[:80].strip("-_").lower()
    return near if is_address(near) else ""


def check_addresses(shop: Shop, _: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of addresses that are taken twice or can't be one."""
    for family in (_of_builds(shop), _of_episodes(shop)):
        taken: dict[str, Place] = {}
        for address, at in family:
            if not is_address(address):
                troubles.add(at, "address-refused", f"“{address}” can't be the address of a page", _address_mend(address))
            elif (other := taken.setdefault(address.casefold(), at)) != at:
                troubles.add(at, "address-taken", f"the address {address} is also that of {other.file}", f"write another address, such as {address}-2")


def _address_mend(address: str) -> str:
    if near := as_address(address):
        return f"write {near}"
    if address.casefold() in _RESERVED:
        return f"write another name, such as {address}-1: this one is kept for something else"
    return "write another name, of letters a to z, digits, - and _ only"


def _of_builds(shop: Shop) -> Iterator[tuple[str, Place]]:
    for build in shop.builds:
        yield build.sheet.address or build.id, build.sheet.where("address") if build.sheet.address else Place(build.file, 1)
    for build in shop.builds:
        for was in build.sheet.was:
            yield was, build.sheet.where("was")


def _of_episodes(shop: Shop) -> Iterator[tuple[str, Place]]:
    public = [episode for episode in shop.episodes if episode.sheet.showroom]
    for episode in public:
        yield episode.sheet.address or str(episode.date), episode.sheet.where("address") if episode.sheet.address else Place(episode.file, 1)
    for episode in public:
        for was in episode.sheet.was:
            yield was, episode.sheet.where("was")
