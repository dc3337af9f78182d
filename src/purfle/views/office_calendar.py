"""What goes into the office's calendar file: bench days, ends of cures, due dates, recordings and airings.

Each entry's id is made from what it is about and never from its day where that may move, so that taking the file in
again moves an entry instead of doubling it. A bench day is about its day.
Invariant: knows nothing of the file's format.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from purfle.bench.model import Plan, PlanDay
from purfle.progress.model import Progress
from purfle.show.model import ShowPlan
from purfle.views.office_desk import Desk
from purfle.views.timeline import Span

BENCH_DAYS = 28
"""Days at the bench that are told ahead; further ones move too often to be worth a diary."""


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One entry of whole days."""

    id: str
    first: date
    last: date
    """The last day it covers."""
    summary: str
    description: str


def calendar_of(desk: Desk, progress: Mapping[str, Progress], plan: Plan, show: ShowPlan, spans: tuple[Span, ...]) -> tuple[CalendarEntry, ...]:
    """All entries by day, then by id; `spans` are the timeline's."""
    entries = [*_cures(desk, progress, plan, spans), *_dues(desk, spans), *_episodes(show)]
    entries += [_bench(desk, day) for day in plan.days if day.tasks and 0 <= (day.date - desk.today).days < BENCH_DAYS]
    unique = {entry.id: entry for entry in reversed(entries)}
    return tuple(sorted(unique.values(), key=lambda e: (e.first, e.id)))


def _id(*words: str) -> str:
    return "-".join(quote(" ".join(word.casefold().split()), safe="") for word in words if word)


def _cures(desk: Desk, progress: Mapping[str, Progress], plan: Plan, spans: tuple[Span, ...]) -> Iterator[CalendarEntry]:
    for curing in plan.curing:
        done = "is cured" if curing.why == "cure" else "is back from outside work"
        yield CalendarEntry(
            _cure_id(progress, curing.build, curing.stage),
            curing.until,
            curing.until,
            f"{desk.build(curing.build).words}: {curing.stage} {done}",
            "The first day it can be worked on again.",
        )
    for span in spans:
        if span.mark == "cure":
            yield CalendarEntry(
                _cure_id(progress, span.build, span.stage),
                _next(span.last),
                _next(span.last),
                f"{span.title}: {span.stage} is cured",
                f"As planned: {span.words}.",
            )


def _next(day: date) -> date:
    return date.fromordinal(day.toordinal() + 1)


def _cure_id(progress: Mapping[str, Progress], build: str, stage: str) -> str:
    known = progress[build].stage(stage) if build in progress else None
    return _id("cure", build, stage, str(known.current.number if known else 1))


def _dues(desk: Desk, spans: tuple[Span, ...]) -> Iterator[CalendarEntry]:
    for span in spans:
        if span.mark == "due":
            words = f"{span.title} is due" if not span.stage else f"{span.title}: {span.stage} was promised on air"
            yield CalendarEntry(_id("due", span.build, span.stage), span.first, span.first, words, "")


def _episodes(show: ShowPlan) -> Iterator[CalendarEntry]:
    titles = {sheet.airs: sheet.title for sheet in show.run_sheets}
    days = {show.airs: show.records} | {e.airs: e.records for e in show.lineup} | {s.airs: s.records for s in show.run_sheets}
    for airs, records in sorted(days.items()):
        title = f": {titles[airs]}" if titles.get(airs) else ""
        yield CalendarEntry(f"record-{airs.isoformat()}", records, records, f"Record the episode of {airs.isoformat()}{title}", "")
        yield CalendarEntry(f"air-{airs.isoformat()}", airs, airs, f"Episode airs{title}", "")


def _bench(desk: Desk, day: PlanDay) -> CalendarEntry:
    tasks = [f"{desk.build(t.build).words}: {t.stage}, {desk.write.hours(t.hours)}" for t in day.tasks]
    titles = dict.fromkeys(desk.build(t.build).words for t in day.tasks)
    return CalendarEntry(f"bench-{day.date.isoformat()}", day.date, day.date, f"Bench: {', '.join(titles)}", "\n".join(tasks))
