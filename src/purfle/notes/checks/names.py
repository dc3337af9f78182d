"""Names in the notes that must mean something: builds, routes, stages, channels, items, kinds, partners, cures.

Invariant: reports, and resolves nothing for later phases; they look names up themselves and pass over what is unknown.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from purfle.base import meant
from purfle.base.names import folded
from purfle.base.near import misspelt_for, nearest, nearest_first, whole_name
from purfle.base.place import Place
from purfle.base.times import wait
from purfle.base.trouble import Troubles, Wrong, braced, listed
from purfle.notes.known import Family, Known, known_of
from purfle.notes.model import Shop
from purfle.notes.records import build as sheets
from purfle.notes.records import note as lines
from purfle.notes.records import sales, show
from purfle.notes.records import shop as settings
from purfle.notes.records.stages import StageSheet, WantedShot
from purfle.notes.vocabulary.fields import Record
from purfle.notes.walk import Found


def check_names(shop: Shop, met: tuple[Found, ...], troubles: Troubles) -> None:
    """Tell of every name that means nothing, with the near one."""
    asker = _Asker(known_of(shop), troubles)
    for found in met:
        record, build = found.record, found.build
        for field, family, *besides in _ASKED.get(type(record), ()):
            asker.ask(record, field, asker.family(family, build), tuple(besides))
        if further := _FURTHER.get(type(record)):
            further(asker, record, build)
    for note in shop.notes:
        if note.build is None:
            _check_build_given(note.sheet, troubles)


@dataclass(frozen=True, slots=True)
class _Asker:
    known: Known
    troubles: Troubles

    def family(self, name: str, build: str | None) -> Family | None:
        """A field of `Known`; of stages those of the build's route, or of any where no build is said.

        None where nothing can be wrong: a build without any route has no stages, and notes may still say what was done.
        """
        if name != "stages":
            family: Family = getattr(self.known, name)
            return family
        stages = self.known.stages.get(build) if build else self.known.any_stage
        return stages if stages is not None and stages.names else None

    def ask(self, record: Record, field: str, family: Family | None, besides: tuple[str, ...] = ()) -> None:
        """Tell of each name in one field of a record that is neither of the family nor one of the words `besides`."""
        value = getattr(record, field)
        for name in value if isinstance(value, tuple) else (value,):
            if family is not None and name is not None and folded(name) not in family.names and folded(name) not in besides:
                self.tell(record.where(field), name, family, besides)

    def tell(self, at: Place, name: str, family: Family, besides: tuple[str, ...] = ()) -> None:
        """Tell of one name, with the near one, else with all that there are and where one of the owner's own is added."""
        mend = _near_mend(name, family, besides) or _listing_mend(name, family, besides)
        self.troubles.add(at, family.code, f"there is no {family.what} “{name}”", mend)


def _near_mend(name: str, family: Family, besides: tuple[str, ...]) -> str:
    """What to write for a name that is several, or nearly one; empty where it is neither."""
    known = (*family.names, *besides)
    several = [part.strip() for part in name.split(",") if part.strip()]
    if len(several) > 1 and any(folded(part) in known for part in several):
        return f"write [{', '.join(several)}], or one of them where only one can stand"
    near = misspelt_for(folded(name), known)
    return f"write {family.names.get(near, near)}" if near else ""


def _listing_mend(name: str, family: Family, besides: tuple[str, ...]) -> str:
    """All names that there are, the one most like this one first, and where the owner adds one."""
    every = nearest_first(name, sorted(set(family.names.values()) | set(besides)))
    if not every:
        return f"add it {f'under {family.home} in' if family.home else 'to'} shop.md, or take it out"
    own = f", or add it under {family.home} in shop.md" if family.home else ", or give it a sheet of its own under builds/" if family.what == "build" else ""
    return f"write {'one of ' if len(every) > 1 else ''}{listed(every)}{own}"


_BUILD, _CHANNEL, _KIND = ("build", "builds"), ("channel", "channels"), ("kind", "kinds")
_ASKED: dict[type[Record], tuple[tuple[str, ...], ...]] = {
    sheets.BuildSheet: (("route", "routes"), ("ends_at", "stages"), ("goes_with", "builds")),
    StageSheet: (("follows", "stages"),),
    WantedShot: (("during", "stages"), ("since", "stages"), ("until", "stages")),
    sheets.Part: (("stage", "stages"),),
    sales.ForSale: (("places", "channels"),),
    sales.Sale: (_CHANNEL, ("bundled", "builds")),
    sales.TradeIn: (_BUILD,),
    sales.Commission: (_CHANNEL,),
    lines.NoteSheet: (_BUILD,),
    lines.ShotTaken: (_BUILD,),
    lines.Used: (_BUILD, ("over", "builds")),
    lines.Bought: (("purpose", "builds", "stock", "shop"),),
    lines.Sold: (_CHANNEL,),
    lines.Salvaged: (_BUILD,),
    lines.MovedPart: (("origin", "builds"), ("to", "builds", "stock")),
    lines.Returned: (_BUILD,),
    lines.Paid: (_BUILD,),
    lines.Received: (_BUILD,),
    settings.Standing: (_KIND,),
    show.Segment: (_BUILD,),
    show.BulletinSheet: (_BUILD,),
    show.Promise: (_BUILD,),
    show.Disclosure: (_BUILD,),
}
"""The fields of each record that hold a name, each with the family of `Known` it must be of and the words that may stand there besides."""


# --- what is more than a name of one family ----------------------------------------------------------------------------


def _stage_sheet(asker: _Asker, stage: StageSheet, build: str | None) -> None:
    of_route = asker.known.of_route.get(build or "", {})
    if not stage.skip and folded(stage.stage) not in of_route and (near := misspelt_for(folded(stage.stage), of_route)):
        said = f"“{stage.stage}” is no stage of the route, so it is one more; {of_route[near]} is one"
        asker.troubles.add(stage.where("stage"), "stage-near", said, f"write {of_route[near]}, or leave it if it is another stage")
    cure = stage.cure
    if cure is not None and folded(cure) not in asker.known.cures.names:
        try:
            wait(cure)
        except Wrong as wrong:
            if meant.wait(cure):
                asker.troubles.wrong(stage.where("cure"), wrong)
            else:
                asker.tell(stage.where("cure"), cure, asker.known.cures)


def _comes_in(asker: _Asker, record: lines.Salvaged | lines.Bought | lines.Lot, _: str | None) -> None:
    """Tell of an item that nearly bears the name of one of shop.md: it would be another, counted or not, in a unit of its own."""
    item, stocked = record.item, asker.known.stocked
    if item is not None and folded(item) not in stocked and (near := misspelt_for(folded(item), stocked)):
        said = f"item: “{item}” is no item of shop.md, and nearly called like {stocked[near]}"
        asker.troubles.add(record.where("item"), "item-near", said, f"write {stocked[near]}, or add {item} under items: of stock: in shop.md")


_GOODS = ("goods", "hardware", "material", "materials", "part", "parts", "stock")
"""Words for what goes onto an instrument, and so under no kind of expense."""


_OF_GOODS = (("build", "for"), ("to", "from"), ("paid", "paid"), ("currency", "currency"), ("rate", "rate"))
"""What a payment may say beside what it is for, with the word for it when goods are bought."""


def _bought(asker: _Asker, bought: lines.Bought, build: str | None) -> None:
    to = bought.goes_to(build)
    if to == "stock":
        _comes_in(asker, bought, build)
    elif to == "shop":  # elsewhere no kind is of use, which the books tell
        _ask_kind(asker, bought, "take for: and kind: out if it goes into stock, or write shop supplies")


def _paid(asker: _Asker, paid: lines.Paid, build: str | None) -> None:
    """Tell of goods that are written as no goods, and of a share that goes to nobody who has one: they would get an account of their own."""
    more = (f", {word}: {braced(str(value))}" for field, word in _OF_GOODS if (value := getattr(paid, field)) is not None)
    _ask_kind(asker, paid, f"write bought: {{item: {braced(paid.what)}, cost: {paid.cost}{''.join(more)}}} in place of this line, for it is goods")
    partners = asker.known.partners
    if folded(paid.kind) != "share" or paid.to is None or folded(paid.to) in partners.names:
        return
    said = f"{partners.names[theirs]}, as on the build sheet" if (theirs := whole_name(paid.to, partners.names)) else ""
    mend = f"write to: {said}" if said else _near_mend(paid.to, partners, ()) or "add share: with them as partner to the sheet of their build, or mend the name"
    asker.troubles.add(paid.where("to"), partners.code, f"to: no build sheet gives {paid.to} a share", mend)


def _ask_kind(asker: _Asker, record: lines.Bought | lines.Paid, goods: str) -> None:
    kinds = asker.known.kinds
    if record.kind is not None and folded(record.kind) in _GOODS and folded(record.kind) not in kinds.names:
        asker.troubles.add(record.where("kind"), kinds.code, f"there is no {kinds.what} “{record.kind}”", goods)
    else:
        asker.ask(record, "kind", kinds)


def _off_the_shelf(asker: _Asker, line: lines.Used | lines.WrittenOff | lines.Counted | lines.Withdrawn, build: str | None) -> None:
    """What leaves the shelf is an item of it. A part of a build is none: its cost is on the build already, and stays there when it is lost."""
    item, items = folded(line.item), asker.known.items
    homes, whole = asker.known.parts.get(item, {}), asker.known.builds.names.get(item)
    if item not in items.names and whole is not None and (instead := _OF_A_BUILD.get(type(line))):
        mend = f"write {instead} on builds/{whole}/build.md, in place of this line"
        asker.troubles.add(line.where("item"), items.code, f"there is no {items.what} “{line.item}”; it is a build", mend)
        return
    if item in items.names or not homes:
        asker.ask(line, "item", items)
        return
    named = asker.known.builds.names.get(folded(line.build)) if isinstance(line, lines.Used) and line.build else build
    home = named if named is not None and named in homes else next(iter(homes))
    mend = "take the line out, and see that the part has its arrived:"
    if isinstance(line, lines.WrittenOff):
        mend = f"write arrived: there, with the day you gave it up if it never came, and returned: {{item: {braced(line.item)}, build: {home}, refund: 0}} here"
    elif isinstance(line, lines.Used) and named is not None and named != home:
        mend = f"write {_moved(line.item, home, named)} in its place if it is that one, else add it under {items.home} in shop.md"
    elif isinstance(line, lines.Withdrawn) or (isinstance(line, lines.Used) and line.place == "shop"):
        mend = f"add {_moved(line.item, home, 'stock')} to this note"
    found = f"there is no {items.what} “{line.item}”; it is a part of {home} ({homes[home].at.in_file}), which bears its cost"
    asker.troubles.add(line.where("item"), items.code, found, mend)


_OF_A_BUILD: dict[type[Record], str] = {
    lines.Withdrawn: "moved: with its date: and to: collection",
    lines.WrittenOff: "ended: with its date: and how: it ended",
}
"""What a build sheet has for what is meant where a whole build is named."""


def _moved(part: str, home: str, to: str) -> str:
    """The line that takes a part out of its build, with its cost: to another, or onto the shelf, over which it leaves the shop."""
    return f"moved: {{part: {braced(part)}, from: {home}, to: {to}}}"


_NO_BUILD = ("stock", "shop", "collection")
"""What a lot may be for beside builds."""


def _lot(asker: _Asker, lot: lines.Lot, build: str | None) -> None:
    _comes_in(asker, lot, build)
    for value in lot.values:
        if folded(value.name) not in asker.known.builds.names and folded(value.name) not in _NO_BUILD:
            asker.tell(value.at, value.name, asker.known.builds, _NO_BUILD)


def _stage_on_air(asker: _Asker, piece: show.Segment | show.BulletinSheet, _: str | None) -> None:
    """A stage of a note is judged with the build's progress; an episode's or bulletin's is judged here, unless its build is not known."""
    builds = asker.known.builds.names
    if piece.build is None or folded(piece.build) in builds:
        asker.ask(piece, "stage", asker.family("stages", builds.get(folded(piece.build)) if piece.build else None))


def _bench(asker: _Asker, bench: lines.Bench, _: str | None) -> None:
    name, builds = bench.build, asker.known.builds
    if name is not None and folded(name) == "shop" and folded(name) not in builds.names:
        asker.troubles.add(bench.where("build"), builds.code, f"there is no build “{name}”", "write for: shop, for work on no build")
    else:
        asker.ask(bench, "build", builds)


def _returned(asker: _Asker, returned: lines.Returned, build: str | None) -> None:
    """What goes back is of the shelf, of the shop's own supplies, or of a build, which is then to be named."""
    items = asker.known.items
    names = {**items.names, **asker.known.supplies}
    if returned.build is not None or build is not None or folded(returned.item) in names:
        return
    if nearest(folded(returned.item), names, 0.6):
        asker.ask(returned, "item", replace(items, names=names))
    else:
        found = f"item: {returned.item} was never in stock or bought for the shop, and no build is said"
        asker.troubles.add(returned.where("item"), items.code, found, _ADD_BUILD)


_NEVER_BOUGHT = (
    "add it under items: of stock: in shop.md, with counted: no where it cost the shop nothing, as offcuts; "
    "what the shop itself had in use and now sells is received: with kind: other income"
)


def _sold(asker: _Asker, sold: lines.Sold, _: str | None) -> None:
    items, build = asker.known.items, asker.known.builds.names.get(folded(sold.item))
    if build is not None and folded(sold.item) not in items.names:
        units = f", units: {sold.qty}" if sold.qty != 1 else ""
        mend = f"write sale: with its date:{units} and price: {sold.price} on builds/{build}/build.md, in place of this line"
        asker.troubles.add(sold.where("item"), items.code, f"there is no {items.what} “{sold.item}”; it is a build", mend)
    elif folded(sold.item) not in items.names and (homes := asker.known.parts.get(folded(sold.item))):
        found = f"there is no {items.what} “{sold.item}”; {listed(homes, last='and')} {'has' if len(homes) == 1 else 'have'} a part of that name"
        mend = f"add {_moved(sold.item, next(iter(homes)), 'stock')} to this note if it is that one; if not, {_NEVER_BOUGHT}"
        asker.troubles.add(sold.where("item"), items.code, found, mend)
    elif folded(sold.item) in items.names or nearest(folded(sold.item), items.names, 0.6):
        asker.ask(sold, "item", items)
    else:
        asker.troubles.add(sold.where("item"), items.code, f"there is no {items.what} “{sold.item}”", _NEVER_BOUGHT)


_FURTHER: dict[type[Record], Callable[[_Asker, Any, str | None], None]] = {
    StageSheet: _stage_sheet,
    lines.Bench: _bench,
    lines.Bought: _bought,
    lines.Paid: _paid,
    lines.Used: _off_the_shelf,
    lines.WrittenOff: _off_the_shelf,
    lines.Counted: _off_the_shelf,
    lines.Withdrawn: _off_the_shelf,
    lines.Sold: _sold,
    lines.Salvaged: _comes_in,
    lines.Returned: _returned,
    lines.Lot: _lot,
    show.Segment: _stage_on_air,
    show.BulletinSheet: _stage_on_air,
}
"""What else is asked of a record, which stands in a build's sheet or note or in none."""


# --- lines of a journal day that must say which build they are about --------------------------------------------------


_ADD_BUILD = "add build: with the build's name"
_OR_SHOP = f"{_ADD_BUILD}, or for: shop where the work or the goods were the shop's own"
_OF_CUSTOMER = ("deposit", "instalment", "balance")
"""Money that is held for a customer, or pays what they owe: on the account of a build."""


def _check_build_given(sheet: lines.NoteSheet, troubles: Troubles) -> None:
    if sheet.build is not None:  # a name that is no build's, which is told
        return
    loose: list[tuple[Record, str, str]] = []
    flat = f"{_ADD_BUILD}, or write it under bench: with for: shop where the work was the shop's own"
    loose += [(sheet, field, flat) for field in ("stage", "hours", "redo") if sheet.wrote(field)][:1]
    loose += [(bench, "stage" if bench.wrote("stage") else "hours", _OR_SHOP) for bench in sheet.bench if bench.build is None and bench.place is None]
    loose += [(used, "item", _OR_SHOP) for used in sheet.used if used.build is None and not used.over and used.place is None]
    loose += [(salvaged, "item", _ADD_BUILD) for salvaged in sheet.salvaged if salvaged.build is None]
    loose += [(shot, "shot", _ADD_BUILD) for shot in sheet.shots if shot.build is None]
    loose += [(moved, "part", "add from: with the build it leaves") for moved in sheet.moved if moved.origin is None]
    loose += [
        (
            received,
            "what",
            _ADD_BUILD
            if received.wrote("kind")
            else f"{_ADD_BUILD}, or kind: with what it is, such as other income; what a build was sold for is sale: on its sheet",
        )
        for received in sheet.received
        if received.build is None and received.kind in _OF_CUSTOMER
    ]
    for record, field, mend in loose:
        troubles.add(record.where(field), "build-needed", f"{field}: stands in a journal day and says no build", mend)
