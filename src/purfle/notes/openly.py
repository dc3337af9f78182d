"""The words of the notes that may be published.

Invariant: decides nothing beyond the flags in the notes, and nothing by the day; unsure means public.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from purfle.base.place import Lookup, Place
from purfle.notes.model import Body, Build, Bulletin, Episode, Note, Shop
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.show import EpisodeSheet
from purfle.notes.records.specs import Specs
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
    yield from _fields(shop.settings, ("name", "place"), None)
    seen = shown(shop)
    for build in shop.builds:
        if build.id in seen:
            yield from _of_build(build)
    for note in shop.notes:
        if note.build in seen and note.sheet.showroom:
            for record in shop.on_stages(note, note.build):
                yield from _fields(record, ("stage",), note.build)
    for episode in shop.episodes:
        if episode.sheet.showroom:
            yield from _fields(episode.sheet, ("title", "link", "address"), None)
            yield from _addresses(episode.sheet, None)
            yield from _said_on_air(episode.sheet)
    for bulletin in shop.bulletins:
        if bulletin.sheet.showroom:
            yield from _fields(bulletin.sheet, ("stage",), None)
            for disclosure in bulletin.sheet.disclosures:
                yield from _fields(disclosure, ("what",), None)


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
    for episode in shop.episodes:
        (public if episode.sheet.showroom else private).append(episode)
    for bulletin in shop.bulletins:
        (public if bulletin.sheet.showroom else private).append(bulletin)
    return tuple(public), tuple(private)


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


def _said_on_air(sheet: EpisodeSheet) -> Iterator[Words]:
    """What an episode's page and the list of what is coming up repeat of its keys."""
    for segment in sheet.segments:
        yield from _fields(segment, ("stage",), None)
    for promise in sheet.promises:
        yield from _fields(promise, ("words", "do"), None)
    for disclosure in sheet.disclosures:
        yield from _fields(disclosure, ("what",), None)
    for credit in sheet.credits:
        yield from _fields(credit, ("done", "link") if credit.consent else (), None)


def _of_build(build: Build) -> Iterator[Words]:
    yield from _fields(build.sheet, ("title", "instrument", "maker", "model", "year", "finish", "address"), build.id)
    yield from _addresses(build.sheet, build.id)
    if not build.sheet.address:
        yield Words(build.id, build.sheet.at, build.id)
    if build.sheet.for_sale is not None:
        yield from _fields(build.sheet.for_sale, ("enquire",), build.id)
    for credit in build.sheet.credits:
        yield from _fields(credit, ("done", "link") if credit.consent else (), build.id)
    if build.sheet.specs is not None:
        yield from _of_specs(build.sheet.specs, build.id)


def _addresses(sheet: BuildSheet | EpisodeSheet, build: str | None) -> Iterator[Words]:
    for address in sheet.was:
        yield Words(address, sheet.where("was"), build)


def _of_specs(specs: Specs, build: str) -> Iterator[Words]:
    yield from _fields(specs, ("weight", "controls", "tuning"), build)
    for text in specs.other:
        yield Words(text, specs.where("other"), build)
    if specs.battery is not None:
        yield from _fields(specs.battery, ("kind",), build)
    for item in (*specs.strings, *specs.pickups, *specs.leds, *specs.woods, *specs.pots):
        yield from _fields(item, ("what", "note", "used_for"), build)


def _fields(record: Record, names: tuple[str, ...], build: str | None) -> Iterator[Words]:
    for name in names:
        value = getattr(record, name)
        if value:
            yield Words(value, record.where(name), build)


def blocks(text: str, begins: Place, build: str | None) -> Iterator[Words]:
    """The paragraphs of a text that begins at a place."""
    at = Lookup(text)
    for match in _BLOCK.finditer(text):
        yield Words(match[0], at.place(match.start(), begins), build)
