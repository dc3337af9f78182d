"""A coming episode whose file already names its segments: told as it is written.

Invariant: proposes nothing and leaves nothing out that the file has.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from purfle.base.names import folded
from purfle.notes.records.show import Piece, Segment
from purfle.show.airing import Slot
from purfle.show.candidates import Candidate, judge
from purfle.show.consent import bar
from purfle.show.gifts import covered, gifts_in, said
from purfle.show.minutes import minutes_of, together
from purfle.show.model import NO, YES, LeftOut, LineUpEpisode, LineUpSegment
from purfle.show.ready import Scene, Verdict, verdict


def as_written(scene: Scene, slot: Slot, candidates: Sequence[Candidate], usual: Mapping[Piece, Decimal]) -> LineUpEpisode:
    """The episode of a slot that has a file with segments."""
    assert slot.written is not None
    named = slot.written.sheet.segments
    segments = tuple(_segment(scene, slot, segment, usual) for segment in named)
    inside = {(s.build, folded(s.stage or "")) for s in segments}
    total = sum((s.minutes for s in segments), Decimal(0))
    left = []
    for c in candidates:
        name = c.stage.stage.name if c.stage else None
        answer = judge(scene, c, slot)
        if answer.ready != NO and (c.build.id, folded(name or "")) not in inside:
            left.append(LeftOut(c.build.id, name, "the episode's file does not name it", c.what, total + c.minutes <= slot.length))
    return LineUpEpisode(slot.airs, slot.records, total, slot.length, segments, tuple(left), written=True)


def _segment(scene: Scene, slot: Slot, segment: Segment, usual: Mapping[Piece, Decimal]) -> LineUpSegment:
    build = scene.shop.find(segment.build)
    minutes = minutes_of(segment, together(s.screen_seconds for s in scene.shots_for(build, segment.stage)), usual)
    if build is None:
        return LineUpSegment(None, segment.stage, segment.what, minutes, Decimal(1), segment.words or "as its file says")
    answer = _verdict(scene, slot, build, segment)
    gifts = gifts_in(scene.given, build, scene.orders[build], segment.stage, slot.records)
    missing = [f"say on air: {said(g)}" for g in gifts if slot.written and not covered(scene.shop, g, slot.written.sheet.disclosures)]
    why = "; ".join(["as its file says", *([answer.why] if answer.why else []), *missing])
    return LineUpSegment(build, segment.stage, segment.what, minutes, answer.chance, why, gifts, answer.shots)


def _verdict(scene: Scene, slot: Slot, build: str, segment: Segment) -> Verdict:
    """What is known of a piece's stage; of a piece without one, whether the build may be shown."""
    progress, sheet = scene.progress.get(build), scene.shop.build(build)
    stage = progress.stage(segment.stage) if progress and segment.stage else None
    if stage is not None:
        return verdict(scene, sheet, stage, slot)
    barred = bar(sheet, progress, slot.airs)
    return Verdict(NO, Decimal(0), barred) if barred else Verdict(YES, Decimal(1), "")
