"""Both sites, as files by path, of an analysis and of what pages are made with: views, then pages.

A trouble holds a site: then it is not made, and whoever writes leaves the last good one where it is.
Invariant: pure. Pictures and templates come in as values; nothing is read or written here.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from purfle.base.codes import stops_books, stops_showroom
from purfle.base.memo import Memo
from purfle.base.trouble import Trouble
from purfle.compile import Analysis, Told, sorted_troubles
from purfle.notes.frontmatter.text import Lines
from purfle.notes.model import Shop

if TYPE_CHECKING:  # a command that needs no page loads none of what makes them
    from purfle.views.office import Office
    from purfle.views.office_troubles import Held
    from purfle.views.pictures import Pictures, Sounds


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
    standing: frozenset[str] = frozenset()
    """Pages of builds in the showroom as it was written last, which stays where it is held."""


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
    held: "Held"
    """The days of the last good states, this one's counted in: a state is good on the day on which its site was made."""


def wanted(analysis: Analysis) -> tuple[str, ...]:
    """The pictures and sounds that the showroom will show, as names in the shop folder."""
    from purfle.show.publication import wanted_pictures

    return analysis.kept("wanted", lambda: wanted_pictures(analysis.shop, analysis.progress, analysis.today), shown=True)


def render(analysis: Analysis, kit: Kit) -> Sites:
    """Both sites, or what of them no trouble holds."""
    troubles = sorted_troubles(analysis.troubles, kit.told)
    showroom, told = (None, _outdated(analysis, kit.standing)) if stops_showroom(troubles) else _showroom(analysis, kit)
    troubles = sorted_troubles(troubles, told)
    office, told = (None, ()) if stops_books(troubles) else _office(analysis, kit, troubles)
    troubles = sorted_troubles(troubles, told)
    held = replace(
        kit.held,
        books=kit.held.books if office is None else analysis.today,
        showroom=kit.held.showroom if showroom is None else analysis.today,
    )
    return Sites(showroom, office, _troubles_page(analysis, kit, troubles), troubles, held)


def _showroom(analysis: Analysis, kit: Kit) -> tuple[dict[str, bytes] | None, Told]:
    from purfle.pages.showroom import pages_of
    from purfle.pages.templates import TemplateFault
    from purfle.views.showroom import showroom_of

    view = showroom_of(analysis.shop, analysis.progress, analysis.promises, kit.pictures, kit.sounds, analysis.today)
    try:
        return pages_of(view, kit.showroom), ()
    except TemplateFault as fault:
        return None, (fault.trouble,)


def _outdated(analysis: Analysis, standing: frozenset[str]) -> Told:
    """What a showroom that is held still shows and no longer may: the last good state was good on its day."""
    if not standing:
        return ()
    from purfle.show.consent import bar
    from purfle.show.publication import build_path

    barred = ((build, bar(build, analysis.progress[build.id], analysis.today)) for build in analysis.shop.builds if build_path(build) in standing)
    return tuple(
        Trouble(
            build.sheet.where("showroom"),
            "showroom-outdated",
            f"the showroom is held and stays as it was; it still shows {build.id}, and {why}",
            f"mend what holds the showroom, and until then take {build_path(build)} away from wherever you put it",
        )
        for build, why in barred
        if why is not None
    )


def _office(analysis: Analysis, kit: Kit, troubles: Told) -> tuple[dict[str, bytes] | None, Told]:
    quoted = _QUOTED.get((), _Quoted(analysis.shown, analysis.shop, analysis.files, troubles, kit.held, kit.office), object, _same_quoted)
    return _OFFICE.get((), (analysis.today, quoted), lambda: _made_office(analysis, kit, troubles))


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


_QUOTED, _OFFICE = Memo(), Memo()
"""A mark: the same for as long as the office is made from the same, but for the day; and the office."""


def _made_office(analysis: Analysis, kit: Kit, troubles: Told) -> tuple[dict[str, bytes] | None, Told]:
    from purfle.pages.office import office_templates, pages_of
    from purfle.pages.templates import TemplateFault

    view = office_view(analysis, troubles, kit.held)
    try:
        return pages_of(view, office_templates(kit.office, analysis.shop.settings.locale)), ()
    except TemplateFault as fault:
        return None, (fault.trouble,)


def office_view(analysis: Analysis, troubles: Told, held: "Held") -> "Office":
    """All that the office shows, as values."""
    from purfle.views.office import office_of
    from purfle.views.office_desk import Phases

    a = analysis
    return office_of(Phases(a.shop, a.today, a.books, a.progress, a.plan, a.show, a.sheets, a.past), troubles, a.lines, held)


def _troubles_page(analysis: Analysis, kit: Kit, troubles: Told) -> dict[str, bytes]:
    """The page of troubles by the owner's templates, or by the packaged ones when those are what is wrong."""
    from purfle.pages.site_files import packaged
    from purfle.pages.templates import TemplateFault

    try:
        return _troubles_by(kit.office, analysis, kit, troubles)
    except TemplateFault as fault:
        return _troubles_by(packaged("office"), analysis, kit, sorted_troubles(troubles, (fault.trouble,)))


def _troubles_by(files: Mapping[str, bytes], analysis: Analysis, kit: Kit, troubles: Told) -> dict[str, bytes]:
    from purfle.pages.office import office_templates, troubles_page

    settings = analysis.shop.settings
    press = office_templates(files, settings.locale)
    page = troubles_page(troubles, analysis.lines, kit.held, press, settings.name, settings.locale)
    first = {} if kit.held.books else {"index.html": page}  # an office that never was good has no other page to open
    return {"troubles.html": page, **first, **press.assets()}
