"""How many of a part move into stock where a note says no number: as many as the build was given and still has.

The books follow the same parts with their cost; both must count alike.
Invariant: quantities alone; looks at no part but those that such a line names.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from purfle.base.names import folded
from purfle.base.place import Place
from purfle.events.money import ORDER, GoodsHere, PartMoved, SalvagedPart, SentBack, UsedUp
from purfle.notes.model import Note, Shop
from purfle.notes.records.note import MovedPart

_ZERO, _ONE = Decimal(0), Decimal(1)


class _Step(NamedTuple):
    """A quantity of a part that a build was given, or that left it."""

    day: date
    order: int
    """Within the day, as the books have it."""
    build: str
    part: str
    """Folded name."""
    qty: Decimal | None
    """Below nothing when it left; None for all there is."""
    moved: MovedPart | None = None
    to: str | None = None
    """The build it went to."""


def all_moved(shop: Shop) -> Mapping[Place, Decimal]:
    """How many went by each line that moves a part without saying how many, by the place of the line."""
    wanted = frozenset(folded(moved.part) for note in shop.notes for moved in note.sheet.moved if moved.qty is None)
    steps = sorted((step for step in _steps(shop) if step.part in wanted), key=lambda step: step[:2]) if wanted else ()
    there: defaultdict[tuple[str, str], Decimal] = defaultdict(Decimal)
    found: dict[Place, Decimal] = {}
    for step in steps:
        have, qty = there[step.build, step.part], step.qty
        if qty is None:
            listed = shop.build(step.build).part(step.part)
            qty = -(have or (listed.qty if listed is not None else _ONE))
        there[step.build, step.part] = max(have + qty, _ZERO)
        if step.moved is not None:
            found[step.moved.at] = -qty
        if step.to is not None:
            there[step.to, step.part] -= qty
    return found


def _steps(shop: Shop) -> Iterator[_Step]:
    for build in shop.builds:
        for part in build.sheet.parts:
            costs = part.how != "bought" or not (part.cost is None and part.shipping is None and part.tax is None)
            if part.arrived is not None and costs:
                yield _Step(part.arrived, ORDER[GoodsHere], build.id, folded(part.part), part.qty or _ONE)
    uncounted = frozenset(folded(named.name) for named in shop.settings.stock.items if not named.value.counted)
    for note in shop.notes:
        yield from _of_note(shop, note, uncounted)


def _of_note(shop: Shop, note: Note, uncounted: frozenset[str]) -> Iterator[_Step]:
    def step(order: type, name: str | None, item: str, qty: Decimal | None, day: date = note.date) -> Iterator[_Step]:
        build = shop.find(name) if name else note.build
        if build is not None:
            yield _Step(day, ORDER[order], build, folded(item), qty)

    sheet = note.sheet
    for bought in sheet.bought:
        if bought.goes_to(note.build) == "build":
            yield from step(GoodsHere, bought.build_named(note.build), bought.item, bought.qty, bought.arrived or note.date)
    for salvaged in sheet.salvaged:
        yield from step(SalvagedPart, salvaged.build, salvaged.item, -salvaged.qty)
    for moved in sheet.moved:
        qty, to = (None if moved.qty is None else -moved.qty), None if folded(moved.to) == "stock" else shop.find(moved.to)
        for out in step(PartMoved, moved.origin, moved.part, qty):
            yield out._replace(moved=moved, to=to)
    for used in sheet.used:
        builds = tuple(dict.fromkeys(used.over)) or (used.build,)
        if used.place != "shop" and len(builds) == 1 and folded(used.item) not in uncounted:
            yield from step(UsedUp, builds[0], used.item, used.qty)
    for sent in sheet.returned:
        yield from step(SentBack, sent.build, sent.item, -sent.qty)
