"""The files that a site is made from: the packaged ones, and the owner's in their place.

A site's files are one mapping from name (relative to `site_templates/<site>/`) to bytes. Names that end in `.html`, `.xml` or `.txt` and
stand in no folder are templates; all others (style sheets, scripts, fonts) are assets and are copied as they are. A name that begins
with `_` is a piece other templates use, and makes no page.
Invariant: opens nothing but the package's own files.
"""

import re
from collections.abc import Iterator, Mapping
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from purfle.base.near import nearest
from purfle.base.place import Place
from purfle.base.trouble import Trouble, listed

_ENDINGS = (".html", ".xml", ".txt")


def packaged(site: str) -> dict[str, bytes]:
    """The packaged files of one site, `showroom` or `office`, by name.

    They lie in the wheel beside the code; in a checkout, in `site_templates/` at the repository's root.
    """
    inside = resources.files("purfle").joinpath("site_templates", site)
    root: Traversable = inside if inside.is_dir() else Path(__file__).parents[3].joinpath("site_templates", site)
    return dict(sorted(_files(root, "")))


def _files(folder: Traversable, prefix: str) -> list[tuple[str, bytes]]:
    found = []
    for item in folder.iterdir():
        if item.is_dir():
            found += _files(item, f"{prefix}{item.name}/")
        elif not item.name.startswith("."):
            found.append((prefix + item.name, item.read_bytes()))
    return found


SiteFiles = Mapping[str, Mapping[str, bytes]]
"""Files by site, then by name."""


def layered(sites: SiteFiles, owner: Mapping[str, bytes]) -> dict[str, dict[str, bytes]]:
    """The packaged files of each site with the owner's in place of those of the same name; `owner` goes by path in `site_templates/`."""
    return {site: {**files, **own_files(site, owner)} for site, files in sites.items()}


def unused(sites: SiteFiles, owner: Mapping[str, bytes]) -> Iterator[Trouble]:
    """Files of the owner's, by path in `site_templates/`, that can only be meant for a packaged file's place and do not take it."""
    layers = layered(sites, owner)
    for path in sorted(owner):
        site, _, name = path.partition("/")
        if site in sites and _is_leftover(name):
            yield Trouble(
                Place(f"site_templates/{path}", 0), "template-unused", "it is a copy, a note or what a system left behind, so it is not used", "take it away"
            )
        elif site in sites:
            if name not in sites[site] and not any(name.encode() in text for other, text in layers[site].items() if other != name):
                yield from _unused_name(path, name, nearest(name, sites[site]))
        elif homes := [home for home in sites if path.rpartition("/")[2] in sites[home]]:
            mend = f"move it to {listed([shown_path(home, '') for home in homes])}"
            yield Trouble(Place(f"site_templates/{path}", 0), "template-unused", "it lies in the folder of neither site, so it is not used", mend)


def own_files(site: str, owner: Mapping[str, bytes]) -> dict[str, bytes]:
    """The owner's files of one site by name, less what is a leftover; `owner` goes by path in `site_templates/`."""
    return {path.removeprefix(f"{site}/"): data for path, data in owner.items() if path.startswith(f"{site}/") and not _is_leftover(path)}


_LEFTOVER = re.compile(
    r"(?:.*(?:~|\.(?:bak|backup|crdownload|md|old|orig|part|rej|save|sw[op]|temp|tmp))|#.*#|thumbs\.db|ehthumbs\.db|desktop\.ini)\Z", re.IGNORECASE
)


def _is_leftover(path: str) -> bool:
    """Whether a file is a copy that an editor keeps, a system's own, or a note to oneself: nobody means to publish one."""
    return _LEFTOVER.match(path.rpartition("/")[2]) is not None


def _unused_name(path: str, name: str, near: str | None) -> Iterator[Trouble]:
    if near or is_template(name):
        mend = f"name it {near}" if near else "give it the name of the packaged file it is meant for, or take it away"
        yield Trouble(Place(f"site_templates/{path}", 0), "template-unused", "no packaged file has this name and nothing asks for it, so it is not used", mend)


def is_template(name: str) -> bool:
    """Whether a file of `site_templates/<site>/` is rendered, and not copied as it is."""
    return "/" not in name and name.endswith(_ENDINGS)


def shown_path(site: str, name: str) -> str:
    """Where an owner's file of that name stands, in the shop folder."""
    return f"site_templates/{site}/{name}"
