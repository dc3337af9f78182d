"""Whether and since when something is public."""

import re
from dataclasses import dataclass
from datetime import date as Day

from purfle.base.names import folded
from purfle.base.times import day
from purfle.base.trouble import Wrong
from purfle.notes.vocabulary import schemas
from purfle.notes.vocabulary.fields import Kind
from purfle.notes.vocabulary.kinds import scalar

INSTEAD_OF_SHOWROOM = "draft hidden hide listed private public publish published secret show shown unlisted visible"
"""Keys that can only be meant to keep something private, or not: to pass over one would publish what its writer thinks is hidden."""
HIDES = dict.fromkeys(("draft", "hidden", "hide", "private", "secret", "unlisted"), "write showroom: no to keep it private, or showroom: yes to show it")
"""What to write for those whose yes is a no to the showroom."""


@dataclass(frozen=True, slots=True)
class Showing:
    """When a build is public; never, by default."""

    always: bool = False
    """Public from the start."""
    since: Day | None = None
    """Public from this day on."""
    after_delivery: bool = False
    """Public once everything ordered is delivered, or the build is sold."""


def _showing(text: str) -> Showing:
    words = folded(text)
    if words in ("no", "false", "off"):
        return Showing()
    if words in ("yes", "true", "on"):
        return Showing(always=True)
    if words == "after delivery":
        return Showing(after_delivery=True)
    if since := re.fullmatch(r"from (\S+)", words):
        return Showing(since=day(since[1]))
    from_day = f"from {words}" if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", words) else "from 2026-06-10"
    raise Wrong("choice-unknown", f"“{text}” does not say whether it is public", f"write no, yes, {from_day} or after delivery")


SHOWROOM: Kind = scalar("no, yes, from 2026-06-10 or after delivery", _showing, schemas.SHOWING)
