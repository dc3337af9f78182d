"""Figures as the JSON that programs may rely on.

Amounts, hours, chances and margins are decimal strings; days are ISO 8601; null is unknown or does not apply.
A key is never taken away or changed in meaning without a higher `schema`.
Invariant: works nothing out; every value was worked out before.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from purfle.base.codes import CODES
from purfle.base.money import rounded, unit
from purfle.base.place import Place
from purfle.base.trouble import Trouble
from purfle.bench.model import AtRisk, Forecast, Plan
from purfle.books.decisions import Contribution
from purfle.books.figures import BuildRow, Line, Quote, Year
from purfle.progress.model import Progress
from purfle.show.model import AirIncome, LineUpEpisode, PromiseRisk, PromiseState, Shot, ShowPlan

SCHEMA = 1
Answer = dict[str, Any]
_OPEN = ("open", "due", "late")


def dumps(answer: Mapping[str, Any]) -> str:
    """The answer as JSON text, the schema's number at the top."""
    return json.dumps({"schema": SCHEMA, **answer}, ensure_ascii=False, indent=2)


def plain(value: Decimal | None) -> str | None:
    """A figure as a decimal string, never in powers of ten."""
    return None if value is None else f"{value:f}"


def money(currency: str) -> Callable[[Decimal | None], str | None]:
    """A formatter of amounts with the currency's own decimals (ISO 4217)."""
    smallest = unit(currency)
    return lambda value: None if value is None else f"{rounded(value, smallest):f}"


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
    m = money(y.currency)
    cogs, tax, held = y.cost_of_goods_sold, y.sales_tax, y.inventory
    return {
        "year": y.year,
        "from": day(y.first),
        "to": day(y.last),
        "currency": y.currency,
        "estimated": y.estimated,
        "sales": m(y.sales),
        "returns": m(y.returns),
        "cost_of_goods_sold": {
            "opening_inventory": m(cogs.opening_inventory),
            "purchases": m(cogs.purchases),
            "materials": m(cogs.materials),
            "outside_work": m(cogs.outside_work),
            "other_costs": m(cogs.other_costs),
            "closing_inventory": m(cogs.closing_inventory),
            "total": m(cogs.total),
            "of_which_lost": m(cogs.of_which_lost),
        },
        "gross_profit": m(y.gross_profit),
        "expenses": {e.kind: m(e.amount) for e in y.expenses},
        "form_lines": {e.kind: e.form_line for e in y.expenses},
        "figure_lines": dict(y.form_lines),
        "show_income": m(y.show_income),
        "other_income": m(y.other_income),
        "net_profit": m(y.net_profit),
        "hours": fixed(y.hours),
        "profit_per_hour": fixed(y.profit_per_hour),
        "deposits_held": m(y.deposits_held),
        "owed_by_customers": m(y.owed_by_customers),
        "payables": m(y.payables),
        "sales_tax": {"collected": m(tax.collected), "remitted": m(tax.remitted), "owed": m(tax.owed)},
        "partner_shares_owed": m(y.partner_shares_owed),
        "withdrawn": m(y.withdrawn),
        "miles": plain(y.miles),
        "mileage": m(y.mileage),
        "inventory": {
            "instruments": m(held.instruments),
            "work_in_progress": m(held.work_in_progress),
            "stock": m(held.stock),
            "on_the_way": m(held.on_the_way),
        },
        "stock": [{"item": s.item, "qty": plain(s.qty), "unit": s.unit, "value": m(s.value)} for s in y.stock],
        "cash": {
            "in": m(y.cash.cash_in),
            "out": m(y.cash.cash_out),
            "months": [{"month": c.month, "in": m(c.cash_in), "out": m(c.cash_out)} for c in y.cash.months],
        },
        "builds": [row(b, y.currency) for b in y.builds],
        "collection": [
            {"id": c.id, "basis": m(c.basis), "proceeds": m(c.proceeds), "gain": m(c.gain), "gain_counted": m(c.gain_counted), "estimated": c.estimated}
            for c in y.collection
        ],
        "lines": [line(entry, y.currency) for entry in y.lines],
    }


def row(b: BuildRow, currency: str) -> Answer:
    """One build's amounts."""
    m = money(currency)
    return {
        "id": b.id,
        "kind": b.kind,
        "state": b.state,
        "cost": m(b.cost),
        "revenue": m(b.revenue),
        "returns": m(b.returns),
        "fees": m(b.fees),
        "share": m(b.share),
        "profit": m(b.profit),
        "margin": fixed(b.margin, 4),
        "markup": fixed(b.markup, 4),
        "hours": fixed(b.hours),
        "profit_per_hour": fixed(b.profit_per_hour),
        "days_held": b.days_held,
        "carried": m(b.carried),
        "estimated": b.estimated,
        "sources": sorted({s for entry in b.lines if (s := source(entry.source))}),
    }


def line(entry: Line, currency: str) -> Answer:
    """One line of an account, with the note it comes from."""
    m = money(currency)
    return {
        "date": day(entry.date),
        "what": entry.what,
        "account": entry.account,
        "amount": m(entry.amount),
        "build": entry.build,
        "estimated": entry.estimated,
        "source": source(entry.source),
    }


def sheet(b: BuildRow, customers: Sequence[Line], progress: Progress | None, air: AirIncome | None, currency: str) -> Answer:
    """`sheet`: one build's row, what it earned and took on air, its lines with sources, what its customer paid, its stages."""
    return {
        **row(b, currency),
        "on_air": on_air(b, air, currency),
        "lines": [line(entry, currency) for entry in b.lines],
        "customer": customer(customers, currency),
        "stages": stages(progress),
    }


def customer(lines: Sequence[Line], currency: str) -> Answer | None:
    """What a customer paid and what became of it, line by line, with what is held for them or they owe; null where nothing was paid or earned."""
    if not lines:
        return None
    m, held = money(currency), sum((entry.amount for entry in lines), Decimal(0))
    return {"held": m(max(held, Decimal(0))), "owed": m(max(-held, Decimal(0))), "lines": [line(entry, currency) for entry in lines]}


def on_air(b: BuildRow, air: AirIncome | None, currency: str) -> Answer | None:
    """Its shares of episodes' income and hours by screen time, and profit and air income for each hour of bench and show; null if never on air."""
    if air is None:
        return None
    m = money(currency)
    return {
        "amount": m(air.amount),
        "minutes": fixed(air.minutes),
        "hours": fixed(air.hours),
        "per_hour_in_all": m(air.per_hour(b.profit, b.hours, bool(b.revenue or b.cost))),
    }


def stages(progress: Progress | None) -> list[Answer]:
    """A build's stages with what was done of each."""
    if progress is None:
        return []
    return [
        {
            "stage": s.stage.name,
            "finished": day(s.current.finished),
            "passes": len(s.passes),
            "hours": fixed(s.hours),
            "estimate": [fixed(h) for h in (s.stage.hours.low, s.stage.hours.likely, s.stage.hours.high)],
            "free_on": day(s.free_on),
        }
        for s in progress.stages
    ]


def quote(q: Quote, currency: str) -> Answer:
    """`quote`: asking price and offer ceiling; `fees` to `profit_per_hour` are those at the agreed price where there is one, else at the asking price."""
    m = money(currency)
    return {
        "build": q.build,
        "channel": q.channel,
        "cost": m(q.cost),
        "hours": fixed(q.hours),
        "labour": m(q.labour),
        "shipping": m(q.shipping),
        "target_margin": fixed(q.target_margin / 100, 4),
        "asking_price": m(q.asking_price),
        "agreed_price": m(q.agreed_price),
        "fees": m(q.fees),
        "share": m(q.share),
        "profit": m(q.profit),
        "margin": fixed(q.margin, 4),
        "profit_per_hour": m(q.profit_per_hour),
        "offer_ceiling": m(q.offer_ceiling),
        "refused": q.refused,
    }


def take_on_next(ranking: Sequence[Contribution], currency: str) -> Answer:
    """`quote` without a build: what each open build leaves for a bench hour, the most first; `per_hour` is null for one without hours to come."""
    m = money(currency)
    return {"currency": currency, "next": [{"build": c.build, "leaves": m(c.amount), "hours": fixed(c.hours), "per_hour": m(c.per_hour)} for c in ranking]}


# --- week and line-up ------------------------------------------------------------------------------------------------


def week(plan: Plan, show: ShowPlan) -> Answer:
    """`week`: the next seven days at the bench and for the show."""
    last = week_end(plan)
    return {
        "from": day(plan.today),
        "to": day(last),
        "days": [
            {"date": day(d.date), "hours": fixed(d.hours), "tasks": [{"build": t.build, "stage": t.stage, "hours": fixed(t.hours)} for t in d.tasks]}
            for d in plan.days
            if d.date <= last
        ],
        "curing": [{"build": c.build, "stage": c.stage, "until": day(c.until), "why": c.why, "recoat": c.recoat, "bent": c.bent} for c in plan.curing],
        "film": [{"build": s.build, "stage": s.stage, "shot": s.shot, "by": day(s.by), "last_chance": s.status == "last chance"} for s in to_film(show, last)],
        "order": [{"build": o.build, "part": o.part, "by": day(o.by), "needed": day(o.needed), "late": o.late} for o in plan.order if o.by <= last],
        "feature": [{"build": f.build, "stage": f.stage, "ready": f.ready, "chance": fixed(f.chance), "why": f.why} for f in show.feature],
        "promises": [promise(p) for p in open_promises(show)],
        "at_risk": [*due_dates(plan.at_risk), *(promise_risk(r) for r in show.at_risk)],
        "forecast": [
            {"build": f.build, "stage": f.stage, "p10": day(f.p10), "p50": day(f.p50), "p80": day(f.p80), "p95": day(f.p95), "by": by_recordings(plan, show, f)}
            for f in plan.forecast
        ],
        "dates": due_dates(plan.dates),
        "not_placed": [{"build": u.build, "stage": u.stage, "why": u.why} for u in plan.unplaced],
        "proof": plan.proof,
    }


def due_dates(dates: Sequence[AtRisk]) -> list[Answer]:
    """Due dates and promised days, each with how likely it is kept."""
    return [{"build": r.build, "stage": r.stage, "due": day(r.due), "chance": fixed(r.chance), "late_by": r.late_by, "why": None} for r in dates]


def promise_risk(r: PromiseRisk) -> Answer:
    """A promise that can't be kept in time as things are, though the bench could."""
    return {"build": r.build, "stage": r.stage, "due": day(r.due), "chance": fixed(r.chance), "late_by": None, "why": r.why}


def by_recordings(plan: Plan, show: ShowPlan, forecast: Forecast) -> list[Answer]:
    """How likely a stage is finished by the end of the day before each coming recording."""
    days = sorted({show.records} | {e.records for e in show.lineup})
    return [{"records": day(on), "chance": fixed(plan.chance(forecast.build, forecast.stage, on - timedelta(days=1)))} for on in days]


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
                "airs": day(e.airs),
                "records": day(e.records),
                "minutes": plain(e.minutes),
                "length": plain(e.length),
                "segments": [
                    {"build": s.build, "stage": s.stage, "what": s.what, "minutes": plain(s.minutes), "chance": fixed(s.chance), "why": s.why}
                    for s in e.segments
                ],
                "left_out": [{"build": x.build, "stage": x.stage, "why": x.why} for x in e.left_out],
            }
            for e in episodes
        ]
    }
