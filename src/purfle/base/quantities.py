"""Numbers, amounts, percentages, degrees and yes or no as people write them; times are in `times`, lengths and weights in `measures`.

Readers take the text of one scalar and give a value, or raise `Wrong` with the cause and the mend.
Invariant: knows nothing of files; every number comes from the digits in the text, never through a float.
"""

import re
from decimal import Decimal
from typing import Literal

from purfle.base import meant
from purfle.base.trouble import Wrong

PLAIN = re.compile(r"[0-9]+(?:\.[0-9]+)?")
"""A plain figure. This and the other public patterns are of lower-case text without space around it."""
_MOST_DIGITS = 15
_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " "})


def trimmed(text: str) -> str:
    """The text without space around it, narrow and unbreakable spaces made plain ones."""
    return text.translate(_SPACES).strip()


def _spaced(text: str) -> str:
    """The same with one space for each run of them, so that no search takes the square of a long one."""
    return " ".join(trimmed(text).split())


def number(text: str, what: str = "number") -> Decimal:
    """A plain decimal number, zero or more, at most 15 digits before and after the point."""
    text = trimmed(text)
    if not PLAIN.fullmatch(text):
        raise Wrong("number-unreadable", f"{what} “{text}” is not a plain number", _plain_mend(text))
    whole, _, part = text.partition(".")
    if len(whole) > _MOST_DIGITS or len(part) > _MOST_DIGITS:
        raise Wrong("number-unreadable", f"{what} “{text}” has too many digits", "write the figure that was meant, at most 15 digits")
    return Decimal(text)


def amount(text: str) -> Decimal:
    """An amount of money: digits and at most one point.

    `39,80`, `1,450`, `$39`, `1_450`, `1e3` and the like are never guessed at: each is `amount-unclear`.
    """
    text = trimmed(text)
    if text.startswith(("-", "\u2212")):
        raise Wrong(
            "amount-negative",
            f"amount {text} has a minus",
            "write the amount without a sign, under the key that says which way it went (refund, returned, discount)",
        )
    try:
        return number(text, "amount")
    except Wrong as wrong:
        mend = wrong.mend if PLAIN.fullmatch(text) else _amount_mend(_spaced(text))  # a plain figure has too many digits
        raise Wrong("amount-unclear", _amount_cause(text, wrong.found), mend) from None


def _amount_cause(text: str, fallback: str) -> str:
    if "," in text:
        return f"amount {text} has a comma: it could mean two different sums"
    if re.search(r"[^0-9.,\s_]", text):
        return f"amount {text} is more than digits and a point"
    return fallback


_CURRENCY_MARKS = re.compile(
    r"^(?:[$€£¥¢₠-₿]|[A-Za-z]{1,3}(?:[$£]|\.(?=\s))?)\s?(?=[0-9.])|(?<=[0-9.,-])\s?(?:[$€£¥¢₠-₿]|[A-Z]{3}|[Kk][Rr]\.?|zł|Kč|Ft|lei|(?<=[.,])-)$"
)
"""A currency's sign or code before or after a figure, or the dash that stands for no cents."""


_NOTHING = ("free", "nothing", "none", "gratis", "nil", "n/a", "zero")


def _amount_mend(text: str) -> str:
    if text.casefold() in _NOTHING:
        return "write 0 if it cost nothing"
    if cents := meant.cents(text):
        return f"write {cents}"
    text = re.sub(r"^(?:~|\+|about|ca?\.) ?", "", text, flags=re.IGNORECASE)
    bare = re.sub(r"(?<=[0-9]) *(?:dollars?|bucks|euros?|pounds?|quid)?(?: *(?:/|per|an) *h(?:our|r)?)?$", "", text, flags=re.IGNORECASE)
    digits = re.sub("[ _'’]", "", _CURRENCY_MARKS.sub("", bare.rstrip(";"))).rstrip(".,")
    digits = f"0{digits}" if re.fullmatch(r"\.[0-9]+", digits) else digits
    if re.fullmatch(r"[0-9]{1,3},[0-9]{3}", digits):
        # A sum with three digits behind its point would be asked about again; with a nought there it is one with two.
        tenths = digits.replace(",", ".").rstrip("0").rstrip(".") if digits.endswith("0") else ""
        return f"write {digits.replace(',', '')}" + (f" (or {tenths} if the comma was a decimal point)" if tenths else "")
    if re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+(\.[0-9]+)?", digits):
        digits = digits.replace(",", "")
    elif re.fullmatch(r"[0-9]{1,3}(\.[0-9]{3})+,[0-9]+|[0-9]+,[0-9]+", digits):
        digits = digits.replace(".", "").replace(",", ".")
    if PLAIN.fullmatch(digits):
        return f"write {digits}{_beside_currency(text)}"
    # 1e3, 2 x 40, 10 each: no figure can be picked out of it.
    return "write the whole sum in digits and one point, such as 39.80"


def _beside_currency(text: str) -> str:
    """What to do with the currency that stands about a figure: none stands there in a note, and the sum may not be of the shop's own."""
    mark = re.sub(r"[-0-9.,;_'’ ]+|(?: *(?:/|\bper|\ban) *h(?:our|r)?)$", "", text)
    if code := meant.currency(mark):
        return f", or what it came to in the shop's own currency if that is not {code}"
    return "; the currency stands in shop.md" if mark else ""


_MEASURES = r"(?:m?l|cl|lit(?:er|re)s?|k?g|oz|lbs?|[cm]?m|in|ft|h|hours?|min|minutes?|days?|weeks?|pints?|quarts?|gallons?|mi|miles?|km)"


def _plain_mend(text: str) -> str:
    found = meant.figures(text)
    if cents := meant.cents(text):
        return f"write {cents}"
    if len(found) != 1:
        return "write digits and at most one point, such as 2.5"
    if re.match(r"[-\u2212] ?[0-9.]", text):
        return f"nothing here can be below zero: write {found[0]} if the sign was not meant"
    measure = re.search(rf"(?<=[\d½¼¾]) ?({_MEASURES})\b", text.casefold())
    return f"write {found[0]} if it is counted in {measure[1]}, else as many as it is of the unit it is counted in" if measure else f"write {found[0]}"


DistanceUnit = Literal["mi", "km"]
_TRIP = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,3})?)(?![.,]?[0-9]) ?(?:(km|kilomet(?:er|re)s?)|(mi|miles?))?\b(?: *[,;:–-]? *(.{0,200}))?", re.IGNORECASE)


def distance_in(words: str) -> tuple[str, str, str] | None:
    """Figure, unit (`km`, `mi`, or nothing) and the other words of a trip such as `30 km to the mill`; None where no distance comes first."""
    match = _TRIP.fullmatch(re.sub(r"^([0-9]{1,6}),([0-9]{1,2})(?![0-9])", r"\1.\2", _spaced(words)))
    if match is None:
        return None
    why = (match[4] or "").strip()
    return match[1], "km" if match[2] else "mi" if match[3] else "", "" if re.search(r"[\[\]{},:#\"]", why) else why


def distance(text: str) -> Decimal:
    """A plain figure; its unit is a key of its own."""
    try:
        return number(text)
    except Wrong as wrong:
        found = distance_in(text)
        if found is None or not found[1] or found[2]:
            raise
        raise Wrong(wrong.code, wrong.found, f"write {found[0]} here, and unit: {found[1]} beside it") from None


def percent(text: str) -> Decimal:
    """A percentage as its number, `40` or `40 %` giving 40; 0 to 1,000."""
    bare = trimmed(text).removesuffix("%").strip()
    try:
        value = number(bare, "percentage")
    except Wrong as wrong:
        part = "%" not in text and PLAIN.fullmatch(meant.in_figures(bare))
        if part and re.search(r"[a-z/½¼¾⅓⅔]", bare.lower()) and Decimal(part[0]) < 1:  # half, 1/4
            raise Wrong(wrong.code, wrong.found, f"write {(Decimal(part[0]) * 100).normalize():f}") from None
        raise
    if value > 1000:
        raise Wrong("number-unreadable", f"percentage {text} is over 1,000", "write a percentage such as 40")
    return value


def large_percent(text: str) -> Decimal:
    """A percentage that is hardly ever under one: `0.35` is asked about, for it may be a part of one; `0.35 %` is what it says."""
    value = percent(text)
    if 0 < value < 1 and "%" not in text:
        raise Wrong(
            "number-unreadable",
            f"percentage {trimmed(text)} is under one: it could mean two different parts",
            f"write {(value * 100).normalize():f} % or {trimmed(text)} %, whichever is meant",
        )
    return value


def celsius(text: str) -> Decimal:
    """A temperature as its number of degrees Celsius, with or without the C: `17`, `17 °C`."""
    text = _spaced(text)
    match = re.fullmatch(r"(\S*[0-9.]) ?(?:°|º|degrees?|deg\.?)? ?(C|F|Celsius|Fahrenheit)?", text, re.IGNORECASE)
    if match and (match[2] or "C").upper().startswith("F") and PLAIN.fullmatch(match[1]):
        likely = (number(match[1], "temperature") - 32) * 5 / 9
        mend = f"write {likely.quantize(Decimal(1)):f}, which is as warm in Celsius" if likely >= 0 else "write it in degrees Celsius; none below zero is read"
        raise Wrong("number-unreadable", f"“{text}” is in degrees Fahrenheit", mend)
    return number(match[1] if match else text, "temperature")


def yes_or_no(text: str) -> bool:
    """`yes` or `no` (also true/false, on/off); anything else is told, never guessed."""
    word = text.strip().casefold()
    if word in ("yes", "true", "on", "y"):
        return True
    if word in ("no", "false", "off", "n"):
        return False
    raise Wrong("choice-unknown", f"“{text}” is neither yes nor no", "write yes or no")
