"""Episodes and bulletins."""

from dataclasses import dataclass
from datetime import date as Day
from decimal import Decimal
from typing import ClassVar, Literal

from purfle.notes.records.build import Credit
from purfle.notes.records.when import HIDES, INSTEAD_OF_SHOWROOM
from purfle.notes.vocabulary.fields import Record, key
from purfle.notes.vocabulary.kinds import A_BUILD, AMOUNT, DAY, HOURS, LINK, MINUTES, PATH, TEXT, YES_NO, many, one_of, part

Piece = Literal["progress", "reveal", "update", "look back", "talk"]
"""Kind of piece of an episode."""
DueIn = Literal["next"]
HowGiven = Literal["gifted", "sponsored", "lent", "discounted"]
ShowIncomeKind = Literal["sponsorship", "ad share", "members", "other"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment(Record):
    """A piece of an episode."""

    build: str | None = key(A_BUILD, "the build it visits", "heron")
    stage: str | None = key(TEXT, "the stage it shows", "mask")
    what: Piece = key(one_of(Piece), "what kind of piece it is", "progress", default="progress")
    minutes: Decimal | None = key(MINUTES, "its length", "4", instead_of="length min")
    words: str | None = key(TEXT, "a note for the run sheet; private", "start with the tape")


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawnPromise(Record):
    """A promise taken back."""

    SHORT: ClassVar[str] = "date"
    date: Day = key(DAY, "the day it was taken back", "2026-04-20", required=True)
    why: str | None = key(TEXT, "the reason", "the body cracked")


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise(Record):
    """Something said on air."""

    SAMPLE: ClassVar[tuple[str, ...]] = ("words", "do", "in")
    build: str | None = key(TEXT, "the build", "plover")
    words: str | None = key(
        TEXT, "what was said, for a promise that names no build yet; add build: once it does, so that an episode can keep it", "two more from the winter lot"
    )
    do: str = key(TEXT, "the stage to be shown, or start", "colour", required=True)
    due_in: DueIn | None = key(one_of(DueIn, otherwise="or by: with the last day in place of in:"), "next: the next episode", "next", word="in")
    by: Day | None = key(DAY, "the day of the last episode that can keep it; private", "2026-05-01")
    when: str | None = key(TEXT, "when, in the words viewers were told: public under “coming up” until the promise is late", "in May")
    withdrawn: WithdrawnPromise | None = key(part(WithdrawnPromise), "taken back", "{date: 2026-04-20, why: the body cracked}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Disclosure(Record):
    """What was given or paid for, as it is said on air."""

    what: str = key(TEXT, "what it is about", "pickups in heron", required=True)
    how: HowGiven = key(one_of(HowGiven), "how it came", "gifted", default="gifted")
    origin: str | None = key(TEXT, "who gave it", "Tarnwater Pickups", word="from")
    build: str | None = key(TEXT, "the build it is in", "heron")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowIncome(Record):
    """What an episode earned."""

    what: str = key(TEXT, "what for", "ad share", required=True)
    amount: Decimal = key(AMOUNT, "how much", "85", required=True)
    date: Day | None = key(DAY, "the day the money came; the air date when left out", "2026-05-02")
    kind: ShowIncomeKind = key(one_of(ShowIncomeKind), "what kind", "ad share", default="ad share")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShowHours(Record):
    """Hours that an episode took."""

    filming: Decimal | None = key(HOURS, "filming", "3")
    editing: Decimal | None = key(HOURS, "editing", "6")

    @property
    def total(self) -> Decimal:
        """Both together."""
        return (self.filming or Decimal(0)) + (self.editing or Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeSheet(Record):
    """The frontmatter of an episode, dated by the day it airs."""

    IN_FULL: ClassVar[dict[str, str]] = HIDES
    date: Day | None = key(DAY, "the day again, if you like to see it; it must agree with the file's name", "2026-04-03")
    title: str = key(TEXT, "its title", "Two blues", default="", required=True, instead_of="name")
    recorded: Day | None = key(DAY, "the day it was recorded; the shop's usual lead before the air date when left out", "2026-03-31")
    aired: bool = key(YES_NO, "it went out", "yes", default=False)
    link: str | None = key(LINK, "where to watch it; says that it aired", "https://example.org/watch/12")
    minutes: Decimal | None = key(MINUTES, "its length; the shop's usual one when left out", "14")
    hours: ShowHours | None = key(part(ShowHours), "hours it took", "{filming: 3, editing: 6}")
    segments: tuple[Segment, ...] = key(
        many(part(Segment)), "its pieces in order", "[{build: heron, stage: mask, minutes: 4}, {what: talk, minutes: 1}]", default=()
    )
    promises: tuple[Promise, ...] = key(many(part(Promise)), "what was promised on air", "[{build: plover, do: colour, in: next}]", default=())
    disclosures: tuple[Disclosure, ...] = key(many(part(Disclosure)), "what was gifted or sponsored", "[{what: pickups in heron, how: gifted}]", default=())
    credits: tuple[Credit, ...] = key(many(part(Credit)), "people to thank", "[{name: a friend, for: music, consent: yes}]", default=())
    income: tuple[ShowIncome, ...] = key(many(part(ShowIncome)), "what it earned", "[{what: ad share, amount: 85}]", default=())
    showroom: bool = key(YES_NO, "it appears in the showroom on its day", "yes", default=False, instead_of=INSTEAD_OF_SHOWROOM)
    still: str | None = key(PATH, "a picture for its link, a file in the journal's episodes folder", "stills/12.jpg")
    address: str | None = key(TEXT, "its page's address when it should differ from the file's name", "two-blues")
    was: tuple[str, ...] = key(many(TEXT), "addresses its page had before", "[2026-04-03]", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class BulletinSheet(Record):
    """The frontmatter of a bulletin, dated by the day it goes out; the body is its text."""

    IN_FULL: ClassVar[dict[str, str]] = HIDES
    date: Day | None = key(DAY, "the day again, if you like to see it; it must agree with the file's name", "2026-04-03")
    build: str | None = key(TEXT, "the build it is about", "heron")
    stage: str | None = key(TEXT, "the stage it tells of", "mask")
    outlet: str | None = key(TEXT, "the place it goes out; a name of shop.md's bulletin limits", "photo feed", word="where")
    disclosures: tuple[Disclosure, ...] = key(
        many(part(Disclosure)), "what was gifted or sponsored in it; shown with the post", "[{what: pickups in heron, how: gifted}]", default=()
    )
    showroom: bool = key(YES_NO, "it appears in the showroom on its day", "yes", default=False, instead_of=INSTEAD_OF_SHOWROOM)
