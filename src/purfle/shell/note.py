"""Makes today's bench note on a build.

Invariant: never writes over a note that is there, and never outside the build's folder.
"""

import os
import shlex
import subprocess
from datetime import date
from pathlib import Path

from purfle.base.near import nearest
from purfle.shell.anew import notes_of, write_new

BLANK = """\
---
stage:
hours:
# finished: yes
# used: [{item: clear lacquer, qty: 0.5}]
# shots: [spray]
---
"""


class Unknown(Exception):
    """There is no such build; carries the near name."""

    def __init__(self, name: str, near: str | None) -> None:
        super().__init__(f"there is no build {name}")
        self.near = near


def build_folder(shop: Path, name: str) -> Path:
    """The folder of the build called `name`, case ignored. Raises `Unknown`.

    Only names that stand in builds/ count, so a name can't climb out of it.
    """
    top = shop / "builds"
    folders = [entry for entry in os.scandir(top) if entry.is_dir(follow_symlinks=False)] if top.is_dir() and not top.is_symlink() else []
    by_name = {entry.name.casefold(): entry.name for entry in folders if not entry.name.startswith(".")}
    found = by_name.get(name.casefold())
    if found is None:
        near = nearest(name, by_name.values())
        raise Unknown(name, near)
    return top / found


def make_note(folder: Path, today: date) -> tuple[Path, bool]:
    """Today's note in a build's folder, and whether it is new; a note of today that is there already is the one. Raises OSError when it can't be written."""
    there = [path for path in notes_of(folder, today.isoformat()) if path.is_file() and not path.is_symlink()]
    if there:
        return there[0], False
    path = folder / f"{today.isoformat()}.md"
    write_new(path, BLANK)
    return path, True


def editor() -> list[str] | None:
    """The owner's editor as a command, from VISUAL or EDITOR; None when neither says. Raises ValueError for a quote that is never closed."""
    said = os.environ.get("VISUAL") or os.environ.get("EDITOR")
    return shlex.split(said) if said and said.strip() else None


def open_note(path: Path, command: list[str]) -> int:
    """Open the note and wait; the editor's exit status. Raises OSError when it can't be run."""
    return subprocess.run([*command, str(path)], check=False).returncode
