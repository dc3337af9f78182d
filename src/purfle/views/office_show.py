"""The show page: line-up proposals with their reasons, promises, shots, run sheets and ideas for bulletins.

Invariant: private to the office; the showroom has view types of its own.
"""

from dataclasses import dataclass

from purfle.show.model import LineUpEpisode, RunSheet, Shot, ShowPlan
from purfle.views.office_desk import Desk, Figure, Link, Noted
from purfle.views.office_week import FeatureRow, PromiseRow, feature_rows, promise_row


@dataclass(frozen=True, slots=True)
class SegmentRow:
    """A piece proposed for an episode."""

    build: Link | None
    stage: str
    what: str
    minutes: str
    chance: str
    why: str


@dataclass(frozen=True, slots=True)
class LeftOutRow:
    """A candidate left out, and why."""

    build: Link
    stage: str
    why: str


@dataclass(frozen=True, slots=True)
class EpisodeView:
    """A coming episode, proposed."""

    airs: str
    records: str
    minutes: str
    length: str
    segments: tuple[SegmentRow, ...]
    left_out: tuple[LeftOutRow, ...]


@dataclass(frozen=True, slots=True)
class RunRow:
    """A line of a run sheet."""

    what: str
    build: Link | None
    stage: str
    minutes: str
    shots: str


@dataclass(frozen=True, slots=True)
class RunSheetView:
    """An episode's pieces against its length."""

    title: str
    airs: str
    records: str
    rows: tuple[RunRow, ...]
    minutes: str
    length: str
    over: str
    """Minutes over its length; empty when it fits."""


@dataclass(frozen=True, slots=True)
class ShotLine:
    """A shot of an open build."""

    build: Link
    stage: str
    shot: str
    status: str
    by: str
    taken: str


@dataclass(frozen=True, slots=True)
class IdeaRow:
    """Something worth a bulletin."""

    build: Link
    stage: str
    finished: str
    why: str


@dataclass(frozen=True, slots=True)
class AirIncomeRow:
    """What a build earned on air."""

    build: Link
    minutes: str
    amount: Figure


@dataclass(frozen=True, slots=True)
class ShowView:
    """The show plan."""

    airs: str
    records: str
    lineup: tuple[EpisodeView, ...]
    feature: tuple[FeatureRow, ...]
    promises: tuple[PromiseRow, ...]
    shots: tuple[ShotLine, ...]
    in_the_can: int
    """Shots taken, which are not listed here but on their builds' pages."""
    run_sheets: tuple[RunSheetView, ...]
    ideas: tuple[IdeaRow, ...]
    earned: tuple[AirIncomeRow, ...]
    hours: str
    noted: tuple[Noted, ...]


_STATES = ("late", "due", "open", "kept late", "kept", "withdrawn")
_SHOTS = ("last chance", "wanted", "not yet", "missed")


def show_view_of(desk: Desk, show: ShowPlan) -> ShowView:
    """The show plan as told."""
    ranked = sorted(show.promises, key=lambda p: (_STATES.index(p.state) if p.state in _STATES else 9, p.episode, p.at))
    promises = tuple(promise_row(desk, p) for p in ranked)
    waiting = sorted((s for s in show.shots if s.status in _SHOTS), key=lambda s: (_SHOTS.index(s.status), s.by is None, s.by or desk.today, s.build))
    write = desk.write
    return ShowView(
        write.day(show.airs), write.day(show.records), tuple(_episode(desk, e) for e in show.lineup), feature_rows(desk, show), promises,
        tuple(_shot(desk, s) for s in waiting), sum(1 for s in show.shots if s.status == "in the can"),
        tuple(_run_sheet(desk, r) for r in show.run_sheets),
        tuple(IdeaRow(desk.build(i.build), i.stage, write.date(i.finished), i.why) for i in show.bulletins),
        tuple(AirIncomeRow(desk.build(i.build), write.number(i.minutes), desk.money(i.amount)) for i in show.air_income),
        write.hours(show.show_hours), desk.noted(p.source for p in promises),
    )


def _episode(desk: Desk, episode: LineUpEpisode) -> EpisodeView:
    write = desk.write
    return EpisodeView(
        write.day(episode.airs), write.day(episode.records), write.number(episode.minutes), write.number(episode.length),
        tuple(SegmentRow(desk.build_or_none(s.build), s.stage or "", s.what, write.number(s.minutes), write.percent(s.chance), s.why) for s in episode.segments),
        tuple(LeftOutRow(desk.build(x.build), x.stage or x.what, x.why) for x in episode.left_out),
    )


def _run_sheet(desk: Desk, sheet: RunSheet) -> RunSheetView:
    write = desk.write
    rows = tuple(RunRow(line.what, desk.build_or_none(line.build), line.stage or "", write.number(line.minutes), ", ".join(line.shots)) for line in sheet.lines)
    over = write.number(sheet.minutes - sheet.length) if sheet.minutes > sheet.length else ""
    return RunSheetView(sheet.title, write.day(sheet.airs), write.day(sheet.records), rows, write.number(sheet.minutes), write.number(sheet.length), over)


def _shot(desk: Desk, shot: Shot) -> ShotLine:
    return ShotLine(desk.build(shot.build), shot.stage, shot.shot, shot.status, desk.write.day(shot.by), desk.write.day(shot.taken))
