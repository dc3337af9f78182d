"""Figures as the JSON that programs may rely on.

Amounts, hours, chances and margins are decimal strings; days are ISO 8601; null is unknown or does not apply.
A key is never taken away or changed in meaning without a higher `schema`.
Invariant: works nothing out; every value was worked out before.
"""

import json
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from purfle.base.codes import CODES
from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.bench.model import Plan
from purfle.books.figures import BuildRow, Line, Quote, Year
from purfle.progress.model import Progress
from purfle.show.model import LineUpEpisode, PromiseState, ShowPlan, Shot

SCHEMA = 1
Answer = dict[str, Any]
_OPEN = ("open", "due", "late")


def dumps(answer: Mapping[str, Any]) -> str:
    """The answer as JSON text, the schema's number at the top."""
    return json.dumps({"schema": SCHEMA, **answer}, ensure_ascii=False, indent=2)


def plain(value: Decimal | None) -> str | None:
    """A figure as a decimal string, never in powers of ten."""
    return None if value is None else f"{value:f}"


def fixed(value: Decimal | None, places: int = 2) -> str | None:
    """A ratio or hours as a decimal string with so many places, halves away from zero."""
    return None if value is None else f"{value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"


def day(value: date | None) -> str | None:
    """A day as ISO 8601."""
    return None if value is None else value.isoformat()


def source(place: Place) -> str | None:
    """`file:line`, or null for what no note wrote."""
    return f"{place.file}:{place.line}" if place.file else None


def troubles(found: Sequence[Trouble]) -> Answer:
    """`check`: every trouble."""
    return {"troubles": [trouble(t) for t in found]}


def trouble(t: Trouble) -> Answer:
    """One trouble."""
    stops = str(CODES[t.code].stops)
    return {"file": t.place.file, "line": t.place.line, "column": t.place.column, "stops": stops, "code": t.code, "found": t.found, "mend": t.mend}


# --- year and sheet --------------------------------------------------------------------------------------------------


def year(y: Year) -> Answer:
    """`year`: what a business year came to."""
    cogs, tax, held = y.cost_of_goods_sold, y.sales_tax, y.inventory
    return {
        "year": y.year, "from": day(y.first), "to": day(y.last), "currency": y.currency, "estimated": y.estimated,
        "sales": plain(y.sales), "returns": plain(y.returns),
        "cost_of_goods_sold": {
            "opening_inventory": plain(cogs.opening_inventory), "purchases": plain(cogs.purchases), "materials": plain(cogs.materials),
            "outside_work": plain(cogs.outside_work), "other_costs": plain(cogs.other_costs), "closing_inventory": plain(cogs.closing_inventory),
            "total": plain(cogs.total), "of_which_lost": plain(cogs.of_which_lost),
        },
        "gross_profit": plain(y.gross_profit),
        "expenses": {e.kind: plain(e.amount) for e in y.expenses},
        "form_lines": {e.kind: e.form_line for e in y.expenses},
        "show_income": plain(y.show_income), "other_income": plain(y.other_income), "net_profit": plain(y.net_profit),
        "hours": fixed(y.hours), "profit_per_hour": fixed(y.profit_per_hour),
        "deposits_held": plain(y.deposits_held), "owed_by_customers": plain(y.owed_by_customers), "payables": plain(y.payables),
        "sales_tax": {"collected": plain(tax.collected), "remitted": plain(tax.remitted), "owed": plain(tax.owed)},
        "partner_shares_owed": plain(y.partner_shares_owed), "withdrawn": plain(y.withdrawn),
        "miles": plain(y.miles), "mileage": plain(y.mileage),
        "inventory": {
            "instruments": plain(held.instruments), "work_in_progress": plain(held.work_in_progress),
            "stock": plain(held.stock), "on_the_way": plain(held.on_the_way),
        },
        "stock": [{"item": s.item, "qty": plain(s.qty), "unit": s.unit, "value": plain(s.value)} for s in y.stock],
        "cash": {
            "in": plain(y.cash.cash_in), "out": plain(y.cash.cash_out),
            "months": [{"month": m.month, "in": plain(m.cash_in), "out": plain(m.cash_out)} for m in y.cash.months],
        },
        "builds": [row(b) for b in y.builds],
        "collection": [
            {"id": c.id, "basis": plain(c.basis), "proceeds": plain(c.proceeds), "gain": plain(c.gain), "gain_counted": plain(c.gain_counted)} for c in y.collection
        ],
        "lines": [line(entry) for entry in y.lines],
    }


def row(b: BuildRow) -> Answer:
    """One build's amounts."""
    return {
        "id": b.id, "kind": b.kind, "state": b.state, "cost": plain(b.cost), "revenue": plain(b.revenue), "returns": plain(b.returns),
        "fees": plain(b.fees), "share": plain(b.share), "profit": plain(b.profit), "margin": fixed(b.margin, 4), "markup": fixed(b.markup, 4),
        "hours": fixed(b.hours), "profit_per_hour": fixed(b.profit_per_hour), "days_held": b.days_held, "carried": plain(b.carried),
        "estimated": b.estimated, "sources": sorted({s for entry in b.lines if (s := source(entry.source))}),
    }


def line(entry: Line) -> Answer:
    """One line of an account, with the note it comes from."""
    return {
        "date": day(entry.date), "what": entry.what, "account": entry.account, "amount": plain(entry.amount), "build": entry.build,
        "estimated": entry.estimated, "source": source(entry.source),
    }


def sheet(b: BuildRow, progress: Progress | None) -> Answer:
    """`sheet`: one build's row, its lines with sources, its stages."""
    return {**row(b), "lines": [line(entry) for entry in b.lines], "stages": stages(progress)}


def stages(progress: Progress | None) -> list[Answer]:
    """A build's stages with what was done of each."""
    if progress is None:
        return []
    return [
        {
            "stage": s.stage.name, "finished": day(s.current.finished), "passes": len(s.passes), "hours": fixed(s.hours),
            "estimate": [fixed(h) for h in (s.stage.hours.low, s.stage.hours.likely, s.stage.hours.high)], "free_on": day(s.free_on),
        }
        for s in progress.stages
    ]


def quote(q: Quote) -> Answer:
    """`quote`: asking price and offer ceiling."""
    return {
        "build": q.build, "channel": q.channel, "cost": plain(q.cost), "hours": fixed(q.hours), "labour": plain(q.labour),
        "target_margin": fixed(q.target_margin, 4), "asking_price": plain(q.asking_price), "fees": plain(q.fees), "profit": plain(q.profit),
        "margin": fixed(q.margin, 4), "offer_ceiling": plain(q.offer_ceiling), "refused": q.refused,
    }


# --- week and line-up ------------------------------------------------------------------------------------------------


def week(plan: Plan, show: ShowPlan) -> Answer:
    """`week`: the next seven days at the bench and for the show."""
    last = week_end(plan)
    return {
        "from": day(plan.today), "to": day(last),
        "days": [
            {"date": day(d.date), "hours": fixed(d.hours), "tasks": [{"build": t.build, "stage": t.stage, "hours": fixed(t.hours)} for t in d.tasks]}
            for d in plan.days if d.date <= last
        ],
        "curing": [{"build": c.build, "stage": c.stage, "until": day(c.until), "why": c.why} for c in plan.curing],
        "film": [{"build": s.build, "stage": s.stage, "shot": s.shot, "by": day(s.by), "last_chance": s.status == "last chance"} for s in to_film(show, last)],
        "order": [{"build": o.build, "part": o.part, "by": day(o.by), "needed": day(o.needed), "late": o.late} for o in plan.order if o.by <= last],
        "feature": [{"build": f.build, "stage": f.stage, "ready": f.ready, "chance": fixed(f.chance), "why": f.why} for f in show.feature],
        "promises": [promise(p) for p in open_promises(show)],
        "at_risk": [{"build": r.build, "due": day(r.due), "chance": fixed(r.chance), "late_by": r.late_by} for r in plan.at_risk],
        "forecast": [
            {"build": f.build, "stage": f.stage, "p10": day(f.p10), "p50": day(f.p50), "p80": day(f.p80), "p95": day(f.p95)} for f in plan.forecast
        ],
    }


def week_end(plan: Plan) -> date:
    """The last of the next seven days."""
    return plan.today + timedelta(days=6)


def to_film(show: ShowPlan, last: date) -> list[Shot]:
    """Shots to take by `last`, the last chances first."""
    wanted = [s for s in show.shots if s.status == "last chance" or (s.status == "wanted" and s.by is not None and s.by <= last)]
    return sorted(wanted, key=lambda s: (s.status != "last chance", s.by or last, s.build, s.shot))


def open_promises(show: ShowPlan) -> list[PromiseState]:
    """Promises not yet kept or taken back."""
    return [p for p in show.promises if p.state in _OPEN]


def promise(p: PromiseState) -> Answer:
    """One promise."""
    return {"episode": day(p.episode), "build": p.build, "words": p.words, "do": p.do, "state": p.state, "due": day(p.due), "source": source(p.at)}


def lineup(episodes: Sequence[LineUpEpisode]) -> Answer:
    """`lineup`: the coming episodes' segments, and what is left out and why."""
    return {
        "episodes": [
            {
                "airs": day(e.airs), "records": day(e.records), "minutes": plain(e.minutes), "length": plain(e.length),
                "segments": [
                    {"build": s.build, "stage": s.stage, "what": s.what, "minutes": plain(s.minutes), "chance": fixed(s.chance), "why": s.why} for s in e.segments
                ],
                "left_out": [{"build": x.build, "stage": x.stage, "why": x.why} for x in e.left_out],
            }
            for e in episodes
        ]
    }
