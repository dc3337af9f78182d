"""Addresses of pages: no two alike, none that could not be a page's name.

Invariant: builds no page.
"""

import re
from collections.abc import Iterator

from purfle.base.names import plain
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.model import Shop
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.show import EpisodeSheet
from purfle.notes.walk import Found

_ADDRESS = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,79}")
_RESERVED = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10)), "index"}
"""Names that Windows keeps for devices, whatever their ending, and that of a folder's own page."""


_Page = tuple[BuildSheet | EpisodeSheet, str, str]
"""Sheet, usual address and file of what a page shows."""


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
    builds: list[_Page] = [(build.sheet, build.id, build.file) for build in shop.builds]
    episodes: list[_Page] = [(episode.sheet, str(episode.date), episode.file) for episode in shop.episodes if episode.sheet.showroom]
    for pages in (builds, episodes):
        taken: dict[str, Place] = {}
        for address, at in _addresses(pages):
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


def _addresses(pages: list[_Page]) -> Iterator[tuple[str, Place]]:
    """The addresses that pages have, then those that they had."""
    for sheet, usual, file in pages:
        yield sheet.address or usual, sheet.where("address") if sheet.address else Place(file, 1)
    for sheet, _, _ in pages:
        yield from ((was, sheet.where("was")) for was in sheet.was)
