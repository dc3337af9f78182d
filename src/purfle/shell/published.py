"""The pictures and sounds of the showroom: made of the named files of the shop, into the store, from where the site takes them.

Invariant: makes what it is asked for; which files may be seen is decided elsewhere.
"""

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from purfle.base.endings import SOUNDS
from purfle.base.trouble import Trouble
from purfle.shell.folder import Folder
from purfle.shell.output import Output

if TYPE_CHECKING:
    from purfle.shell.photos import Progress
    from purfle.views.pictures import Pictures, Sounds


@dataclass(frozen=True, slots=True)
class Published:
    """Pictures and sounds as they are published, and what was wrong with them."""

    pictures: "Pictures"
    sounds: "Sounds"
    troubles: tuple[Trouble, ...]

    def paths(self) -> list[str]:
        """Their files, in the store and in the showroom."""
        return [variant.path for picture in self.pictures.values() for variant in picture.files()] + [sound.path for sound in self.sounds.values()]


def published(folder: Folder, named: tuple[str, ...], output: Output, told: "Progress | None" = None) -> Published:
    """What is made of the named files. `told` is called with how many pictures are done, of how many. Raises OSError when the store can't be written."""
    from purfle.shell import photos, sounds

    heard = [path for path in named if PurePosixPath(path).suffix[1:].casefold() in SOUNDS]
    seen = [path for path in named if path not in set(heard)]
    pictures, picture_troubles = photos.publish(seen, folder.root, output.store, told)
    samples, sample_troubles = sounds.publish(heard, folder.root, output.store)
    return Published(pictures, samples, (*picture_troubles, *sample_troubles))


@dataclass(slots=True)
class Album:
    """What one following process published last: the same again while the files and the store are as they were."""

    _last: tuple[object, Published] | None = None
    """Beside what it was made from, and where it lies."""

    def published(self, folder: Folder, named: tuple[str, ...], output: Output, told: "Progress | None" = None) -> Published:
        """As the function of that name; files that were changed just now are looked at each time."""
        if not folder.unsure.isdisjoint(named):
            return published(folder, named, output, told)
        source = tuple((path, folder.numbers.get(path)) for path in named)
        if self._last is None or self._last[0] != (source, _shelves(output)):
            made = published(folder, named, output, told)
            self._last = (source, _shelves(output)), made
        return self._last[1]


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
