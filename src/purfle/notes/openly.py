"""The words of the notes that may be published.

Invariant: decides nothing beyond the flags in the notes, and nothing by the day; unsure means public.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from purfle.base.place import Lookup, Place
from purfle.notes.model import Body, Build, Bulletin, Episode, Note, Shop
from purfle.notes.records.build import BuildSheet, Credit
from purfle.notes.records.note import Bench, NoteSheet
from purfle.notes.records.sales import ForSale
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, Disclosure, EpisodeSheet, Promise, Segment
from purfle.notes.records.specs import Battery, SpecItem, Specs
from purfle.notes.vocabulary.fields import Record

_BLOCK = re.compile(r"^[^\n]*\S[^\n]*(?:\n[^\n]*\S[^\n]*)*", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Words:
    """Public words and where they begin."""

    text: str
    at: Place
    build: str | None


def record_words(shop: Shop) -> Iterator[Words]:
    """Every word of the keys that may be published some day, whatever day it is."""
    yield from _said(shop.settings, None)
    seen = shown(shop)
    for build in shop.builds:
        if build.id in seen:
            yield from _said(build.sheet, build.id)
            if not build.sheet.address:
                yield Words(build.id, build.sheet.at, build.id)
    for note in shop.notes:
        if note.build in seen and note.sheet.showroom:
            for record in shop.on_stages(note, note.build):
                yield from _said(record, note.build)
    for one in _on_air(shop):
        if one.sheet.showroom:
            yield from _said(one.sheet, None)


_PUBLIC: dict[type[Record], tuple[str, ...]] = {
    ShopSheet: ("name", "place"),
    BuildSheet: ("title", "instrument", "maker", "model", "year", "finish", "address", "was", "for_sale", "credits", "specs"),
    ForSale: ("enquire",),
    Credit: ("done", "link"),
    Specs: ("weight", "controls", "tuning", "other", "battery", "strings", "pickups", "leds", "woods", "pots"),
    SpecItem: ("what", "note", "used_for"),
    Battery: ("kind",),
    NoteSheet: ("stage",),
    Bench: ("stage",),
    EpisodeSheet: ("title", "link", "address", "was", "segments", "promises", "disclosures", "credits"),
    Segment: ("stage",),
    Promise: ("words", "do", "when"),
    Disclosure: ("what",),
    BulletinSheet: ("stage", "disclosures"),
}
"""The fields of each record whose words, or those of the records in it, are published or repeated elsewhere on the pages."""


def _said(record: Record, build: str | None) -> Iterator[Words]:
    if isinstance(record, Credit) and not record.consent:
        return
    for name in _PUBLIC[type(record)]:
        value = getattr(record, name)
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, Record):
                yield from _said(one, build)
            elif one:
                yield Words(one, record.where(name), build)


Holder = Body | Build | Note | Episode | Bulletin
"""What holds a text: the about page, or a record with its body."""


def parted_texts(shop: Shop) -> tuple[tuple[Holder, ...], tuple[Holder, ...]]:
    """Whatever holds a text: what may be published some day, and the rest."""
    seen = shown(shop)
    public: list[Holder] = [shop.about]
    private: list[Holder] = []
    for build in shop.builds:
        (public if build.id in seen else private).append(build)
    for note in shop.notes:
        (public if note.sheet.showroom and note.build in seen else private).append(note)
    for one in _on_air(shop):
        (public if one.sheet.showroom else private).append(one)
    return tuple(public), tuple(private)


def _on_air(shop: Shop) -> tuple[Episode | Bulletin, ...]:
    return *shop.episodes, *shop.bulletins


def body_of(holder: Holder) -> Body:
    """The text that something holds."""
    return holder if isinstance(holder, Body) else holder.story if isinstance(holder, Build) else holder.body


def text_words(holder: Holder) -> Iterator[Words]:
    """The words of a text, paragraph by paragraph with their line ends, and the build they are about."""
    build = holder.id if isinstance(holder, Build) else holder.build if isinstance(holder, Note) else None
    body = body_of(holder)
    return blocks(body.text, Place(body.file, body.first_line), build)


def shown(shop: Shop) -> set[str]:
    """Ids of the builds that may be public some day."""
    return {build.id for build in shop.builds if may_be_public(build)}


def may_be_public(build: Build) -> bool:
    """Whether a build is public on some day."""
    showing = build.sheet.showroom
    return showing.always or showing.after_delivery or showing.since is not None


def blocks(text: str, begins: Place, build: str | None) -> Iterator[Words]:
    """The paragraphs of a text that begins at a place."""
    at = Lookup(text)
    for match in _BLOCK.finditer(text):
        yield Words(match[0], at.place(match.start(), begins), build)
