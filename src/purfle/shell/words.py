"""Kinds of words on the command line, read as the notes are; what can't be read is wrong usage and says the mend.

Invariant: imports no other part of purfle until a word is read.
"""

import contextlib
from datetime import date
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from decimal import Decimal


class Day(click.ParamType):  # type: ignore[type-arg]  # generic only in later releases of click
    """A day as `2026-03-14`."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """The day, or wrong usage with the mend."""
        from purfle.shell.answered import plain_day

        if isinstance(value, date):
            return value
        if plain_day(value) and "19" <= value[:2] <= "21":
            with contextlib.suppress(ValueError):  # the plain form, without loading the readers of quantities
                return date.fromisoformat(value)
        from purfle.base.times import day
        from purfle.base.trouble import Wrong

        try:
            return day(value)
        except Wrong as wrong:
            self.fail(f"{wrong.found}; {wrong.mend}", param, ctx)


class Year(click.ParamType):  # type: ignore[type-arg]
    """A year as `2026`."""

    name = "year"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The year, or wrong usage with the mend."""
        if isinstance(value, int):
            return value
        if not (value.isascii() and value.isdecimal() and len(value) == 4 and "19" <= value[:2] <= "21"):
            self.fail(f"{value} is not a year; write one such as 2026", param, ctx)
        return int(value)


class Figure(click.ParamType):  # type: ignore[type-arg]
    """An amount, a percentage or hours, read as the notes are."""

    def __init__(self, name: str) -> None:
        self.name = name

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> "Decimal":
        """The figure, or wrong usage with the mend."""
        from decimal import Decimal

        from purfle.base import quantities, times
        from purfle.base.trouble import Wrong

        if isinstance(value, Decimal):
            return value
        try:
            read = {"percent": quantities.large_percent, "hours": times.hours}.get(self.name, quantities.amount)
            return read(value)
        except Wrong as wrong:
            self.fail(f"{wrong.found}; {wrong.mend}", param, ctx)


class LatePart(click.ParamType):  # type: ignore[type-arg]
    """A part and by how many days it is late: `bridge`, `bridge:3`, `heron/bridge:3`."""

    name = "part"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[str, int]:
        """Part and days, or wrong usage with the mend."""
        if isinstance(value, tuple):
            return value
        part, _, days = value.rpartition(":") if ":" in value else (value, "", "5")
        if not part.strip() or not days.strip().isdecimal() or not 0 < int(days.strip()[:6]) <= 366:
            self.fail(f"{value!r} is not a part and a number of days from 1 to 366; write it as bridge:5 or heron/bridge:5", param, ctx)
        return part.strip(), int(days)
