"""The shop as checked values: what every later phase reads.

Invariant: holds only what the notes say; nothing here is worked out from other notes.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from purfle.base.groups import grouped
from purfle.base.names import folded
from purfle.base.place import Place
from purfle.notes.records.build import BuildSheet, Part
from purfle.notes.records.note import Bench, NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture or sound that a text names, `![alt](src)`."""

    src: str
    """As written."""
    path: str | None
    """The file it means, relative to the shop folder; None when it is not one of the build's files."""
    alt: str
    at: Place


@dataclass(frozen=True, slots=True)
class Body:
    """Markdown text with everything private already blanked out, line for line."""

    text: str
    file: str
    first_line: int
    """Line of the file on which `text` begins."""
    pictures: tuple[Picture, ...] = ()


HEAD_PICTURES = ("cover", "as_found", "as_left")
"""The keys of a build sheet that name the pictures at the head of its page."""


@dataclass(frozen=True, slots=True)
class Build:
    """A build sheet with its story."""

    id: str
    """Its folder's name."""
    file: str
    sheet: BuildSheet
    story: Body

    def part(self, name: str) -> Part | None:
        """The first part of that name on its bill of materials; None when there is none."""
        return next((part for part in self.sheet.parts if folded(part.part) == folded(name)), None)

    def head_picture(self, part: str) -> str | None:
        """The file of one of the `HEAD_PICTURES` of its page, relative to the shop folder; None when the sheet names none."""
        name = getattr(self.sheet, part)
        return f"builds/{self.id}/{name}" if name else None


@dataclass(frozen=True, slots=True)
class Note:
    """A bench note, a day in the journal, or the part of a journal day that is about one build."""

    file: str
    date: date
    build: str | None
    """Id of the build it is about; None for a journal day as such, whose lines name their builds."""
    sheet: NoteSheet
    body: Body
    at: Place
    """Where it begins: its frontmatter, or the heading of its part."""
    of_journal: bool = False


@dataclass(frozen=True, slots=True)
class Episode:
    """An episode, dated by the day it airs."""

    file: str
    date: date
    sheet: EpisodeSheet
    body: Body

    @property
    def still(self) -> str | None:
        """The file of its still, relative to the shop folder; None when it names none."""
        return f"journal/episodes/{self.sheet.still}" if self.sheet.still else None


@dataclass(frozen=True, slots=True)
class Bulletin:
    """A short post, dated by the day it goes out."""

    file: str
    date: date
    sheet: BulletinSheet
    body: Body


@dataclass(frozen=True, slots=True)
class Shop:
    """Everything the folder says."""

    settings: ShopSheet
    about: Body
    builds: tuple[Build, ...] = ()
    """By id."""
    notes: tuple[Note, ...] = ()
    """By date, then file, then place in the file."""
    episodes: tuple[Episode, ...] = ()
    """By date."""
    bulletins: tuple[Bulletin, ...] = ()
    """By date."""
    assets: frozenset[str] = frozenset()
    """Pictures and sound samples that exist, relative to the shop folder."""
    unread: Mapping[str, str] = field(default_factory=dict)
    """Ids of builds whose sheet could not be read, names that are known and mean nothing until it is mended → as a mend may call them."""
    names: Mapping[str, str] = field(default_factory=dict)
    """Casefolded id or title → build id, for `find`."""
    _by_id: Mapping[str, Build] = field(init=False, repr=False, compare=False)
    _notes_of: Mapping[str, tuple[Note, ...]] = field(init=False, repr=False, compare=False)
    _days: Mapping[str, Note] = field(init=False, repr=False, compare=False)
    """Each day in the journal as such, by its file."""

    def __post_init__(self) -> None:
        """Put builds and notes where they are found in one step: every phase asks for each of them."""
        own = grouped(self.notes, lambda note: note.build)
        object.__setattr__(self, "_by_id", {build.id: build for build in self.builds})
        object.__setattr__(self, "_notes_of", {id: tuple(notes) for id, notes in own.items() if id is not None})
        object.__setattr__(self, "_days", {note.file: note for note in self.notes if note.of_journal and note.build is None})

    @property
    def makes_show(self) -> bool:
        """Whether there are episodes to come: shop.md says how the show is made, or one was written."""
        return self.settings.wrote("show") or bool(self.episodes)

    def find(self, name: str | None) -> str | None:
        """The id of the build that a note means by its id or title, case ignored; None when there is none."""
        return None if name is None else self.names.get(folded(name))

    def build(self, id: str) -> Build:
        """The build with that id. Raises KeyError when there is none."""
        return self._by_id[id]

    def notes_of(self, id: str) -> tuple[Note, ...]:
        """The notes about one build, bench notes and parts of journal days, in order."""
        return self._notes_of.get(id, ())

    def recorded_on(self, episode: Episode) -> date:
        """The day an episode is recorded: as its file says, else the shop's usual day."""
        return episode.sheet.recorded or self.records_for(episode.date)

    def records_for(self, airs: date) -> date:
        """The shop's usual recording day for an episode that airs on a day."""
        return airs - timedelta(days=self.settings.show.lead.days)

    def worked_on(self, note: Note, line: Bench) -> str | None:
        """The build that a line of a note is about; None for work on none, and for a name that means none."""
        if line.place is not None:
            return None
        return self.find(line.build) if line.build is not None else note.build

    def on_stages(self, note: Note, build: str) -> tuple[NoteSheet | Bench, ...]:
        """Where a note names stages of a build, flat or in a list; a part of a journal day that names none has those of the day's own lines."""
        found = self._on_stages(note, build)
        if found or not note.of_journal or note.build != build:
            return found
        day = self._days.get(note.file)
        return self._on_stages(day, build) if day else ()

    def _on_stages(self, note: Note, build: str) -> tuple[NoteSheet | Bench, ...]:
        flat = (note.sheet,) if note.sheet.stage and note.build == build else ()
        return (*flat, *(line for line in note.sheet.bench if line.stage and self.worked_on(note, line) == build))

    def notes_on(self, day: date) -> tuple[Note, ...]:
        """The notes of one day, in order."""
        first, last = (cut(self.notes, day, key=lambda note: note.date) for cut in (bisect_left, bisect_right))
        return self.notes[first:last]
