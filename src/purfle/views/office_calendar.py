"""What goes into the office's calendar file: bench days, ends of cures, due dates, days to order, last chances to film, recordings and airings.

Each entry's id is made from what it is about and never from its day where that may move, so that taking the file in
again moves an entry instead of doubling it. A bench day is about its day.
Invariant: knows nothing of the file's format.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from purfle.bench.model import PART, Lag, PlanDay
from purfle.progress.model import StageProgress
from purfle.progress.states import CURE, WAIT
from purfle.show.consent import lacks_consent
from purfle.show.model import IN_THE_CAN, MISSED, LineUpSegment
from purfle.views.office_desk import OfficeDesk
from purfle.views.office_dues import DueDay, due_days
from purfle.views.words import stop

BENCH_DAYS = 28
"""Days at the bench that are told ahead; further ones move too often to be worth a diary."""


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One entry, of a whole day."""

    id: str
    day: date
    summary: str
    description: str


def calendar_of(desk: OfficeDesk) -> tuple[CalendarEntry, ...]:
    """All entries by day, then by id."""
    entries = [*_lags(desk), *_dues(desk), *_orders(desk), *_last_chances(desk), *_episodes(desk)]
    entries += [_bench(desk, day) for day in desk.plan.days if day.tasks and 0 <= (day.date - desk.today).days < BENCH_DAYS]
    unique = {entry.id: entry for entry in reversed(entries)}
    return tuple(sorted(unique.values(), key=lambda e: (e.day, e.id)))


def _id(kind: str, name: str, *words: str) -> str:
    """The words have no bare hyphen, so that the build `a-b` with its stage `c` and the build `a` with its stage `b-c` never share an entry."""
    return "-".join([kind, _quoted(name), *map(_bare, words)])


def _quoted(word: str) -> str:
    return quote(" ".join(word.casefold().split()), safe="")


def _bare(word: str) -> str:
    return _quoted(word).replace("-", "%2D")


def _lags(desk: OfficeDesk) -> Iterator[CalendarEntry]:
    """Ends of cures and of outside work: what is curing or out today, and what the plan lays out."""
    for curing in desk.plan.curing:
        known, lag = desk.progress[curing.build].stage(curing.stage), Lag(curing.build, curing.stage, curing.why, curing.until, curing.until)
        then = _cure_after(known, lag)
        yield _end(desk, known, lag, f"Then it cures {then}." if then else _FREE)
    for lag in desk.plan.lags:
        if lag.why != PART:
            known = desk.progress[lag.build].stage(lag.stage)
            words = known.stage.cure_words if known is not None and lag.why == CURE else "the expected time"
            yield _end(desk, known, lag, f"As planned: {words}.")


_FREE = "The first day it can be worked on again."


def _end(desk: OfficeDesk, known: StageProgress | None, lag: Lag, description: str) -> CalendarEntry:
    words = "is cured" if lag.why == CURE else "is back from outside work"
    return CalendarEntry(_end_id(known, lag), lag.until, f"{desk.build(lag.build).words}: {lag.stage} {words}", description)


def _cure_after(known: StageProgress | None, lag: Lag) -> str:
    """The cure that follows a stage's outside work, in words; empty for none."""
    return known.stage.cure_words if known is not None and lag.why == WAIT else ""


def _end_id(known: StageProgress | None, lag: Lag) -> str:
    """The same for a stage's cure and for its outside work, unless it has both."""
    return _id("back" if _cure_after(known, lag) else "cure", lag.build, lag.stage, str(known.current.number if known else 1))


def _dues(desk: OfficeDesk) -> Iterator[CalendarEntry]:
    for due in due_days(desk):
        yield CalendarEntry(_due_id(due), due.day, due.words, "")


def _due_id(due: DueDay) -> str:
    """With two words for what was promised of a build's stage, with one for the build's own date."""
    if due.build is None:
        return _id("promised", due.words)
    return _id("due", due.build, due.stage) if due.stage else f"due-{_bare(due.build)}"


def _orders(desk: OfficeDesk) -> Iterator[CalendarEntry]:
    """What is late to order stands on today."""
    for order in desk.plan.order:
        day = max(order.by, desk.today)
        words = f"Order for {desk.build(order.build).words}: {order.part}"
        yield CalendarEntry(_id("order", order.build, order.part), day, words, stop(f"Needed on {desk.write.date(order.needed)}"))


def _last_chances(desk: OfficeDesk) -> Iterator[CalendarEntry]:
    """Of shots that can't be taken later, as far ahead as bench days are told."""
    for shot in desk.show.shots:
        if shot.status not in (IN_THE_CAN, MISSED) and shot.by is not None and 0 <= (shot.by - desk.today).days < BENCH_DAYS:
            words = f"Last chance to film {desk.build(shot.build).words}: {shot.shot}"
            told = f"ask the customer first; {shot.window}" if lacks_consent(desk.shop.build(shot.build)) else shot.window
            yield CalendarEntry(_id("film", shot.build, shot.stage, shot.shot, str(shot.pass_number)), shot.by, words, told)


def _episodes(desk: OfficeDesk) -> Iterator[CalendarEntry]:
    pieces = {episode.airs: episode.segments for episode in desk.show.lineup}
    for episode in desk.show.episodes:
        day, title = episode.airs.isoformat(), f": {episode.title}" if episode.title else ""
        shown = "\n".join(_piece(desk, piece) for piece in pieces.get(episode.airs, ()))
        yield CalendarEntry(f"record-{day}", episode.records, f"Record the episode of {day}{title}", shown)
        yield CalendarEntry(f"air-{day}", episode.airs, f"Episode airs{title}", "")


def _piece(desk: OfficeDesk, piece: LineUpSegment) -> str:
    who = [desk.build(piece.build).words] if piece.build else []
    return f"{': '.join([*who, piece.stage or piece.what])}, {desk.write.number(piece.minutes)} min"


def _bench(desk: OfficeDesk, day: PlanDay) -> CalendarEntry:
    tasks = [f"{desk.build(t.build).words}: {t.stage}, {desk.write.hours(t.hours) if t.hours else 'to send out'}" for t in day.tasks]
    titles = dict.fromkeys(desk.build(t.build).words for t in day.tasks)
    return CalendarEntry(f"bench-{day.date.isoformat()}", day.date, f"Bench: {', '.join(titles)}", "\n".join(tasks))
