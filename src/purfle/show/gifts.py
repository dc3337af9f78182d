"""What was given or paid for, and whether a disclosure says so.

The public rule behind it: who endorses something says plainly what ties them to its seller (US: 16 CFR 255.0(f) and
255.5; a claim both seen and heard is disclosed both ways). The shop's own law decides.
A gifted part is in the picture from the stage it is for on; a part without a stage, or a piece without one, always.
A part that went to another build is in the picture there, and no more where it was.
Invariant: a disclosure covers what it names: by its build, the part, or who gave it.
"""

import re
from collections.abc import Collection, Iterable
from datetime import date

from purfle.base.names import folded
from purfle.notes.model import Build, Episode, Shop
from purfle.notes.records.show import Disclosure, ShowIncome
from purfle.show.given import Given
from purfle.show.model import Gift
from purfle.show.route import Order
from purfle.show.scene import Scene

RULE = "US 16 CFR 255.5; your own law decides"


def gifts_in(given: Iterable[Given], build: str, order: Order, stage: str | None, recorded: date | None) -> tuple[Gift, ...]:
    """The given parts that a piece on the build's `stage` shows; with a recording day, only those in it by then."""
    found = (Gift(p.part, build, p.how, p.origin) for p in given if p.where == build and p.here(recorded) and _seen(p, order, stage))
    return tuple(dict.fromkeys(found))


def _seen(part: Given, order: Order, stage: str | None) -> bool:
    """Unless the piece's stage comes before the part's: of two that don't wait for each other either may have come first."""
    return part.stage is None or stage is None or folded(stage) not in order.get(folded(part.stage), ())


def undisclosed(scene: Scene, build: str, stage: str | None, recorded: date, disclosures: Collection[Disclosure]) -> tuple[Gift, ...]:
    """The given parts that a piece recorded on a day shows, and that none of some disclosures names."""
    gifts = gifts_in(scene.given, build, scene.orders[build], stage, recorded)
    return tuple(gift for gift in gifts if not covered(scene.shop, gift, disclosures))


def undisclosed_sponsors(episode: Episode) -> tuple[ShowIncome, ...]:
    """What an episode earned of sponsors, when no disclosure of its file says `sponsored`."""
    said_so = any(d.how == "sponsored" for d in episode.sheet.disclosures)
    return () if said_so else tuple(i for i in episode.sheet.income if i.kind == "sponsorship")


def covered(shop: Shop, gift: Gift, disclosures: Iterable[Disclosure]) -> bool:
    """Whether a disclosure names the gift."""
    return any(_names(shop, gift, disclosure) for disclosure in disclosures)


def _names(shop: Shop, gift: Gift, disclosure: Disclosure) -> bool:
    if disclosure.build is not None:
        return shop.find(disclosure.build) == gift.build
    if _about(disclosure.what, shop.build(gift.build)):
        return True
    if _mentions(disclosure.what, gift.what):
        return not any(_about(disclosure.what, other) for other in shop.builds)
    return gift.origin is not None and disclosure.origin is not None and folded(gift.origin) == folded(disclosure.origin)


def _about(text: str, build: Build) -> bool:
    return _mentions(text, build.id) or _mentions(text, build.sheet.title)


def _mentions(text: str, name: str) -> bool:
    """Whether a name stands in a text as words of its own; an expression is made only for one whose letters are there at all."""
    text, name = folded(text), folded(name)
    return bool(name) and name in text and re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) is not None


def said(gift: Gift) -> str:
    """The gift in a phrase to say on air."""
    return in_words(gift.what, gift.how, gift.origin)


def in_words(what: str, how: str, origin: str | None) -> str:
    """What was given, how, and by whom where that is known: `pickups, gifted by Tarnwater Pickups`."""
    return f"{what}, {how}" + (f" by {origin}" if origin else "")
