"""A stage, in a route of shop.md or on a build sheet, and the shots it wants."""

from dataclasses import dataclass
from typing import ClassVar

from purfle.base.times import Estimate
from purfle.notes.records.said import FOR_HOURS
from purfle.notes.vocabulary.estimates import estimate
from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import DAYS, HOURS, TEXT, YES_NO, many, part


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedShot(Record):
    """A shot a stage wants, taken during it or between two stages."""

    SHORT: ClassVar[str] = "shot"
    shot: str = key(TEXT, "what to film", "the tape coming off", required=True)
    during: str | None = key(TEXT, "the stage it is taken in; the stage it stands under when left out", "mask")
    since: str | None = key(TEXT, "the stage after which it can be taken", "strip", word="from")
    until: str | None = key(TEXT, "the stage whose start ends the chance", "prime")


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSheet(Record):
    """A stage of a route, or a change to one on a build sheet."""

    SHORT: ClassVar[str] = "stage"
    PAIR: ClassVar[tuple[str, str]] = ("stage", "hours")
    LISTED: ClassVar[bool] = True
    """Several in one text are told: each would be a stage more, of a name that nobody meant."""
    stage: str = key(TEXT, "the stage's name", "clear", required=True)
    hours: Estimate | None = key(
        estimate(HOURS), "bench hours it takes; an hour is assumed for a stage without hours, cure or wait", "[1, 2, 4]", instead_of=FOR_HOURS
    )
    cure: str | None = key(
        TEXT,
        "a time such as 14 days, or the name of an entry of the cure table; counted for each pass; a stage with a cure and no hours begins by itself once what it follows is free",
        "14 days",
    )
    wait: Estimate | None = key(
        estimate(DAYS),
        "days of outside work, which take no hands; it goes out with a note on the stage, once the stage's own hours are noted, and is back with one that says finished",
        "[5, 7, 12]",
    )
    whole: bool = key(YES_NO, "the stage fits in one day and is not split", "yes", default=False)
    skip: bool = key(YES_NO, "the route's stage is left out of this build", "yes", default=False)
    follows: tuple[str, ...] | None = key(
        many(TEXT),
        "the stages that must be finished first; when left out, the one before it and every side branch not yet followed",
        "[strip]",
        instead_of="after behind",
    )
    needs: tuple[str, ...] = key(many(TEXT), "parts or stock items without which it can't begin", "[clear lacquer]", default=())
    shots: tuple[WantedShot, ...] = key(many(part(WantedShot)), "the shots it wants", "[the tape coming off]", default=())
