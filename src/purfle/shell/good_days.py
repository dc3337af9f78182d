"""The days of the last good states of books and showroom, kept in the store; without it, the days on which the sites were written.

An office that never was good has an index page all the same, that of its troubles; a plan it has not.

Invariant: keeps days; which state was good on which is decided by whoever makes the sites.
"""

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from purfle.shell import plain
from purfle.shell.output import Output
from purfle.shell.store import write_whole

if TYPE_CHECKING:
    from purfle.views.office_troubles import Held

_FILE = "held.json"


def recall(output: Output) -> "Held":
    """The days of the last good states that are still there: somebody may throw a site away."""
    from purfle.views.office_troubles import Held

    there = {"books": _written_on(output.site("office") / "plan.html"), "showroom": _written_on(output.site("showroom") / "index.html")}
    try:
        kept = plain.mapping(plain.read(output.store / _FILE), {"books", "showroom"})
        days = {name: None if day is None else date.fromisoformat(plain.text(day)) for name, day in kept.items()}
    except (OSError, ValueError):
        return Held(**there)
    return Held(**{name: day if there[name] else None for name, day in days.items()})


def _written_on(page: Path) -> date | None:
    try:
        return date.fromtimestamp(page.stat().st_mtime)
    except OSError:
        return None


def remember(output: Output, held: "Held") -> None:
    """Keep the days."""
    text = json.dumps({"books": held.books and held.books.isoformat(), "showroom": held.showroom and held.showroom.isoformat()})
    try:
        write_whole(output.store / _FILE, text.encode())
    except OSError:  # the sites are written: without this file the days of their first pages will do
        (output.store / _FILE).unlink(missing_ok=True)
