"""Run sheets: a coming episode's pieces against its length, as its file has them, else as they are proposed.

Invariant: repeats the file or the proposal; what a file leaves open is marked as estimated.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from purfle.notes.model import Episode
from purfle.notes.records.show import Disclosure, Piece, Segment
from purfle.show.airing import length_of, to_air
from purfle.show.gifts import in_words, said, undisclosed, undisclosed_sponsors
from purfle.show.minutes import minutes_of, usual_minutes
from purfle.show.model import LineUpEpisode, LineUpSegment, PromiseState, RunSheet, RunSheetLine
from purfle.show.scene import Scene
from purfle.show.timelapse import together


def run_sheets(scene: Scene, lineup: Iterable[LineUpEpisode]) -> tuple[RunSheet, ...]:
    """A run sheet for each episode that is written with segments and still to air, and for each that is proposed, by day."""
    usual = usual_minutes(scene.shop, scene.today)
    coming = to_air(scene.shop, scene.today)
    titles = {e.date: e.sheet.title for e in coming}
    written = [_of_file(scene, e, usual) for e in coming if e.sheet.segments]
    proposed = [_of_proposal(scene, e, titles.get(e.airs, "")) for e in lineup if not e.written]
    sheets = [replace(sheet, promises=_due_by(scene.promises, sheet)) for sheet in (*written, *proposed)]
    return tuple(sorted(sheets, key=lambda sheet: sheet.airs))


def _due_by(promises: Sequence[PromiseState], sheet: RunSheet) -> tuple[PromiseState, ...]:
    return tuple(p for p in promises if p.unmet and p.due is not None and p.episode < sheet.airs and p.due <= sheet.airs)


# --- as written -------------------------------------------------------------------------------------------------------


def _of_file(scene: Scene, episode: Episode, usual: Mapping[Piece, Decimal]) -> RunSheet:
    lines = tuple(_line(scene, episode, segment, usual) for segment in episode.sheet.segments)
    told = tuple(_as_said(scene, d) for d in episode.sheet.disclosures)
    thanks = tuple(f"{c.name} ({c.done})" if c.done else c.name for c in episode.sheet.credits if c.consent)
    unsaid = tuple(f"sponsored: {income.what}" for income in undisclosed_sponsors(episode))
    recorded, length = scene.shop.recorded_on(episode), length_of(scene.shop, episode)
    return RunSheet(episode.date, recorded, episode.sheet.title, lines, length, told, unsaid, thanks)


def _as_said(scene: Scene, disclosure: Disclosure) -> str:
    """A disclosure with the build it is about, unless its words name that already."""
    id = scene.shop.find(disclosure.build)
    named = id is None or any(name.casefold() in disclosure.what.casefold() for name in (id, _title(scene, id)))
    what = disclosure.what if named or id is None else f"{disclosure.what} in {_title(scene, id)}"
    return in_words(what, disclosure.how, disclosure.origin)


def _title(scene: Scene, id: str) -> str:
    """What a build is called on air."""
    return scene.shop.build(id).sheet.title or id


def _line(scene: Scene, episode: Episode, segment: Segment, usual: Mapping[Piece, Decimal]) -> RunSheetLine:
    build = scene.shop.find(segment.build)
    shots = scene.shots_for(build, segment.stage)
    gifts = undisclosed(scene, build, segment.stage, scene.shop.recorded_on(episode), episode.sheet.disclosures) if build else ()
    minutes = minutes_of(segment, together(shots), usual)
    return RunSheetLine(segment.what, build, segment.stage, minutes, shots, segment.words, segment.minutes is None, tuple(map(said, gifts)))


# --- as proposed ------------------------------------------------------------------------------------------------------


def _of_proposal(scene: Scene, episode: LineUpEpisode, title: str) -> RunSheet:
    lines = tuple(_proposed(scene, segment) for segment in episode.segments)
    gifts = [gift for segment in episode.segments for gift in segment.disclose]
    told = dict.fromkeys(in_words(f"{gift.what} in {_title(scene, gift.build)}", gift.how, gift.origin) for gift in gifts)
    return RunSheet(episode.airs, episode.records, title, lines, episode.length, tuple(told), written=False)


def _proposed(scene: Scene, segment: LineUpSegment) -> RunSheetLine:
    shots = scene.shots_for(segment.build, segment.stage)
    return RunSheetLine(segment.what, segment.build, segment.stage, segment.minutes, shots, why=segment.why)
