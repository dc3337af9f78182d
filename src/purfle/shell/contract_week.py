"""`week` and `lineup` as JSON.

Invariant: as in `contract`, whose values these are written with.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from purfle.bench.model import AtRisk, Forecast, Plan
from purfle.progress.on_sale import OnSale
from purfle.shell.contract import Answer, day, fixed, money, plain, source
from purfle.show.model import LAST_CHANCE, LineUpEpisode, PromiseRisk, PromiseState, ShowPlan


def week(plan: Plan, show: ShowPlan, on_sale: Sequence[OnSale], currency: str) -> Answer:
    """`week`: the next seven days at the bench and for the show, with what is for sale."""
    last = plan.week_end
    return {
        "from": day(plan.today),
        "to": day(last),
        "days": [
            {"date": day(d.date), "hours": fixed(d.hours), "tasks": [{"build": t.build, "stage": t.stage, "hours": fixed(t.hours)} for t in d.tasks]}
            for d in plan.days
            if d.date <= last
        ],
        "curing": [{"build": c.build, "stage": c.stage, "until": day(c.until), "why": c.why, "recoat": c.recoat, "bent": c.bent} for c in plan.curing],
        "film": [{"build": s.build, "stage": s.stage, "shot": s.shot, "by": day(s.due), "last_chance": s.status == LAST_CHANCE} for s in show.to_film(last)],
        "order": [{"build": o.build, "part": o.part, "by": day(o.by), "needed": day(o.needed), "late": o.late} for o in plan.order if o.by <= last],
        "overdue": [{"build": o.build, "stage": o.stage, "part": o.part, "expected": day(o.expected)} for o in plan.overdue],
        "low": [{"item": x.item, "qty": plain(x.left), "unit": x.unit, "low": plain(x.low), "coming": day(x.coming)} for x in plan.low],
        "feature": [{"build": f.build, "stage": f.stage, "ready": f.ready, "chance": fixed(f.chance), "why": f.why} for f in show.feature],
        "promises": [_promise(p) for p in show.unmet],
        "at_risk": [*_due_dates(plan.at_risk), *(_promise_risk(r) for r in show.at_risk)],
        "forecast": [
            {"build": f.build, "stage": f.stage, "p10": day(f.p10), "p50": day(f.p50), "p80": day(f.p80), "p95": day(f.p95), "by": _recordings(plan, show, f)}
            for f in plan.forecast
        ],
        "done": [{"build": w.build, "p10": day(w.p10), "p50": day(w.p50), "p80": day(w.p80), "p95": day(w.p95)} for w in plan.wholes],
        "dates": _due_dates(plan.dates),
        "for_sale": for_sale(on_sale, currency),
        "unaired": [day(d) for d in show.unaired],
        "not_placed": [{"build": u.build, "stage": u.stage, "why": u.why} for u in plan.unplaced],
        "proof": plan.proof,
    }


def for_sale(found: Sequence[OnSale], currency: str) -> list[Answer]:
    """What is for sale, since when and at what price."""
    amount = money(currency)
    return [{"build": s.build, "since": day(s.since), "days": s.days, "asking": amount(s.asking)} for s in found]


def _due_dates(dates: Sequence[AtRisk]) -> list[Answer]:
    """Due dates and promised days, each with how likely it is kept."""
    return [{"build": r.build, "stage": r.stage, "due": day(r.due), "chance": fixed(r.chance), "late_by": r.late_by, "why": None} for r in dates]


def _promise_risk(r: PromiseRisk) -> Answer:
    """A promise that can't be kept in time as things are, though the bench could."""
    return {"build": r.build, "stage": r.stage, "due": day(r.due), "chance": fixed(r.chance), "late_by": None, "why": r.why}


def _recordings(plan: Plan, show: ShowPlan, forecast: Forecast) -> list[Answer]:
    """How likely a stage is finished by the end of the day before each coming recording."""
    return [{"records": day(on), "chance": fixed(plan.chance(forecast.build, forecast.stage, on - timedelta(days=1)))} for on in show.recordings]


def _promise(p: PromiseState) -> Answer:
    """One promise."""
    return {"episode": day(p.episode), "build": p.build, "words": p.words, "do": p.do, "state": p.state, "due": day(p.due), "source": source(p.at)}


def lineup(episodes: Sequence[LineUpEpisode], unaired: Sequence[date]) -> Answer:
    """`lineup`: the coming episodes' segments, and what is left out and why; before them the past episodes that nothing says have aired."""
    return {
        "unaired": [day(d) for d in unaired],
        "episodes": [
            {
                "airs": day(e.airs),
                "records": day(e.records),
                "minutes": plain(e.minutes),
                "length": plain(e.length),
                "free": plain(e.free),
                "segments": [
                    {"build": s.build, "stage": s.stage, "what": s.what, "minutes": plain(s.minutes), "chance": fixed(s.chance), "why": s.why}
                    for s in e.segments
                ],
                "left_out": [{"build": x.build, "stage": x.stage, "why": x.why, "near": x.near} for x in e.left_out],
            }
            for e in episodes
        ],
    }
