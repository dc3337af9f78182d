"""Given and sponsored things that an episode or a bulletin shows and does not disclose.

Each caution names the public rule behind it, and the shop's own law decides.
Invariant: reports, and mends nothing.
"""

from collections.abc import Iterator

from purfle.base.place import Place
from purfle.base.trouble import Trouble, braced
from purfle.notes.model import Bulletin, Episode
from purfle.show.airing import has_aired
from purfle.show.gifts import RULE, said, undisclosed, undisclosed_sponsors
from purfle.show.model import Gift
from purfle.show.scene import Scene

MISSING, TO_ADD = "disclosure-missing", "disclosure-to-add"


def disclosure_faults(scene: Scene) -> Iterator[Trouble]:
    """Every gift shown and not told of, once for each episode and bulletin."""
    for episode in scene.shop.episodes:
        yield from _of_episode(scene, episode)
    for bulletin in scene.shop.bulletins:
        yield from _of_bulletin(scene, bulletin)


def _of_episode(scene: Scene, episode: Episode) -> Iterator[Trouble]:
    sheet, shop = episode.sheet, scene.shop
    out = has_aired(episode, scene.today) or (sheet.showroom and episode.date <= scene.today)
    code = MISSING if out else TO_ADD
    told: set[Gift] = set()
    for segment in sheet.segments:
        id = shop.find(segment.build)
        if id is not None:
            gifts = undisclosed(scene, id, segment.stage, shop.recorded_on(episode), sheet.disclosures)
            yield from (_trouble(segment.where("build"), code, gift, "say it on air") for gift in gifts if gift not in told)
            told.update(gifts)
    for sponsor in undisclosed_sponsors(episode)[:1]:
        yield Trouble(
            sponsor.at,
            code,
            f"the episode is sponsored ({sponsor.what}) and no disclosure says so",
            f"say it on air and add {{what: this episode, how: sponsored}} to disclosures: ({RULE})",
        )


def _of_bulletin(scene: Scene, bulletin: Bulletin) -> Iterator[Trouble]:
    sheet, id = bulletin.sheet, scene.shop.find(bulletin.sheet.build)
    if id is not None:
        code = MISSING if bulletin.date <= scene.today else TO_ADD
        gifts = undisclosed(scene, id, sheet.stage, bulletin.date, sheet.disclosures)
        yield from (_trouble(sheet.where("build"), code, gift, "say it in the text") for gift in gifts)


def _trouble(at: Place, code: str, gift: Gift, where: str) -> Trouble:
    what = braced(f"{gift.what} in {gift.build}")
    example = f"{{what: {what}, how: {gift.how}" + (f", from: {braced(gift.origin)}}}" if gift.origin else "}")
    return Trouble(at, code, f"{said(gift)}, is in {gift.build} and no disclosure says so", f"{where} and add {example} to disclosures: ({RULE})")
