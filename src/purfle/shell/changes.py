"""What changed in a shop since the last `purfle compile` that made both sites: notes, templates and pictures by name, the day, purfle itself.

It is kept in `out/.store/compiled.json`, by name, with what tells one state from another.
Invariant: only told; nothing is decided by it, and no note's words are kept.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from purfle.shell import plain
from purfle.shell.folder import TEMPLATES, Folder
from purfle.shell.stamps import code_stamp
from purfle.shell.store import write_whole

_MOST_TOLD = 40
Inputs = Mapping[str, str]
"""What a compile depends on, each with what tells one state of it from another."""


def inputs_of(folder: Folder, today: date) -> Inputs:
    """What a compile of this folder on a day depends on."""
    templates = {f"{TEMPLATES}/{path}": data for path, data in folder.overrides.items()}
    texts = {path: _digest(data) for path, data in (*folder.files.items(), *templates.items())}
    return {**texts, **{path: str(number) for path, number in folder.numbers.items()}, "the day": str(today), "purfle itself": _digest(code_stamp())}


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]


def recalled(store: Path) -> Inputs | None:
    """What the last compile depended on, None when it is not known."""
    try:
        return {name: plain.text(state) for name, state in plain.mapping(plain.read(store / "compiled.json")).items()}
    except (OSError, ValueError):
        return None


def keep(store: Path, inputs: Inputs) -> None:
    """Keep what a compile depended on, for the next one to tell what changed. Raises OSError."""
    write_whole(store / "compiled.json", json.dumps(inputs).encode())


def told(before: Inputs | None, now: Inputs) -> Iterator[str]:
    """A line for each thing that changed."""
    if before is None:
        yield "the last compile is not known"
        return
    changed = sorted(name for name in before.keys() | now.keys() if before.get(name) != now.get(name))
    if not changed:
        yield "nothing changed since the last compile"
    for name in changed[:_MOST_TOLD]:
        yield f"{name}: {'new' if name not in before else 'gone' if name not in now else 'changed'} since the last compile"
    if len(changed) > _MOST_TOLD:
        yield f"and {len(changed) - _MOST_TOLD} more"
