"""The order of a build's stages, as wide as the notes know it.

A promise may name a stage that the build has since skipped, or one past its `ends_at`; its order is still that of
the whole route. Stages that do not wait for each other stand in no order: showing one says nothing of the other.
Invariant: gives names and order only, never what was done.
"""

from collections.abc import Mapping

from purfle.base.names import folded
from purfle.notes.model import Build, Shop
from purfle.progress.routes import reached, whole_route

Order = Mapping[str, frozenset[str]]
"""A build's stages as the route lists them, each with all it follows, near or far; names folded."""


def order_of(shop: Shop, build: Build) -> Order:
    """The order of a build's stages, of those it skips and of those past its `ends_at`."""
    return reached({folded(stage): tuple(folded(name) for name in follows) for stage, follows in whole_route(shop, build).items()})


def reaches(order: Order, stage: str, wanted: str) -> bool:
    """Whether `stage` is `wanted` or one that follows it."""
    stage, wanted = folded(stage), folded(wanted)
    return stage == wanted or wanted in order.get(stage, ())
