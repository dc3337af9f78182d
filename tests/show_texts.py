"""Small shops with a show, written as a person would write them, and a bench plan by hand."""

from datetime import date, timedelta
from decimal import Decimal

from shop_texts import fenced, shop_of

from purfle.bench.model import Plan, PlanDay, Task
from purfle.events.work import work_events
from purfle.progress import progress_of
from purfle.show import plan_show, promises_of, scene_of

TODAY = date(2026, 3, 2)
"""A Monday; the shop airs on Fridays and records three days before."""

SHOP = fenced(
    "name: Test Bench",
    "show: {weekday: friday, minutes: 14, lead: 3 days, likelihood: 80 %}",
    "routes:",
    "  refinish:",
    "    - {stage: strip, hours: 2, shots: [{shot: bare wood, from: strip, until: prime}]}",
    "    - {stage: prime, hours: 1}",
    "    - {stage: mask, hours: 1, shots: [the tape coming off]}",
    "    - {stage: colour, hours: 3}",
    "    - {stage: clear, hours: 2}",
    "    - {stage: setup, hours: 2}",
)


def build(*lines: str, title: str = "Heron", showroom: str = "yes") -> str:
    """A build sheet on the refinish route."""
    return fenced(f"title: {title}", "route: refinish", f"showroom: {showroom}", *lines)


def note(*lines: str) -> str:
    """A bench note."""
    return fenced(*lines)


def episode(*lines: str, aired: bool = True) -> str:
    """An episode that aired, unless it did not."""
    return fenced("title: A week", *(["aired: yes"] if aired else []), *lines)


def shop_with(files: dict[str, str], today: date = TODAY):
    """The shop of some files; heron's sheet and shop.md are there unless given."""
    return shop_of({"shop.md": SHOP, "builds/heron/build.md": build(), **files}, today)


def day(text: str) -> date:
    return date.fromisoformat(text)


def plan_of(today: date = TODAY, tasks: tuple[tuple[str, str, str], ...] = (), chances: tuple[tuple[str, str, str, int], ...] = ()) -> Plan:
    """A bench plan with (day, build, stage) tasks and (build, stage, day, percent) likelihoods."""
    days = tuple(sorted({day(when) for when, _, _ in tasks}))
    planned = tuple(PlanDay(on, Decimal(4), tuple(Task(b, s, Decimal(1)) for when, b, s in tasks if day(when) == on)) for on in days)
    keys = dict.fromkeys((b, s) for b, s, _, _ in chances)
    steps = {(b, s): tuple((day(when), percent) for b2, s2, when, percent in chances if (b2, s2) == (b, s)) for b, s in keys}
    return Plan(today, planned, (), (), (), (), (), "by hand", steps)


def show_of(files: dict[str, str], today: date = TODAY, plan: Plan | None = None, weeks: int = 1):
    """The show plan and its troubles."""
    shop = shop_with(files, today)
    events = work_events(shop, today)
    progress, _ = progress_of(shop, events, today)
    return plan_show(scene_of(shop, events, progress, plan or plan_of(today), promises_of(shop, progress, today), today), weeks)


def promises(files: dict[str, str], today: date = TODAY):
    """The promises' states."""
    shop = shop_with(files, today)
    progress, _ = progress_of(shop, work_events(shop, today), today)
    return promises_of(shop, progress, today)


def weeks_after(first: str, count: int) -> list[str]:
    """Days a week apart, the first included."""
    return [(day(first) + timedelta(weeks=n)).isoformat() for n in range(count)]
