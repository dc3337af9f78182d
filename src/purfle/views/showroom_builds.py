"""The public builds, as far as they may be seen.

Invariant: order and anchors come from public things alone, so a change to anything private changes nothing here.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from urllib.parse import quote

from purfle.base.groups import grouped
from purfle.base.memo import Memo, very
from purfle.notes.model import Build, Note
from purfle.progress.model import PublicState
from purfle.show.publication import build_address, open_notes, public_notes
from purfle.views.finish import lacquer_of
from purfle.views.markdown import excerpt, rendered
from purfle.views.public import BuildView, Credit, Heard, LogEntry, Offer, Shown
from purfle.views.showroom_desk import SUMMARY, ShowroomDesk, anchors, credits_given, episode_link
from purfle.views.specs import spec_lines

STATES: tuple[PublicState, ...] = ("for sale", "in the works", "finished", "sold", "delivered")
"""The public states, in the gallery's order."""


def build_view(desk: ShowroomDesk, build: Build) -> BuildView:
    """The very view that was made before, for as long as the build, its notes and all around them are the very same."""
    return _VIEWS.get(build.id, (desk.mark, build, *desk.shop.notes_of(build.id)), lambda: _build(desk, build), very)


_VIEWS = Memo()


def gallery_order(build: BuildView) -> tuple[int, int, str, str]:
    """By state, then the latest public note first."""
    latest = build.latest.toordinal() if build.latest else 0
    return STATES.index(build.state), -latest, build.title.casefold(), build.address


def _build(desk: ShowroomDesk, build: Build) -> BuildView:
    sheet = build.sheet
    known = desk.progress[build.id]
    state = known.public_state
    story = rendered(build.story, desk.below("story", 3))
    noted = open_notes(desk.shop, build, desk.today)
    notes = _in_public_order(desk, public_notes(desk.shop, build, desk.today))
    log = _log(desk, notes)
    view = BuildView(
        address=build_address(build),
        path=desk.links[build.id].path,
        title=sheet.title,
        instrument=sheet.instrument or "",
        maker=sheet.maker or "",
        model=sheet.model or "",
        year=sheet.year or "",
        finish=sheet.finish or "",
        serial=(sheet.serial or "") if sheet.serial_public else "",
        lacquer=lacquer_of(sheet.finish or ""),
        state=state,
        stages_finished=known.finished_stages,
        stages=len(known.stages),
        cover=_shown(desk, build, notes, "cover", sheet.title),
        as_found=_shown(desk, build, notes, "as_found", f"{sheet.title} as found"),
        as_left=_shown(desk, build, notes, "as_left", f"{sheet.title} as it left the bench"),
        specs=spec_lines(sheet.specs),
        story=story,
        log=log,
        worked=_worked(desk, log, noted),
        stages_done=_stages_done(desk, build, noted),
        offer=_offer(desk, build) if state == "for sale" else None,
        heard=_heard(desk, notes) if state == "for sale" else None,
        credits=_credits_of(build),
        episodes=tuple(episode_link(e) for e in desk.visits.get(build.id, ())),
        was=sheet.was,
        summary=excerpt(story.plain, SUMMARY),
    )
    return view if view.summary else replace(view, summary=", ".join(filter(None, (view.about_line, view.finish))))


def _shown(desk: ShowroomDesk, build: Build, notes: Sequence[Note], part: str, otherwise: str) -> Shown | None:
    """A picture the sheet names; its words are those of the first public text that shows it too."""
    path = build.head_picture(part)
    if path is None or path not in desk.around.pictures:
        return None
    bodies = (build.story, *(note.body for note in notes))
    alts = (picture.alt for body in bodies for picture in body.pictures if picture.path == path and picture.alt)
    return Shown(desk.around.pictures[path], next(alts, otherwise))


def _heard(desk: ShowroomDesk, notes: Sequence[Note]) -> Heard | None:
    sounds = desk.around.sounds
    named = ((sounds[said.path], said.alt) for note in reversed(notes) for said in reversed(note.body.pictures) if said.path and said.path in sounds)
    return next((Heard(*found) for found in named), None)


def _log(desk: ShowroomDesk, notes: Sequence[Note]) -> tuple[LogEntry, ...]:
    entries = (
        LogEntry(anchor, note.date, _stages_of(desk, note), rendered(note.body, desk.below(anchor, 4)))
        for note, anchor in zip(notes, anchors("log", (note.date for note in notes)), strict=True)
    )
    return tuple(entry for entry in entries if entry.text)


def _stages_done(desk: ShowroomDesk, build: Build, notes: Sequence[Note]) -> tuple[str, ...]:
    """By the day that first has each; those of one day as the route has them, for notes without words have no order that may be seen."""
    route = {stage.stage.name: n for n, stage in enumerate(desk.progress[build.id].stages)}
    first: dict[str, date] = {}
    for note in sorted(notes, key=lambda note: note.date):
        for stage in _stages_of(desk, note):
            first.setdefault(stage, note.date)
    return tuple(sorted(first, key=lambda stage: (first[stage], route.get(stage, len(route)), stage)))


def _worked(desk: ShowroomDesk, log: Sequence[LogEntry], notes: Sequence[Note]) -> tuple[date, ...]:
    days = {*(entry.day for entry in log), *(note.date for note in notes if _stages_of(desk, note))}
    return (min(days), max(days)) if days else ()


def _stages_of(desk: ShowroomDesk, note: Note) -> tuple[str, ...]:
    """The stages of its own build that a note names; a line of it about another build is nobody's to see here."""
    lines = desk.shop.on_stages(note, note.build) if note.build else ()
    return tuple(dict.fromkeys(desk.stage(note.build, line.stage) for line in lines if line.stage))


def _in_public_order(desk: ShowroomDesk, notes: tuple[Note, ...]) -> list[Note]:
    """By day; within a day a stage that was met earlier comes first, then by the words. File names, being private, decide nothing.

    What one file tells of a day stays together, as it was written.
    """
    first: dict[str, date] = {}
    for note in notes:
        for stage in _stages_of(desk, note):
            first.setdefault(stage, note.date)

    def place(note: Note) -> tuple[date, date, list[str]]:
        return note.date, min((first[stage] for stage in _stages_of(desk, note)), default=note.date), note.body.text.split()

    files = grouped(notes, lambda note: note.file).values()
    return [note for parts in sorted(files, key=lambda parts: min(map(place, parts))) for note in sorted(parts, key=lambda part: part.at.line)]


def _offer(desk: ShowroomDesk, build: Build) -> Offer | None:
    asked = build.sheet.for_sale
    return None if asked is None else Offer(asked.asking, _about(asked.enquire or desk.shop.settings.contact, build.sheet.title))


def _about(contact: str | None, title: str) -> str | None:
    """Where to ask; a bare mail address gets the build's name as its subject (RFC 6068)."""
    if contact and contact.casefold().startswith("mailto:") and "?" not in contact:
        return f"{contact}?subject={quote(title)}"
    return contact


def _credits_of(build: Build) -> tuple[Credit, ...]:
    consent = build.sheet.commission.consent if build.sheet.commission else None
    customer = (Credit(consent.credit_as, "the order", None),) if consent and consent.show and consent.credit_as else ()
    return (*customer, *credits_given(build.sheet.credits))
