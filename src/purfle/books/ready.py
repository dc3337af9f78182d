"""When a build was ready for a buyer, which tells finished instruments from work in progress in the inventory.

A stage done again later leaves a year that is over as it was.
Invariant: moves no amount.
"""

from collections.abc import Sequence
from datetime import date
from functools import reduce

from purfle.books.jobs import Job
from purfle.books.model import Span
from purfle.progress.model import Pass, Progress, StageProgress
from purfle.progress.passes import free_on


def ready_for_a_buyer(job: Job, progress: Progress) -> tuple[Span, ...]:
    """From when it is offered on, and while every stage of it is finished and cured."""
    offer, stages = job.build.sheet.for_sale, progress.stages
    offered = [Span(offer.since or job.came or date.min, date.max)] if offer else []
    finished = reduce(_both, map(_behind, stages)) if stages else []
    return (*offered, *finished)


def _behind(stage: StageProgress) -> list[Span]:
    """When a stage was behind the build, until it was opened again."""
    again = [later.since or date.max for later in stage.passes[1:]]
    spans = ((_ready_on(stage, one), until) for one, until in zip(stage.passes, [*again, date.max], strict=True))
    return [Span(since, until) for since, until in spans if since and since < until]


def _ready_on(stage: StageProgress, one: Pass) -> date | None:
    """The day a pass was behind it, cure and outside work included; None while it is not."""
    waits = stage.stage.cure is not None or stage.stage.wait is not None
    return free_on(stage.stage, one) if waits and one.finished else one.finished


def _both(some: Sequence[Span], others: Sequence[Span]) -> list[Span]:
    """The days that are in a span of both."""
    pairs = ((max(one.since, other.since), min(one.until, other.until)) for one in some for other in others)
    return [Span(since, until) for since, until in pairs if since < until]
