"""The whole pipeline: files in, two sites out.

read → events → progress → books → promises → plan → show → sheets → views → pages. Each phase is one property of `Analysis`,
in that order; it runs when its value is first asked for, so that a command which needs no plan imports no solver.
A phase gives its value and its troubles: one bad note never hides another.
Invariant: pure. The day, the files, the pictures and the templates come in as values; nothing is read or written here.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from purfle.base.codes import CODES
from purfle.base.memo import Mark, Memo
from purfle.base.trouble import Trouble
from purfle.notes.model import RECORDS, Shop, same_shown
from purfle.notes.shop import read_shop
from purfle.notes.text import Lines

if TYPE_CHECKING:  # a command that prints two lines should not load the books, the plan and the pages
    from purfle.bench.gather import Promised
    from purfle.bench.model import Plan
    from purfle.bench.score import Past
    from purfle.bench.what_if import Change, Moved
    from purfle.books import Books
    from purfle.events import Event
    from purfle.progress.model import Progress
    from purfle.sheets.model import Sheets
    from purfle.show.model import AirIncome, LineUpEpisode, PromiseState, ShowPlan
    from purfle.views.office_troubles import Held
    from purfle.views.pictures import Pictures, Sounds

T = TypeVar("T")
Told = tuple[Trouble, ...]
_PHASES = Memo()
"""Phases that read no body, by day and the mark of what they read."""


class Analysis:
    """What a folder of notes comes to on one day."""

    def __init__(self, files: Mapping[str, bytes], assets: frozenset[str], today: date, before: Told = ()) -> None:
        """Take the notes' bytes by shop-relative name, the names of pictures and sounds, the day, and what reading the folder told."""
        self.files, self.assets, self.today, self.before = files, assets, today, before

    def kept(self, phase: str, make: Callable[[], T], *, shown: bool = False) -> T:
        """The value of a phase: kept, while purfle follows, for as long as what it reads (the records; what is shown, too) is what it was."""
        return _PHASES.get((phase, self.today, self.shown if shown else RECORDS.of(self.shop)), make)

    @cached_property
    def shown(self) -> object:
        """The mark of the records and of what the show asks of bodies."""
        return _SHOWN.of(self.shop)

    # --- the phases, in order -----------------------------------------------------------------------------------------

    @cached_property
    def _read(self) -> tuple[Shop, Told]:
        _PHASES.turn()
        return read_shop(self.files, self.assets, self.today)

    @cached_property
    def events(self) -> "tuple[Event, ...]":
        """Everything that happened up to the day, in order."""
        from purfle.events import stream

        return self.kept("events", lambda: stream(self.shop, self.today))

    @cached_property
    def _progress(self) -> "tuple[Mapping[str, Progress], Told]":
        from purfle.progress import progress_of

        return self.kept("progress", lambda: progress_of(self.shop, self.events, self.today))

    @cached_property
    def _books(self) -> "tuple[Books, Told]":
        from purfle.books import keep

        return self.kept("books", lambda: keep(self.shop, self.events, self.progress, self.today))

    @cached_property
    def promises(self) -> "tuple[PromiseState, ...]":
        """What was said on air, and what became of it."""
        from purfle.show import promises_of

        return self.kept("promises", lambda: promises_of(self.shop, self.progress, self.today))

    @cached_property
    def promised(self) -> "tuple[Promised, ...]":
        """What was promised, as build, stage and the day by which it must be finished."""
        from purfle.show import finish_days

        return self.kept("promised", lambda: finish_days(self.shop, self.progress, self.promises, self.today))

    @cached_property
    def air_income(self) -> "tuple[AirIncome, ...]":
        """What each build earned and took on air."""
        from purfle.show.income import air_income

        return self.kept("air", lambda: air_income(self.shop, self.today))

    @cached_property
    def _plan(self) -> "tuple[Plan, Told]":
        from purfle.bench import plan_bench

        return self.kept("plan", lambda: plan_bench(self.shop, self.progress, self.promised, self.today))

    @cached_property
    def past(self) -> "Past":
        """How the plan's forecasts did on the last recording days; asked for by the office alone, for it takes a while."""
        from purfle.bench.score import past_of

        return self.kept("past", lambda: past_of(self.shop, self.events, self.progress, self.today))

    @cached_property
    def _show(self) -> "tuple[ShowPlan, Told]":
        from purfle.show import plan_show

        return self.kept("show", lambda: plan_show(self.shop, self.events, self.progress, self.plan, self.today), shown=True)

    @cached_property
    def _sheets(self) -> "tuple[Mapping[str, Sheets], Told]":
        from purfle.sheets import sheets_of

        likely = {(f.build, f.stage): f.p80 for f in self.plan.forecast if f.p80 is not None}
        return self.kept("sheets", lambda: sheets_of(self.shop, self.progress, likely, self.today))

    # --- their values -------------------------------------------------------------------------------------------------

    @property
    def shop(self) -> Shop:
        """The notes as checked values."""
        return self._read[0]

    @property
    def progress(self) -> "Mapping[str, Progress]":
        """How far each build has come, by id."""
        return self._progress[0]

    @property
    def books(self) -> "Books":
        """Costs, revenue and balances."""
        return self._books[0]

    @property
    def plan(self) -> "Plan":
        """The bench plan."""
        return self._plan[0]

    @property
    def show(self) -> "ShowPlan":
        """The show plan."""
        return self._show[0]

    def what_if(self, changes: "Sequence[Change]") -> "tuple[Moved, ...]":
        """What would move if all these came about."""
        from purfle.bench.what_if import what_if

        return what_if(self.shop, self.progress, self.promised, self.today, changes)

    @property
    def sheets(self) -> "Mapping[str, Sheets]":
        """What each build's specification and coats imply, by id."""
        return self._sheets[0]

    @cached_property
    def sheets_without_plan(self) -> "Mapping[str, Sheets]":
        """The same, without days for coats still to come: enough for a command that needs no plan."""
        from purfle.sheets import sheets_of

        return sheets_of(self.shop, self.progress, {}, self.today)[0]

    def lineup(self, weeks: int) -> "tuple[LineUpEpisode, ...]":
        """The next `weeks` episodes, their pieces chosen together."""
        from purfle.show import line_up_of

        return line_up_of(self.shop, self.events, self.progress, self.plan, self.today, weeks)

    @cached_property
    def book_troubles(self) -> Told:
        """What is wrong as far as the books: enough for a command that prints figures, without the plan."""
        return _sorted(self.before, self._read[1], self._progress[1], self._books[1])

    @cached_property
    def troubles(self) -> Told:
        """Everything that is wrong, sorted by place."""
        return _sorted(self.book_troubles, self._plan[1], self._show[1], self._sheets[1])

    @cached_property
    def lines(self) -> Mapping[str, tuple[str, ...]]:
        """The lines of each note, for showing the place of a trouble or the source of a figure."""
        return Lines(self.files)


def _sorted(*told: Told) -> Told:
    return tuple(sorted({trouble for some in told for trouble in some}))


def stops_books(troubles: Told) -> bool:
    """Whether any of them holds the books, the plan and the office."""
    return any(CODES[trouble.code].stops.books() for trouble in troubles)


def stops_showroom(troubles: Told) -> bool:
    """Whether any of them holds the showroom."""
    return any(CODES[trouble.code].stops.showroom() for trouble in troubles)


# --- sites ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Kit:
    """What pages are made with."""

    pictures: "Pictures"
    sounds: "Sounds"
    showroom: Mapping[str, bytes]
    """Templates and assets of the showroom, the owner's in place of the packaged."""
    office: Mapping[str, bytes]
    """The same of the office."""
    held: "Held"
    """The days of the last good states."""
    told: Told = ()
    """What was wrong with pictures and sounds."""


@dataclass(frozen=True, slots=True)
class Sites:
    """Both sites as files by path, and what was told on the way."""

    showroom: dict[str, bytes] | None
    """None when a trouble holds it: the last good one stays."""
    office: dict[str, bytes] | None
    """None when a trouble holds the books: only its page of troubles is renewed."""
    troubles_page: dict[str, bytes]
    """The office's page of troubles with what it is shown with; always made."""
    troubles: Told


def wanted(analysis: Analysis) -> tuple[str, ...]:
    """The pictures and sounds that the showroom will show, as names in the shop folder."""
    from purfle.views.publication import wanted_pictures

    return analysis.kept("wanted", lambda: wanted_pictures(analysis.shop, analysis.progress, analysis.today), shown=True)


def render(analysis: Analysis, kit: Kit) -> Sites:
    """Both sites, or what of them no trouble holds."""
    if Memo.keeping:
        from purfle.pages.templates import turn

        turn()
    troubles = _sorted(analysis.troubles, kit.told)
    showroom, told = (None, ()) if stops_showroom(troubles) else _showroom(analysis, kit)
    troubles = _sorted(troubles, told)
    office, told = (None, ()) if stops_books(troubles) else _office(analysis, kit, troubles)
    troubles = _sorted(troubles, told)
    return Sites(showroom, office, _troubles_page(analysis, kit, troubles), troubles)


def _showroom(analysis: Analysis, kit: Kit) -> tuple[dict[str, bytes] | None, Told]:
    from purfle.pages.showroom import pages_of
    from purfle.pages.templates import TemplateFault
    from purfle.views.showroom import showroom_of

    view = showroom_of(analysis.shop, analysis.progress, analysis.promises, kit.pictures, kit.sounds, analysis.today)
    try:
        return pages_of(view, kit.showroom), ()
    except TemplateFault as fault:
        return None, (fault.trouble,)


def _office(analysis: Analysis, kit: Kit, troubles: Told) -> tuple[dict[str, bytes] | None, Told]:
    quoted = _QUOTED.of(_Quoted(analysis.shown, analysis.shop, analysis.files, troubles, kit.held, kit.office))
    return _PHASES.get(("office", analysis.today, quoted), lambda: _made_office(analysis, kit, troubles))


@dataclass(frozen=True, slots=True)
class _Quoted:
    """All that the office is made from: what is read and shown, and the very lines it quotes, of frontmatter, of journal days and of troubles."""

    shown: object
    shop: Shop
    files: Mapping[str, bytes]
    troubles: Told
    held: "Held"
    templates: Mapping[str, bytes]

    def lines(self, changed: set[str]) -> Iterator[tuple[str, ...]]:
        """What is quoted of those files."""
        shop, lines = self.shop, Lines(self.files)
        heads: dict[str, int | None] = {"shop.md": None}
        heads |= {b.file: b.story.first_line for b in shop.builds if b.file in changed}
        heads |= {e.file: e.body.first_line for e in shop.episodes if e.file in changed}
        heads |= {b.file: b.body.first_line for b in shop.bulletins if b.file in changed}
        heads |= {n.file: None if n.of_journal else n.body.first_line for n in shop.notes if n.file in changed}
        yield from (lines[file][: heads.get(file, 0)] for file in sorted(changed))
        yield from (lines[t.place.file][max(0, t.place.line - 2) : t.place.line + 1] for t in self.troubles if t.place.file in changed)


def _same_quoted(one: _Quoted, other: _Quoted) -> bool:
    if (
        one.shown is not other.shown
        or (one.troubles, one.held, one.templates) != (other.troubles, other.held, other.templates)
        or one.files.keys() != other.files.keys()
    ):
        return False
    changed = {file for file, data in one.files.items() if data is not other.files[file] and data != other.files[file]}
    return not changed or list(one.lines(changed)) == list(other.lines(changed))


_SHOWN, _QUOTED = Mark(same_shown), Mark(_same_quoted)


def _made_office(analysis: Analysis, kit: Kit, troubles: Told) -> tuple[dict[str, bytes] | None, Told]:
    from purfle.pages.office import pages_of
    from purfle.pages.templates import TemplateFault, Templates
    from purfle.views.office import office_of

    a = analysis
    view = office_of(a.shop, a.books, a.progress, a.plan, a.show, troubles, a.today, a.lines, kit.held, a.sheets, a.past)
    try:
        return pages_of(view, Templates("office", kit.office, {})), ()
    except TemplateFault as fault:
        return None, (fault.trouble,)


def _troubles_page(analysis: Analysis, kit: Kit, troubles: Told) -> dict[str, bytes]:
    """The page of troubles by the owner's templates, or by the packaged ones when those are what is wrong."""
    from purfle.pages.office import troubles_page
    from purfle.pages.templates import TemplateFault, Templates, packaged

    settings = analysis.shop.settings
    for files in (kit.office, packaged("office")):
        press = Templates("office", files, {})
        try:
            page = troubles_page(troubles, analysis.lines, kit.held, press, settings.name, settings.locale)
        except TemplateFault as fault:
            troubles = _sorted(troubles, (fault.trouble,))
            continue
        return {"troubles.html": page, **press.assets()}
    raise RuntimeError("the packaged page of troubles can't be rendered")
