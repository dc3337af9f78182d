"""A small shop for the showroom's tests: two public builds, one private, episodes, bulletins, pictures; and its site."""

from dataclasses import dataclass
from datetime import date

from purfle.events import stream
from purfle.notes.model import Shop
from purfle.notes.shop import read_shop
from purfle.pages.showroom import pages_of
from purfle.pages.site_files import packaged
from purfle.progress import progress_of
from purfle.show.promises import promises_of
from purfle.show.publication import wanted_pictures
from purfle.views.pictures import PublishedPicture, PublishedSound, Variant
from purfle.views.public import Showroom
from purfle.views.showroom import showroom_of

TODAY = date(2026, 5, 20)

SHOP = """---
name: Test Bench
place: the lower valley
contact: mailto:bench@example.org
site: https://example.org/bench
routes: {plain: [{stage: strip, hours: 2}, {stage: colour, hours: 3}, {stage: clear, hours: 1, cure: 14 days}, {stage: assembly, hours: 2}]}
show: {weekday: friday}
---
We take old boards apart. Write if you like.
"""

HERON = """---
title: Heron
instrument: electric bass
maker: Aldermoor
model: Type 2
year: about 1974
finish: umber burst
serial: AX10417
route: plain
acquired: {date: 2026-01-10, how: bought, price: 281.37, shipping: 45, from: Osric Penhallow}
specs: {scale_length: 34 in, frets: 21, radius: [10 in, 14 in], pickups: [split-coil], woods: [{what: alder, for: body}]}
for_sale: {asking: 950, since: 2026-05-01}
showroom: yes
cover: photos/front.jpg
as_found: photos/before.jpg
as_left: photos/front.jpg
was: [old-heron]
credits: [{name: Mirel, for: slide playing, link: https://example.org/mirel, consent: yes}, {name: Tobit Quenby, for: a lift, consent: no}]
---
Heron stood in a barn. See [Wren](../wren/build.md) and [the secret one](../plover/build.md).

![The front of a brown bass](photos/front.jpg)

::: private
The barn is behind the chapel.
:::
"""

FILES = {
    "shop.md": SHOP,
    "builds/heron/build.md": HERON,
    "builds/heron/2026-02-01-zinc.md": "---\nstage: strip\nhours: 2.75\nfinished: yes\n---\nStripped it. ![Bare wood](photos/bare.jpg) ![A low note](take.ogg)\n",
    "builds/heron/2026-02-03.md": "---\nstage: colour\nhours: 3\n---\nBrown went on.\n\n## Later\n\nMore brown.[^1]\n\n[^1]: Two coats.\n",
    "builds/heron/2026-02-04.md": "---\nstage: colour\nhours: 1\nshowroom: no\n---\nA quarrel about hinges.\n",
    "builds/heron/2026-02-05.md": "---\nbought: [{item: lacquer, qty: 1, cost: 12.34, for: stock}]\n---\n",
    "builds/wren/build.md": "---\ntitle: Wren\ninstrument: mandolin\nroute: plain\nshowroom: yes\n---\n",
    "builds/plover/build.md": "---\ntitle: Plover\ninstrument: zither\nroute: plain\n---\nNobody may read this of Plover.\n\n![hidden](photos/hidden.jpg)\n",
    "journal/2026-03-01.md": "---\nbench: [{build: wren, stage: strip, hours: 1}]\n---\nBefore any heading.\n\n# Wren\n\nFound a crack in Wren.\n\n# Elsewhere\n\nThe rent is due.\n",
    "journal/episodes/2026-04-03-two.md": "---\ntitle: Two blues\naired: yes\nlink: https://example.org/watch/1\nshowroom: yes\nsegments: [{build: heron, stage: colour, words: begin gently}, {build: plover, stage: strip}]\n"
    "promises: [{build: wren, do: colour, by: 2026-06-05}, {build: plover, do: start, by: 2026-06-05}]\ndisclosures: [{what: pickups in heron, how: gifted, from: Sallow Coils, build: heron}]\n---\nWe talked about blue.\n",
    "journal/episodes/2026-04-10.md": "---\ntitle: Hush\naired: yes\nsegments: [{build: heron, stage: clear}]\n---\nNot for the showroom.\n",
    "journal/bulletins/2026-04-05.md": "---\nbuild: heron\nstage: colour\nwhere: photo feed\nshowroom: yes\n---\nHeron is brown now.\n",
    "journal/bulletins/2026-04-06.md": "---\nbuild: plover\nshowroom: yes\n---\nPlover is a secret.\n",
}
ASSETS = frozenset(
    {
        "builds/heron/photos/front.jpg",
        "builds/heron/photos/before.jpg",
        "builds/heron/photos/bare.jpg",
        "builds/heron/photos/loose.jpg",
        "builds/heron/take.ogg",
        "builds/plover/photos/hidden.jpg",
    }
)
TEMPLATES = packaged("showroom")


@dataclass(frozen=True)
class Site:
    """A shop and what the showroom makes of it."""

    shop: Shop
    view: Showroom
    pages: dict[str, bytes]

    def text(self, path: str) -> str:
        return self.pages[path].decode()


def picture(path: str) -> PublishedPicture:
    """A stand-in named, as real ones are, by nothing of the source but its content (here: how long its name is)."""
    name = f"{len(path):016x}"
    sizes = ((480, 360), (960, 720), (1600, 1200))
    variants = tuple(Variant(f"pictures/{name}-{w}.webp", w, h, "image/webp", 9) for w, h in sizes)
    return PublishedPicture(1600, 1200, variants, Variant(f"pictures/{name}-1200.jpg", 1200, 900, "image/jpeg", 9), "#806040")


def read(files: dict[str, str] | None = None, assets: frozenset[str] = ASSETS, today: date = TODAY) -> Shop:
    """The shop of these files in place of, or beside, the usual ones."""
    return read_shop({name: text.encode() for name, text in {**FILES, **(files or {})}.items()}, assets, today)[0]


def site_of(shop: Shop, today: date = TODAY) -> Site:
    """Everything from the checked shop to the pages."""
    progress, _ = progress_of(shop, stream(shop, today), today)
    return made(shop, progress, promises_of(shop, progress, today), today)


def made(shop, progress, promises, today: date = TODAY) -> Site:
    """The pages of a shop whose progress and promises are known."""
    wanted = wanted_pictures(shop, progress, today)
    pictures = {path: picture(path) for path in wanted if path.endswith(".jpg")}
    sounds = {path: PublishedSound(f"sounds/{len(path):016x}.ogg", "audio/ogg", 9) for path in wanted if path.endswith(".ogg")}
    view = showroom_of(shop, progress, promises, pictures, sounds, today)
    return Site(shop, view, pages_of(view, TEMPLATES))


def site(files: dict[str, str] | None = None, today: date = TODAY) -> Site:
    """The pages of the usual shop with some files changed."""
    return site_of(read(files, today=today), today)
