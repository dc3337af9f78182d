"""Everything in a shop that has a name, by what it is called.

Invariant: only gathers; what a name that is not among them means is for `purfle.notes.checks.names` to tell.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from purfle.base.names import folded
from purfle.base.packaged import table
from purfle.notes.model import Build, Shop
from purfle.notes.records.build import Part
from purfle.notes.vocabulary.named import Named

PAID_KINDS = ("outside work", "other cost", "share", "sales tax", "supplier")
"""Kinds of payment that are no expense: cost of a build, or a balance paid off."""


@dataclass(frozen=True, slots=True)
class Family:
    """Everything of one kind that has a name."""

    what: str
    """What such a thing is called."""
    code: str
    """The trouble of a name that is not among them."""
    names: Mapping[str, str]
    """Folded → as written."""
    home: str = ""
    """The key of shop.md under which the owner adds their own."""


@dataclass(frozen=True, slots=True)
class Known:
    """Everything that has a name."""

    builds: Family
    channels: Family
    items: Family
    supplies: Mapping[str, str]
    """What was bought for the shop's own use, folded → as written."""
    kinds: Family
    partners: Family
    """Everybody who has a share of a build."""
    parts: Mapping[str, Mapping[str, Part]]
    """What the builds' bills of materials name, folded → by the build's id: it is no stock."""
    routes: Family
    cures: Family
    stages: Mapping[str, Family]
    """Of each build's route, by its id; a build without a route has none."""
    any_stage: Family
    """Of every route."""
    of_route: Mapping[str, Mapping[str, str]]
    """The stages of each build's route without those of its own sheet, by its id, folded → as written."""
    stocked: Mapping[str, str]
    """The items of shop.md, folded → as written."""


def known_of(shop: Shop) -> Known:
    """Every name that the shop's notes and settings give."""
    sheet = shop.settings
    routes = {folded(route.name): route for route in sheet.routes}
    stages = {build.id: _stage_names(build, routes) for build in shop.builds}
    every: dict[str, str] = {}
    for names in (*stages.values(), *(_names(stage.stage for stage in route.value) for route in sheet.routes)):
        every.update(names)
    kinds = (*(kind.name for kind in sheet.expense_kinds), *table(f"tax_forms/{sheet.tax_form or 'us-schedule-c'}")["kinds"], *PAID_KINDS)
    return Known(
        builds=Family("build", "build-unknown", {**{folded(id): called for id, called in shop.unread.items()}, **shop.names}),
        channels=Family("channel", "channel-unknown", _names(channel.name for channel in sheet.channels), "channels:"),
        items=Family("stock item", "item-unknown", known_items(shop), "items: of stock:"),
        supplies=_names(b.item for note in shop.notes for b in note.sheet.bought if b.goes_to(note.build) == "shop"),
        kinds=Family("expense kind", "kind-unknown", _names(kinds), "expense_kinds:"),
        partners=Family("partner", "partner-unknown", _names(share.partner for build in shop.builds for share in build.sheet.share)),
        parts=_parts(shop),
        routes=Family("route", "route-unknown", _names(route.name for route in sheet.routes), "routes:"),
        cures=Family("cure", "cure-unknown", _names(cure.name for cure in sheet.cures), "cures:"),
        stages={id: Family("stage", "stage-unknown", names) for id, names in stages.items()},
        any_stage=Family("stage", "stage-unknown", every),
        of_route={build.id: _names(stage.stage for stage in route.value) for build in shop.builds if (route := routes.get(folded(build.sheet.route or "")))},
        stocked=_names(item.name for item in sheet.stock.items),
    )


def _names(names: Iterable[str]) -> dict[str, str]:
    return {folded(name): name for name in names}


def _parts(shop: Shop) -> dict[str, dict[str, Part]]:
    found: dict[str, dict[str, Part]] = {}
    for build in shop.builds:
        for part in build.sheet.parts:
            found.setdefault(folded(part.part), {}).setdefault(build.id, part)
    return found


def _stage_names(build: Build, routes: Mapping[str, Named]) -> dict[str, str]:
    """The stages of a build; none where its route is not known, for nothing can be told of them before that is mended."""
    route = routes.get(folded(build.sheet.route or ""))
    if build.sheet.route is not None and route is None:
        return {}
    of_route = (stage.stage for stage in route.value) if route else ()
    return _names((*of_route, *(stage.stage for stage in build.sheet.stages)))


def known_items(shop: Shop) -> dict[str, str]:
    """Items of shop.md, and every item that ever came into stock."""
    found = _names(item.name for item in shop.settings.stock.items)
    for note in shop.notes:
        received = (
            *(b.item for b in note.sheet.bought if b.goes_to(note.build) == "stock"),
            *(s.item for s in note.sheet.salvaged),
            *(lot.stocked for lot in note.sheet.lots if lot.has_stock),
            *(m.part for m in note.sheet.moved if folded(m.to) == "stock"),
        )
        found.update(_names(received))
    return found
