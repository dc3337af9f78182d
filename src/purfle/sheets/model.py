"""All sheets of one build as one value.

Invariant: holds values of the other modules of this package and adds nothing.
"""

from dataclasses import dataclass

from purfle.sheets.cautions import Caution
from purfle.sheets.finish import Schedule
from purfle.sheets.frets import Board
from purfle.sheets.powering import Wiring
from purfle.sheets.shipping import Parcel
from purfle.sheets.stringing import Stringing


@dataclass(frozen=True, slots=True)
class Sheets:
    """What a build's notes imply; None where they say too little."""

    board: Board | None
    strings: Stringing | None
    wiring: Wiring | None
    finish: Schedule | None
    cautions: tuple[Caution, ...]
    parcel: Parcel | None
    moisture: float | None
    """Percent of moisture that its wood comes to in the shop's room; None for a build without woods or a shop without humidity."""
