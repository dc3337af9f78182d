"""What a following process remembers of what it wrote, so that a save costs what it changes and not what the site is large.

Of each site it keeps the stamp and the bytes, and the site before it as a twin under `out/.store/twins`: brought up to date by the few files that
differ, the twin is what the next swap puts in place. Both are looked at before they are trusted; what is not as it was left is
compared and built as by a first compile. The twin's files are other names of the site's own: they are taken away and made anew, never written into.
Invariant: nothing here touches a site that stands under its name.
"""

import contextlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from purfle.shell.output import make_folder
from purfle.shell.published import Album
from purfle.shell.stamps import stamp_of


@dataclass(frozen=True, slots=True)
class Left:
    """A site as it was left."""

    files: Mapping[str, bytes]
    made: frozenset[str]
    """Paths of files of the store, which are named by their content."""
    stamp: bytes
    twin: bytes = b""
    """The stamp of the twin; empty when there is none."""
    behind: frozenset[str] = frozenset()
    """Paths in which the twin is not as the site."""

    def paths(self) -> frozenset[str]:
        """Every file of the site."""
        return self.made.union(self.files)


@dataclass(slots=True)
class Memory:
    """What one following process wrote."""

    sites: dict[str, Left] = field(default_factory=dict)
    """By name."""
    album: Album = field(default_factory=Album)

    def known(self, site: Path) -> Left | None:
        """How a site was left, if it still stands so."""
        left = self.sites.get(site.name)
        return left if left is not None and left.stamp == looked_at(site) else None


def looked_at(folder: Path) -> bytes:
    """The stamp of a folder and all in it."""
    return stamp_of(str(folder.parent), (folder.name,)).seen


def renew(
    twin: Path, site: Path, left: Left, gone: Iterable[str], changed: Iterable[str], put: Callable[[str], None], link: Callable[[Path, Path], None]
) -> None:
    """Make a twin hold what the new site is to hold: what has `changed` is put there, what is `gone` is not, and else it is as the site."""
    changed, gone = frozenset(changed), frozenset(gone)
    for path in left.behind | changed | gone:
        _take_away(twin, path)
    for path in left.behind - changed - gone:
        if path in left.paths():
            make_folder((twin / path).parent, twin)
            link(site / path, twin / path)
    for path in changed:
        make_folder((twin / path).parent, twin)
        put(path)


def _take_away(twin: Path, path: str) -> None:
    """A file of the twin with the folders that it leaves empty."""
    with contextlib.suppress(FileNotFoundError, NotADirectoryError):
        (twin / path).unlink()
        for folder in (twin / path).parents:
            if folder == twin or any(folder.iterdir()):
                return
            folder.rmdir()
