"""The show page: line-up proposals with their reasons, shots, run sheets, bulletins, and what the show earned and took.

Invariant: private to the office; the showroom has view types of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from purfle.base.names import folded
from purfle.notes.model import Bulletin
from purfle.show.bulletins import LATELY, characters, sends_any
from purfle.show.model import IN_THE_CAN, LAST_CHANCE, MISSED, NOT_YET, WANTED, LeftOut, LineUpEpisode, Shot
from purfle.views.office_desk import Figure, Link, Noted, OfficeDesk, Reason
from purfle.views.office_show_promises import PromiseRow, PromisesView, promises_view_of, unmet_rows
from purfle.views.office_show_sheets import RunSheetView, ShotDayView, ShotRow, run_page, run_sheets_of, shot_days_of, shot_row
from purfle.views.office_week import FeatureRow, feature_rows


@dataclass(frozen=True, slots=True)
class SegmentRow:
    """A piece proposed for an episode."""

    build: Link | None
    stage: str
    what: str
    minutes: str
    why: str


@dataclass(frozen=True, slots=True)
class EpisodeView:
    """A coming episode, as its file has it or as proposed."""

    airs: str
    records: str
    minutes: str
    length: str
    written: bool
    proved: bool
    """No better choice exists; False when the search ran out of its budget."""
    sheet: str
    """The address of its run sheet; empty when it has none."""
    segments: tuple[SegmentRow, ...]
    left_out: tuple[Reason, ...]
    free: str
    """Minutes still free; empty when it is full."""
    nearest: tuple[Reason, ...]
    """What is left out and could fill them first."""


@dataclass(frozen=True, slots=True)
class PostRow:
    """A bulletin of late, or to come."""

    day: str
    build: Link | None
    stage: str
    where: str
    length: str
    """Its characters, of how many its place takes."""


@dataclass(frozen=True, slots=True)
class AirIncomeRow:
    """What a build earned and took on air."""

    build: Link
    minutes: str
    hours: str
    amount: Figure


@dataclass(frozen=True, slots=True)
class ShowView:
    """The show plan."""

    airs: str
    """The next episode's day; empty for a shop that makes no show."""
    records: str
    sends_bulletins: bool
    lineup: tuple[EpisodeView, ...]
    feature: tuple[FeatureRow, ...]
    promises: tuple[PromiseRow, ...]
    """The unmet ones; the page of promises has all."""
    all_promises: PromisesView
    shots: tuple[ShotRow, ...]
    """Those still to be taken, or missed of late."""
    shot_days: tuple[ShotDayView, ...]
    lapses: tuple[ShotRow, ...]
    """Time-lapses taken of late, the latest first."""
    in_the_can: int
    """Shots taken; they are listed on their builds' pages."""
    run_sheets: tuple[RunSheetView, ...]
    ideas: tuple[Reason, ...]
    """What is worth a bulletin."""
    bulletins_left: int
    posts: tuple[PostRow, ...]
    earned: tuple[AirIncomeRow, ...]
    hours: str
    noted: tuple[Noted, ...]


_SHOTS = (LAST_CHANCE, WANTED, NOT_YET, MISSED)
_REMEMBERED = timedelta(weeks=8)
"""How long missed shots and time-lapses stay on the page; their builds' pages keep them."""


def show_view_of(desk: OfficeDesk) -> ShowView:
    """The show plan as told."""
    show, write, promises = desk.show, desk.write, unmet_rows(desk)
    waiting = sorted(
        (s for s in show.shots if s.status in _SHOTS and not _long_missed(desk, s)),
        key=lambda s: (_SHOTS.index(s.status), s.by is None, s.by or desk.today, s.build),
    )
    return ShowView(
        airs=write.day(show.airs) if show.airs else "",
        records=write.day(show.records),
        sends_bulletins=sends_any(desk.shop),
        lineup=tuple(_episode(desk, e) for e in show.lineup),
        feature=feature_rows(desk),
        promises=promises,
        all_promises=promises_view_of(desk),
        shots=tuple(shot_row(desk, s) for s in waiting),
        shot_days=shot_days_of(desk),
        lapses=tuple(shot_row(desk, s) for s in _lapses(desk)),
        in_the_can=sum(1 for s in show.shots if s.status == IN_THE_CAN),
        run_sheets=run_sheets_of(desk),
        ideas=tuple(Reason(desk.build(i.build), i.stage, desk.told(i.why)) for i in show.bulletins),
        bulletins_left=show.bulletins_left,
        posts=tuple(_post(desk, b) for b in reversed(desk.shop.bulletins) if b.date >= desk.today - LATELY),
        earned=tuple(AirIncomeRow(desk.build(i.build), write.number(i.minutes), write.hours(i.hours), desk.money(i.amount)) for i in show.air_income),
        hours=write.hours(show.show_hours),
        noted=desk.noted(p.source for p in promises),
    )


def _episode(desk: OfficeDesk, episode: LineUpEpisode) -> EpisodeView:
    write = desk.write
    return EpisodeView(
        airs=write.day(episode.airs),
        records=write.day(episode.records),
        minutes=write.number(episode.minutes),
        length=write.number(episode.length),
        written=episode.written,
        proved=episode.proved,
        sheet=run_page(episode.airs) if any(sheet.airs == episode.airs for sheet in desk.show.run_sheets) else "",
        segments=tuple(SegmentRow(desk.build_or_none(s.build), s.stage or "", s.what, write.number(s.minutes), desk.told(s.why)) for s in episode.segments),
        left_out=_left_out(desk, episode.left_out),
        free=write.number(episode.free) if episode.free else "",
        nearest=_left_out(desk, episode.nearest),
    )


def _left_out(desk: OfficeDesk, rows: Iterable[LeftOut]) -> tuple[Reason, ...]:
    return tuple(Reason(desk.build(x.build), x.stage or x.what, desk.told(x.why)) for x in rows)


def _long_missed(desk: OfficeDesk, shot: Shot) -> bool:
    return shot.status == MISSED and shot.by is not None and shot.by < desk.today - _REMEMBERED


def _lapses(desk: OfficeDesk) -> list[Shot]:
    """Time-lapses taken of late, the latest first."""
    taken = [s for s in desk.show.shots if s.screen_seconds is not None and s.taken is not None and s.taken >= desk.today - _REMEMBERED]
    return sorted(taken, key=lambda s: (-(s.taken or desk.today).toordinal(), s.build, s.shot))


def _post(desk: OfficeDesk, bulletin: Bulletin) -> PostRow:
    sheet = bulletin.sheet
    limit = next((named.value for named in desk.shop.settings.show.limits if folded(named.name) == folded(sheet.outlet or "")), None)
    length = f"{characters(bulletin.body)}" + (f" of {limit}" if limit else "")
    return PostRow(desk.day(bulletin.date), desk.build_or_none(desk.shop.find(sheet.build)), sheet.stage or "", sheet.outlet or "", length)
