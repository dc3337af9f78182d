"""What is wrong with episodes, promises, credits, shots and bulletins.

Names that mean nothing are told when the notes are read; here is what takes the day or a build's work to see.
Cautions name the public rule behind them, and the shop's own law decides.
Invariant: reports, and mends nothing.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal

from purfle.base.place import Place
from purfle.base.trouble import Trouble, Wrong, listed, nearest
from purfle.notes.model import Body, Bulletin, Episode, Shop
from purfle.notes.records.build import Credit
from purfle.notes.records.show import Promise, Segment
from purfle.progress.model import Progress
from purfle.show.airing import has_aired, length_of, recorded_on
from purfle.show.consent import bar, lacks_consent
from purfle.show.gifts import RULE, covered, gifts_in, said
from purfle.show.promises import ANY, REVEAL
from purfle.show.route import fold, order_of
from purfle.show.taken import unconsented
from purfle.show.timelapse import factor

MOST_SEGMENTS = 30
"""More pieces than that in one episode are taken for a slip: common practice, no source."""
ADDRESS_OF_CONSENT = "a US example is California Civil Code 3344; your own law decides"


def faults_of(shop: Shop, progress: Mapping[str, Progress], today: date) -> tuple[Trouble, ...]:
    """Every trouble of the show, sorted."""
    found = [*_days_twice(shop), *_credits(shop), *_shots(shop), *_of_bulletins(shop, progress)]
    for episode in shop.episodes:
        found += [*_airing(shop, episode, today), *_running_time(shop, episode)]
        found += [t for promise in episode.sheet.promises for t in _promise(shop, progress, promise)]
        found += [t for segment in episode.sheet.segments for t in _consent(shop, progress, episode, segment, today)]
        found += _disclosures(shop, progress, episode, today)
    return tuple(sorted(set(found)))


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


def _airing(shop: Shop, episode: Episode, today: date) -> Iterator[Trouble]:
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


def _promise(shop: Shop, progress: Mapping[str, Progress], promise: Promise) -> Iterator[Trouble]:
    if promise.build is None and promise.words is None:
        yield Trouble(
            promise.at, "promise-loose", "the promise names no build and has no words", "add build: with the build's name, or words: with what was said"
        )
    build = shop.find(promise.build)
    if build is None or fold(promise.do) in (ANY, REVEAL, "") or promise.withdrawn:
        return
    names = _stage_names(shop, progress, build)
    if names and fold(promise.do) not in {fold(n) for n in names}:
        near = nearest(promise.do, names, 0.6)
        mend = f"write {near}" if near else f"write start, reveal or one of {listed(names, 12)}, or add withdrawn: with the day"
        yield Trouble(promise.where("do"), "promise-stage-unknown", f"the route of {build} has no stage “{promise.do}”", mend)


def _stage_names(shop: Shop, progress: Mapping[str, Progress], build: str) -> tuple[str, ...]:
    own = progress.get(build)
    written = {fold(s.stage.name): s.stage.name for s in own.stages} if own else {}
    for named in shop.settings.routes:
        for stage in named.value:
            written.setdefault(fold(stage.stage), stage.stage)
    return tuple(written.get(name, name) for name in order_of(shop, shop.build(build), own))


# --- consent and disclosure ------------------------------------------------------------------------------------------------


def _consent(shop: Shop, progress: Mapping[str, Progress], episode: Episode, segment: Segment, today: date) -> Iterator[Trouble]:
    id = shop.find(segment.build)
    if id is None:
        return
    build = shop.build(id)
    at = segment.where("build")
    if lacks_consent(build) and episode.sheet.showroom:
        yield Trouble(
            at,
            "segment-without-consent",
            f"{id} is a customer's, and they have not agreed that it is shown",
            f"ask them and write consent: {{show: yes}} on its sheet, or take the segment out ({ADDRESS_OF_CONSENT})",
        )
    elif (episode.sheet.showroom or not has_aired(episode, today)) and (why := bar(build, progress.get(id), max(episode.date, today))):
        yield Trouble(at, "segment-not-public", f"{id} may not be shown: {why}", f"take it out, or mend showroom: or consent: on {build.file}")


def _disclosures(shop: Shop, progress: Mapping[str, Progress], episode: Episode, today: date) -> Iterator[Trouble]:
    sheet = episode.sheet
    out = has_aired(episode, today) or (sheet.showroom and episode.date <= today)
    code = "disclosure-missing" if out else "disclosure-to-add"
    told = set()
    for segment in sheet.segments:
        id = shop.find(segment.build)
        if id is None:
            continue
        build = shop.build(id)
        for gift in gifts_in(build, order_of(shop, build, progress.get(id)), segment.stage, recorded_on(shop, episode)):
            if gift not in told and not covered(shop, gift, sheet.disclosures):
                told.add(gift)
                example = f"{{what: {gift.what} in {id}, how: {gift.how}" + (f", from: {gift.origin}}}" if gift.origin else "}")
                yield Trouble(
                    segment.where("build"),
                    code,
                    f"{said(gift)}, is in {id} and no disclosure says so",
                    f"say it on air and add {example} to disclosures: ({RULE})",
                )
    sponsors = [i for i in sheet.income if i.kind == "sponsorship"]
    if sponsors and not any(d.how == "sponsored" for d in sheet.disclosures):
        yield Trouble(
            sponsors[0].at,
            code,
            f"the episode is sponsored ({sponsors[0].what}) and no disclosure says so",
            f"say it on air and add {{what: this episode, how: sponsored}} to disclosures: ({RULE})",
        )


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


# --- shots and bulletins -----------------------------------------------------------------------------------------------------


def _shots(shop: Shop) -> Iterator[Trouble]:
    for note in shop.notes:
        for shot in note.sheet.shots:
            if unconsented(shot):
                yield Trouble(
                    shot.where("credit"),
                    "shot-without-consent",
                    f"“{shot.shot}” shows the work of {shot.credit}, who has not agreed",
                    f"ask, then write consent: yes on the shot, or take it out ({ADDRESS_OF_CONSENT})",
                )
            try:
                if shot.speed is not None:
                    factor(shot.speed, shop.settings.show.frame_rate)
            except Wrong as wrong:
                yield Trouble(shot.where("speed"), wrong.code, wrong.found, wrong.mend)


def _of_bulletins(shop: Shop, progress: Mapping[str, Progress]) -> Iterator[Trouble]:
    for bulletin in shop.bulletins:
        id = shop.find(bulletin.sheet.build)
        if id and (why := bar(shop.build(id), progress.get(id), bulletin.date)):
            yield Trouble(
                bulletin.sheet.where("build"),
                "segment-not-public",
                f"{id} may not be shown: {why}",
                "leave the bulletin out, or mend showroom: or consent: on the build's sheet",
            )
        yield from _too_long(shop, bulletin)


def _too_long(shop: Shop, bulletin: Bulletin) -> Iterator[Trouble]:
    outlet = bulletin.sheet.outlet
    limits = {fold(named.name): named for named in shop.settings.show.limits}
    if outlet is None or not limits:
        return
    place = limits.get(fold(outlet))
    if place is None:
        near = nearest(outlet, [named.name for named in limits.values()], 0.6)
        yield Trouble(
            bulletin.sheet.where("outlet"),
            "place-unknown",
            f"shop.md gives no limit for “{outlet}”",
            f"write {near}" if near else "add it to limits: under show: in shop.md",
        )
    elif (length := characters(bulletin.body)) > place.value:
        at = Place(bulletin.file, bulletin.body.first_line)
        yield Trouble(
            at,
            "bulletin-too-long",
            f"the text has {length} characters; {place.name} takes {place.value}",
            f"shorten it by {length - place.value}, or send it elsewhere",
        )


def characters(body: Body) -> int:
    """The length of a bulletin's text: its characters (code points) without the space around it."""
    return len(body.text.strip())
