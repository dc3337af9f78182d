"""Writes a lined-up episode into the journal.

Invariant: never writes over a file that is there.
"""

from pathlib import Path

from purfle.shell.anew import notes_of, write_new
from purfle.show.episode_text import episode_path, episode_text
from purfle.show.model import LineUpEpisode


class AlreadyThere(Exception):
    """The journal has an episode of that day."""


def keep_episode(root: Path, episode: LineUpEpisode) -> Path:
    """The new file of an episode as it is lined up. Raises `AlreadyThere`, or OSError."""
    path = root / episode_path(episode.airs)
    for folder in (path.parent.parent, path.parent):
        if folder.is_symlink():
            raise OSError(f"{folder.relative_to(root)} is a symbolic link, and no link is followed")
    there = notes_of(path.parent, path.stem)
    if there:
        raise AlreadyThere(f"{there[0].relative_to(root)} is there already")
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        write_new(path, episode_text(episode))
    except FileExistsError:
        raise AlreadyThere(f"{path.relative_to(root)} is there already") from None
    return path
