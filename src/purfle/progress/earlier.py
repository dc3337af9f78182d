"""How far the builds had come on earlier days, for looking back at many of them.

A build's work is told along its route again only when a note of it has come since the day asked for before.
Invariant: the same as `progress_of` of the notes up to that day, for the builds there were by then; troubles are told of today alone.
"""

from bisect import bisect_right
from collections.abc import Iterable
from datetime import date

from purfle.base.trouble import Troubles
from purfle.notes.model import Build, Shop
from purfle.progress.model import Progress, RouteStage
from purfle.progress.routes import route_of
from purfle.progress.standing import Done, arrived_on, bundled_of, came_in, done_of, handed_in, standing, work_by_build


class Earlier:
    """A shop's progress on any day up to the last one."""

    def __init__(self, shop: Shop, events: Iterable[object], last: date) -> None:
        """Take the events up to and on `last`."""
        self._shop = shop
        self._work = work_by_build(events, last)
        self._days = {id: [event.date for event in work] for id, work in self._work.items()}
        self._bundled = bundled_of(shop)
        handed = handed_in(shop)
        self._came_in = {build.id: came_in(shop, build, handed) for build in shop.builds}
        self._routes: dict[str, tuple[RouteStage, ...]] = {}
        self._done: dict[str, tuple[tuple[RouteStage, ...], int, Done]] = {}

    def on(self, day: date) -> dict[str, Progress]:
        """Progress by id of the builds that had come in by then."""
        return {build.id: self._standing(build, day) for build in self._shop.builds if self._there(build, day)}

    def _there(self, build: Build, day: date) -> bool:
        came = self._came_in[build.id]
        return came is not None and came <= day

    def _standing(self, build: Build, day: date) -> Progress:
        route, count = self._route(build, day), bisect_right(self._days.get(build.id, ()), day)
        known = self._done.get(build.id)
        if known is None or known[:2] != (route, count) or any(stage.rests for stage in route):  # what rests goes on without a note
            known = self._done[build.id] = (
                route,
                count,
                done_of(route, self._work[build.id][:count], arrived_on(build) or self._came_in[build.id], day, Troubles()),
            )
        return standing(build, known[2], self._bundled[build.id], self._came_in[build.id], day)

    def _route(self, build: Build, day: date) -> tuple[RouteStage, ...]:
        """The build's route, which only the warmth of the room changes from day to day."""
        known = self._routes.get(build.id)
        if known is None or any(stage.warmth for stage in known):
            known = self._routes[build.id] = route_of(self._shop, build, Troubles(), day)
        return known
