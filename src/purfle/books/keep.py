"""Keeping the books: each event is written up by the function for its kind, in the order of the stream.

Invariant: the stream is walked once; nothing here looks a build up by searching.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from decimal import Decimal, localcontext
from operator import itemgetter
from typing import Any

from purfle.base.money import DIGITS, ZERO
from purfle.base.names import folded
from purfle.base.trouble import Trouble
from purfle.books import bin, cash, commissions, ends, purchases, returns, sales
from purfle.books.checks import check_homes, check_left_planned
from purfle.books.closed import check_closed
from purfle.books.desk import BooksDesk, new_desk
from purfle.books.jobs import Job
from purfle.books.model import Books, Facts
from purfle.books.ready import ready_for_a_buyer
from purfle.books.sold_twice import check_sold_twice
from purfle.books.standing_twice import check_standing_twice
from purfle.events import Event, money
from purfle.events.work import Work, Worked
from purfle.notes.model import Note, Shop
from purfle.progress.model import Progress

_WRITE_UP: dict[type, Callable[[BooksDesk, Any], None]] = {
    money.PaidAhead: purchases.paid_ahead,
    money.GoodsHere: purchases.goods_here,
    money.CameIn: purchases.came_in,
    money.GiftedPart: purchases.gifted_part,
    money.SentBack: purchases.sent_back,
    money.UsedUp: bin.used_up,
    money.SalvagedPart: bin.salvaged,
    money.PartMoved: bin.part_moved,
    money.WroteOff: bin.wrote_off,
    money.TookOut: bin.took_out,
    money.StockSold: bin.stock_sold,
    money.StockCameBack: returns.stock_came_back,
    money.StockCounted: bin.counted,
    money.BuildSold: sales.build_sold,
    money.CameBack: returns.came_back,
    money.CameBackAtOnce: returns.came_back,
    money.HandedBack: returns.came_back,
    money.HandedOver: commissions.handed_over,
    money.AgreedLate: commissions.agreed_late,
    money.MoneyIn: cash.money_in,
    money.MoneyOut: cash.money_out,
    money.StandingDue: cash.standing_due,
    money.EpisodeIncome: cash.episode_income,
    money.Drive: cash.drove,
    money.CameToEnd: ends.came_to_end,
    money.Kept: ends.kept,
    money.BroughtIn: ends.brought_in,
}


def keep(shop: Shop, events: Iterable[Event], progress: Mapping[str, Progress], today: date) -> tuple[Books, tuple[Trouble, ...]]:
    """The books up to `today`, and the troubles of money that only following the events can find. `progress` has every build of the shop."""
    with localcontext(prec=DIGITS):
        return _keep(shop, events, progress, today)


def _keep(shop: Shop, events: Iterable[Event], progress: Mapping[str, Progress], today: date) -> tuple[Books, tuple[Trouble, ...]]:
    desk = new_desk(shop, today)
    buying = [note for note in shop.notes if note.sheet.bought or note.sheet.lots]
    check_homes(shop, buying, desk.troubles)
    worked: list[Worked] = []
    private: list[Worked] = []
    for event in events:
        if isinstance(event, Worked):
            (private if event.build is not None and desk.jobs[event.build].place == "collection" else worked).append(event)
        elif not isinstance(event, Work):
            _WRITE_UP[type(event)](desk, event)
    cash.check_suppliers(desk)
    check_sold_twice(desk)
    check_standing_twice(desk)
    gone = [job for job in desk.jobs.values() if job.place not in ("shop", "collection")]
    cash.check_deposits(gone, desk.troubles)
    check_left_planned(((job.build, job.place == "sold") for job in gone), shop.settings, today, desk.troubles)
    worked.extend(_show_hours(shop, today))
    books = Books(
        settings=shop.settings,
        smallest=desk.smallest,
        today=today,
        postings=tuple(sorted(desk.ledger.postings, key=itemgetter(0))),
        facts=_facts(desk, (*worked, *private), progress),
        moves=tuple(desk.moves),
        items=dict(desk.shelf.names),
        units=_units(shop, buying),
        trips=tuple(desk.drives),
        hours=tuple(sorted(worked, key=itemgetter(0))),
        own_hours=tuple(private),
    )
    return books, tuple(sorted({*desk.troubles.found, *check_closed(shop, books)}))


def _show_hours(shop: Shop, today: date) -> Iterator[Worked]:
    """Recording and editing are work too, on the day an episode is recorded."""
    for episode in shop.episodes:
        took = episode.sheet.hours
        day = shop.recorded_on(episode)
        if took and day <= today:
            yield Worked(day, None, None, took.total, episode.sheet, what="recording and editing")


def _facts(desk: BooksDesk, worked: Iterable[Worked], progress: Mapping[str, Progress]) -> dict[str, Facts]:
    hours: dict[str, Decimal] = {}
    for entry in worked:
        if entry.build is not None:
            hours[entry.build] = hours.get(entry.build, ZERO) + entry.hours
    return {id: _fact(desk, job, hours.get(id, ZERO), progress[id]) for id, job in sorted(desk.jobs.items())}


def _fact(desk: BooksDesk, job: Job, hours: Decimal, progress: Progress) -> Facts:
    return Facts(
        id=job.id,
        kind=job.build.sheet.kind,
        state=progress.state,
        hours=hours,
        since=job.came or progress.since,
        closed_on=progress.closed_on,
        ready=ready_for_a_buyer(job, progress),
        left=job.left,
        private=job.place == "collection",
        to_come=commissions.to_come(desk, job),
        carried=job.held,
    )


def _units(shop: Shop, buying: Iterable[Note]) -> dict[str, str]:
    units = {folded(b.item): b.unit for note in buying for b in note.sheet.bought if b.unit}
    units |= {folded(item.name): item.value.unit for item in shop.settings.stock.items if item.value.unit}
    return units
