"""Ideas for bulletins: stages finished of late, with a shot in the can, told nowhere yet.

Invariant: proposes only builds that may be shown.
"""

from collections.abc import Iterator
from datetime import date, timedelta

from purfle.base.names import folded
from purfle.notes.model import Body, Build, Shop
from purfle.progress.model import StageProgress
from purfle.show.airing import week_of
from purfle.show.consent import bar
from purfle.show.model import IN_THE_CAN, BulletinIdea
from purfle.show.ready import listed_shots
from purfle.show.scene import Scene

LATELY = timedelta(weeks=4)
"""How long a bulletin that went out is looked at: as long it stands in the office's list, and is told of what is wrong with it."""
_FRESH = timedelta(weeks=6)
"""How long a finished stage stays worth a bulletin: common practice, no source."""


def ideas(scene: Scene) -> tuple[BulletinIdea, ...]:
    """Stages worth a bulletin, the latest finished first; none for a shop that sends none."""
    if not sends_any(scene.shop):
        return ()
    found = [idea for build in scene.shop.builds if not bar(build, scene.progress[build.id], scene.today) for idea in _of_build(scene, build)]
    return tuple(sorted(found, key=lambda i: (-i.finished.toordinal(), i.build, i.stage)))


def _of_build(scene: Scene, build: Build) -> Iterator[BulletinIdea]:
    for stage in scene.progress[build.id].stages:
        finished = scene.finished(stage)
        shots = tuple(s.shot for s in scene.shots_for(build.id, stage.stage.name) if s.status == IN_THE_CAN)
        if finished and shots and scene.today - _FRESH <= finished <= scene.today and not _told(scene, build, stage, finished):
            yield BulletinIdea(build.id, stage.stage.name, finished, f"finished on {finished.isoformat()}; in the can: {listed_shots(shots)}")


def _told(scene: Scene, build: Build, stage: StageProgress, finished: date) -> bool:
    """Whether a bulletin or an episode has told of this pass of the stage."""
    name, begun = folded(stage.stage.name), stage.current.begun or finished
    if any(folded(p.stage or "") == name and p.airs >= begun for p in scene.shown_of(build.id)):
        return True
    return any(scene.shop.find(b.sheet.build) == build.id and folded(b.sheet.stage or "") == name and b.date >= begun for b in scene.shop.bulletins)


def left_this_week(shop: Shop, today: date) -> int:
    """How many bulletins the week (Monday to Sunday, ISO 8601) of `today` still wants."""
    out = sum(week_of(bulletin.date) == week_of(today) for bulletin in shop.bulletins)
    return max(shop.settings.show.bulletins - out, 0) if sends_any(shop) else 0


def sends_any(shop: Shop) -> bool:
    """Whether bulletins are a habit of the shop: it makes a show, or one was written."""
    return shop.makes_show or bool(shop.bulletins)


def characters(body: Body) -> int:
    """The length of a bulletin's text: its characters (code points) without the space around it."""
    return len(body.text.strip())
