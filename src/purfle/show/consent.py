"""Whether a build may be shown on a day, and if not, why.

A customer's likeness, name or instrument is shown only with their consent (a US example: California Civil Code
3344; the shop's own law decides). Invariant: says yes only when nothing bars it.
"""

from datetime import date

from purfle.notes.model import Build
from purfle.progress.model import Progress

NO_CONSENT = "the customer has not agreed to its being shown"
ASK = "ask them and write consent: {show: yes} under commission:"
"""What gives it."""
ADDRESS_OF_CONSENT = "a US example is California Civil Code 3344; your own law decides"
_HANDED_OVER = ("sold", "delivered")


def lacks_consent(build: Build) -> bool:
    """Whether it is a customer's and they have not agreed to it being shown."""
    sheet = build.sheet
    customers = sheet.kind == "commission" or sheet.commission is not None or (sheet.acquired is not None and sheet.acquired.how == "customer's")
    consent = sheet.commission.consent if sheet.commission else None
    return customers and not (consent is not None and consent.show)


def unagreed(build: Build) -> str:
    """The same in a sentence that names it."""
    return f"{build.id} is a customer's, and they have not agreed to its being shown"


def has_refused(build: Build) -> bool:
    """Whether their no is written down, so that nobody need be asked."""
    consent = build.sheet.commission.consent if build.sheet.commission else None
    return consent is not None and consent.wrote("show") and not consent.show


def bar(build: Build, progress: Progress, day: date) -> str | None:
    """Why the build may not be shown on `day`; None when it may."""
    return NO_CONSENT if lacks_consent(build) else bar_of_sheet(build, progress, day)


def bar_of_sheet(build: Build, progress: Progress, day: date) -> str | None:
    """Why the build may not be shown on `day`, whoever's it is, by what its sheet says under `showroom`; None when it may."""
    showing = build.sheet.showroom
    if showing.always:
        return None
    if showing.since is not None:
        return None if showing.since <= day else f"it may be shown from {showing.since.isoformat()}"
    if showing.after_delivery:
        return None if progress.state in _HANDED_OVER else "it may be shown only after delivery"
    return "its sheet does not say showroom: yes"


def how_to_show(build: Build) -> str:
    """What to write so that nothing bars the build from being shown, as the part of a mend."""
    if lacks_consent(build):
        return f"{ASK} on {build.file}"
    earlier = build.sheet.showroom.since is not None
    return f"write an earlier day behind showroom: on {build.file}" if earlier else f"write showroom: yes on {build.file}"
