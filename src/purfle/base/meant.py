"""What somebody meant by a text that a reader refuses: the figure, time, day or names that a mend may say.

Nothing here is ever read as what was written; the reader that tells of it tries the proposal first, so that a mend,
followed to the letter, works.
Invariant: knows nothing of readers or files; gives an empty text, or none, where more than one thing may be meant.
"""

import math
import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

_WORDS = {
    **{word: str(figure) for figure, word in enumerate(("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"), 1)},
    "half": "0.5",
    "quarter": "0.25",
    "fortnight": "2 weeks",
    "overnight": "1 day",
}
_LARGE = re.compile(r"dozen|\b(?:hundred|thousand|(?:thir|four|fif|six|seven|eigh|nine)teen|(?:twen|thir|for|fif|six|seven|eigh|nine)ty)")
"""Words of numbers that are told as no figure: a part of one, such as the two of twenty-two, would be another."""
_MARKS = {"¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⅓": " 1/3", "⅔": " 2/3"}
_ABOUT = re.compile(r"^(?:about|around|approx\.?|ca?\.|circa|roughly|some|min\.|at least|~|≈)\s*")
_FRACTION = re.compile(r"(?:\b(\d{1,15})(?:\s+|-))?(?<![\d.,/])(\d{1,15})/(\d{1,15})(?![\d/])")
_AND_A_PART = re.compile(r"(?<![\d.,/])(\d{1,15})( (?:hour|day|week|month|year)s?)? and (?:an? )?0(\.25|\.5|\.75)\b")
_UNDER_ONE = re.compile(r"(?<![\d.])\.(?=\d)")
_LONGEST = 60
"""Letters of the longest text that is taken for a figure; in a longer one nothing is looked for."""


def in_figures(text: str) -> str:
    """The text with its fractions, its numbers in words and its decimal commas as plain figures: `half a can` → `0.5 can`, `2 1/2 h` → `2.5 h`."""
    if len(text) > _LONGEST or _LARGE.search(text.lower()):
        return ""
    text = text if text.isascii() else "".join(str(int(mark)) if mark.isdecimal() else mark for mark in text)  # figures of other scripts, full-width ones
    text = re.sub(r"\bthree[ -]quarters\b", "0.75", _ABOUT.sub("", text.lower().strip().rstrip(".,;!")))
    for mark, fraction in _MARKS.items():
        text = text.replace(mark, fraction)
    text = re.sub(r"\b[a-z]+\b", lambda word: _WORDS.get(word[0], word[0]), text)
    text = re.sub(r"(?<=0\.5|\.25|\.75) (?:an?|of an?)\b", "", text)
    text = re.sub(r"^an? (?=\d)", "", re.sub(r"(?:^|(?<=\band ))an? (?=(?:hour|day|week|month|year)\b)", "1 ", text))
    text = _AND_A_PART.sub(r"\1\3\2", re.sub(r"(?<=\d) and (?=\d{1,15}/\d)", " ", text))
    text = re.sub(r"(?<=\d),(?=\d{1,2}(?!\d))", ".", text)
    return _UNDER_ONE.sub("0.", _FRACTION.sub(_decimals, text)).strip()


def _decimals(match: re.Match[str]) -> str:
    whole, part, of = (int(figure or 0) for figure in match.groups())
    value = whole + Decimal(part) / of if of else Decimal(0)
    exact = value == value.quantize(Decimal("0.001"))
    return f"{value.normalize():f}" if of and part < of and exact else match[0]


_CURRENCIES = {
    **dict.fromkeys(("€", "euro", "euros"), "EUR"),
    **dict.fromkeys(("£", "pound", "pounds", "quid", "sterling", "gb£"), "GBP"),
    **dict.fromkeys(("us$", "us dollar", "us dollars", "usd$"), "USD"),
    **dict.fromkeys(("¥", "yen"), "JPY"),
}
"""What is written for a currency that can be no other's; of dollars and crowns there are several."""


def currency(text: str) -> str:
    """The code of the one currency that a sign, a name or three capitals can be; empty for none."""
    text = text.strip().rstrip(".")
    return text if re.fullmatch(r"[A-Z]{3}", text) else _CURRENCIES.get(text.casefold(), "")


_CENTS = re.compile(r"(\d{1,6}(?:\.\d{1,4})?) ?(?:cents?|ct|¢|pence)(?: ?(?:/|a|an|each|per|the)\b.*)?\.?", re.IGNORECASE)


def cents(text: str) -> str:
    """Cents as a part of the whole: `72.5 cents a mile` → `0.725`; empty for none."""
    match = _CENTS.fullmatch(text[: _LONGEST + 1].strip())
    return f"{Decimal(match[1]).scaleb(-2):f}" if match else ""


_FIGURE = re.compile(r"\d+(?:\.\d+)?")


def figures(text: str) -> list[str]:
    """The plain figures of a text, in order; none of one that has any figure that is not plain (`1,450`, `1.2.3`)."""
    text = in_figures(text)
    return [] if re.search(r"\d[.,/:]\d*[.,/:]|\d[/:,]\d", text) else _FIGURE.findall(text)


def several(text: str) -> list[str]:
    """The names that a text may hold, told apart by commas, strokes, plus signs, `&` or `and`; the text alone where it holds one."""
    return [name for part in re.split(r"[,;&+/|]|\sand(?=\s)", text) if (name := part.strip())]


# --- time ------------------------------------------------------------------------------------------------------------

_SPAN = re.compile(r"(\d{1,2})[:.h]?(\d\d)?\s*(?:-|–|to)\s*(\d{1,2})[:.h](\d\d)|(\d{1,2})[:.h](\d\d)\s*(?:-|–|to)\s*(\d{1,2})()")


def times(text: str) -> Iterator[str]:
    """Ways to write the time spent that a text may mean, likeliest first."""
    if span := _SPAN.fullmatch(text.strip().lower()):
        since, since_past, until, until_past = (int(figure or 0) for figure in (span.groups()[:4] if span[1] else span.groups()[4:]))
        if (minutes := (until - since) * 60 + until_past - since_past) > 0:
            yield f"{minutes // 60}:{minutes % 60:02}"
        return
    plain = in_figures(text)
    if re.fullmatch(r"\d{1,3}(?:\.\d{1,2})?(?: ?\+ ?\d{1,3}(?:\.\d{1,2})?){1,5}", plain):
        yield f"{sum((Decimal(part) for part in plain.split('+')), Decimal(0)).normalize():f}"
        return
    plain = re.sub(r"\s*(?:,|\band\b|&|\+)\s*(?=\d+\s*(?:m|'|’|′))", " ", plain)
    plain = re.sub(r"(?<=\d)\s*(?:''|['’′])", lambda tick: " min" if tick.end() == len(plain) else " h ", plain)
    plain = re.sub(r"(?<=\d)\s*(?:std\.?|stunden?|hr\.|hrs\.)(?![a-z])", " h", plain)
    yield plain
    yield re.sub(r"(?<=:\d\d)\s*h(?:ours?|rs?)?$", "", plain)


_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d\d))?\s?(?:(am|pm|a\.m\.|p\.m\.)|h|uhr|o.?clock)?")


def clock(text: str) -> str:
    """A time of day by the 24-hour clock that a text may mean: `11` → `11:00`, `2:30 pm` → `14:30`; empty for none."""
    match = _CLOCK.fullmatch(text[: _LONGEST + 1].strip().lower())
    if match is None:
        return ""
    hour, minutes, half = int(match[1]), int(match[2] or 0), (match[3] or "")[:1]
    if hour > (12 if half else 23) or minutes > 59 or (half and not hour):
        return ""
    return f"{hour % 12 + (12 if half == 'p' else 0) if half else hour}:{minutes:02}"


_HOURS = {"min": Decimal(1) / 60, "h": Decimal(1), "d": Decimal(24), "w": Decimal(168), "mo": Decimal(720), "y": Decimal(8760)}
"""Of each unit of a wait; a month is thirty days."""
_LENGTH_OF_TIME = re.compile(
    r"(\d+(?:\.\d+)?)\s*(?:(min)(?:ute)?s?|(mo)(?:nth)?s?|(h)(?:(?:ou)?rs?)?|(d)(?:ays?)?|(w)(?:(?:ee)?ks?)?|(y)(?:(?:ea)?rs?)?)(?![a-z])",
)


def wait(text: str) -> str:
    """A time to wait that a text may mean, in days or hours: the longest that it says, for a cure cut short costs more than one too long; empty for none."""
    plain = re.sub(r"(\d+(?:\.\d+)?)\s*(?:-|–|to)\s*(?=\d)", "", in_figures(text))
    if re.search(r"\d ?[x×*] ?\d", plain):  # 2 x 24 h: of a product no one part may be told
        return ""
    plain = re.sub(r"\d+(?:\.\d+)?( [a-z]+) or (\d+(?:\.\d+)?)$", r"\2\1", plain)  # a week or two
    hours = sum((Decimal(figure) * _HOURS["".join(unit)] for figure, *unit in _LENGTH_OF_TIME.findall(plain)), Decimal(0))
    if hours >= 24:
        return "1 day" if hours == 24 else f"{math.ceil(hours / 24)} days"
    return f"{hours.quantize(Decimal('0.01')).normalize():f} h" if hours else ""


# --- days ------------------------------------------------------------------------------------------------------------

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = rf"(?P<month>{'|'.join(_MONTHS)})[a-z]*\.?"
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th|\.)?"
_WORDED = tuple(
    re.compile(rf"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[,.]?\s+)?{order}(?:[\s,-]+(?P<year>\d{{4}}))?")
    for order in (rf"{_DAY}[\s-]*(?:of\s+)?{_MONTH}", rf"{_MONTH}[\s-]*{_DAY}")
)
_RUN = re.compile(r"(\d{4})[-/. ‐-―−]?(\d{1,2})[-/. ‐-―−]?(\d{1,2})(?![\d])(?:T.*|\D[^\d]*)?", re.IGNORECASE)
_TURNED = re.compile(r"(\d{1,2})([-/. ‐-―−])(\d{1,2})\2(\d{4}|\d{2})")


def days(text: str) -> list[date]:
    """The days that a text may mean; more than one where the order of its figures is not plain."""
    text = text[: _LONGEST + 1].strip().lower()
    if run := _RUN.fullmatch(text):
        return _days((int(run[1]), int(run[2]), int(run[3])))
    if turned := _TURNED.fullmatch(text):
        first, second, last = int(turned[1]), int(turned[3]), int(turned[4])
        if len(turned[4]) == 4:
            return _days((last, second, first), (last, first, second))
        by_year, others = (2000 + first, second, last), ((2000 + last, second, first), (2000 + last, first, second))
        return _days(by_year, *others) if turned[2] == "-" else _days(*others, by_year)
    if (month_and_day := _worded(text)) and month_and_day[0]:
        return _days(month_and_day)
    return []


def month_and_day(text: str) -> str:
    """The end of a day written without its year, `-03-14`; empty when the text is none."""
    found = _worded(text[: _LONGEST + 1].strip().lower())
    return f"-{found[1]:02}-{found[2]:02}" if found and not found[0] and _days((2024, found[1], found[2])) else ""


def _worded(text: str) -> tuple[int, int, int] | None:
    """Year (0 for none), month and day of a day with its month in words."""
    match = next((match for form in _WORDED if (match := form.fullmatch(text))), None)
    return match and (int(match["year"] or 0), _MONTHS.index(match["month"]) + 1, int(match["day"]))


def _days(*tried: tuple[int, int, int]) -> list[date]:
    found = []
    for year, month, number in tried:
        try:
            found.append(date(year, month, number))
        except ValueError:
            continue
    return list(dict.fromkeys(found))
