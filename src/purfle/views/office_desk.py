"""What every page of the office is written with: figures, links, and the notes behind them.

Invariant: works out no figure; it only says how one is shown and where it comes from.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache
from urllib.parse import quote

from purfle.base.place import Place
from purfle.bench.model import Plan
from purfle.bench.score import Past
from purfle.books import Books
from purfle.notes.model import Shop
from purfle.progress.model import Progress
from purfle.sheets.model import Sheets
from purfle.show.model import ShowPlan
from purfle.views.amounts import Writer
from purfle.views.lines import visible


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead somewhere in the office."""

    words: str
    href: str
    """Relative to the office's first page."""


@dataclass(frozen=True, slots=True)
class Source:
    """The line of a note that a figure comes from; it is shown at the foot of the same page."""

    place: Place
    words: str
    """`builds/heron/build.md:12`."""
    href: str
    """Within the same page."""


@dataclass(frozen=True, slots=True)
class Noted:
    """A line of a note, at the foot of the page whose figures come from it."""

    id: str
    words: str
    text: str
    """The line as written; empty when the page was made without the notes' text."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as written."""

    text: str
    nil: bool = False
    """It is nothing at all."""
    estimated: bool = False
    """Worked out, not yet on a bill; marked wherever it is shown."""
    href: str | None = None
    """Where it is taken apart, relative to the office's first page."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A label with its words."""

    label: str
    words: str


def facts_of(*pairs: tuple[str, str | None]) -> tuple[Fact, ...]:
    """Labels with their words, without those that have none."""
    return tuple(Fact(label, words) for label, words in pairs if words)


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something about a build is as it is: left out, not placed, worth telling."""

    build: Link
    stage: str
    """The stage, or what else of the build; empty when it is about the whole."""
    why: str


@dataclass(frozen=True, slots=True)
class Phases:
    """What the phases came to on one day: all that the office is made from but what is wrong and the lines it quotes."""

    shop: Shop
    today: date
    books: Books
    progress: Mapping[str, Progress]
    """How far every build has come, by id."""
    plan: Plan
    show: ShowPlan
    sheets: Mapping[str, Sheets]
    """By build."""
    past: Past
    """How the forecasts of the last recording days did."""


@dataclass(frozen=True, slots=True)
class OfficeDesk:
    """What the phases came to, and how it is written: figures, links, and the notes behind them."""

    found: Phases
    write: Writer
    lines: Mapping[str, Sequence[str]]
    """The text of each note, line by line; may be empty."""
    titles: Mapping[str, str]
    """Build id → title."""
    within: str = ""
    """The folder whose name is left off sources, on a page that is about it."""
    _sources: dict[Place, Source] = field(init=False, repr=False, compare=False, default_factory=dict)
    """By place: what was bought there is the source of two figures at least."""
    _links: dict[str, Link] = field(init=False, repr=False, compare=False, default_factory=dict)
    """By build: a ledger names each by the hundred."""

    @property
    def shop(self) -> Shop:
        """The notes as checked values."""
        return self.found.shop

    @property
    def today(self) -> date:
        """The day of the figures."""
        return self.found.today

    @property
    def progress(self) -> Mapping[str, Progress]:
        """How far every build has come, by id."""
        return self.found.progress

    @property
    def plan(self) -> Plan:
        """The bench plan."""
        return self.found.plan

    @property
    def show(self) -> ShowPlan:
        """The show plan."""
        return self.found.show

    def build(self, id: str) -> Link:
        """The link to a build's page; a name that is no build stands as it is, on the list of builds."""
        if id not in self._links:
            self._links[id] = Link(self.titles[id], f"builds/{id}.html") if id in self.titles else Link(id, "builds.html")
        return self._links[id]

    def build_or_none(self, id: str | None) -> Link | None:
        """The same for something that may be about no build."""
        return None if id is None else self.build(id)

    def money(self, amount: Decimal | None, estimated: bool = False, href: str | None = None) -> Figure:
        """An amount of the shop's currency; nothing is never an estimate."""
        return Figure(self.write.money(amount), amount == 0, estimated and bool(amount), href)

    def named(self, day: date) -> str:
        """`Today` or `Tomorrow`; empty for any other day."""
        return {0: "Today", 1: "Tomorrow"}.get((day - self.today).days, "")

    def day(self, on: date | None) -> str:
        """A day with its weekday, or with its year where that says more."""
        return self.write.dated(on, self.today)

    def told(self, words: str) -> str:
        """A reason of the plan or the show as people read it."""
        return self.write.told(words, self.today)

    def source(self, place: Place) -> Source | None:
        """Where something stands in the notes; None for what no file wrote."""
        if not place.file:
            return None
        if place not in self._sources:
            self._sources[place] = Source(place, f"{place.file.removeprefix(self.within)}:{place.line}", f"#{_anchor(place.file)[1]}:{place.line}")
        return self._sources[place]

    def noted(self, sources: Iterable[Source | None]) -> tuple[Noted, ...]:
        """The lines behind a page, each once, by file and line."""
        places = sorted({(s.place.file, s.place.line) for s in sources if s})
        return tuple(Noted(f"{_anchor(file)[0]}:{line}", f"{file}:{line}", self.line(file, line)) for file, line in places)

    def line(self, file: str, line: int) -> str:
        """One line of a note, without its end; empty when it is not at hand."""
        text = self.lines.get(file, ())
        return visible(text[line - 1].strip()) if 0 < line <= len(text) else ""


@lru_cache(maxsize=4096)
def _anchor(file: str) -> tuple[str, str]:
    """How the lines of a file are named within a page, and how a link spells that name; kept, for a page has them by the hundred."""
    name = f"note:{quote(file)}"
    return name, quote(name, safe="/:.-_")


def desk_of(found: Phases, lines: Mapping[str, Sequence[str]]) -> OfficeDesk:
    """The desk of one shop on one day, with the lines of each note by file."""
    settings = found.shop.settings
    titles = {build.id: build.sheet.title or build.id for build in found.shop.builds}
    return OfficeDesk(found, Writer(settings.locale, settings.currency), lines, titles)


def anchor_of(words: str) -> str:
    """Words as part of an address within a page: `outside work` → `outside-work`."""
    return quote("-".join(words.casefold().split()), safe="")
