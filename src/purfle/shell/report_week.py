"""`week` and `lineup` as plain text.

Invariant: as in `report`, whose values these are written with.
"""

from collections.abc import Container, Sequence
from datetime import date, timedelta

from purfle.bench.model import Curing, Forecast, Low, Plan, Whole
from purfle.progress.on_sale import LONG, OnSale
from purfle.shell.report import DASH, hours, on, percent
from purfle.shell.terminal import Printer, safe
from purfle.show.model import LAST_CHANCE, LineUpEpisode, Shot, ShowPlan


def week(plan: Plan, show: ShowPlan, on_sale: Sequence[OnSale], unasked: Container[str], out: Printer) -> None:
    """What to do, film, order and feature in the next seven days; `unasked` are the builds whose customers have not agreed to be shown."""
    last = plan.week_end
    out.heading(f"The week from {on(plan.today)} to {on(last)}")
    _bench(plan, last, out)
    if plan.curing:
        out.title("Curing, or at outside work")
        out.table(("build", "stage", "until", "", "next coat"), [(c.build, c.stage, on(c.until), _why(c), c.recoat or "") for c in plan.curing])
    if orders := [o for o in plan.order if o.by <= last]:
        out.title("Order")
        out.table(("by", "part", "build", "needed", ""), [(on(o.by), o.part, o.build, on(o.needed), "late" if o.late else "") for o in orders])
    if plan.overdue:
        out.title("Should be here by now: ask the supplier")
        out.table(("expected", "part", "build", "for"), [(on(o.expected), o.part or "outside work", o.build, o.stage) for o in plan.overdue])
    if plan.low:
        out.title("Stock running low")
        out.table(("item", "left", "low at", ""), [_low(low) for low in plan.low], frozenset({2}))
    _show(show, last, out, unasked)
    if plan.at_risk or show.at_risk:
        out.title("At risk")
        dates = [
            (r.build, r.stage or "whole build", on(r.due), percent(r.chance), "beyond" if r.late_by is None else f"{r.late_by} d", "") for r in plan.at_risk
        ]
        told = [(r.build, r.stage, on(r.due), percent(r.chance), "", r.why) for r in show.at_risk]
        out.table(("build", "stage", "to be done by", "chance", "80 % day late by", ""), [*dates, *told], frozenset({3, 4}))
    if long := [s for s in on_sale if s.is_long]:
        out.title(f"Long for sale: {LONG} days and more")
        out.table(("build", "since", "days"), [(s.build, on(s.since), str(s.days)) for s in long], frozenset({2}))
    _likely(plan, out)
    out.line()
    out.words(safe(plan.proof))


def _likely(plan: Plan, out: Printer) -> None:
    heads = ("10 %", "50 %", "80 %", "95 %")
    if plan.wholes:
        out.title("When each build is done, its last cure included: the day, by likelihood")
        out.table(("build", *heads), [(w.build, *_days(w)) for w in plan.wholes])
    soon = [f for f in plan.forecast if f.p10 is not None and f.p10 <= plan.today + _SOON]
    if soon:
        out.title("What may be finished within two weeks: the day, by likelihood")
        out.table(("build", "stage", *heads), [(f.build, f.stage, *_days(f)) for f in soon])
    if later := len(plan.forecast) - len(soon):
        come = "stage comes later: it is on its build's page" if later == 1 else "stages come later: they are on each build's page"
        out.words(f"{later} more {come} in the office, and in --json.")


_SOON = timedelta(days=14)
"""As far ahead as the text looks stage by stage: the whole list pushes the bench off the screen."""


def _days(likely: Forecast | Whole) -> list[str]:
    return [d.isoformat() if d else "beyond" for d in (likely.p10, likely.p50, likely.p80, likely.p95)]


def _low(low: Low) -> tuple[str, ...]:
    coming = f"more is here on {on(low.coming)}" if low.coming else "order"
    return low.item, f"{low.left.normalize():f} {low.unit or ''}".rstrip(), f"{low.low.normalize():f}", coming


def _why(curing: Curing) -> str:
    return curing.why if curing.bent is None else f"{curing.why}, {curing.bent}"


def _bench(plan: Plan, last: date, out: Printer) -> None:
    out.title("Bench")
    rows = []
    for day in plan.days:
        if day.date <= last:
            rows += [
                (on(day.date) if not n else "", t.build, t.stage, hours(t.hours) if t.hours else "send out", hours(day.hours) if not n else "")
                for n, t in enumerate(day.tasks)
            ]
            if not day.tasks:
                rows.append((on(day.date), DASH, "", "", hours(day.hours)))
    if rows:
        out.table(("day", "build", "stage", "hours", "of"), rows, frozenset({3, 4}))
    else:
        out.line("Nothing is planned.")
    if plan.unplaced:
        out.title("Not placed")
        out.table(("build", "stage", "why"), [(u.build, u.stage or DASH, u.why) for u in plan.unplaced])


def _beside(shot: Shot, unasked: Container[str]) -> str:
    """What is to be known of a shot before it is taken."""
    return ", ".join(filter(None, (LAST_CHANCE if shot.status == LAST_CHANCE else "", "ask the customer first" if shot.build in unasked else "")))


def _show(show: ShowPlan, last: date, out: Printer, unasked: Container[str]) -> None:
    if shots := show.to_film(last):
        out.title("Film")
        out.table(("by", "build", "stage", "shot", ""), [(on(s.due), s.build, s.stage, s.shot, _beside(s, unasked)) for s in shots])
    if show.unaired:
        out.line()
        out.words(_unaired(show.unaired))
    if show.feature and show.airs and show.records:
        out.title(f"Feature on {on(show.airs)}, recorded {on(show.records)}")
        shown = show.feature if len(show.feature) <= _MOST else show.ranked[:_MOST]
        out.table(("build", "stage", "ready", "done in time", "why"), [(f.build, f.stage, f.ready, percent(f.chance), f.why) for f in shown], frozenset({3}))
        _rest(len(show.feature) - len(shown), out)
    if promises := show.unmet:
        out.title("Promised on air")
        rows = [(on(p.episode), p.build or p.words or "", p.do, p.state, on(p.due)) for p in promises]
        out.table(("promised on", "what", "do", "state", "due"), rows)
    if show.bulletins_left and show.bulletins:
        out.title(f"Bulletins: {show.bulletins_left} more to write this week; without one so far")
        out.table(("build", "stage", "why"), [(i.build, i.stage, i.why) for i in show.bulletins])


_MOST = 20
"""Rows of what can be shown, or is left out: in a shop of many years all of it would push the rest off the screen."""


def _rest(number: int, out: Printer) -> None:
    if number:
        out.words(f"{number} more {'is' if number == 1 else 'are'} on the show's page in the office, and in --json.")


def _unaired(days: Sequence[date]) -> str:
    """That what was perhaps shown counts as unseen, for it is proposed again."""
    which = f"The episode of {on(days[-1])} is" if len(days) == 1 else f"{len(days)} episodes, the last of {on(days[-1])}, are"
    return f"{which} not marked as aired, so what {'it shows' if len(days) == 1 else 'they show'} is still new here: write aired: yes, or move the file."


_NO_SHOW = "This shop makes no show, so no episode is planned. If you do make one, write show: in shop.md, such as show: {weekday: friday, minutes: 12}."
"""What is said where episodes would be lined up."""


def lineup(episodes: Sequence[LineUpEpisode], unaired: Sequence[date], out: Printer) -> None:
    """The coming episodes' segments, and what is left out and why."""
    if unaired:
        out.words(_unaired(unaired))
        out.line()
    if not episodes:
        out.words(_NO_SHOW)
    for number, episode in enumerate(episodes):
        head = out.title if number else out.heading
        head(f"{on(episode.airs)}, recorded {on(episode.records)}: {episode.minutes:f} of {episode.length:f} minutes")
        rows = [(s.build or DASH, s.stage or "", s.what, f"{s.minutes:f}", percent(s.chance), s.why) for s in episode.segments]
        out.table(("build", "stage", "what", "min", "chance", "why"), rows, frozenset({3, 4}))
        if episode.left_out:
            out.line()
            left = episode.left_out if len(episode.left_out) <= _MOST else sorted(episode.left_out, key=lambda x: (not x.promised, not x.near))[:_MOST]
            out.table(("left out", "stage", "why"), [(x.build, x.stage or x.what, x.why) for x in left])
            _rest(len(episode.left_out) - len(left), out)
        if episode.free:
            out.line()
            out.words(safe(_free(episode)))


def _free(episode: LineUpEpisode) -> str:
    """What could be done about minutes that are free."""
    near = ", ".join(f"{x.build} {x.stage or x.what}" for x in episode.nearest)
    return f"{episode.free:f} min free. " + (f"Closest to filling them: {near}." if near else "Nothing else is close: talk longer, or make it shorter.")
