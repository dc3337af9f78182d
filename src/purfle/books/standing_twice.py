"""Recurring costs that a note has once more: a rent that stands in shop.md and is paid in a journal day counts twice.

Two bills of one amount may be right, so this only warns. Invariant: moves no amount.
"""

from datetime import timedelta

from purfle.base.names import folded
from purfle.books.desk import BooksDesk

_SOON = timedelta(days=10)
"""How far from its day a note of the same amount still looks like the same bill; a guess."""


def check_standing_twice(desk: BooksDesk) -> None:
    """Tell of each payment of the shop's own that is as much, for the same kind and about the day, as a standing cost."""
    for event in desk.outgoings:
        record = event.record
        same = (
            due
            for due in desk.standing
            if folded(due.record.kind) == folded(record.kind)
            and desk.rounded(due.record.cost) == desk.home(record, record.cost)
            and abs(due.date - event.date) <= _SOON
        )
        if (due := next(same, None)) is not None:
            found = f"cost: {record.cost} is paid here for {record.kind}, and standing: ({due.record.at.in_file}) counts {due.record.what} of {due.date}; both count"
            desk.troubles.add(record.where("cost"), "standing-twice", found, "take this line out if it is the same bill, or leave it if both are paid")
