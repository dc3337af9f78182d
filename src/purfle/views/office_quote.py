"""The quote on a build's page: the price to ask, and the most to pay while the instrument is not here.

Invariant: works nothing out; the figures are those of `books.quote`.
"""

from dataclasses import dataclass
from datetime import date

from purfle.books.figures import Quote
from purfle.notes.model import Build
from purfle.views.office_desk import Figure, OfficeDesk


@dataclass(frozen=True, slots=True)
class QuoteView:
    """The price to ask and the most to pay."""

    channel: str
    cost: Figure
    hours: str
    labour: Figure
    target: str
    asking: Figure
    agreed: Figure | None
    """What a customer agreed to pay; what follows is reckoned at it. None without a commission's price."""
    shipping: Figure | None
    """What sending it is expected to take of the price; None for nothing."""
    fees: Figure
    share: Figure | None
    """What a partner has of it; None for nothing."""
    profit: Figure
    ceiling: Figure | None
    """The most to pay; None once the instrument is here."""
    refused: str


def quote_view(desk: OfficeDesk, build: Build, quote: Quote | None) -> QuoteView | None:
    """A build's quote; None for one that is not for the shop to price."""
    if quote is None:
        return None
    return QuoteView(
        channel=quote.channel or "without a channel",
        cost=desk.money(quote.cost, True),
        hours=desk.write.hours(quote.hours),
        labour=desk.money(quote.labour, True),
        target=desk.write.percent(quote.target_margin / 100, 1),
        asking=desk.money(quote.asking_price, True),
        agreed=None if quote.agreed_price is None else desk.money(quote.agreed_price, True),
        shipping=desk.money(quote.shipping, True) if quote.shipping else None,
        fees=desk.money(quote.fees, True),
        share=desk.money(quote.share, True) if quote.share else None,
        profit=desk.money(quote.profit, True),
        ceiling=None if _is_here(build, desk.today) else desk.money(quote.offer_ceiling, True),
        refused=desk.told(quote.refused or ""),
    )


def _is_here(build: Build, today: date) -> bool:
    came = build.sheet.acquired
    return came is not None and came.date is not None and came.date <= today
