"""Sheets for the filming day: a coming episode's run sheet with its shots, and the shot list day by day.

Invariant: words and sums only what the show plan says.
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from itertools import accumulate

from purfle.show.consent import lacks_consent
from purfle.show.model import IN_THE_CAN, RunSheet, RunSheetLine, Shot, ShotDay
from purfle.show.windows import BEGINNING
from purfle.views.office_desk import Link, OfficeDesk
from purfle.views.office_show_promises import spoken


@dataclass(frozen=True, slots=True)
class ShotRow:
    """A wanted shot, in the can or not."""

    build: Link
    shot: str
    status: str
    window: str
    """When it can be taken, in words."""
    opens: str
    by: str
    taken: str
    runs: str
    """Running time of a time-lapse in the can, minutes and seconds; else empty."""


@dataclass(frozen=True, slots=True)
class RunRow:
    """A line of a run sheet."""

    starts: str
    """Minutes and seconds from the start of the episode."""
    what: str
    build: Link | None
    stage: str
    minutes: str
    estimated: bool
    words: str
    """The file's own note for it, or why it is proposed."""
    shots: tuple[ShotRow, ...]
    lapse: str
    """Running time of its time-lapses; empty without one."""
    runs_over: bool
    """They alone run longer than the piece."""
    say: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FilmRow:
    """A shot to take."""

    build: Link
    shot: str
    window: str
    """When it can be taken, in words."""
    by: str
    last_chance: bool
    for_episode: str
    """The day of the first coming episode that shows it; empty when none does."""
    ask_first: bool = False
    """It is a customer's, and they have not agreed to its being shown."""


@dataclass(frozen=True, slots=True)
class RunSheetView:
    """An episode's pieces against its length."""

    page: str
    title: str
    airs: str
    records: str
    written: bool
    rows: tuple[RunRow, ...]
    minutes: str
    length: str
    over: str
    """Minutes over its length; empty when it fits."""
    left: str
    """Minutes left; empty when it is over or full."""
    lapse: str
    """Running time of all its time-lapses in the can; empty without one."""
    disclosures: tuple[str, ...]
    unsaid: tuple[str, ...]
    """Gifts it shows and sponsors it has that no disclosure names yet."""
    thanks: tuple[str, ...]
    promises: tuple[tuple[Link | None, str, str], ...]
    """Due by it: the build, what was said, and when it was due."""
    film: tuple[FilmRow, ...]
    """Its shots that are not in the can."""


@dataclass(frozen=True, slots=True)
class ShotDayView:
    """A day with something to film."""

    id: str
    day: str
    name: str
    """Today, Tomorrow, or empty."""
    shots: tuple[FilmRow, ...]


def run_page(airs: date) -> str:
    """The address of an episode's run sheet."""
    return f"run-{airs.isoformat()}.html"


def clock(seconds: Decimal | None) -> str:
    """A running time as minutes and seconds, to the whole second, half up; empty for None."""
    if seconds is None:
        return ""
    whole = int(seconds.to_integral_value(ROUND_HALF_UP))
    return f"{whole // 60}:{whole % 60:02}"


def shot_row(desk: OfficeDesk, shot: Shot) -> ShotRow:
    """A wanted shot as it is listed."""
    return ShotRow(
        build=desk.build(shot.build),
        shot=shot.shot,
        status=shot.status,
        window=shot.window,
        opens=desk.day(shot.opens if shot.opens != BEGINNING else None),
        by=desk.day(shot.by),
        taken=desk.day(shot.taken),
        runs=clock(shot.screen_seconds),
    )


# --- run sheets -------------------------------------------------------------------------------------------------------


def run_sheets_of(desk: OfficeDesk) -> tuple[RunSheetView, ...]:
    """The run sheet of each coming episode; of two on one day, the first."""
    first = {sheet.airs: sheet for sheet in reversed(desk.show.run_sheets)}
    return tuple(_run_sheet(desk, first[airs]) for airs in sorted(first))


def _run_sheet(desk: OfficeDesk, sheet: RunSheet) -> RunSheetView:
    write, room = desk.write, -sheet.over
    starts = accumulate((line.minutes for line in sheet.lines), initial=Decimal(0))
    missing = [s for line in sheet.lines for s in line.shots if s.status != IN_THE_CAN]
    return RunSheetView(
        page=run_page(sheet.airs),
        title=sheet.title,
        airs=write.day(sheet.airs),
        records=write.day(sheet.records),
        written=sheet.written,
        rows=tuple(_row(desk, line, at) for line, at in zip(sheet.lines, starts, strict=False)),
        minutes=write.number(sheet.minutes),
        length=write.number(sheet.length),
        over=write.number(-room) if room < 0 else "",
        left=write.number(room) if room > 0 else "",
        lapse=clock(sheet.screen_seconds) if sheet.screen_seconds else "",
        disclosures=sheet.disclosures,
        unsaid=tuple(dict.fromkeys((*(s for line in sheet.lines for s in line.say), *sheet.unsaid))),
        thanks=sheet.thanks,
        promises=tuple((desk.build_or_none(p.build), spoken(p), write.date(p.due)) for p in sheet.promises),
        film=tuple(film_row(desk, s, last=s.by == desk.today) for s in dict.fromkeys(missing)),
    )


def _row(desk: OfficeDesk, line: RunSheetLine, starts: Decimal) -> RunRow:
    write = desk.write
    return RunRow(
        starts=clock(starts * 60),
        what=line.what,
        build=desk.build_or_none(line.build),
        stage=line.stage or "",
        minutes=write.number(line.minutes),
        estimated=line.estimated,
        words=line.words or desk.told(line.why),
        shots=tuple(shot_row(desk, shot) for shot in line.shots),
        lapse=clock(line.screen_seconds),
        runs_over=line.runs_over,
        say=line.say,
    )


# --- shot lists -------------------------------------------------------------------------------------------------------


def shot_days_of(desk: OfficeDesk) -> tuple[ShotDayView, ...]:
    """The coming days with something to film."""
    return tuple(_day(desk, day) for day in desk.show.shot_days)


def _day(desk: OfficeDesk, day: ShotDay) -> ShotDayView:
    return ShotDayView(day.date.isoformat(), desk.write.day(day.date), desk.named(day.date), tuple(film_row(desk, s, last=s.by == day.date) for s in day.shots))


def film_row(desk: OfficeDesk, shot: Shot, *, last: bool) -> FilmRow:
    """A shot to take; `last` is whether the list it stands on is that of its last day, or has it for that."""
    airs = next((sheet.airs for sheet in desk.show.run_sheets if any(shot in line.shots for line in sheet.lines)), None)
    return FilmRow(
        build=desk.build(shot.build),
        shot=shot.shot,
        window=shot.window,
        by=desk.day(shot.due),
        last_chance=last,
        for_episode=desk.write.day(airs) if airs else "",
        ask_first=lacks_consent(desk.shop.build(shot.build)),
    )
