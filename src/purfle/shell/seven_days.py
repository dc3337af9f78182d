"""What of the plan and the show belongs to `purfle week`, whether it is printed or written as JSON.

Invariant: chooses and orders; works nothing out.
"""

from datetime import date, timedelta

from purfle.bench.model import Plan
from purfle.show.model import PromiseState, Shot, ShowPlan


def week_end(plan: Plan) -> date:
    """The last of the next seven days."""
    return plan.today + timedelta(days=6)


def to_film(show: ShowPlan, last: date) -> list[Shot]:
    """Shots to take by `last`, the last chances first."""
    wanted = [s for s in show.shots if s.status == "last chance" or (s.status == "wanted" and s.by is not None and s.by <= last)]
    return sorted(wanted, key=lambda s: (s.status != "last chance", s.by or last, s.build, s.shot))


def open_promises(show: ShowPlan) -> list[PromiseState]:
    """Promises not yet kept or taken back."""
    return [p for p in show.promises if p.unmet]
