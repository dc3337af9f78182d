"""What the showroom may show, as types: no field here is private, so no page made from them can be.

Amounts are `Decimal`, days are `date`, texts are HTML that is safe to place as it is.
Invariant: no kind, cost, hour, price paid, day of buying or selling, person without consent, supplier, file name, stock or
plan has a place in any of these types.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from purfle.views.markdown import Text
from purfle.views.pictures import PublishedPicture, PublishedSound


@dataclass(frozen=True, slots=True)
class Site:
    """What every page says about the shop."""

    name: str
    place: str
    """The region; empty when not given."""
    contact: str | None
    """A web or mail address where buyers may write."""
    address: str | None
    """The showroom's own address in ASCII, with a slash at its end; None until it has one."""
    currency: str
    locale: str
    """How amounts and days are written, such as `en_US`."""
    language: str
    """The language of the owner's words, such as `de`; empty where they are in English, as the pages are."""
    about: Text
    opening: str
    """The first sentences of the about page, for the head of the rack; empty when it has none."""
    has_episodes: bool
    has_bulletins: bool
    has_feed: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """A sound with the words that stand for it."""

    sound: PublishedSound
    alt: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture with the words a blind visitor hears."""

    picture: PublishedPicture
    alt: str


@dataclass(frozen=True, slots=True)
class Lacquer:
    """The chip of colour on a build's tag, from the words of its finish: `#rrggbb` each."""

    heart: str
    """The colour, or the middle of a burst."""
    edge: str
    """The rim of a burst; the same as `heart` for a plain colour."""


@dataclass(frozen=True, slots=True)
class Spec:
    """One line of the specification."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Credit:
    """Someone thanked, with consent."""

    name: str
    done: str
    """What for; empty when not said."""
    link: str | None


@dataclass(frozen=True, slots=True)
class Offer:
    """What a build for sale costs and where to ask."""

    asking: Decimal
    enquire: str | None


@dataclass(frozen=True, slots=True)
class PageLink:
    """A page of this site."""

    title: str
    path: str
    """From the site's root."""


@dataclass(frozen=True, slots=True)
class EpisodeLink:
    """The page of an episode, and the day it aired."""

    title: str
    path: str
    """From the site's root."""
    day: date


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One day's public note."""

    anchor: str
    """The id on the page: `log-` and the day, numbered when a day has several."""
    day: date
    stages: tuple[str, ...]
    text: Text


@dataclass(frozen=True, slots=True)
class BuildView:
    """A public build."""

    address: str
    path: str
    """Its page, from the site's root."""
    title: str
    instrument: str
    maker: str
    model: str
    year: str
    finish: str
    """Empty, as the others, when not given."""
    serial: str
    """Empty unless the builder made it public."""
    lacquer: Lacquer | None
    state: str
    """in the works, finished, for sale, sold or delivered."""
    stages_finished: int
    stages: int
    cover: Shown | None
    as_found: Shown | None
    as_left: Shown | None
    specs: tuple[Spec, ...]
    story: Text
    log: tuple[LogEntry, ...]
    """From the first day to the last."""
    worked: tuple[date, ...]
    """The first and the last day of its log, and of its public notes without words that name a stage; empty without one."""
    stages_done: tuple[str, ...]
    """The stages its public notes name, those without words too, by the day that first has each; of one day as the route has them."""
    offer: Offer | None
    """Only while for sale."""
    heard: Heard | None
    """The last sound of its log, only while for sale: a buyer need not look for it."""
    credits: tuple[Credit, ...]
    episodes: tuple[EpisodeLink, ...]
    """Its public episodes, in the order they aired."""
    was: tuple[str, ...]
    """Addresses its page had before."""
    summary: str
    """One or two sentences for lists and previews."""

    @property
    def latest(self) -> date | None:
        """The day of its last public note."""
        return self.log[-1].day if self.log else None

    @property
    def about_line(self) -> str:
        """Instrument, maker with model, and year in one line, as far as they are given."""
        made = " ".join(word for word in (self.maker, self.model) if word)
        return ", ".join(word for word in (self.instrument, made, self.year) if word)


@dataclass(frozen=True, slots=True)
class SegmentView:
    """A piece of an episode about a public build."""

    build: PageLink
    what: str
    """progress, reveal, update or look back."""
    stage: str
    """Empty when none was named."""


@dataclass(frozen=True, slots=True)
class DisclosureView:
    """What was given or paid for."""

    what: str
    how: str
    """gifted, sponsored, lent or discounted."""


@dataclass(frozen=True, slots=True)
class EpisodeView:
    """A public episode."""

    address: str
    path: str
    title: str
    day: date
    """The day it aired."""
    link: str | None
    """Where to watch it."""
    still: Shown | None
    segments: tuple[SegmentView, ...]
    text: Text
    disclosures: tuple[DisclosureView, ...]
    credits: tuple[Credit, ...]
    was: tuple[str, ...]
    summary: str


@dataclass(frozen=True, slots=True)
class ComingUp:
    """Something promised on air that is still to come."""

    build: PageLink | None
    words: str
    """What was said, for a promise that names no build."""
    do: str
    """The stage to be shown, or start."""
    when: str
    """When, in the owner's own words; empty where they said nothing of it."""
    episode: EpisodeLink
    """Where it was promised."""


@dataclass(frozen=True, slots=True)
class BulletinView:
    """A public short post."""

    anchor: str
    day: date
    build: PageLink | None
    stage: str
    text: Text
    disclosures: tuple[DisclosureView, ...]


@dataclass(frozen=True, slots=True)
class Showroom:
    """The whole public site."""

    site: Site
    builds: tuple[BuildView, ...]
    """For sale first, then in the works, finished, sold, delivered; each with the latest public note first."""
    episodes: tuple[EpisodeView, ...]
    """The latest first."""
    coming_up: tuple[ComingUp, ...]
    bulletins: tuple[BulletinView, ...]
    """The latest first."""
