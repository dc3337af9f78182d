"""The order of a build's stages, as wide as the notes know it.

A promise may name a stage that the build has since skipped, or one past its `ends_at`; its order is still that of
the shop's route. Invariant: gives names and order only, never what was done.
"""

from collections.abc import Sequence

from purfle.notes.model import Build, Shop
from purfle.notes.records.stages import StageSheet
from purfle.progress.model import Progress


def fold(name: str) -> str:
    """A name as it is compared: case and spaces ignored."""
    return "".join(name.casefold().split())


def order_of(shop: Shop, build: Build, progress: Progress | None) -> tuple[str, ...]:
    """The build's stages in order, folded: its own route, with the stages it skips put back where the shop's route has them."""
    order = [fold(s.stage.name) for s in progress.stages] if progress else []
    _put_back(order, [fold(stage.stage) for stage in _shop_route(shop, build)])
    for stage in build.sheet.stages:
        if fold(stage.stage) not in order:
            order.append(fold(stage.stage))
    return tuple(order)


def _shop_route(shop: Shop, build: Build) -> tuple[StageSheet, ...]:
    wanted = fold(build.sheet.route or "")
    return next((named.value for named in shop.settings.routes if fold(named.name) == wanted), ())


def _put_back(order: list[str], base: Sequence[str]) -> None:
    """Insert the names of `base` that `order` lacks, each right after the one before it in `base`."""
    for index, name in enumerate(base):
        if name not in order:
            before = [order.index(b) for b in base[:index] if b in order]
            order.insert(before[-1] + 1 if before else 0, name)


def reaches(order: Sequence[str], stage: str, wanted: str) -> bool:
    """Whether `stage` is `wanted` or one that follows it in `order`."""
    stage, wanted = fold(stage), fold(wanted)
    if stage == wanted:
        return True
    return stage in order and wanted in order and order.index(stage) > order.index(wanted)
