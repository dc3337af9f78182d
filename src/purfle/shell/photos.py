"""The shop's photos are made into published pictures: on every core, once for each content.

Invariant: reads only the wanted files of the shop folder, writes only into the store, and never raises for a fault in a file.
"""

import os
import warnings
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict
from importlib import metadata
from pathlib import Path
from typing import Any

from purfle.base.trouble import Trouble, Wrong
from purfle.shell.kept import Made, Maker, Outcome, close, outcome, seen_before, told, troubles_of
from purfle.shell.pixels import MOST_BYTES, MOST_PIXELS, develop
from purfle.shell.store import Store
from purfle.views.pictures import Pictures, PublishedPicture, Variant

Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""
_RECIPE = "2"  # counted up whenever the same source should give other bytes, or a record has another shape
_MOST_THREADS = 4  # each may hold a picture of `MOST_PIXELS`


def publish(wanted: Iterable[str], shop_dir: Path, store_dir: Path, progress: Progress | None = None) -> tuple[Pictures, tuple[Trouble, ...]]:
    """The published pictures by source path, and the troubles of those that could not be made or only with a remark.

    `wanted` are paths relative to the shop folder, with forward slashes. The bytes of a variant lie at
    `store_dir / variant.path`. Pictures kept from an earlier compile and not wanted any more are dropped.
    """
    paths = sorted(set(wanted))
    too_large = Wrong("picture-too-large", f"the file is over {MOST_BYTES // 1_000_000} MB", "save a smaller copy")
    maker = Maker(Store(store_dir, "pictures", _recipe()), MOST_BYTES, too_large, _made)
    before = seen_before(maker.store)
    outcomes: dict[str, Outcome] = {}
    with _quiet_about_size(), ThreadPoolExecutor(min(_MOST_THREADS, os.cpu_count() or 1)) as pool:
        for done, (path, one) in enumerate(zip(paths, pool.map(lambda path: outcome(maker, shop_dir, path, before), paths), strict=True), 1):
            outcomes[path] = one
            if progress:
                progress(done, len(paths))
    close(maker.store, outcomes, before)
    pictures = {path: _picture(one.made["made"]) for path, one in outcomes.items() if one.made["made"]}
    return pictures, troubles_of(outcomes)


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


def _made(data: bytes, ending: str) -> Made:
    developed = develop(data, ending)
    return {"made": asdict(developed.picture), "troubles": [told(remark) for remark in developed.remarks]}, dict(developed.files)


def _picture(kept: dict[str, Any]) -> PublishedPicture:
    """A picture as it was before it was kept."""
    variants = tuple(Variant(**variant) for variant in kept["variants"])
    return PublishedPicture(**{**kept, "variants": variants, "fallback": Variant(**kept["fallback"])})
