"""The pipeline from the notes to all that is worked out of them; `purfle.sites` makes the two sites of it.

read → events → progress → books → promises → plan → show → sheets. Each phase is one property of `Analysis`,
in that order; it runs when its value is first asked for, so that a command which needs no plan imports no solver.
A phase gives its value and its troubles: one bad note never hides another.
Invariant: pure. The day and the files come in as values; nothing is read or written here.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from purfle.base.codes import without_caused
from purfle.base.memo import Memo
from purfle.base.trouble import Trouble
from purfle.notes.frontmatter.text import Lines
from purfle.notes.model import Shop
from purfle.notes.same import mark_of_records, mark_of_shown, of_day
from purfle.notes.shop import read_shop

if TYPE_CHECKING:  # a command that prints two lines should not load the books, the plan and the pages
    from purfle.bench.gather import Promised
    from purfle.bench.model import Plan
    from purfle.bench.score import Past
    from purfle.bench.shelf import Move
    from purfle.bench.what_if import Change, Moved
    from purfle.books import Books
    from purfle.events import Event
    from purfle.progress.model import Progress
    from purfle.progress.on_sale import OnSale
    from purfle.sheets.model import Sheets
    from purfle.show.model import AirIncome, LineUpEpisode, PromiseState, ShowPlan
    from purfle.show.scene import Scene

T = TypeVar("T")
Told = tuple[Trouble, ...]
_PHASES = Memo()
"""Phases that read no body, by name."""
_SAID = Memo()
"""The order when a week began, by its day."""


class Analysis:
    """What a folder of notes comes to on one day."""

    def __init__(self, files: Mapping[str, bytes], assets: frozenset[str], today: date, before: Told = ()) -> None:
        """Take the notes' bytes by shop-relative name, the names of pictures and sounds, the day, and what reading the folder told."""
        self.files, self.assets, self.today, self.before = files, assets, today, before

    def kept(self, phase: str, make: Callable[[], T], *, shown: bool = False) -> T:
        """The value of a phase: kept, while purfle follows, for as long as what it reads (the records; what is shown, too) is what it was."""
        return _PHASES.get(phase, (self.today, self.shown if shown else mark_of_records(self.shop)), make)

    @cached_property
    def shown(self) -> object:
        """The mark of the records and of what the show asks of bodies."""
        return mark_of_shown(self.shop)

    # --- the phases, in order -----------------------------------------------------------------------------------------

    @cached_property
    def _read(self) -> tuple[Shop, Told]:
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
    def moves(self) -> "tuple[Move, ...]":
        """What came to the shelf and left it: the plan, past forecasts and the order when the week began begin with it."""
        from purfle.bench import moves_of

        return self.kept("moves", lambda: moves_of(self.shop))

    @cached_property
    def plan(self) -> "Plan":
        """The bench plan."""
        from purfle.bench import plan_bench

        return self.kept("plan", lambda: plan_bench(self.shop, self.moves, self.progress, self.promised, self.today, self.said))

    @cached_property
    def _attended(self) -> Told:
        from purfle.bench import attendance_troubles

        return self.kept("attended", lambda: attendance_troubles(self.shop, self.moves, self.events, self.today))

    @cached_property
    def said(self) -> "tuple[tuple[str, str], ...]":
        """The order of work as it was when the week (ISO 8601) began: by the notes up to the Sunday before it."""
        from purfle.bench import order_of
        from purfle.progress import progress_of
        from purfle.progress.standing import handed_in
        from purfle.show import finish_days, promises_of

        sunday = self.today - timedelta(days=self.today.isoweekday())
        handed = handed_in(self.shop)  # a later note can say that a build was not there yet

        def order() -> tuple[tuple[str, str], ...]:
            progress, _ = progress_of(self.shop, self.events, sunday)
            promised = finish_days(self.shop, progress, promises_of(self.shop, progress, sunday), sunday)
            return order_of(self.shop, self.moves, progress, promised, handed, sunday)

        return of_day(_SAID, self.shop, sunday, order, tuple(handed.items()))

    @cached_property
    def on_sale(self) -> "tuple[OnSale, ...]":
        """What is for sale, the longest first."""
        from purfle.progress.on_sale import on_sale

        return on_sale(self.shop, self.progress, self.today)

    @cached_property
    def past(self) -> "Past":
        """How the plan's forecasts did on the last recording days; asked for by the office alone, for it takes a while."""
        from purfle.bench.score import past_of

        return self.kept("past", lambda: past_of(self.shop, self.moves, self.events, self.progress, self.today))

    @cached_property
    def _show(self) -> "tuple[ShowPlan, Told]":
        from purfle.show import plan_show

        return self.kept("show", lambda: plan_show(self._scene), shown=True)

    @cached_property
    def _scene(self) -> "Scene":
        from purfle.show import scene_of

        return scene_of(self.shop, self.events, self.progress, self.plan, self.promises, self.today)

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
    def show(self) -> "ShowPlan":
        """The show plan."""
        return self._show[0]

    def what_if(self, changes: "Sequence[Change]") -> "tuple[Moved, ...]":
        """What would move if all these came about."""
        from purfle.bench.what_if import what_if

        return what_if(self.shop, self.progress, self.promised, self.today, changes, self.said)

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
        """The next `weeks` episodes, their pieces chosen together: one week's differs from the first of several."""
        from purfle.show import line_up

        planned = self.show.lineup
        return planned if len(planned) == weeks else line_up(self._scene, weeks)

    @cached_property
    def book_troubles(self) -> Told:
        """What is wrong as far as the books: enough for a command that prints figures, without the plan."""
        return without_caused(sorted_troubles(self.before, self._read[1], self._progress[1], self._books[1]))

    @cached_property
    def troubles(self) -> Told:
        """Everything that is wrong, sorted by place."""
        return without_caused(sorted_troubles(self.book_troubles, self._attended, self._show[1], self._sheets[1]))

    @cached_property
    def lines(self) -> Mapping[str, tuple[str, ...]]:
        """The lines of each note, for showing the place of a trouble or the source of a figure."""
        return Lines(self.files)


def sorted_troubles(*told: Told) -> Told:
    """The troubles of several phases, each once, by place."""
    return tuple(sorted({trouble for some in told for trouble in some}))
