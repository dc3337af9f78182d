"""The show plan's values, named as the JSON contract names them.

Invariant: holds values; what they are is found out elsewhere.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final, Literal

from purfle.base.place import Place
from purfle.notes.records.show import Piece
from purfle.show.timelapse import together

ShotStatus = Literal["in the can", "wanted", "last chance", "missed", "not yet"]
IN_THE_CAN: Final = "in the can"
WANTED: Final = "wanted"
LAST_CHANCE: Final = "last chance"
MISSED: Final = "missed"
NOT_YET: Final = "not yet"

Ready = Literal["yes", "likely", "no"]
YES: Final = "yes"
LIKELY: Final = "likely"
NO: Final = "no"


PromiseWord = Literal["open", "due", "kept", "kept late", "late", "withdrawn"]
"""What became of a promise."""


@dataclass(frozen=True, slots=True)
class Shot:
    """A wanted shot of one build."""

    build: str
    stage: str
    shot: str
    status: ShotStatus
    by: date | None
    """The last day it can be taken, as planned; None when no day is planned."""
    taken: date | None
    pass_number: int
    under: str
    """The stage of the route that asks for it."""
    window: str
    """When it can be taken, in words: during mask, or after strip until prime."""
    opens: date | None
    """The first day it can be taken: past, or as planned; None when no day is known, `windows.BEGINNING` when it always could."""
    screen_seconds: Decimal | None
    """Running time of a time-lapse in the can."""
    before: date | None = None
    """The day before the recording of the first coming episode that lacks it; None when none does."""

    @property
    def due(self) -> date | None:
        """The day by which it is to be taken: its last, or that on which an episode must have it."""
        return min((day for day in (self.by, self.before) if day is not None), default=None)


@dataclass(frozen=True, slots=True)
class Readiness:
    """Whether a build's stage can be featured in the coming episode."""

    build: str
    stage: str
    ready: Ready
    chance: Decimal
    why: str


@dataclass(frozen=True, slots=True)
class PromiseState:
    """A promise made on air."""

    episode: date
    build: str | None
    words: str | None
    do: str
    when: str | None
    """When, as viewers were told; None once it is late, for then it is not true."""
    state: PromiseWord
    due: date | None
    kept_on: date | None
    at: Place
    public: bool
    """Both the episode and the build are public, and the build was not scrapped, lost, given away or taken back; for a promise in words, the episode alone."""
    title: str
    """The episode it was said in."""
    withdrawn_on: date | None
    withdrawn_why: str | None
    kept_in: str
    """The episode that kept it."""

    @property
    def unmet(self) -> bool:
        """Whether it is neither kept nor taken back."""
        return self.state in ("open", "due", "late")


@dataclass(frozen=True, slots=True)
class PromiseRisk:
    """A promise that nothing ready keeps, for a reason the bench plan does not see."""

    build: str
    stage: str
    due: date
    """The last day of work that can be seen in the episode that should keep it."""
    chance: Decimal
    """Likelihood that it is kept, 0 to 1."""
    why: str


@dataclass(frozen=True, slots=True)
class Gift:
    """Something in a build that was given, so that showing it asks for a disclosure."""

    what: str
    build: str
    how: str
    origin: str | None


@dataclass(frozen=True, slots=True)
class LineUpSegment:
    """A segment proposed for an episode."""

    build: str | None
    stage: str | None
    what: Piece
    minutes: Decimal
    chance: Decimal
    why: str
    disclose: tuple[Gift, ...] = ()
    """What must be said on air beside it."""
    shots: tuple[str, ...] = ()
    """Its shots still to be taken before recording."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A candidate left out of an episode."""

    build: str
    stage: str | None
    """None for a look back or an update."""
    why: str
    what: Piece = "progress"
    near: bool = False
    """It would fit into the minutes that are free, and little keeps it out: the bench's likelihood, a word on its sheet, or a rule of taste."""
    promised: bool = False
    """A promise would be kept by it."""


@dataclass(frozen=True, slots=True)
class LineUpEpisode:
    """A coming episode, proposed."""

    airs: date
    records: date
    length: Decimal
    """The minutes it should have."""
    segments: tuple[LineUpSegment, ...]
    left_out: tuple[LeftOut, ...]
    written: bool = False
    """Its file exists already and names its segments: they are repeated here, not proposed."""
    proved: bool = True
    """Whether no better choice exists; False when the search ran out of its budget of work."""

    @property
    def minutes(self) -> Decimal:
        """Of all its segments."""
        return sum((segment.minutes for segment in self.segments), Decimal(0))

    @property
    def free(self) -> Decimal:
        """Minutes still free; none where it is full or over."""
        return max(self.length - self.minutes, Decimal(0))

    @property
    def nearest(self) -> tuple[LeftOut, ...]:
        """What is left out and could fill free minutes first."""
        return tuple(x for x in self.left_out if x.near)


@dataclass(frozen=True, slots=True)
class BulletinIdea:
    """Something finished, with a shot in the can, that was not told yet."""

    build: str
    stage: str
    finished: date
    why: str


@dataclass(frozen=True, slots=True)
class AirIncome:
    """What one build earned on air, and the work its time on air took."""

    build: str
    amount: Decimal
    minutes: Decimal
    hours: Decimal = Decimal(0)
    """Its share, by screen time, of the filming and editing of its episodes."""

    def per_hour(self, profit: Decimal, bench: Decimal, gone: bool) -> Decimal | None:
        """What is left for each hour of work, at the bench and for the show; None without an hour, or before it is `gone` (sold, delivered, ended)."""
        hours = bench + self.hours
        return (profit + self.amount) / hours if hours and gone else None


@dataclass(frozen=True, slots=True)
class RunSheetLine:
    """A line of an episode's run sheet."""

    what: Piece
    build: str | None
    stage: str | None
    minutes: Decimal
    shots: tuple[Shot, ...]
    words: str | None = None
    estimated: bool = False
    """The file gives no minutes: they are the usual ones, or the running time of its time-lapses."""
    say: tuple[str, ...] = ()
    """Gifts it shows that no disclosure of the file names yet."""
    why: str = ""
    """For a proposed piece: why it is in."""

    @property
    def screen_seconds(self) -> Decimal | None:
        """Running time of its time-lapses in the can; None without one."""
        return together(self.shots)

    @property
    def runs_over(self) -> bool:
        """Whether its time-lapses alone run longer than the piece."""
        return self.screen_seconds is not None and self.screen_seconds > self.minutes * 60


@dataclass(frozen=True, slots=True)
class RunSheet:
    """An episode's pieces against its length."""

    airs: date
    records: date
    title: str
    lines: tuple[RunSheetLine, ...]
    length: Decimal
    """The minutes it should have."""
    disclosures: tuple[str, ...]
    """What has to be said on air, as its file has it."""
    unsaid: tuple[str, ...] = ()
    """Sponsors that no disclosure of its file names yet."""
    thanks: tuple[str, ...] = ()
    """Who is to be thanked, of those who agreed to be named."""
    written: bool = True
    """It has a file with segments; False for one that is only proposed."""
    promises: tuple[PromiseState, ...] = ()
    """Unmet promises that are due by it, for whoever stands before the camera."""

    @property
    def minutes(self) -> Decimal:
        """Of all its lines."""
        return sum((line.minutes for line in self.lines), Decimal(0))

    @property
    def screen_seconds(self) -> Decimal:
        """Running time of all time-lapses in the can."""
        return together(self.lines) or Decimal(0)

    @property
    def over(self) -> Decimal:
        """Minutes over the length; negative when there is room left."""
        return self.minutes - self.length


@dataclass(frozen=True, slots=True)
class ShotDay:
    """What there is to film on one day."""

    date: date
    shots: tuple[Shot, ...]
    """Last chances first."""


@dataclass(frozen=True, slots=True)
class EpisodeDay:
    """When an episode is recorded and airs."""

    airs: date
    records: date
    title: str = ""
    """Empty while it has none."""


@dataclass(frozen=True, slots=True)
class ShowPlan:
    """What can be featured, filmed, promised and told."""

    airs: date | None
    """The next episode's day; None for a shop that makes no show."""
    records: date | None
    shots: tuple[Shot, ...]
    feature: tuple[Readiness, ...]
    promises: tuple[PromiseState, ...]
    lineup: tuple[LineUpEpisode, ...]
    run_sheets: tuple[RunSheet, ...]
    """Of the coming episodes: as their files have them, else as proposed."""
    bulletins: tuple[BulletinIdea, ...]
    air_income: tuple[AirIncome, ...]
    show_hours: Decimal
    """Filming and editing hours of the year to date."""
    episodes: tuple[EpisodeDay, ...]
    """Every episode still to air, by day: written or lined up, recorded or not."""
    shot_days: tuple[ShotDay, ...]
    """The coming days on which there is something to film."""
    at_risk: tuple[PromiseRisk, ...]
    """Promises that are not on the plan's list and can't be kept in time as things are."""
    unaired: tuple[date, ...]
    """The past days of episodes that are not said to have aired."""
    bulletins_left: int
    """How many bulletins this week still wants, by the shop's rhythm."""

    @property
    def proposed(self) -> frozenset[tuple[str | None, str | None]]:
        """Builds and stages that the line-up proposes for the next episode."""
        return frozenset((s.build, s.stage) for e in self.lineup if e.airs == self.airs for s in e.segments)

    @property
    def ranked(self) -> tuple[Readiness, ...]:
        """What could be featured next: what the line-up proposes, then ready, then likely, then not."""
        chosen, words = self.proposed, (YES, LIKELY, NO)
        return tuple(sorted(self.feature, key=lambda f: ((f.build, f.stage) not in chosen, words.index(f.ready), -f.chance, f.build, f.stage)))

    def to_film(self, last: date) -> list[Shot]:
        """Shots to take by `last`, the last chances first: those that can't be taken later, and those a coming episode lacks."""
        wanted = [s for s in self.shots if s.status in (WANTED, LAST_CHANCE) or s.before is not None]
        return sorted((s for s in wanted if s.due is not None and s.due <= last), key=lambda s: (s.status != LAST_CHANCE, s.due or last, s.build, s.shot))

    @property
    def recordings(self) -> list[date]:
        """The coming recording days, each once."""
        own = {self.records} if self.records else set()
        return sorted(own | {episode.records for episode in self.lineup})

    @property
    def unmet(self) -> list[PromiseState]:
        """Promises neither kept nor taken back."""
        return [promise for promise in self.promises if promise.unmet]
