"""The shop's photos are made into published pictures: on every core, once for each content.

Invariant: reads only the wanted files of the shop folder, writes only into the store, and never raises for a fault in a file.
"""

import contextlib
import os
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from importlib import metadata
from pathlib import Path
from typing import Any

from purfle.base.trouble import Trouble, Wrong
from purfle.shell import plain
from purfle.shell.kept import Maker, Outcome, Told, published, told
from purfle.shell.pixels import MOST_BYTES, MOST_PIXELS, develop
from purfle.shell.store import Store
from purfle.views.pictures import Pictures, PublishedPicture, Variant

Progress = Callable[[int, int], None]
"""Called with how many are done, of how many."""
_RECIPE = "3"  # counted up whenever the same source should give other bytes, or a record has another shape
_MOST_THREADS = 4  # each may hold a picture of `MOST_PIXELS`


def publish(wanted: Iterable[str], shop_dir: Path, store_dir: Path, progress: Progress | None = None) -> tuple[Pictures, tuple[Trouble, ...]]:
    """The published pictures by source path, as `kept.published`, and troubles; the bytes of each variant lie at `store_dir / variant.path`."""
    too_large = Wrong("picture-too-large", f"the file is over {MOST_BYTES // 1_000_000} MB", "save a smaller copy")
    maker = Maker(Store(store_dir, "pictures", _recipe()), MOST_BYTES, too_large, _made, _picture, _files)
    with _quiet_about_size(), ThreadPoolExecutor(min(_MOST_THREADS, os.cpu_count() or 1)) as pool:

        def across(make: Callable[[str], Outcome[PublishedPicture]], paths: Sequence[str]) -> Iterator[Outcome[PublishedPicture]]:
            for done, one in enumerate(pool.map(make, paths), 1):
                yield one
                if progress:
                    progress(done, len(paths))

        return published(maker, wanted, shop_dir, across)


def _recipe() -> str:
    """Our own way of making pictures and the versions of what makes them."""
    versions = []
    for library in ("pillow", "pillow_heif"):
        try:
            versions.append(metadata.version(library))
        except metadata.PackageNotFoundError:
            versions.append("none")
    return "/".join((_RECIPE, *versions))


@contextlib.contextmanager
def _quiet_about_size() -> Iterator[None]:
    """While it lasts Pillow refuses what is over twice our limit, and does not warn of the rest, which is ours to judge."""
    from PIL import Image

    before, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, MOST_PIXELS
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = before


def _made(data: bytes, ending: str) -> tuple[PublishedPicture, Told, Mapping[str, bytes]]:
    developed = develop(data, ending)
    return developed.picture, tuple(told(remark) for remark in developed.remarks), dict(developed.files)


def _files(picture: PublishedPicture) -> Mapping[str, int]:
    return {variant.path: variant.size for variant in picture.files()}


_MOST_SIDE = 1_000_000


def _picture(kept: Any) -> PublishedPicture:
    """A picture as it was before it was kept. Raises ValueError for what is none."""
    plain.mapping(kept, {"width", "height", "variants", "fallback", "colour"})
    width, height = (plain.number(kept[side], 1, _MOST_SIDE) for side in ("width", "height"))
    variants = tuple(_variant(one) for one in plain.listed(kept["variants"]))
    if not variants:
        plain.refuse()
    return PublishedPicture(width, height, variants, _variant(kept["fallback"]), plain.text(kept["colour"], "#[0-9a-f]{6}"))


def _variant(kept: Any) -> Variant:
    plain.mapping(kept, {"path", "width", "height", "media_type", "size"})
    width, height = (plain.number(kept[side], 1, _MOST_SIDE) for side in ("width", "height"))
    path = plain.text(kept["path"], r"pictures/[0-9a-f]{16}-[0-9]+\.(webp|jpg)")
    return Variant(path, width, height, plain.text(kept["media_type"], "image/(webp|jpeg)"), plain.number(kept["size"], 1, MOST_BYTES))
