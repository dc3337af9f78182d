"""The line-up: what the coming episodes should show, and why each piece is in or out.

Ready promises come first, the most pressing before the rest; then a reveal every so many weeks if one can be ready;
then screen time, a reveal's minute counting more than a step's and a step's more than a look back's, by likelihood.
A build rests after some weeks in a row without having moved on, unless the episode would have nothing else.
An episode whose file already names its segments is repeated as written.
Invariant: only what is ready and may be shown is proposed; the choice itself is made in `solve`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from purfle.notes.records.show import Piece
from purfle.show.airing import Slot, slots, week_of
from purfle.show.candidates import Candidate, Offer, candidates_of, judge
from purfle.show.gifts import gifts_in, said
from purfle.show.minutes import usual_minutes
from purfle.show.model import NO, LeftOut, LineUpEpisode, LineUpSegment, PromiseState
from purfle.show.outside import Choice, could_fill, why_out
from purfle.show.problem import Option, Problem, Streak
from purfle.show.scene import Scene
from purfle.show.solve import solve_filled
from purfle.show.steady import steadied
from purfle.show.written import as_written

_WEEK = timedelta(weeks=1)
_PER_MINUTE: dict[Piece, int] = {"reveal": 5, "progress": 3, "update": 2, "look back": 1}
_PER_WEEK_UNSEEN = 20
_PER_STAGE = 15
"""A build long unseen, and the furthest of its stages, tip the scale between pieces of like length."""
_ROOM_FOR_TALK = Decimal(5)
_NOTHING_ELSE = "on more weeks in a row than the shop allows, because nothing else is ready"


def line_up(scene: Scene, weeks: int) -> tuple[LineUpEpisode, ...]:
    """The next `weeks` episodes that can still be recorded, each with its pieces and what was left out."""
    coming = slots(scene.shop, scene.today, weeks)
    if not coming:
        return ()
    usual = usual_minutes(scene.shop, scene.today)
    found = candidates_of(scene, coming[0], usual)
    open_ = tuple(slot for slot in coming if not (slot.written and slot.written.sheet.segments))
    offers = [offer for w, slot in enumerate(open_) for offer in _offers(scene, found, w, slot)]
    ready = sorted((offer for offer in offers if offer.verdict.ready != NO), key=lambda offer: (offer.week, _last_on(scene, offer)))
    asked = problem_of(scene, open_, ready, usual["talk"])
    problem, solution = solve_filled(asked)
    choice = Choice([ready[i] for i in steadied(problem, solution.chosen)], asked)
    proposed = [replace(_episode(scene, slot, w, offers, choice, usual["talk"]), proved=solution.proved) for w, slot in enumerate(open_)]
    written = [as_written(scene, slot, found, usual) for slot in coming if slot not in open_]
    return tuple(sorted([*proposed, *written], key=lambda e: e.airs))


def _offers(scene: Scene, found: Sequence[Candidate], week: int, slot: Slot) -> list[Offer]:
    """The candidates as they stand for one episode; of a build with a stage that can be shown no look back or update is one."""
    offers = [Offer(week, c, judge(scene, c, slot)) for c in found]
    news = {o.candidate.build.id for o in offers if o.candidate.stage is not None and o.verdict.ready != NO}
    return [o for o in offers if o.candidate.stage is not None or o.candidate.build.id not in news]


def _last_on(scene: Scene, offer: Offer) -> date:
    """The day its build was last on air: of like pieces the one longest unseen is chosen."""
    return scene.last_on(offer.candidate.build.id) or date.min


# --- the sum ---------------------------------------------------------------------------------------------------------


def problem_of(scene: Scene, open_: Sequence[Slot], ready: Sequence[Offer], talk: Decimal) -> Problem:
    """The choice as a sum: `ready` become its options, in the same order."""
    room = tuple(int((max(slot.length - _talk(slot, talk), Decimal(0)) * 100).to_integral_value(ROUND_FLOOR)) for slot in open_)
    options = tuple(_option(scene, offer, open_) for offer in ready)
    rewards = tuple(tuple(_reward(promise, open_, week) for week in range(len(open_))) for promise in scene.promises)
    return Problem(room, options, rewards, tuple(_streaks(scene, open_, options)), tuple(_reveals(scene, open_, options)))


def _talk(slot: Slot, usual: Decimal) -> Decimal:
    """Minutes kept for saying what comes next week: the usual ones, at most a quarter of the episode."""
    return min(usual, slot.length / 4) if slot.length >= _ROOM_FOR_TALK else Decimal(0)


def _option(scene: Scene, offer: Offer, open_: Sequence[Slot]) -> Option:
    c = offer.candidate
    units = int((c.minutes * 100).to_integral_value(ROUND_CEILING))
    fresh = _PER_WEEK_UNSEEN * _weeks_unseen(scene, c.build.id, open_[0]) + _PER_STAGE * max(c.position, 0)
    value = _PER_MINUTE[c.what] * units * _news(scene, c, open_[offer.week]) // 100 + fresh
    points = value * int(offer.verdict.chance * 100) * (100 - offer.week) // 10_000
    return Option(offer.week, c.build.id, c.position, units, max(points, 1), c.keeps, c.what == "reveal", c.stage is None, c.leaves)


def _news(scene: Scene, candidate: Candidate, slot: Slot) -> int:
    """How much of its worth, in percent, a step still has: all for three weeks, then less. A reveal keeps all of it."""
    finished = scene.finished(candidate.stage) if candidate.stage else None
    if finished is None or candidate.what == "reveal":
        return 100
    days = (slot.records - finished).days
    return 100 if days <= 21 else 60 if days <= 56 else 30


def _weeks_unseen(scene: Scene, build: str, slot: Slot) -> int:
    """Weeks since the build was last on, at most six; six when it never was.

    Asked of the first episode alone: were it more in a later one, what is ready would be put off from week to week.
    """
    last = max((p.airs for p in scene.shown_of(build) if p.airs < slot.airs), default=None)
    return 6 if last is None else min((slot.airs - last).days // 7, 6)


def _reward(promise: PromiseState, open_: Sequence[Slot], week: int) -> int:
    """What keeping a promise in that episode is worth: most when it is pressing, and when it is still in time."""
    airs = open_[week].airs
    if airs <= promise.episode:
        return 0
    if promise.due is None or promise.due > open_[-1].airs:
        return 5
    return 20 if airs <= promise.due else max(16 - week, 6)


def _streaks(scene: Scene, open_: Sequence[Slot], options: Sequence[Option]) -> Iterator[Streak]:
    """For each build and episode it could be in without having moved on: not also in all the weeks just before."""
    most = scene.shop.settings.show.weeks_in_a_row
    weeks = {week_of(slot.airs): w for w, slot in enumerate(open_)}
    on_air = {(p.build, week_of(p.airs)) for p in scene.shown}
    for build, week in dict.fromkeys((o.build, o.week) for o in options):
        before = [week_of(open_[week].airs) - k * _WEEK for k in range(1, most + 1)]
        past = sum((build, day) in on_air for day in before)
        inside = tuple(weeks[day] for day in before if day in weeks)
        if past + len(inside) >= most and not _moved_on(scene, build, open_[week]):
            yield Streak(build, (*inside, week), most - past)


def _moved_on(scene: Scene, build: str, slot: Slot) -> bool:
    """Whether a stage of the build is finished (or is with the asked likelihood) in the week before the slot's cut-off."""
    week_before = slot.cut_off - _WEEK
    for stage in scene.progress[build].stages:
        finished = scene.finished(stage)
        if finished is not None:
            if week_before < finished <= slot.cut_off:
                return True
        elif scene.plan.chance(build, stage.stage.name, week_before) < scene.asked <= scene.plan.chance(build, stage.stage.name, slot.cut_off):
            return True
    return False


def _reveals(scene: Scene, open_: Sequence[Slot], options: Sequence[Option]) -> Iterator[tuple[int, ...]]:
    """Stretches of weeks that lack a reveal so far and could have one."""
    show = scene.shop.settings.show
    weeks = {week_of(slot.airs): w for w, slot in enumerate(open_)}
    had = {week_of(p.airs) for p in scene.shown if p.what == "reveal"}
    began = min((week_of(p.airs) for p in scene.shown), default=None)
    possible = {o.week for o in options if o.reveal}
    for slot in open_:
        stretch = [week_of(slot.airs) - k * _WEEK for k in range(show.reveal_every)]
        inside = tuple(sorted(weeks[day] for day in stretch if day in weeks))
        begun = stretch and (stretch[-1] in weeks or (began is not None and stretch[-1] >= began))
        if begun and not had & set(stretch) and possible & set(inside):
            yield inside


# --- telling ---------------------------------------------------------------------------------------------------------


def _episode(scene: Scene, slot: Slot, week: int, offers: Sequence[Offer], choice: Choice, talk: Decimal) -> LineUpEpisode:
    here = choice.of_week.get(week, ())
    inside = sorted(here, key=lambda o: (o.candidate.what == "reveal", o.candidate.stage is None, not o.candidate.keeps, o.candidate.build.id))
    kept = {n for o in choice.chosen if o.week < week for n in o.candidate.keeps}
    segments = [_segment(scene, offer, slot, kept, over=choice.is_over(offer)) for offer in inside]
    if closing := _talk(slot, talk):
        segments.append(LineUpSegment(None, None, "talk", closing, Decimal(1), "what comes next week"))
    left = [
        LeftOut(o.candidate.build.id, o.candidate.name, why, o.candidate.what, could_fill(scene, slot, o, offers, choice), bool(o.candidate.keeps))
        for o, why in why_out(scene, slot, week, offers, choice)
    ]
    return LineUpEpisode(slot.airs, slot.records, slot.length, tuple(segments), tuple(left))


def _segment(scene: Scene, offer: Offer, slot: Slot, kept: set[int], *, over: bool) -> LineUpSegment:
    c = offer.candidate
    gifts = gifts_in(scene.given, c.build.id, scene.orders[c.build.id], c.name, None)
    promised = [f"keeps the promise of {scene.promises[n].episode.isoformat()}" for n in c.keeps if n not in kept and scene.promises[n].episode < slot.airs]
    disclosed = [f"say on air: {said(gift)}" for gift in gifts]
    lonely = [_NOTHING_ELSE] if over else []
    why = "; ".join([*dict.fromkeys(promised), offer.verdict.why, *lonely, *disclosed])
    return LineUpSegment(c.build.id, c.name, c.what, c.minutes, offer.verdict.chance, why, gifts, offer.verdict.shots)
