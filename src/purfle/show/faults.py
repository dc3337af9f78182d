"""What is wrong with episodes, promises, credits, shots and bulletins.

Names that mean nothing are told when the notes are read; here is what takes the day or a build's work to see.
Cautions name the public rule behind them, and the shop's own law decides.
Invariant: reports, and mends nothing.
"""

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from purfle.base.names import folded
from purfle.base.near import misspelt_for, nearest_first
from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong, listed
from purfle.notes.model import Episode, Shop
from purfle.notes.records.build import Credit
from purfle.notes.records.show import BulletinSheet, Promise, Segment
from purfle.progress.states import ENDED
from purfle.show.airing import has_aired, length_of
from purfle.show.anothers_work import anothers_work
from purfle.show.bulletin_faults import bulletin_faults
from purfle.show.consent import ADDRESS_OF_CONSENT, ASK, bar, bar_of_sheet, has_refused, how_to_show, lacks_consent, unagreed
from purfle.show.disclosure_faults import disclosure_faults
from purfle.show.episode_text import UNNAMED
from purfle.show.near_shots import near_shots
from purfle.show.promises import ANY, REVEAL, stage_of
from purfle.show.scene import Scene
from purfle.show.timelapse import factor

MOST_SEGMENTS = 30
"""More pieces than that in one episode are taken for a slip: common practice, no source."""


def faults_of(scene: Scene) -> tuple[Trouble, ...]:
    """Every trouble of the show, sorted."""
    shop, settled = scene.shop, {promise.at for promise in scene.promises if not promise.unmet}
    found = [*_days_twice(shop), *_credits(shop), *_speeds(shop), *near_shots(scene)]
    found += [*anothers_work(scene), *bulletin_faults(scene), *disclosure_faults(scene)]
    for episode in shop.episodes:
        found += [*_airing(episode, scene.today), *_running_time(shop, episode)]
        found += [t for promise in episode.sheet.promises for t in (*_promise(scene, promise, promise.at in settled), *_out_of_time(episode, promise))]
        found += [t for segment in episode.sheet.segments for t in _consent(scene, episode, segment)]
    return tuple(sorted({*found, *_unshown(scene, found)}))


def _top(episode: Episode) -> Place:
    return Place(episode.file, 1)


# --- days and length -----------------------------------------------------------------------------------------------------


def _days_twice(shop: Shop) -> Iterator[Trouble]:
    seen: dict[date, Episode] = {}
    for episode in shop.episodes:
        first = seen.setdefault(episode.date, episode)
        if first is not episode:
            yield Trouble(
                _top(episode),
                "episode-day-twice",
                f"{first.file} airs on {episode.date.isoformat()} too",
                "give one of the two another day, or make them one episode",
            )


def _airing(episode: Episode, today: date) -> Iterator[Trouble]:
    sheet, day = episode.sheet, episode.date.isoformat()
    if sheet.recorded and sheet.recorded > episode.date:
        yield Trouble(
            sheet.where("recorded"),
            "episode-recorded-late",
            f"recorded on {sheet.recorded.isoformat()}, after it airs on {day}",
            "mend the day of recording, or the day in the file's name",
        )
    if episode.date < today and not has_aired(episode, today):
        yield Trouble(
            _top(episode),
            "episode-not-aired",
            f"its day, {day}, is past and nothing says that it aired",
            "write aired: yes or its link, or move the file to the day it will air",
        )
    if sheet.showroom and episode.date <= today and folded(sheet.title) == UNNAMED:
        yield Trouble(sheet.where("title"), "episode-unnamed", f"it appears in the showroom as “{sheet.title}”", "write its title")
    if episode.date > today and (sheet.aired or sheet.link):
        at = sheet.where("aired" if sheet.aired else "link")
        yield Trouble(
            at, "episode-aired-early", f"it is said to have aired, and its day is {day}", "mend the day in the file's name, or take this out until then"
        )


def _running_time(shop: Shop, episode: Episode) -> Iterator[Trouble]:
    sheet = episode.sheet
    total = sum((s.minutes for s in sheet.segments if s.minutes is not None), Decimal(0))
    length = length_of(shop, episode)
    if total > length:
        yield Trouble(
            sheet.where("segments"),
            "episode-over-length",
            f"its segments take {total.normalize():f} min and it has {length.normalize():f}",
            "shorten or drop a segment, or mend its minutes",
        )
    if len(sheet.segments) > MOST_SEGMENTS:
        yield Trouble(
            sheet.where("segments"),
            "episode-crowded",
            f"it has {len(sheet.segments)} segments; up to {MOST_SEGMENTS} are expected",
            "join those that belong together, or move some to another episode",
        )


# --- promises ------------------------------------------------------------------------------------------------------------


def _promise(scene: Scene, promise: Promise, settled: bool) -> Iterator[Trouble]:
    if promise.build is None and promise.words is None:
        yield Trouble(
            promise.at, "promise-loose", "the promise names no build and has no words", "add build: with the build's name, or words: with what was said"
        )
    build = scene.shop.find(promise.build)
    if build is None or promise.withdrawn:
        return
    own = scene.progress[build]
    if not settled and own.state in ENDED:
        yield Trouble(
            promise.where("build"),
            "promise-build-ended",
            f"{build} was {own.state} on {own.closed_on}, and this was promised of it",
            "tell the audience and add withdrawn: with the day",
        )
        return
    if folded(promise.do) in (ANY, REVEAL, ""):
        return
    names = _stage_names(scene, build)
    if names and folded(promise.do) not in {folded(n) for n in names}:
        kept = [name for name in names if scene.progress[build].stage(name) is not None] or names  # one that is left out could not keep it
        near = misspelt_for(promise.do, kept)
        mend = f"write {near}" if near else f"write start, reveal or one of {listed(nearest_first(promise.do, kept), 12)}, or add withdrawn: with the day"
        yield Trouble(promise.where("do"), "promise-stage-unknown", f"the route of {build} has no stage “{promise.do}”", mend)
    elif names and not settled:
        yield from _skipped(scene, promise, build)


def _skipped(scene: Scene, promise: Promise, id: str) -> Iterator[Trouble]:
    """Tell a promise of a stage that the build leaves out: only a stage that follows it can keep it, and there may be none."""
    own = scene.progress[id]
    if not own.stages or own.stage(promise.do) is not None:
        return
    instead = stage_of(scene.orders[id], own, promise.do)
    if instead is None:
        mend = "put the stage back on its sheet, or tell the audience and add withdrawn: with the day"
        yield Trouble(
            promise.where("do"), "promise-stage-skipped", f"{id} leaves out {promise.do}, and no stage of its own follows it to keep the promise", mend
        )
    else:
        mend = f"write do: {instead} if that is what you will show, or tell the audience and add withdrawn: with the day"
        yield Trouble(promise.where("do"), "promise-stage-skipped", f"{id} leaves out {promise.do}; its {instead} would keep the promise", mend)


def _out_of_time(episode: Episode, promise: Promise) -> Iterator[Trouble]:
    said = episode.date.isoformat()
    if promise.by is not None and promise.by <= episode.date:
        found = f"the promise is due on {promise.by.isoformat()} and was said on {said}; only a later episode can keep it"
        yield Trouble(promise.where("by"), "promise-out-of-time", found, "mend the day, or leave it out for a promise without one")
    taken = promise.withdrawn
    if taken is not None and taken.date < episode.date:
        found = f"the promise is taken back on {taken.date.isoformat()}, before it was said on {said}"
        yield Trouble(taken.where("date"), "promise-out-of-time", found, "mend the day it was taken back")


def _stage_names(scene: Scene, build: str) -> tuple[str, ...]:
    """The stages of a build's whole route, as they are written."""
    written = {folded(s.stage.name): s.stage.name for s in scene.progress[build].stages}
    for named in scene.shop.settings.routes:
        for stage in named.value:
            written.setdefault(folded(stage.stage), stage.stage)
    return tuple(written.get(name, name) for name in scene.orders[build])


# --- consent ------------------------------------------------------------------------------------------------


def _unshown(scene: Scene, found: Iterable[Trouble]) -> Iterator[Trouble]:
    """Tell of a customer's build that only a missing consent keeps off the showroom: of none to which they said no, nor where a segment or bulletin is `found` to lack it."""
    shop, barred = scene.shop, {trouble.place for trouble in found if trouble.code.startswith("segment-")}
    pieces: list[Segment | BulletinSheet] = [s for e in shop.episodes for s in e.sheet.segments]
    pieces += [bulletin.sheet for bulletin in shop.bulletins]
    told = {shop.find(piece.build) for piece in pieces if piece.build and piece.where("build") in barred}
    for build in shop.builds:
        if build.id not in told and lacks_consent(build) and not has_refused(build) and bar_of_sheet(build, scene.progress[build.id], scene.today) is None:
            yield Trouble(
                build.sheet.where("showroom"),
                "showing-without-consent",
                f"{unagreed(build)}, so it stays off the showroom",
                f"{ASK}, or showroom: no ({ADDRESS_OF_CONSENT})",
            )


def _consent(scene: Scene, episode: Episode, segment: Segment) -> Iterator[Trouble]:
    id = scene.shop.find(segment.build)
    if id is None:
        return
    build, at, today = scene.shop.build(id), segment.where("build"), scene.today
    if lacks_consent(build) and episode.sheet.showroom:
        yield Trouble(
            at,
            "segment-without-consent",
            unagreed(build),
            f"{ASK} on its sheet, or take the segment out ({ADDRESS_OF_CONSENT})",
        )
    elif (lacks_consent(build) or episode.sheet.showroom or not has_aired(episode, today)) and (
        why := bar(build, scene.progress[id], max(episode.date, today))
    ):
        yield Trouble(at, "segment-not-public", f"{id} may not be shown: {why}", f"take it out, or {how_to_show(build)}")


def _credits(shop: Shop) -> Iterator[Trouble]:
    credits = [*(c for b in shop.builds for c in b.sheet.credits), *(c for e in shop.episodes for c in e.sheet.credits)]
    yield from (_unagreed(credit) for credit in credits if not credit.consent)


def _unagreed(credit: Credit) -> Trouble:
    return Trouble(
        credit.where("consent") if credit.wrote("consent") else credit.where("name"),
        "credit-without-consent",
        f"{credit.name} has not agreed to be named, so the credit does not appear",
        f"ask, then write consent: yes, or take it out ({ADDRESS_OF_CONSENT})",
    )


# --- shots ------------------------------------------------------------------------------------------------


def _speeds(shop: Shop) -> Iterator[Trouble]:
    for shot, speed in ((s, s.speed) for note in shop.notes for s in note.sheet.shots if s.speed is not None):
        try:
            factor(speed, shop.settings.show.frame_rate)
        except Wrong as wrong:
            yield Trouble(shot.where("speed"), wrong.code, wrong.found, wrong.mend)
