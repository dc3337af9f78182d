"""`year`, `sheet` and `quote` as JSON.

Invariant: as in `contract`, whose values these are written with.
"""

from collections.abc import Sequence
from decimal import Decimal

from purfle.books.decisions import Contribution
from purfle.books.figures import BuildRow, CustomerAccount, Line, OwnersPiece, Quote, Year
from purfle.progress.model import Progress
from purfle.shell.contract import Answer, day, fixed, money, plain, source
from purfle.shell.job_sheet import JobSheet


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
        "profit_per_hour": m(y.profit_per_hour),
        "deposits_held": m(y.deposits_held),
        "owed_by_customers": m(y.owed_by_customers),
        "payables": m(y.payables),
        "sales_tax": {"collected": m(tax.collected), "remitted": m(tax.remitted), "owed": m(tax.owed)},
        "tax_that_comes_back": m(y.tax_reclaimable),
        "partner_shares_owed": m(y.partner_shares_owed),
        "partners": [{"partner": p.partner or None, "owed": m(p.owed)} for p in y.partners],
        "withdrawn": m(y.withdrawn),
        "miles": fixed(y.miles),
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
        "profit_per_hour": m(b.profit_per_hour),
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
        "who": entry.who or None,
        "source": source(entry.source),
    }


def sheet(job: JobSheet) -> Answer:
    """`sheet`: one build's row, what it earned and took on air, its lines with sources and those beside its profit, what its customer paid, what it was as the owner's own, its stages."""
    return {
        "currency": job.currency,
        **row(job.row, job.currency),
        "on_air": _on_air(job),
        "lines": [line(entry, job.currency) for entry in job.row.lines],
        "beside": [line(entry, job.currency) for entry in job.row.beside],
        "customer": _customer(job.customer, job.currency),
        "collection": _owners(job.piece, job.currency),
        "stages": _stages(job.progress),
    }


def _customer(account: CustomerAccount | None, currency: str) -> Answer | None:
    """What a customer paid and what became of it, line by line, with what is held for them or they owe; null where nothing was paid or earned."""
    if account is None:
        return None
    m, balance = money(currency), account.balance
    return {"held": m(max(balance, Decimal(0))), "owed": m(max(-balance, Decimal(0))), "lines": [line(entry, currency) for entry in account.lines]}


def _owners(piece: OwnersPiece | None, currency: str) -> Answer | None:
    """What a piece of the owner's own cost and brought, line by line; null for a build that never was one, and its gain while it is here."""
    if piece is None:
        return None
    m, gone = money(currency), piece.gone
    return {
        "basis": m(piece.basis),
        "proceeds": m(gone.proceeds if gone else Decimal(0)),
        "gain": m(gone.gain) if gone else None,
        "gain_counted": m(gone.gain_counted) if gone else None,
        "estimated": any(entry.estimated for entry in piece.lines),
        "lines": [line(entry, currency) for entry in piece.lines],
    }


def _on_air(job: JobSheet) -> Answer | None:
    """Its shares of episodes' income and hours by screen time, and profit and air income for each hour of bench and show; null if never on air."""
    if job.air is None:
        return None
    m = money(job.currency)
    return {"amount": m(job.air.amount), "minutes": fixed(job.air.minutes), "hours": fixed(job.air.hours), "per_hour_in_all": m(job.per_hour_in_all)}


def _stages(progress: Progress) -> list[Answer]:
    """A build's stages with what was done of each."""
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
        "currency": currency,
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
