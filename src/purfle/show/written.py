"""A coming episode whose file already names its segments: told as it is written.

Invariant: proposes nothing and leaves nothing out that the file has.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from purfle.base.names import folded
from purfle.notes.records.show import EpisodeSheet, Piece, Segment
from purfle.show.airing import Slot
from purfle.show.candidates import Candidate, judge
from purfle.show.gifts import gifts_in, said, undisclosed
from purfle.show.minutes import minutes_of
from purfle.show.model import NO, LeftOut, LineUpEpisode, LineUpSegment
from purfle.show.ready import Verdict, verdict, verdict_without_stage
from purfle.show.scene import Scene
from purfle.show.timelapse import together


def as_written(scene: Scene, slot: Slot, candidates: Sequence[Candidate], usual: Mapping[Piece, Decimal]) -> LineUpEpisode:
    """The episode of a slot that has a file with segments."""
    assert slot.written is not None
    segments = tuple(_segment(scene, slot, slot.written.sheet, segment, usual) for segment in slot.written.sheet.segments)
    inside = {(s.build, folded(s.stage or "")) for s in segments}
    free = slot.length - sum(s.minutes for s in segments)
    left = []
    for c in candidates:
        if judge(scene, c, slot).ready != NO and (c.build.id, folded(c.name or "")) not in inside:
            left.append(LeftOut(c.build.id, c.name, "the episode's file does not name it", c.what, c.minutes <= free))
    return LineUpEpisode(slot.airs, slot.records, slot.length, segments, tuple(left), written=True)


def _segment(scene: Scene, slot: Slot, sheet: EpisodeSheet, segment: Segment, usual: Mapping[Piece, Decimal]) -> LineUpSegment:
    build = scene.shop.find(segment.build)
    minutes = minutes_of(segment, together(scene.shots_for(build, segment.stage)), usual)
    if build is None:
        return LineUpSegment(None, segment.stage, segment.what, minutes, Decimal(1), segment.words or "as its file says")
    answer = _verdict(scene, slot, build, segment)
    gifts = gifts_in(scene.given, build, scene.orders[build], segment.stage, slot.records)
    missing = [f"say on air: {said(gift)}" for gift in undisclosed(scene, build, segment.stage, slot.records, sheet.disclosures)]
    why = "; ".join(["as its file says", *([answer.why] if answer.why else []), *missing])
    return LineUpSegment(build, segment.stage, segment.what, minutes, answer.chance, why, gifts, answer.shots)


def _verdict(scene: Scene, slot: Slot, build: str, segment: Segment) -> Verdict:
    """What is known of a piece's stage; of a piece without one, whether the build may be shown."""
    sheet, stage = scene.shop.build(build), scene.progress[build].stage(segment.stage) if segment.stage else None
    return verdict_without_stage(scene, sheet, slot, "") if stage is None else verdict(scene, sheet, stage, slot)
