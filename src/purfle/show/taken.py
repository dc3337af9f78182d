"""Shots in the can, as the notes tell of them: by a `shots:` entry, or by a picture that says so.

A picture says so when the words of the shot's name, without a leading article, stand in that order in its file name
or in its alt text. Only pictures that a dated note names count. A shot of another's work counts once they consent.
Invariant: says what was taken and when; which pass it belongs to is decided elsewhere.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.base.groups import grouped
from purfle.base.names import folded
from purfle.base.trouble import Wrong
from purfle.notes.model import Note, Picture, Shop
from purfle.notes.records.note import ShotTaken
from purfle.show.timelapse import factor, screen_seconds

_ARTICLES = ("the", "a", "an")


@dataclass(frozen=True, slots=True)
class Taken:
    """Something filmed or photographed on one build."""

    date: date
    stages: tuple[str, ...]
    """The stages it may belong to, folded; empty when the note says none."""
    name: str | None
    """As a `shots:` entry has it, folded."""
    words: tuple[str, ...] = ()
    """For a picture: the words of its file name, a gap, and those of its alt text."""
    screen_seconds: Decimal | None = None
    """Running time on screen, for a time-lapse."""

    def shows(self, shot: str) -> bool:
        """Whether this is the shot of that name."""
        if self.name is not None:
            return self.name == folded(shot) or self.name == " ".join(_words(shot))
        return _stands_in(_words(shot), self.words)


def _words(text: str) -> tuple[str, ...]:
    words = _runs(text)
    return tuple(words[1:] if len(words) > 1 and words[0] in _ARTICLES else words)


def _stands_in(wanted: tuple[str, ...], words: tuple[str, ...]) -> bool:
    size = len(wanted)
    return size > 0 and any(words[i : i + size] == wanted for i in range(len(words) - size + 1))


def taken_by_build(shop: Shop, today: date) -> dict[str, tuple[Taken, ...]]:
    """Build → everything taken on it up to `today`, by day."""
    every = (pair for note in shop.notes if note.date <= today for pair in _of_note(shop, note))
    return {build: tuple(item for _, item in pairs) for build, pairs in grouped(every, lambda pair: pair[0]).items()}


def _of_note(shop: Shop, note: Note) -> Iterator[tuple[str, Taken]]:
    own = note.build
    for shot in note.sheet.shots:
        build = shop.find(shot.build) if shot.build else own
        if build and not unconsented(shot):
            stages = (folded(shot.stage),) if shot.stage else _stages(shop, note, build)
            yield build, Taken(note.date, stages, folded(shot.shot), (), _seconds(shop, shot))
    if own and note.body.pictures:
        stages = _stages(shop, note, own)
        yield from ((own, Taken(note.date, stages, None, _words_of(picture))) for picture in note.body.pictures)


def picture_shows(picture: Picture, shot: str) -> bool:
    """Whether a picture's file name or alt text says that it is the shot of that name."""
    return _stands_in(_words(shot), _words_of(picture))


def _words_of(picture: Picture) -> tuple[str, ...]:
    stem = picture.src.rsplit("/", 1)[-1].rsplit(".", 1)[0]
    return (*_runs(stem), "", *_runs(picture.alt))


def _runs(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _stages(shop: Shop, note: Note, build: str) -> tuple[str, ...]:
    """The stages of a build that a note works on, folded."""
    return tuple(folded(line.stage) for line in shop.on_stages(note, build) if line.stage)


def unconsented(shot: ShotTaken) -> bool:
    """Whether it shows the work of someone who has not agreed."""
    return shot.credit is not None and not shot.consent


def _seconds(shop: Shop, shot: ShotTaken) -> Decimal | None:
    if shot.minutes is None or shot.speed is None:
        return None
    try:
        return screen_seconds(shot.minutes, factor(shot.speed, shop.settings.show.frame_rate))
    except Wrong:
        return None
