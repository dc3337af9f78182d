"""A small shop with something for every page of the office, compiled once for all its tests."""

from datetime import date
from functools import cache

from shop_texts import fenced

from purfle.compile import Analysis
from purfle.pages.office import office_templates, pages_of
from purfle.pages.site_files import packaged
from purfle.pages.templates import Templates
from purfle.sites import office_view
from purfle.views.office import Office
from purfle.views.office_troubles import Held

TODAY = date(2026, 3, 4)
"""A Wednesday."""

FILES = {
    "shop.md": fenced(
        "name: Gorse End & Daughter",
        "currency: USD",
        "labour_rate: 20",
        "tax_form: us-schedule-c",
        "bench_hours: {monday: 4, tuesday: 4, wednesday: 4, thursday: 4, saturday: 6}",
        "stock: {items: {amber lacquer: {unit: can, low: 2}, cloth: {unit: sheet, counted: no}}}",
        "channels: {fair: {percent: 5, fixed: 0.30}}",
        "show: {weekday: friday, minutes: 12, lead: 2 days}",
        "expense_kinds: {rent: 20b}",
        "standing: [{what: shed rent, cost: 60, kind: rent, every: month, from: 2026-01-05}]",
        "routes:",
        "  plain:",
        "    - {stage: strip, hours: [1, 2, 4], shots: [the old paint letting go]}",
        "    - {stage: colour, hours: 3, cure: 2 days, needs: [amber lacquer]}",
        "    - {stage: clear, hours: 2, cure: 9 days}",
        "    - {stage: fit, hours: [1, 2, 3]}",
    ),
    "builds/teal/build.md": fenced(
        "title: Teal",
        "route: plain",
        "due: 2026-03-20",
        "acquired: {date: 2026-01-10, how: bought, price: 120, shipping: 15}",
        "parts: [{part: bridge <brass>, cost: 40, for: fit, ordered: 2026-02-20, eta: 2026-03-12}]",
        "showroom: yes",
    ),
    "builds/teal/2026-02-10.md": fenced("stage: strip", "hours: 2.5", "finished: yes", "shots: [the old paint letting go]"),
    "builds/teal/2026-03-03.md": fenced("stage: colour", "hours: 3", "finished: yes", "used: [{item: amber lacquer, qty: 1}]"),
    "builds/smew/build.md": fenced(
        "title: Smew",
        "route: plain",
        "acquired: {date: 2025-11-02, how: bought, price: 200}",
        "sale: {date: 2026-02-14, price: 640, channel: fair}",
    ),
    "builds/smew/2026-01-17.md": fenced("bench: [{stage: strip, hours: 2, finished: yes}, {stage: colour, hours: 3, finished: yes}]"),
    "builds/smew/2026-01-24.md": fenced("redo: [colour]", "bench: [{stage: colour, hours: 2, finished: yes}]"),
    "builds/smew/2026-02-07.md": fenced("bench: [{stage: clear, hours: 2, finished: yes}, {stage: fit, hours: 1, finished: yes}]"),
    "builds/garganey/build.md": fenced(
        "title: Garganey", "route: plain", "ended: {date: 2026-02-20, how: scrapped, why: split}", "acquired: {date: 2026-02-01, how: bought, price: 30}"
    ),
    "journal/2026-01-12.md": fenced("bought: [{item: amber lacquer, qty: 3, cost: 36, for: stock}]"),
    "journal/2026-02-02.md": fenced("drove: {distance: 20, why: fetching paint}", "paid: [{what: advert, cost: 12.5, kind: advertising}]"),
    "journal/episodes/2026-02-27.md": fenced(
        "title: Paint letting go",
        "aired: yes",
        "segments: [{build: teal, stage: strip, minutes: 6}]",
        "promises: [{build: teal, do: colour, in: next}]",
        "income: [{what: ad share, amount: 30}]",
    ),
    "journal/episodes/2026-03-06.md": fenced("title: Amber", "segments: [{build: teal, stage: colour, minutes: 5}, {what: talk, minutes: 2}]"),
}


@cache
def analysis() -> Analysis:
    """The shop on the test's day."""
    return Analysis({name: text.encode() for name, text in FILES.items()}, frozenset(), TODAY)


@cache
def office() -> Office:
    """The office as values."""
    a = analysis()
    return office_view(a, a.troubles, Held(date(2026, 3, 1), None))


def templates() -> Templates:
    """The packaged templates."""
    return office_templates(packaged("office"), "en_US")


@cache
def pages() -> dict[str, bytes]:
    """The office as files."""
    return pages_of(office(), templates())
