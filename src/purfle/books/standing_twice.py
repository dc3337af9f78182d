"""Recurring costs that a note has once more: a rent that stands in shop.md and is paid in a journal day counts twice.

Two bills of one amount may be right, so this only warns. Invariant: moves no amount.
"""

from datetime import timedelta

from purfle.base.groups import grouped
from purfle.base.names import folded
from purfle.books.desk import BooksDesk

_SOON, _SOON_OF_WEEKLY = timedelta(days=10), timedelta(days=3)
"""How far from its day a note of the same amount still looks like the same bill, and not like the next or the last; a guess."""


def check_standing_twice(desk: BooksDesk) -> None:
    """Tell of each payment of the shop's own that is as much, for the same kind and about the day, as a standing cost."""
    bills = grouped(desk.standing, lambda due: (folded(due.record.kind), desk.rounded(due.record.cost)))
    for event, amount in desk.outgoings:
        record = event.record
        for due in bills.get((folded(record.kind), amount), ()):
            if abs(due.date - event.date) <= (_SOON_OF_WEEKLY if due.record.every == "week" else _SOON):
                found = f"cost: {record.cost} is paid here for {record.kind}, and standing: ({due.record.at.in_file}) counts {due.record.what} of {due.date}; both count"
                mend = "take this line out if it is the same bill, or leave it if both are paid"
                desk.troubles.add(record.where("cost"), "standing-twice", found, mend)
                break
