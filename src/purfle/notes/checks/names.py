"""Names in the notes that must mean something: builds, routes, stages, channels, items, kinds, cures.

Invariant: reports, and resolves nothing for later phases; they look names up themselves and pass over what is unknown.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from purfle.base import meant
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.base.quantities import wait
from purfle.base.trouble import Troubles, Wrong, bracketed, listed, misspelt_for, nearest
from purfle.notes.known import Family, Known, known_of
from purfle.notes.model import Shop
from purfle.notes.records import build as sheets
from purfle.notes.records import note as lines
from purfle.notes.records import sales, show
from purfle.notes.records import shop as settings
from purfle.notes.records.stages import StageSheet, WantedShot
from purfle.notes.vocabulary.fields import Record
from purfle.notes.walk import Found

STOCK_PLACES = ("stock", "shop", "collection")


def check_names(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of every name that means nothing, with the near one."""
    asker = _Asker(known_of(shop), troubles)
    for found in met:
        check = _CHECKS.get(type(found.record))
        if check is not None:
            check(asker, found)
    for note in shop.notes:
        if note.build is None:
            _check_build_given(note.sheet, troubles)


@dataclass(frozen=True, slots=True)
class _Asker:
    known: Known
    troubles: Troubles

    def ask(self, record: Record, field: str, family: Family, besides: tuple[str, ...] = ()) -> None:
        """Tell of each name in one field of a record that is neither of the family nor one of the words `besides`."""
        value = getattr(record, field)
        for name in value if isinstance(value, tuple) else (value,):
            if name is not None and folded(name) not in family.names and folded(name) not in besides:
                self.tell(record.where(field), name, family, besides)

    def tell(self, at: Place, name: str, family: Family, besides: tuple[str, ...] = ()) -> None:
        """Tell of one name, with the near one, else with all that there are and where one of the owner's own is added."""
        near = nearest(folded(name), (*family.names, *besides), 0.6)
        if several := bracketed(name, (*family.names, *besides)):
            self.troubles.add(at, family.code, f"there is no {family.what} “{name}”", f"write {several}, or one of them where only one can stand")
            return
        every = sorted(set(family.names.values()) | set(besides))
        own = (
            f", or add it under {family.home} in shop.md" if family.home else ", or give it a sheet of its own under builds/" if family.what == "build" else ""
        )
        listing = (
            f"write {'one of ' if len(every) > 1 else ''}{listed(every)}{own}"
            if every
            else f"add it {f'under {family.home} in' if family.home else 'to'} shop.md, or take it out"
        )
        self.troubles.add(at, family.code, f"there is no {family.what} “{name}”", f"write {family.names.get(near, near)}" if near else listing)

    def build(self, record: Record, field: str, besides: tuple[str, ...] = ()) -> None:
        self.ask(record, field, self.known.builds, besides)

    def item(self, record: Record) -> None:
        self.ask(record, "item", self.known.items)

    def channel(self, record: Record, field: str = "channel") -> None:
        self.ask(record, field, self.known.channels)

    def kind(self, record: Record) -> None:
        self.ask(record, "kind", self.known.kinds)

    def stage(self, record: Record, field: str, build: str | None) -> None:
        """A stage must be in its build's route; where the build is not known, in any route."""
        family = self.known.stages.get(build) if build else self.known.any_stage
        # A build without any route has no stages to be wrong about: notes may still say what was done.
        if family is not None and family.names:
            self.ask(record, field, family)


Check = Callable[[_Asker, Found], None]


def _build_sheet(asker: _Asker, found: Found) -> None:
    sheet = found.record
    asker.ask(sheet, "route", asker.known.routes)
    asker.stage(sheet, "ends_at", found.build)
    asker.build(sheet, "goes_with")


def _stage_sheet(asker: _Asker, found: Found) -> None:
    stage = found.record
    assert isinstance(stage, StageSheet)
    asker.stage(stage, "follows", found.build)
    of_route = asker.known.of_route.get(found.build or "", {})
    if not stage.skip and folded(stage.stage) not in of_route and (near := misspelt_for(folded(stage.stage), of_route)):
        said = f"“{stage.stage}” is no stage of the route, so it is one more; {of_route[near]} is one"
        asker.troubles.add(stage.where("stage"), "stage-near", said, f"write {of_route[near]}, or leave it if it is another stage")
    cure = stage.cure
    if cure is not None and folded(cure) not in asker.known.cures.names:
        try:
            wait(cure)
        except Wrong as wrong:
            if any(meant.waits(cure)):
                asker.troubles.wrong(stage.where("cure"), wrong)
            else:
                asker.tell(stage.where("cure"), cure, asker.known.cures)


def _wanted_shot(asker: _Asker, found: Found) -> None:
    for field in ("during", "since", "until"):
        asker.stage(found.record, field, found.build)


def _used(asker: _Asker, found: Found) -> None:
    asker.item(found.record)
    asker.build(found.record, "build")
    asker.build(found.record, "over")


def _comes_in(asker: _Asker, record: Record, item: str | None) -> None:
    """Tell of an item that nearly bears the name of one of shop.md: it would be another, counted or not, in a unit of its own."""
    stocked = asker.known.stocked
    if item is not None and folded(item) not in stocked and (near := misspelt_for(folded(item), stocked)):
        said = f"item: “{item}” is no item of shop.md, and nearly called like {stocked[near]}"
        asker.troubles.add(record.where("item"), "item-near", said, f"write {stocked[near]}, or add {item} under items: of stock: in shop.md")


def _salvaged(asker: _Asker, found: Found) -> None:
    assert isinstance(found.record, lines.Salvaged)
    asker.build(found.record, "build")
    _comes_in(asker, found.record, found.record.item)


def _bought(asker: _Asker, found: Found) -> None:
    assert isinstance(found.record, lines.Bought)
    if found.record.goes_to(found.build) == "stock":
        _comes_in(asker, found.record, found.record.item)
    asker.build(found.record, "purpose", ("stock", "shop"))
    asker.kind(found.record)


def _moved_part(asker: _Asker, found: Found) -> None:
    asker.build(found.record, "origin")
    asker.build(found.record, "to", ("stock",))


def _lot(asker: _Asker, found: Found) -> None:
    assert isinstance(found.record, lines.Lot)
    _comes_in(asker, found.record, found.record.item)
    for value in found.record.values:
        if folded(value.name) not in asker.known.builds.names and folded(value.name) not in STOCK_PLACES:
            asker.tell(value.at, value.name, asker.known.builds, STOCK_PLACES)


def _of_build_and_stage(asker: _Asker, found: Found) -> None:
    assert isinstance(found.record, show.Segment | show.BulletinSheet)
    named, builds = found.record.build, asker.known.builds.names
    asker.build(found.record, "build")
    # A stage of a note is judged with the build's progress; an episode's or bulletin's is judged here.
    if named is None or folded(named) in builds:
        asker.stage(found.record, "stage", builds.get(folded(named)) if named else None)


def _line_of_build(asker: _Asker, found: Found) -> None:
    asker.build(found.record, "build")


def _bench(asker: _Asker, found: Found) -> None:
    name = getattr(found.record, "build", None)
    if name is not None and folded(name) == "shop" and folded(name) not in asker.known.builds.names:
        asker.troubles.add(found.record.where("build"), "build-unknown", f"there is no build “{name}”", "write for: shop, for work on no build")
    else:
        asker.build(found.record, "build")


def _item_line(asker: _Asker, found: Found) -> None:
    asker.item(found.record)


def _returned(asker: _Asker, found: Found) -> None:
    """What goes back is of the shelf, of the shop's own supplies, or of a build, which is then to be named."""
    returned, known = found.record, asker.known
    assert isinstance(returned, lines.Returned)
    asker.build(returned, "build")
    names = {**known.items.names, **known.supplies}
    if returned.build is not None or found.build is not None or folded(returned.item) in names:
        return
    if nearest(folded(returned.item), names, 0.6):
        asker.ask(returned, "item", replace(known.items, names=names))
    else:
        asker.troubles.add(
            returned.where("item"), "item-unknown", f"item: {returned.item} was never in stock or bought for the shop, and no build is said", _BUILD
        )


_NEVER_BOUGHT = (
    "add it under items: of stock: in shop.md, with counted: no where it cost the shop nothing, as offcuts; "
    "what the shop itself had in use and now sells is received: with kind: other income"
)


def _sold(asker: _Asker, found: Found) -> None:
    sold, items = found.record, asker.known.items
    assert isinstance(sold, lines.Sold)
    if folded(sold.item) in items.names or nearest(folded(sold.item), items.names, 0.6):
        asker.item(sold)
    else:
        asker.troubles.add(sold.where("item"), items.code, f"there is no {items.what} “{sold.item}”", _NEVER_BOUGHT)
    asker.channel(sold)


def _sale(asker: _Asker, found: Found) -> None:
    asker.channel(found.record)
    asker.build(found.record, "bundled")


def _paid(asker: _Asker, found: Found) -> None:
    asker.build(found.record, "build")
    asker.kind(found.record)


_CHECKS: dict[type[Record], Check] = {
    sheets.BuildSheet: _build_sheet,
    StageSheet: _stage_sheet,
    WantedShot: _wanted_shot,
    sheets.Part: lambda asker, found: asker.stage(found.record, "stage", found.build),
    sales.ForSale: lambda asker, found: asker.channel(found.record, "places"),
    sales.Sale: _sale,
    sales.TradeIn: _line_of_build,
    sales.Commission: lambda asker, found: asker.channel(found.record),
    lines.NoteSheet: _line_of_build,
    lines.Bench: _bench,
    lines.ShotTaken: _line_of_build,
    lines.Used: _used,
    lines.Bought: _bought,
    lines.Sold: _sold,
    lines.Salvaged: _salvaged,
    lines.MovedPart: _moved_part,
    lines.Returned: _returned,
    lines.WrittenOff: _item_line,
    lines.Counted: _item_line,
    lines.Withdrawn: _item_line,
    lines.Paid: _paid,
    lines.Received: _line_of_build,
    lines.Lot: _lot,
    settings.Standing: lambda asker, found: asker.kind(found.record),
    show.Segment: _of_build_and_stage,
    show.Promise: _line_of_build,
    show.Disclosure: _line_of_build,
    show.BulletinSheet: _of_build_and_stage,
}


# --- lines of a journal day that must say which build they are about --------------------------------------------------


_BUILD = "add build: with the build's name"
_OR_SHOP = f"{_BUILD}, or for: shop where the work or the goods were the shop's own"
_OF_CUSTOMER = ("deposit", "instalment", "balance")
"""Money that is held for a customer, or pays what they owe: on the account of a build."""


def _check_build_given(sheet: lines.NoteSheet, troubles: Troubles) -> None:
    loose: list[tuple[Record, str, str]] = []
    flat = f"{_BUILD}, or write it under bench: with for: shop where the work was the shop's own"
    loose += [(sheet, field, flat) for field in ("stage", "hours", "redo") if sheet.wrote(field)][:1]
    loose += [(bench, "stage", _OR_SHOP) for bench in sheet.bench if bench.build is None and bench.place is None]
    loose += [(used, "item", _OR_SHOP) for used in sheet.used if used.build is None and not used.over and used.place is None]
    loose += [(salvaged, "item", _BUILD) for salvaged in sheet.salvaged if salvaged.build is None]
    loose += [(shot, "shot", _BUILD) for shot in sheet.shots if shot.build is None]
    loose += [(moved, "part", "add from: with the build it leaves") for moved in sheet.moved if moved.origin is None]
    loose += [
        (received, "what", _BUILD if received.wrote("kind") else f"{_BUILD}, or kind: with what it is, such as other income")
        for received in sheet.received
        if received.build is None and received.kind in _OF_CUSTOMER
    ]
    for record, field, mend in loose:
        troubles.add(record.where(field), "build-needed", f"{field}: stands in a journal day and says no build", mend)
