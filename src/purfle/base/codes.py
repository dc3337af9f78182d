"""The one table of trouble codes: what each stops, and what it means.

`purfle fields` prints it; every code has a case under `tests/cases/`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Flag, auto

from purfle.base.trouble import Stops, Trouble

BOOKS, SHOWROOM, BOTH, NOTHING = Stops.BOOKS, Stops.SHOWROOM, Stops.BOTH, Stops.NOTHING


class Misses(Flag):
    """Where what a trouble misses may stand after all, written and not readable yet. It is not told meanwhile: one cause, one trouble."""

    NOTHING = 0
    ANYWHERE = auto()
    """In any file."""
    IN_SHOP = auto()
    """In shop.md."""
    BESIDE = auto()
    """In the same file."""
    A_LINK = auto()
    """A link that was refused, in the same file or in shop.md."""


ANYWHERE, IN_SHOP, BESIDE, A_LINK = Misses.ANYWHERE, Misses.IN_SHOP, Misses.BESIDE, Misses.A_LINK


@dataclass(frozen=True, slots=True)
class Code:
    """What a trouble code means."""

    stops: Stops
    says: str
    unread: bool = False
    """Something was written and could not be read. Such a code holds the books, so what is not told meanwhile is told before any figure is."""
    misses: Misses = Misses.NOTHING


CODES: dict[str, Code] = {
    # --- files
    "file-not-utf8": Code(BOTH, "a file is not written in UTF-8", unread=True),
    "file-has-bom": Code(NOTHING, "a file begins with a byte order mark, which is ignored"),
    "file-too-large": Code(BOTH, "a file is too large to be a note", unread=True),
    "file-copied": Code(BOTH, "a program left a second copy of a note; its money and words would count twice", unread=True),
    "file-out-of-place": Code(NOTHING, "a file in builds/ or journal/, or that folder itself, has a name under which it is not read"),
    "file-date-bad": Code(BOTH, "a note's file name does not begin with a day that exists", unread=True),
    "file-empty": Code(NOTHING, "a note holds nothing, as after an editor crashed or a sync that stopped half way"),
    "file-later-than-today": Code(NOTHING, "a note is dated after today; it waits until then"),
    "file-names-alike": Code(BOTH, "two names differ only by case or by how an accent is stored", unread=True),
    "file-name-refused": Code(BOTH, "a build's folder has a name that can't be an address", unread=True),
    "file-unreadable": Code(BOTH, "a file or folder of the shop can't be read", unread=True),
    "file-is-link": Code(BOTH, "a note or folder is a symbolic link, which is never followed", unread=True),
    "shop-missing": Code(BOTH, "there is no shop.md", unread=True),
    "build-sheet-missing": Code(BOTH, "a build's folder has notes but no build.md", unread=True),
    # --- fences and YAML
    "fence-unclosed": Code(BOTH, "the frontmatter has no closing --- line", unread=True),
    "fence-missing": Code(BOTH, "the keys at the top of a file have no --- lines around them", unread=True),
    "yaml-broken": Code(BOTH, "the frontmatter can't be read", unread=True),
    "yaml-anchor": Code(BOTH, "there is a YAML anchor or alias in the frontmatter", unread=True),
    "yaml-tag": Code(BOTH, "there is a YAML tag in the frontmatter", unread=True),
    "yaml-too-deep": Code(BOTH, "the frontmatter is nested too deep or too long", unread=True),
    "value-lost": Code(BOTH, "a # swallowed a value: what follows it is a comment", unread=True),
    # --- keys and values
    "key-twice": Code(BOTH, "a key is written twice in one mapping", unread=True),
    "key-misspelt": Code(BOTH, "an unknown key is nearly a known one", unread=True),
    "key-unknown": Code(NOTHING, "a key is unknown; its value is not used"),
    "figure-unused": Code(BOTH, "an unknown key has keys under it, or a figure on a line of money", unread=True),
    "key-misplaced": Code(BOTH, "a key is used elsewhere, but not here", unread=True),
    "key-in-text": Code(BOTH, "a key is among the words of a note, where it is not read", unread=True),
    "key-glued": Code(BOTH, "a key has no colon, or no space after it or after the dash before it", unread=True),
    "key-missing": Code(BOTH, "a required key is missing", unread=True),
    "mapping-expected": Code(BOTH, "there is a plain value or a list where keys are expected", unread=True),
    "text-expected": Code(BOTH, "there is a list or a mapping where words are expected", unread=True),
    "text-turned": Code(NOTHING, "a mark in a note that turns the direction of writing is ignored"),
    "amount-unclear": Code(BOTH, "an amount could mean two different sums, or none", unread=True),
    "amount-negative": Code(BOTH, "an amount is below zero", unread=True),
    "amount-too-fine": Code(NOTHING, "an amount has more decimals than its currency; it is rounded", misses=IN_SHOP),
    "number-unreadable": Code(BOOKS, "a number can't be read", unread=True),
    "hours-unreadable": Code(BOOKS, "hours can't be read", unread=True),
    "wait-unreadable": Code(BOOKS, "a time to wait can't be read", unread=True),
    "date-unreadable": Code(BOTH, "a date can't be read or does not exist", unread=True),
    "length-unreadable": Code(SHOWROOM, "a length can't be read"),
    "weight-unreadable": Code(NOTHING, "a weight can't be read"),
    "choice-unknown": Code(BOTH, "a word is not one of the possible choices", unread=True),
    "link-refused": Code(SHOWROOM, "a link is not a web or mail address"),
    "path-climbs": Code(SHOWROOM, "a path leads out of the build's folder"),
    "currency-unknown": Code(BOOKS, "a currency is not in ISO 4217", unread=True),
    "locale-unknown": Code(NOTHING, "a locale is unknown; amounts and dates are written in another"),
    "estimate-disordered": Code(BOOKS, "an estimate is not three figures from low to high", unread=True),
    # --- bodies
    "private-unclosed": Code(SHOWROOM, "a private block or comment is never closed; what follows it is kept private"),
    "private-misspelt": Code(SHOWROOM, "a ::: block is not named private, or comes after other words on its line; it is kept private"),
    "private-unopened": Code(SHOWROOM, "words marked as private are in no ::: block, or a ::: closes none"),
    "part-name-near": Code(BOTH, "a heading in a journal day is nearly a build's name, or a build's name there is nearly a heading", unread=True),
    "picture-missing": Code(SHOWROOM, "a named picture or sound is missing"),
    "picture-lost": Code(NOTHING, "a picture or sound named in a text that is not public is missing"),
    "picture-unshown": Code(NOTHING, "a picture is named in a text in a way that does not show it"),
    "picture-elsewhere": Code(SHOWROOM, "a picture is on another host"),
    "picture-mute": Code(SHOWROOM, "a picture has no alt text for those who can't see it"),
    "picture-refused": Code(SHOWROOM, "a picture or sound is not a plain file inside the shop folder"),
    "picture-unreadable": Code(SHOWROOM, "a picture is broken, cut short, empty or not a picture"),
    "picture-too-large": Code(SHOWROOM, "a picture has more pixels or bytes than are allowed"),
    "picture-mislabelled": Code(NOTHING, "a picture's file ending does not fit its content; it is read as what it is"),
    "picture-moving": Code(NOTHING, "a picture is animated; its first frame is shown"),
    "picture-converted": Code(NOTHING, "a picture is in print colours or has 16 bits a colour; it is converted"),
    "sound-unreadable": Code(SHOWROOM, "a sound sample is broken, empty or not a sound that browsers play"),
    "sound-too-large": Code(SHOWROOM, "a sound sample is larger than is allowed"),
    "sound-mislabelled": Code(NOTHING, "a sound's file ending does not fit its content; it is published as what it is"),
    "leak-name": Code(SHOWROOM, "a private name is in public text"),
    "leak-serial": Code(SHOWROOM, "a private serial number is in public text"),
    "leak-file": Code(SHOWROOM, "the name of a picture's or sound's file would be read in public text"),
    "leak-amount": Code(SHOWROOM, "an amount paid is in public text"),
    "amount-alike": Code(NOTHING, "a round sum in public text about no build is also an amount paid somewhere; that may be chance"),
    # --- names
    "build-unknown": Code(BOTH, "there is no build of that name"),
    "build-needed": Code(BOOKS, "a line in a journal day does not say which build it is about", misses=BESIDE),
    "route-unknown": Code(BOOKS, "shop.md has no route of that name", misses=IN_SHOP),
    "stage-unknown": Code(BOOKS, "the build's route has no stage of that name", misses=IN_SHOP),
    "channel-unknown": Code(BOOKS, "shop.md has no channel of that name", misses=IN_SHOP),
    "item-near": Code(BOOKS, "an item that comes into stock is named nearly, but not quite, like one of shop.md", unread=True),
    "item-unknown": Code(BOOKS, "stock has no item of that name", misses=ANYWHERE),
    "kind-unknown": Code(BOOKS, "there is no expense kind of that name", misses=IN_SHOP),
    "cure-unknown": Code(BOOKS, "a cure is neither a time nor an entry of the cure table", misses=IN_SHOP),
    "place-unknown": Code(NOTHING, "shop.md gives no limit for a bulletin's place", misses=IN_SHOP),
    "name-twice": Code(BOTH, "two things have the same name"),
    "address-refused": Code(SHOWROOM, "an address has characters that an address can't have"),
    "asking-nowhere": Code(NOTHING, "a build is for sale in the showroom, but nothing says where to ask", misses=IN_SHOP | BESIDE | A_LINK),
    "address-taken": Code(SHOWROOM, "two pages would have one address"),
    "date-far-off": Code(NOTHING, "a day is so far from the note it stands in, or from the last note, that another year may be meant"),
    "day-too-long": Code(NOTHING, "the notes of one day hold more hours than a day has"),
    "unit-differs": Code(BOOKS, "one item is counted in two units"),
    "price-missing": Code(NOTHING, "a build was bought, but has no price", misses=BESIDE),
    "stage-missing": Code(BOOKS, "something is finished, but no stage is named", misses=BESIDE),
    "date-disagrees": Code(BOOKS, "the date in the frontmatter is not the file name's"),
    # --- work and the plan
    "follows-cycle": Code(BOOKS, "stages of a route wait for each other in a circle"),
    "stage-finished-already": Code(BOOKS, "hours or a finish are noted on a stage that is already finished, without redo"),
    "stage-begun-early": Code(
        NOTHING, "a stage was begun before one it follows was finished, and the build is still here; the earlier one is taken as finished", misses=ANYWHERE
    ),
    "cure-cut-short": Code(NOTHING, "a stage was begun before the one it follows had cured"),
    "redo-never-done": Code(BOOKS, "a stage that was never begun is to be done again", misses=ANYWHERE),
    "work-after-close": Code(BOOKS, "work is noted on a build that was sold, delivered or ended, without after_sale"),
    "offered-unfinished": Code(NOTHING, "a build is offered to the public while stages of it are to be done again", misses=ANYWHERE),
    "due-past": Code(NOTHING, "a due date is past, but the build is not done", misses=ANYWHERE),
    "part-before-order": Code(NOTHING, "a part arrived, or is expected, before it was ordered"),
    "part-overdue": Code(NOTHING, "a part should be here by now, but no note says it is", misses=BESIDE),
    "bench-hours-unused": Code(NOTHING, "far fewer hours are noted than the bench had work and hours for, so the plan's dates come too early", misses=ANYWHERE),
    "cure-very-long": Code(NOTHING, "a cure is longer than a year"),
    # --- the sheets
    "tuning-unreadable": Code(NOTHING, "a note of a tuning can't be read"),
    "strings-disagree": Code(NOTHING, "strings and tuning do not match"),
    "string-wound-unsaid": Code(NOTHING, "a string is too thick to be plain, but is not marked as wound"),
    "string-load-moved": Code(NOTHING, "new strings or another tuning move the load on the neck by more than the shop's share"),
    "frets-too-close": Code(NOTHING, "there are more frets than the scale has room for"),
    "units-mixed": Code(NOTHING, "figures that belong together are in two units"),
    "spec-implausible": Code(NOTHING, "a figure of the specification or the parcel can't be what was meant, or is zero"),
    "light-over-volts": Code(NOTHING, "a light needs more volts than the battery has"),
    "recoat-unreadable": Code(NOTHING, "a recoat window can't be read"),
    "temperature-unreadable": Code(NOTHING, "the temperature a cure holds for can't be read, so the cure can't be adjusted for the room"),
    "recoat-missed": Code(NOTHING, "a coat went on outside the recoat window of the one under it"),
    "layer-unknown": Code(NOTHING, "the cure table names a layer it has no entry for", misses=IN_SHOP),
    "layers-incompatible": Code(NOTHING, "a coat goes over one that the cure table marks as not to be coated with it"),
    # --- the show
    "episode-day-twice": Code(NOTHING, "two episodes air on one day"),
    "episode-recorded-late": Code(NOTHING, "an episode is recorded after it airs"),
    "episode-not-aired": Code(NOTHING, "an episode's day is past, but nothing says that it aired", misses=BESIDE | A_LINK),
    "episode-unnamed": Code(SHOWROOM, "an episode appears in the showroom under the placeholder title of a proposed one"),
    "episode-aired-early": Code(NOTHING, "an episode is marked as aired before its day; it counts from its day on"),
    "episode-over-length": Code(NOTHING, "an episode's segments take longer than the episode", misses=BESIDE),
    "episode-crowded": Code(NOTHING, "an episode has more segments than anyone can follow"),
    "promise-stage-unknown": Code(NOTHING, "a promise names a stage that the build's route lacks, so it can never be kept", misses=IN_SHOP),
    "promise-stage-skipped": Code(NOTHING, "a promise not yet kept names a stage that the build leaves out, so only a later one can keep it", misses=ANYWHERE),
    "promise-build-ended": Code(
        NOTHING, "a promise not yet kept is about a build that was scrapped, lost, given away or taken back, so nothing will come of it", misses=ANYWHERE
    ),
    "promise-out-of-time": Code(NOTHING, "a promise is due, or taken back, before it was made"),
    "promise-loose": Code(NOTHING, "a promise names neither a build nor words", misses=BESIDE),
    "showing-without-consent": Code(NOTHING, "a customer's build is to be shown and they have not agreed; it stays off the showroom", misses=BESIDE),
    "segment-without-consent": Code(SHOWROOM, "a public episode shows a customer's build without their consent"),
    "segment-not-public": Code(NOTHING, "an episode or bulletin is about a build that may not be shown; that piece stays off the showroom", misses=ANYWHERE),
    "disclosure-missing": Code(
        SHOWROOM, "an episode that aired or is public, or a bulletin that went out, shows something gifted or sponsored and does not say so"
    ),
    "disclosure-to-add": Code(NOTHING, "a coming episode or bulletin shows something gifted or sponsored and does not say so yet"),
    "credit-without-consent": Code(NOTHING, "someone is credited who has not agreed; the credit never appears", misses=BESIDE),
    "stage-near": Code(NOTHING, "a build sheet adds a stage whose name is nearly that of one of its route", misses=IN_SHOP),
    "shot-near": Code(NOTHING, "a shot is noted under nearly the name of one that is still wanted, or under two names joined in one"),
    "shot-without-consent": Code(NOTHING, "a shot shows the work of someone who has not agreed; it does not count as taken"),
    "picture-without-consent": Code(SHOWROOM, "a picture in public text shows the work of someone who has not agreed to that picture"),
    "speed-unreadable": Code(NOTHING, "the speed of a time-lapse can't be read"),
    "bulletin-too-long": Code(NOTHING, "a bulletin is longer than its place takes"),
    # --- the books
    "stock-below-nothing": Code(BOOKS, "more leaves stock, or one delivery of it, than is there", misses=ANYWHERE),
    "qty-zero": Code(BOOKS, "something comes in with a quantity of zero"),
    "cost-in-two-homes": Code(BOOKS, "one cost is in two places and would count twice"),
    "kind-unused": Code(BOOKS, "an expense kind is written on goods that go to stock or to a build"),
    "build-in-two-lots": Code(BOOKS, "a build is listed in two lots"),
    "lot-with-price": Code(BOOKS, "a build that came in a lot has a price of its own too"),
    "lot-empty": Code(BOOKS, "a lot has a cost, but nothing for it to go to", misses=BESIDE),
    "span-backward": Code(BOOKS, "something that lasts from one day until another ends before it begins"),
    "lot-unknown": Code(BOOKS, "a build came in a lot, but no journal day lists it there", misses=ANYWHERE),
    "price-not-paid": Code(BOOKS, "something that was not bought has a price, or something that was bought has only a value", misses=BESIDE),
    "money-undated": Code(BOOKS, "a cost has no day, so it is in no year", misses=BESIDE),
    "sale-before-acquisition": Code(BOOKS, "a build is sold, or ended, before it came in"),
    "units-oversold": Code(BOOKS, "more units go out, or come back, than there are", misses=BESIDE),
    "sale-mixed": Code(BOOKS, "a build of the shop and a piece of the owner's own are sold for one price"),
    "units-none": Code(BOOKS, "a build has no units, or none goes out or comes back"),
    "discount-above-price": Code(BOOKS, "a discount is more than the price"),
    "refund-above-price": Code(BOOKS, "more is paid back than was charged"),
    "refund-before-sale": Code(BOOKS, "a refund is dated before its sale", misses=BESIDE),
    "refund-above-cost": Code(BOOKS, "a supplier gives back more than the build has cost, or for a part that has not come", misses=ANYWHERE),
    "salvage-above-cost": Code(BOOKS, "a salvaged part is worth more than its build has cost", misses=ANYWHERE),
    "move-above-cost": Code(BOOKS, "a part that is not there is moved, or one with more cost than its build has", misses=ANYWHERE),
    "share-above-100": Code(BOOKS, "a partner's share, or those of several, is more than all of it"),
    "share-missing": Code(NOTHING, "something consigned, or a customer's, is sold, but its owner gets no share", misses=BESIDE),
    "share-unearned": Code(NOTHING, "a build with a partner is sold, but none of its price is the shop's, so nothing is owed to them"),
    "channel-takes-all": Code(BOOKS, "a channel takes all of a price, or more"),
    "rate-zero": Code(BOOKS, "an exchange rate is zero"),
    "currency-missing": Code(BOOKS, "an exchange rate has no currency", misses=IN_SHOP | BESIDE),
    "rate-missing": Code(BOOKS, "foreign money has no exchange rate", misses=IN_SHOP),
    "amount-too-large": Code(BOOKS, "an amount is larger than any that could be meant"),
    "trade-in-unknown": Code(NOTHING, "a build came as a trade-in that no sale names; it has no cost", misses=ANYWHERE),
    "commission-unpriced": Code(NOTHING, "a commission is delivered, but has no price", misses=BESIDE),
    "fees-back-above-fees": Code(BOOKS, "a channel gives back more than it took"),
    "tax-back-above-tax": Code(BOOKS, "more sales tax is given back than was charged"),
    "part-unknown": Code(NOTHING, "a part that its build does not have is moved; no cost moves with it", misses=ANYWHERE),
    "part-left-planned": Code(NOTHING, "a build is gone, but a part on its bill of materials never came; its cost is in no figure, or stays on the way"),
    "change-without-effect": Code(NOTHING, "a build that is gone, or already there, is ended or moved"),
    "partner-unknown": Code(NOTHING, "a share is paid to somebody to whom no build sheet gives one", misses=ANYWHERE),
    "more-than-owed": Code(NOTHING, "more is paid, or comes in for a build that is gone, than is owed; a line may be there twice", misses=ANYWHERE),
    "price-of-one": Code(NOTHING, "several units are sold for what one is offered for; a sale's price is that of all its units"),
    "sold-twice": Code(NOTHING, "a note has what was paid to sell a build, and its sale seems to count it too"),
    "standing-twice": Code(NOTHING, "a note pays what a standing cost of shop.md counts already"),
    "deposit-overdrawn": Code(BOOKS, "more of a deposit is paid back or kept than is held", misses=ANYWHERE),
    "deposit-unsaid": Code(NOTHING, "money for a build that nobody ordered is held as a deposit, and nothing says that it is one", misses=ANYWHERE),
    "deposit-left": Code(NOTHING, "a build is gone, but some of its customer's money is still held", misses=ANYWHERE),
    "mileage-rate-missing": Code(NOTHING, "no rate is known for a trip, so it counts for nothing", misses=IN_SHOP),
    "closed-year-changed": Code(BOOKS, "something changed in a year that was handed in", misses=ANYWHERE),
    "showroom-outdated": Code(NOTHING, "the showroom is held, and its last good state shows a build that may no longer be shown"),
    # --- templates
    "showroom-template-fault": Code(SHOWROOM, "a template of the showroom is missing or can't be used"),
    "office-template-fault": Code(BOOKS, "a template of the office is missing or can't be used"),
    "template-unused": Code(NOTHING, "a file in site_templates/ replaces no packaged file, and nothing asks for it"),
    "asset-tells": Code(SHOWROOM, "a picture in site_templates/ carries what a camera or a program wrote into it"),
    "style-sheet-fault": Code(NOTHING, "a style sheet in site_templates/ has a place that browsers would silently ignore"),
}


def without_caused(troubles: Iterable[Trouble]) -> tuple[Trouble, ...]:
    """The troubles less those that may only come of another: of what is written and can't be read yet."""
    told = tuple(troubles)
    unread = {trouble.place.file for trouble in told if CODES[trouble.code].unread}
    refused = {trouble.place.file for trouble in told if trouble.code == "link-refused"}

    def is_caused(trouble: Trouble) -> bool:
        misses, file = CODES[trouble.code].misses, trouble.place.file
        return (
            (ANYWHERE in misses and bool(unread))
            or (IN_SHOP in misses and "shop.md" in unread)
            or (BESIDE in misses and file in unread)
            or (A_LINK in misses and not refused.isdisjoint((file, "shop.md")))
        )

    return tuple(trouble for trouble in told if not is_caused(trouble))


def stops_books(troubles: Iterable[Trouble]) -> bool:
    """Whether any of them holds the books, the plan and the office."""
    return any(CODES[trouble.code].stops.books() for trouble in troubles)


def stops_showroom(troubles: Iterable[Trouble]) -> bool:
    """Whether any of them holds the showroom."""
    return any(CODES[trouble.code].stops.showroom() for trouble in troubles)
