"""One compile from the folder on disk to both sites on disk.

read → analyse → make pictures and sounds → render → write. What may be written is decided by the troubles alone.
Invariant: whatever fails, the last good site is whole; no note is changed.
"""

import contextlib
import json
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from purfle.base.codes import stops_books, stops_showroom
from purfle.base.trouble import Trouble
from purfle.compile import Analysis
from purfle.shell import plain
from purfle.shell.folder import Folder
from purfle.shell.output import Busy, Output, locked
from purfle.shell.store import write_whole
from purfle.shell.twin import Memory
from purfle.shell.write import Site, Written, write_sites
from purfle.sites import Kit, Sites, render, wanted

if TYPE_CHECKING:
    from purfle.shell.photos import Progress
    from purfle.views.office_troubles import Held
    from purfle.views.pictures import Pictures, Sounds

_SOUNDS = {".wav", ".mp3", ".ogg", ".opus", ".flac", ".m4a"}
_NOTHING = Written((), ())


@dataclass(frozen=True, slots=True)
class Made:
    """What a compile came to."""

    sites: Sites
    showroom: Written
    office: Written
    held: "Held"
    """The days of the last good states, this compile's counted in."""


def out_of(root: Path) -> Path:
    """Where a shop's sites are written."""
    return root / "out"


def analyse(folder: Folder, today: date) -> Analysis:
    """What the folder's notes come to, each phase when it is asked for."""
    return Analysis(folder.files, folder.assets, today, folder.troubles)


def compile_to_disk(folder: Folder, today: date, told: "Progress | None" = None, memory: Memory | None = None) -> Made:
    """Compile and write what no trouble holds; `memory` is of what this process wrote before. Raises `Busy`, or OSError when `out/` can't be written."""
    with locked(out_of(folder.root), keeps_twins=memory is not None) as output:
        sites, made = _sites(folder, today, output, told, memory)
        showroom = () if sites.showroom is None else (Site("showroom", sites.showroom, made),)
        office = Site("office", {**sites.troubles_page, **(sites.office or {})}, keep_others=sites.office is None)
        *shown, kept = write_sites(output, *showroom, office, memory=memory)
        return Made(sites, shown[0] if shown else _NOTHING, kept, _remember(output, sites, today))


def compile_in_mind(folder: Folder, today: date) -> Sites:
    """Both sites, and every trouble, with nothing written but pictures kept for next time."""
    with _some_output(folder.root) as output:
        return _sites(folder, today, output, None)[0]


@contextlib.contextmanager
def _some_output(root: Path) -> Iterator[Output]:
    """The shop's own store when it can be had, else one for the moment."""
    with contextlib.ExitStack() as stack:
        try:
            output = stack.enter_context(locked(out_of(root)))
        except (Busy, OSError):
            output = stack.enter_context(locked(Path(stack.enter_context(tempfile.TemporaryDirectory())) / "out"))
        yield output


def _sites(folder: Folder, today: date, output: Output, told: "Progress | None", memory: Memory | None = None) -> tuple[Sites, Mapping[str, Path]]:
    """Both sites, and the files of the store that stand in the showroom, by their path there."""
    from purfle.pages.style_sheets import style_faults
    from purfle.pages.templates import layered, packaged, unused
    from purfle.shell.assets import telling

    analysis = analyse(folder, today)
    shown = _shown(folder, wanted(analysis), output, told, memory)
    own = {site: packaged(site) for site in ("showroom", "office")}
    templates = layered(own, folder.overrides)
    kit = Kit(
        shown.pictures,
        shown.sounds,
        templates["showroom"],
        templates["office"],
        recall(output),
        (*shown.troubles, *unused(own, folder.overrides), *style_faults(own, folder.overrides), *telling(folder.overrides)),
        _standing(output),
    )
    return render(analysis, kit), {path: output.store / path for path in shown.paths()}


def _standing(output: Output) -> frozenset[str]:
    """The pages of builds in the showroom that was written last."""
    try:
        return frozenset(f"builds/{page.name}" for page in output.site("showroom").joinpath("builds").iterdir())
    except OSError:
        return frozenset()


@dataclass(frozen=True, slots=True)
class _Shown:
    """Pictures and sounds as they are published, and what was wrong with them."""

    pictures: "Pictures"
    sounds: "Sounds"
    troubles: tuple[Trouble, ...]

    def paths(self) -> list[str]:
        """Their files, in the store and in the showroom."""
        return [variant.path for picture in self.pictures.values() for variant in picture.files()] + [sound.path for sound in self.sounds.values()]


def _shown(folder: Folder, named: tuple[str, ...], output: Output, told: "Progress | None", memory: Memory | None) -> _Shown:
    """What is made of the named files; what this process made of the very same a moment ago, while it lies where it was put."""
    if memory is None or not folder.unsure.isdisjoint(named):
        return _published(folder, named, output, told)
    source = tuple((path, folder.numbers.get(path)) for path in named)
    if memory.shown is None or memory.shown[0] != (source, _shelves(output)):
        shown = _published(folder, named, output, told)
        memory.shown = (source, _shelves(output)), shown
    return memory.shown[1]


def _published(folder: Folder, named: tuple[str, ...], output: Output, told: "Progress | None") -> _Shown:
    from purfle.shell import photos, sounds

    heard = [path for path in named if PurePosixPath(path).suffix.casefold() in _SOUNDS]
    seen = [path for path in named if path not in set(heard)]
    pictures, picture_troubles = photos.publish(seen, folder.root, output.store, told)
    samples, sample_troubles = sounds.publish(heard, folder.root, output.store)
    return _Shown(pictures, samples, (*picture_troubles, *sample_troubles))


def _shelves(output: Output) -> tuple[tuple[int, int] | None, ...]:
    """When files were last put on or taken from each shelf of the store."""
    found: list[tuple[int, int] | None] = []
    for shelf in ("pictures", "sounds", "records/pictures", "records/sounds"):
        try:
            at = (output.store / shelf).stat()
            found.append((at.st_ino, at.st_mtime_ns))
        except OSError:
            found.append(None)
    return tuple(found)


# --- the days of the last good states ---------------------------------------------------------------------------------


def recall(output: Output) -> "Held":
    """The days of the last good states; without the store, the days on which the sites were written."""
    from purfle.views.office_troubles import Held

    try:
        kept = plain.mapping(plain.read(output.store / "held.json"), {"books", "showroom"})
        return Held(*(None if kept[name] is None else date.fromisoformat(plain.text(kept[name])) for name in ("books", "showroom")))
    except (OSError, ValueError):
        return Held(*(_written_on(output.site(name) / "index.html") for name in ("office", "showroom")))


def _written_on(page: Path) -> date | None:
    try:
        return date.fromtimestamp(page.stat().st_mtime)
    except OSError:
        return None


def _remember(output: Output, sites: Sites, today: date) -> "Held":
    from purfle.views.office_troubles import Held

    before = recall(output)
    held = Held(before.books if sites.office is None else today, before.showroom if sites.showroom is None else today)
    if held != before or not (output.store / "held.json").exists():
        text = json.dumps({"books": held.books and held.books.isoformat(), "showroom": held.showroom and held.showroom.isoformat()})
        try:
            write_whole(output.store / "held.json", text.encode())
        except OSError:  # the sites are written: without this file the days of their first pages will do
            (output.store / "held.json").unlink(missing_ok=True)
    return held


def stopped(sites: Sites) -> bool:
    """Whether a trouble stops something."""
    return stops_books(sites.troubles) or stops_showroom(sites.troubles)
