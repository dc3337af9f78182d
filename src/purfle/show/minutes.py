"""How long a piece runs: as its file says, else the usual time of its kind, or that of its time-lapses where they run longer.

Invariant: the same piece is as long in the line-up, on its run sheet and in the count of shots.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from purfle.notes.records.show import Piece, Segment

ZERO = Decimal(0)


def together(seconds: Iterable[Decimal | None]) -> Decimal | None:
    """The running time of several time-lapses, in seconds; None where none is known."""
    known = [some for some in seconds if some is not None]
    return sum(known, ZERO) if known else None


def minutes_of(segment: Segment, lapses: Decimal | None, usual: Mapping[Piece, Decimal]) -> Decimal:
    """The minutes of a piece of a file; `lapses` are the seconds of its time-lapses in the can, `usual` the minutes by kind of piece."""
    return max(usual[segment.what], (lapses or ZERO) / 60) if segment.minutes is None else segment.minutes
