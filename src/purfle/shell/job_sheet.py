"""All that `purfle sheet` says of one build, gathered for its text and its JSON.

Invariant: works nothing out; every value is a phase's own.
"""

from dataclasses import dataclass
from decimal import Decimal

from purfle.books import customer_of, piece_of, sheet_of
from purfle.books.figures import BuildRow, CustomerAccount, OwnersPiece
from purfle.compile import Analysis
from purfle.progress.model import Progress
from purfle.show.model import AirIncome


@dataclass(frozen=True, slots=True)
class JobSheet:
    """One build's job cost sheet and progress."""

    row: BuildRow
    """Over all years."""
    customer: CustomerAccount | None
    """None where no customer paid or owes anything."""
    piece: OwnersPiece | None
    """None for what never was the owner's own."""
    progress: Progress
    air: AirIncome | None
    """None for a build that was never on air."""
    currency: str

    @property
    def per_hour_in_all(self) -> Decimal | None:
        """Profit and what it earned on air, for each hour at the bench and for the show; None before it is gone, and without an hour."""
        return None if self.air is None else self.air.per_hour(self.row.profit, self.row.hours, self.row.gone)


def job_sheet_of(analysis: Analysis, id: str) -> JobSheet:
    """The sheet of the build with that id."""
    return JobSheet(
        row=sheet_of(analysis.books, id),
        customer=customer_of(analysis.books, id),
        piece=piece_of(analysis.books, id),
        progress=analysis.progress[id],
        air=next((income for income in analysis.air_income if income.build == id), None),
        currency=analysis.shop.settings.currency,
    )
