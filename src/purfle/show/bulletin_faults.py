"""What is wrong with bulletins, beside what they disclose.

Invariant: reports, and mends nothing.
"""

from collections.abc import Iterator

from purfle.base.names import folded
from purfle.base.near import misspelt_for
from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.notes.model import Bulletin, Shop
from purfle.show.bulletins import LATELY, characters
from purfle.show.consent import bar, how_to_show
from purfle.show.scene import Scene


def bulletin_faults(scene: Scene) -> Iterator[Trouble]:
    """Bulletins about what may not be shown, too long for their place, or for a place that is not known; not what went out long ago and stands in no showroom."""
    shop = scene.shop
    for bulletin in shop.bulletins:
        if bulletin.date < scene.today - LATELY and not bulletin.sheet.showroom:
            continue
        id = shop.find(bulletin.sheet.build)
        if id and (why := bar(shop.build(id), scene.progress[id], bulletin.date)):
            yield Trouble(
                bulletin.sheet.where("build"),
                "segment-not-public",
                f"{id} may not be shown: {why}",
                f"leave the bulletin out, or {how_to_show(shop.build(id))}",
            )
        yield from _too_long(shop, bulletin)


def _too_long(shop: Shop, bulletin: Bulletin) -> Iterator[Trouble]:
    outlet = bulletin.sheet.outlet
    limits = {folded(named.name): named for named in shop.settings.show.limits}
    if outlet is None or not limits:
        return
    place = limits.get(folded(outlet))
    if place is None:
        near = misspelt_for(outlet, [named.name for named in limits.values()])
        yield Trouble(
            bulletin.sheet.where("outlet"),
            "place-unknown",
            f"shop.md gives no limit for “{outlet}”",
            f"write {near}" if near else "add it to limits: under show: in shop.md",
        )
    elif (length := characters(bulletin.body)) > place.value:
        at = Place(bulletin.file, bulletin.body.first_line)
        yield Trouble(
            at,
            "bulletin-too-long",
            f"the text has {length} characters; {place.name} takes {place.value}",
            f"shorten it by {length - place.value}, or send it elsewhere",
        )
