"""One compile from the folder on disk to both sites on disk.

read → analyse → make pictures and sounds → render → write. What may be written is decided by the troubles alone.
Invariant: whatever fails, the last good site is whole; no note is changed.
"""

import contextlib
import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from purfle.base.codes import stops_books, stops_showroom
from purfle.base.trouble import Trouble
from purfle.compile import Analysis
from purfle.shell.folder import Folder
from purfle.shell.good_days import recall, remember
from purfle.shell.output import Busy, Output, locked
from purfle.shell.published import Published, published
from purfle.shell.twin import Memory
from purfle.shell.write import Site, Written, write_sites
from purfle.sites import Kit, Sites, render, wanted

if TYPE_CHECKING:
    from purfle.shell.photos import Progress
    from purfle.views.office_troubles import Held

_NOTHING = Written((), ())


@dataclass(frozen=True, slots=True)
class Made:
    """What a compile came to."""

    sites: Sites
    showroom: Written
    office: Written


def out_of(root: Path) -> Path:
    """Where a shop's sites are written."""
    return root / "out"


def analyse(folder: Folder, today: date) -> Analysis:
    """What the folder's notes come to, each phase when it is asked for."""
    return Analysis(folder.files, folder.assets, today, folder.troubles)


def compile_to_disk(folder: Folder, today: date, told: "Progress | None" = None, memory: Memory | None = None) -> Made:
    """Compile and write what no trouble holds; `memory` is of what this process wrote before. Raises `Busy`, or OSError when `out/` can't be written."""
    publish = published if memory is None else memory.album.published
    with locked(out_of(folder.root), keeps_twins=memory is not None) as output:
        held = recall(output)
        sites, made = _sites(folder, today, output, held, partial(publish, told=told))
        showroom = () if sites.showroom is None else (Site("showroom", sites.showroom, made),)
        office = Site("office", {**sites.troubles_page, **(sites.office or {})}, keep_others=sites.office is None)
        *shown, kept = write_sites(output, *showroom, office, memory=memory)
        if sites.held != held:
            remember(output, sites.held)
        return Made(sites, shown[0] if shown else _NOTHING, kept)


def compile_in_mind(folder: Folder, today: date) -> Sites:
    """Both sites, and every trouble, with nothing written but pictures kept for next time."""
    with _some_output(folder.root) as output:
        return _sites(folder, today, output, recall(output), published)[0]


@contextlib.contextmanager
def _some_output(root: Path) -> Iterator[Output]:
    """The shop's own store when it can be had, else one for the moment."""
    with contextlib.ExitStack() as stack:
        try:
            output = stack.enter_context(locked(out_of(root)))
        except (Busy, OSError):
            output = stack.enter_context(locked(Path(stack.enter_context(tempfile.TemporaryDirectory())) / "out"))
        yield output


def _sites(
    folder: Folder, today: date, output: Output, held: "Held", publish: Callable[[Folder, tuple[str, ...], Output], Published]
) -> tuple[Sites, Mapping[str, Path]]:
    """Both sites, and the files of the store that stand in the showroom, by their path there."""
    from purfle.pages.site_files import layered, packaged

    analysis = analyse(folder, today)
    shown = publish(folder, wanted(analysis), output)
    own = {site: packaged(site) for site in ("showroom", "office")}
    templates = layered(own, folder.overrides)
    kit = Kit(
        shown.pictures,
        shown.sounds,
        templates["showroom"],
        templates["office"],
        held,
        (*shown.troubles, *_told_of_own(analysis, folder.overrides, own)),
        _standing(output),
    )
    return render(analysis, kit), {path: output.store / path for path in shown.paths()}


def _told_of_own(analysis: Analysis, own: Mapping[str, bytes], sites: Mapping[str, Mapping[str, bytes]]) -> Iterator[Trouble]:
    """What is wrong with the owner's own templates and assets, by path in `site_templates/`, and with what they say."""
    from purfle.notes.leaks.check import leaks_beside_notes
    from purfle.pages.own_words import template_words
    from purfle.pages.site_files import unused
    from purfle.pages.style_sheets import style_faults
    from purfle.shell.assets import telling

    yield from unused(sites, own)
    yield from style_faults(sites, own)
    yield from telling(own)
    yield from leaks_beside_notes(analysis.shop, template_words(own))


def _standing(output: Output) -> frozenset[str]:
    """The pages of builds in the showroom that was written last."""
    try:
        return frozenset(f"builds/{page.name}" for page in output.site("showroom").joinpath("builds").iterdir())
    except OSError:
        return frozenset()


def stopped(sites: Sites) -> bool:
    """Whether a trouble stops something."""
    return stops_books(sites.troubles) or stops_showroom(sites.troubles)
