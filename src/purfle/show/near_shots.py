"""Shots that are noted under a name which is nearly, or more than, that of a wanted one: the wanted one would pass for not taken.

A shot may have any name; told is only what leaves a wanted one nowhere in the can.
Invariant: reports, and takes no near name for the name.
"""

from collections.abc import Iterator, Sequence
from datetime import date

from purfle.base import meant
from purfle.base.names import folded
from purfle.base.near import nearest
from purfle.base.trouble import Trouble
from purfle.notes.records.note import ShotTaken
from purfle.show.scene import Scene
from purfle.show.taken import Taken

_LIKE = 0.75
"""How like a wanted name must be."""


def near_shots(scene: Scene) -> Iterator[Trouble]:
    """A warning for each shot that hides a wanted one."""
    for note in scene.shop.notes:
        for shot in note.sheet.shots if note.date <= scene.today else ():
            build = (scene.shop.find(shot.build) if shot.build else note.build) or ""
            wanted = [want.shot for stage in scene.progress[build].stages for want in stage.stage.shots] if build else []
            if mend := _meant(shot, note.date, wanted, scene.taken.get(build, ())):
                found = f"“{shot.shot}” is not the name of a shot that {build} wants, so the one it wants counts as not taken"
                yield Trouble(shot.where("shot"), "shot-near", found, f"{mend}, or leave it if it is another shot")


def _meant(shot: ShotTaken, day: date, wanted: list[str], taken: Sequence[Taken]) -> str:
    if any(_same(shot.shot, want, day) for want in wanted):
        return ""
    missing = [want for want in wanted if not any(item.shows(want) for item in taken)]
    parts = [next((want for want in wanted if _same(part, want, day)), part) for part in meant.several(shot.shot)]
    if len(parts) > 1 and set(parts) & set(missing):
        return f"write [{', '.join(parts)}]"
    near = nearest(shot.shot, missing, _LIKE)
    return f"write {near}" if near else ""


def _same(name: str, wanted: str, day: date) -> bool:
    return Taken(day, (), folded(name)).shows(wanted)
