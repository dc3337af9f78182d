"""The shop's photos are made into published pictures: on every core, once for each content.

Invariant: reads only the wanted files of the shop folder, writes only into the store, and never raises for a fault in a file.
"""

import os
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from importlib import metadata
from pathlib import Path, PurePosixPath
from typing import Any

from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong
from purfle.shell.inside import read_inside
from purfle.shell.pixels import MOST_BYTES, MOST_PIXELS, develop
from purfle.shell.store import Store
from purfle.views.pictures import Pictures, PublishedPicture, Variant

Told = Callable[[int, int], None]
"""Called with how many are done, of how many."""
_RECIPE = "1"  # counted up whenever the same source should give other bytes
_MOST_THREADS = 4  # each may hold a picture of `MOST_PIXELS`


def publish(wanted: Iterable[str], shop_dir: Path, store_dir: Path, told: Told | None = None) -> tuple[Pictures, tuple[Trouble, ...]]:
    """The published pictures by source path, and the troubles of those that could not be made or only with a remark.

    `wanted` are paths relative to the shop folder, with forward slashes. The bytes of a variant lie at
    `store_dir / variant.path`. Pictures kept from an earlier compile and not wanted any more are dropped.
    """
    paths = sorted(set(wanted))
    store = Store(store_dir, "pictures", _recipe())
    pictures: dict[str, PublishedPicture] = {}
    troubles: list[Trouble] = []
    keys = []
    with _quiet_about_size(), ThreadPoolExecutor(min(_MOST_THREADS, os.cpu_count() or 1)) as pool:
        outcomes = pool.map(lambda path: _outcome(shop_dir, path, store), paths)
        for done, (path, (key, made)) in enumerate(zip(paths, outcomes, strict=True), 1):
            keys.append(key)
            troubles += [Trouble(Place(path, 0), *trouble) for trouble in made["troubles"]]
            if made["picture"]:
                pictures[path] = _picture(made["picture"])
            if told:
                told(done, len(paths))
    store.keep_only(key for key in keys if key)
    return pictures, tuple(troubles)


def _recipe() -> str:
    """Our own way of making pictures and the versions of what makes them."""
    versions = []
    for library in ("pillow", "pillow_heif"):
        try:
            versions.append(metadata.version(library))
        except metadata.PackageNotFoundError:
            versions.append("none")
    return "/".join((_RECIPE, *versions))


class _quiet_about_size(warnings.catch_warnings):
    """While it lasts Pillow refuses what is over twice our limit, and does not warn of the rest, which is ours to judge."""

    def __enter__(self) -> None:
        from PIL import Image

        super().__enter__()
        warnings.simplefilter("ignore")
        Image.MAX_IMAGE_PIXELS = MOST_PIXELS


def _outcome(shop_dir: Path, path: str, store: Store) -> tuple[str | None, dict[str, Any]]:
    """The key a source's outcome is kept under (None when nothing is kept), and the outcome as plain data."""
    try:
        data = read_inside(shop_dir, path, MOST_BYTES)
        if data is None:
            raise Wrong("picture-too-large", f"the file is over {MOST_BYTES // 1_000_000} MB", "save a smaller copy")
    except Wrong as wrong:
        return None, _failed(wrong)
    ending = PurePosixPath(path).suffix[1:].casefold()
    key = store.key(ending, data)
    made = store.get(key)
    if made is None:
        made, files = _made(data, ending)
        store.put(key, made, files)
    return key, made


def _made(data: bytes, ending: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    try:
        developed = develop(data, ending)
    except Wrong as wrong:
        return _failed(wrong), {}
    made = {"picture": asdict(developed.picture), "troubles": [_told(remark) for remark in developed.remarks]}
    return made, dict(developed.files)


def _failed(wrong: Wrong) -> dict[str, Any]:
    return {"picture": None, "troubles": [_told(wrong)]}


def _told(wrong: Wrong) -> list[str]:
    return [wrong.code, wrong.found, wrong.mend]


def _picture(kept: dict[str, Any]) -> PublishedPicture:
    """A picture as it was before it was kept."""
    variants = tuple(Variant(**variant) for variant in kept["variants"])
    return PublishedPicture(**{**kept, "variants": variants, "fallback": Variant(**kept["fallback"])})
