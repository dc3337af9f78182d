"""Sums of money as people write them in running text: with a sign, with two decimals, after words such as "paid", or in words.

A figure that counts or measures something is none, unless a sign of money stands beside it.
Invariant: knows no amount of the shop; English words alone are read.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Set
from decimal import Decimal

from purfle.notes.leaks.seen import Seen

_CODES = "USD|EUR|GBP|CHF|JPY|CNY|CAD|AUD|NZD|SEK|NOK|DKK|ISK|PLN|CZK|HUF|RON|UAH|KRW|INR|BRL|ZAR|MXN|SGD|HKD|ILS|THB|IDR|PHP|AED"
_SIGNS = "[$\u00a2-\u00a5\u058f\u060b\u09f2\u09f3\u0af1\u0bf9\u0e3f\u17db\u20a0-\u20cf\ufdfc]"  # Unicode's currency symbols (category Sc)
_SHORT = r"(?:kr|Kc|zl|Rs|s?Fr)\b\.?"  # as `seen` has them, without accents
_UNITS = (
    r"dollars?|euros?|pounds?|bucks?|quid|yen|francs?|kron(?:or|er|e|a|ur)|crowns?|zlot(?:ys?|ych|e)|koruna?s?|forints?|rupees?|pesos?|rand|reais|reals|"
    r"lira|lire|shekels?|won|yuan|baht|roubles?|rubles?|dirhams?|grand"
)
_LINK = r"(?:me|us|him|her|them|it|was|is|of|at|for|about|around|roughly|nearly|almost|exactly|only|just|the|all|so\s+far)"
_OF_MONEY = "paid|payed|spent|fetched|refunded|billed|invoiced|deposit|owed|owes"
_OF_EITHER = "asked|bought|got|offered|sold|wanted"
"""Words that tell of goods as often as of money."""
_PRICED = (
    rf"\b(?:{_OF_MONEY}|{_OF_EITHER}|asking|bill|brought|charged|costs?|costing|fee|invoice|made|pays?|priced?|profit|quoted|raised|took|total|wants|worth)\b(?:\s+{_LINK})*[:,]?\s+"
    rf"|\b(?:went|goes|go|gone|sold|gave|got|traded|yours|mine|his|hers|let\s+\w+\s+have)\b(?:\s+\w+){{0,3}}\s+for(?:\s+{_LINK})*\s+"
    r"|\b(?:sold|bought|bargain|cheap|steal|let\s+\w+\s+go)\b(?:\s+\w+)?\s+at\s+"
    rf"|\b(?:came|comes|come|amounts|amounted|adds|added)\s+(?:(?:up\s+)?to|in\s+at)(?:\s+{_LINK})*\s+"
    r"|\bput\s+(?:(?:me|us)\s+)?down\s+|\bset\s+(?:me|us|him|her|them)\s+back\s+|\b(?:I|we|he|she|they)\s+(?:shook|settled|agreed|met)\s+(?:hands\s+)?(?:on|at)\s+|\bgave(?:\s+(?:me|us|him|her|them))?\s+"
    r"|\b(?:bargained|beat|haggled|knocked|talked)(?:\s+\w+)?\s+(?:down\s+)?to\s+|\bsold(?:!|\s?[-–—])\s+"
    rf"|\b(?:ad|advert|listing|offer|price\s+tag|receipt|sticker|tag)\b(?:\s+(?:reads?|said|says|shows|{_LINK}))*[:,]?\s+"
)
"""What stands before a sum, in so many words."""
_PRICED_BEHIND = re.compile(
    r"\s(?:is|was)\s(?:(?:a|agreed|fair|final|full|her|his|my|our|the|their|whole)\s){1,3}(?:asking\s)?(?:bargain|bill|cost|damage|deal|deposit|fee|figure|offer|price|rent|sum)\b"
    r"|\s(?:is|was)\s(?:all|what)\s(?:he|I|it|she|they|we)\s(?:agreed|asked|brought|cost|fetched|gave|got|made|paid|settled|shook|took|wanted)\b",
    re.IGNORECASE,
)
"""What stands behind one: "320 was the damage"."""
_FIGURE = r"\d{1,3}(?:[' \u00a0\u2009\u202f]\d{3})+,\d{2}(?!\d)|\d{1,3}(?:[,' \u00a0\u2009\u202f]\d{3})+(?:\.\d{1,2})?(?!\d)|\d{1,2}(?:,\d{2})+,\d{3}(?:\.\d{1,2})?(?!\d)|\d{1,3}(?:\.\d{3})+(?:,\d{2})?(?!\d)|\d+,\d{2}(?!\d)|\d+(?:\.\d+)?"
_A_FIGURE = re.compile(rf"(?=\d)(?<![\d.])(?:{_FIGURE})")
_SIGN_BEFORE = re.compile(rf"(?:{_SIGNS}|\b(?:{_CODES})|\b{_SHORT})[\s>]{{0,5}}\Z")
_PRICED_BEFORE = re.compile(rf"(?:{_PRICED})\Z", re.IGNORECASE)
_SIGN_AFTER = re.compile(rf"[\s>]{{0,5}}(?:{_SIGNS}|(?:{_CODES})\b|{_SHORT})|[.,:][-–—](?!\w)|\s(?i:{_UNITS})\b")
_MEASURED = re.compile(
    r"\s?(?:[%°\"″′×]|(?:mm|cm|m|inch(?:es)?|ft|g|kg|oz|lbs?|ml|l|h|hrs?|hours?|min|minutes?|days?|weeks?|months?|years?|grit|paper|degrees|percent|coats?|passes|strokes|thou|turns|microns?|feet|foot|"
    r"millimet(?:er|re)s?|centimet(?:er|re)s?|met(?:er|re)s?|gram(?:me)?s?|kilos?|ounces?|lit(?:er|re)s?|seconds?|sec|volts?|amps?|watts?|Zoll|pouces?|pulgadas?|pollici|cal[aei]|"
    r"k?Ω|kohms?|ohms?|[munpµ]?[AVFW]|mAh|Hz|N|lbf|rpm|dB|noon|o'clock|a\.?m|p\.?m|train|ferry|bus)\b"
    r"|-?in(?:\.|\b)(?=\s*(?:$|[.,;:)×x-]|(?:radius|scale|wide|long|thick|deep|high|tall|across|apart|at|board|bolt|drill|bit|nut)\b)))"
)
_OF_MEASURES = re.compile(
    r"\b(?:measur\w+|gauges?|cal+ipers?|micromet\w+|meter|reads|reading|weigh\w*|relief|action|heights?|widths?|wide|depths?|deep|tall|thick\w*|radius|radii|scale|lengths?|diameter|"
    r"across|spacing|dial|gap|drill|moisture|humidity|fret\s\d+|kerf|tang|clearance|tolerance|volts?|amps?|milliamps?|ohms|count|starts?|begins?|noon|o'clock|"
    r"\d+(?:[.,]\d+)?\s?(?:mm|cm|m[AV]|V|lbs?|kg|k?Ω|inch(?:es)?)|mm|cm|inch(?:es)?|millimet(?:er|re)s?|lbs?|kg|Zoll|pouces?|pulgadas?)\b",
    re.IGNORECASE,
)
"""Words that tell of measures and times: a figure beside them with two decimals is no sum, unless a word says that it is."""
_SENTENCE_END = re.compile(r"[.!?]\s|\n")
_FOR_GOODS = re.compile(r"\s(?:for|each|apiece|a\s+piece|plus|shipped|landed|together|in\s+all|all\s+in|the\s+(?:pair|set|lot|piece))\b", re.IGNORECASE)
_OF_CROWNS = ("CZK", "DKK", "ISK", "NOK", "SEK")
_FRET_CROWNS = re.compile(r"\scrowns?\b", re.IGNORECASE)
_POUNDS = re.compile(r"\spounds?\b", re.IGNORECASE)
_HEAVY = re.compile(r"\b(?:weigh\w*|heavy|heavier|light|lighter|scales|load|tension|pull)\b", re.IGNORECASE)
_QUANTITY = re.compile(rf"\b(?:{_OF_EITHER}|asking|brought|gave|made|took|wants|total(?:\s+(?:is|was|of))?:?)\s+(?:for\s+)?\Z", re.IGNORECASE)
"""What stands before a quantity as often as before a sum."""
_CAME_TO = re.compile(r"\b(?:came|comes)\s+to\s+\Z", re.IGNORECASE)
_UP_TO = re.compile(r"\b(?:at|by|from|on|to|until)\s+\Z", re.IGNORECASE)
"""What stands before a time, or a measure that something is brought to."""
_GOES_ON = (
    "a|after|again|ago|all|altogether|and|apart|as|at|back|because|before|below|but|by|cash|down|each|either|for|from|gross|here"
    "|if|in|including|instead|it|last|less|more than|net|now|off|on|online|only|or|out|over|plus|pounds|quid|shipped|since|so|than|that"
    "|the|then|there|this|to|today|together|too|total|under|up|was|when|where|which|while|with|within|without|yesterday"
)
"""Words that go on with the sentence behind a sum."""
_COUNTED = re.compile(rf"\s(?:of\s+(?:them|the|these|those)\b|(?!(?:{_GOES_ON})\b)[a-z]{{2,}})")
"""What is counted: a noun behind a small number."""
_SMALL_COUNT = 100
_NEAR = 60  # characters that are looked at before and after a figure


Goods = Mapping[Decimal, Set[str]]
"""How the words begin that name what a sum was paid for."""


def sums(seen: Seen, currency: str, wanted: Set[Decimal], goods: Goods) -> Iterator[tuple[int, Decimal]]:
    """Where each of the wanted sums of money stands; a figure that can be read in two ways is read in both.

    Beside what was paid for with it, a bare figure is a sum, too.
    """
    text = seen.text
    for match in _A_FIGURE.finditer(text):
        thousands = 1000 if _THOUSANDS.match(text, match.end()) else 1
        values = [value for one in _values(match[0]) for value in {one, one * thousands} if value in wanted]
        if values and (_is_money(text, match, thousands, currency) or _is_beside_its_goods(text, match, values, goods)):
            yield from ((match.start(), value) for value in values)
    if not _NUMBER.keys().isdisjoint(seen.words):
        yield from _spelt(text, currency, wanted, goods)


def _is_beside_its_goods(text: str, figure: re.Match[str], values: Iterable[Decimal], goods: Goods) -> bool:
    """Whether a figure that measures, counts and numbers nothing stands in a sentence or row with what was paid for with one of the values that it may be,
    or with words of a deal."""
    named = [goods.get(value, frozenset()) for value in values if value >= _LEAST_BESIDE]
    if not named:
        return False
    start, end = figure.span()
    before, after = text[max(0, start - 2 * _NEAR) : start], text[end : end + 2 * _NEAR]
    if _MEASURED.match(after) or _COUNTED.match(after) or _UP_TO.search(before) or _NUMBERED.search(before) or _GOES_ON_AS.match(after):
        return False
    labelled = _LABELLED.search(before)
    near = labelled[0] if labelled else f"{_SENTENCE_END.split(before)[-1]} {_SENTENCE_END.split(after)[0]}"
    if figure[0] in _GRITS and _RUBBED.search(near):
        return False
    begins = {word[:end] for word in re.findall(r"[a-z]+", near.casefold()) for end in range(1, len(word) + 1)}
    return not begins.isdisjoint(_OF_A_DEAL.union(*named)) and not _is_near_measures(text, start, before, after)


_OF_A_DEAL = frozenset("bargain cash handshake haggl invoice payout receipt wallet".split())
"""How words begin beside which a figure is a sum, whatever it was paid for."""
_LEAST_BESIDE = 20
"""Smaller numbers beside goods count them."""
_LABELLED = re.compile(r"[^,;.!?\n|]+:\s\Z")
"""What a figure is the value of, in a row of such."""
_GRITS = frozenset("40 60 80 100 120 150 180 220 240 280 320 360 400 500 600 800 1000 1200 1500 2000 2500 3000".split())
"""Grades of abrasive paper (after ISO 6344, from memory, with those sold beside them), which are seldom called grit."""
_RUBBED = re.compile(r"\b(?:sand|rub|scuff|polish|level|flat(?:ten)?)(?:s|b?ed|b?ing)?\b", re.IGNORECASE)
_NUMBERED = re.compile(
    r"(?:\bfrets:\s|\b(?:and|day|episode|fret|grit|in|model|no|nr|number|of|or|page|size|step|then|type|x)\b\.?\s|[#'/.,:×A-Za-z-])\Z", re.IGNORECASE
)
_GOES_ON_AS = re.compile(r"[A-Za-z%°'/:×-]|\s[kKM]\b|\s(?:at|from|in|off|on)\s(?:each|its|the)\b|\s(?:apart|or\sso)\b|\.\d|,\s?\d|\s(?:and|by|or|to|x)\s\d")
"""What makes a figure a part of a name, a range, a row of figures or a place on the instrument."""


_THOUSANDS = re.compile(r"[kK]\b")


def _is_money(text: str, figure: re.Match[str], thousands: int, currency: str) -> bool:
    end = figure.end() + (thousands > 1)
    before, after = text[max(0, figure.start() - _NEAR) : figure.start()], text[end : end + _NEAR]
    if _is_of_weight_or_frets(before, after, currency):
        return False
    if _SIGN_BEFORE.search(before) or _SIGN_AFTER.match(after) or before.split()[-1:] == [currency] or after.split()[:1] == [currency]:
        return True
    if _MEASURED.match(after) or (_CAME_TO.search(before) and _OF_MEASURES.search(_SENTENCE_END.split(before)[-1])):
        return False
    priced = _PRICED_BEFORE.search(before) is not None or _PRICED_BEHIND.match(after) is not None
    if thousands == 1 and re.search(r"[.,]\d\d$", figure[0]):
        return priced or not (figure[0][:2] in ("0.", "0,") or _UP_TO.search(before) or _is_near_measures(text, figure.start(), before, after))
    small = figure[0].isdecimal() and Decimal(figure[0]) < _SMALL_COUNT
    goods = _QUANTITY.search(before) is not None
    if (small or goods) and _COUNTED.match(after):
        return False
    return priced and not (small and goods and not after.lstrip().startswith("for"))


_DEAL = re.compile(rf"\b(?:{_OF_MONEY}|{_OF_EITHER}|gave|went|let|traded|shook|settled|agreed|came|was|were|costs?\s+(?:me|us))\b", re.IGNORECASE)


def tells_of_a_deal(text: str, at: int) -> bool:
    """Whether the sentence of a sum tells of what was paid once, and not of what something costs anyone."""
    return any(_DEAL.search(words) for words in (_SENTENCE_END.split(text[max(0, at - 2 * _NEAR) : at])[-1], _SENTENCE_END.split(text[at : at + 2 * _NEAR])[0]))


def _is_of_weight_or_frets(before: str, after: str, currency: str) -> bool:
    """Whether pounds are those of a scale, and crowns those of frets."""
    if _POUNDS.match(after):
        return _HEAVY.search(f"{before} {after}") is not None and not _PRICED_BEFORE.search(before)
    return currency not in _OF_CROWNS and _FRET_CROWNS.match(after) is not None


def _is_near_measures(text: str, at: int, before: str, after: str) -> bool:
    """Whether words of measures stand near a figure in its sentence, or at the head of the table it stands in."""
    if _FOR_GOODS.match(after):
        return False
    row = text.rfind("\n", 0, at) + 1
    if text[row:at].lstrip().startswith("|"):
        return _OF_MEASURES.search(text[: text.find("\n")]) is not None
    return any(_OF_MEASURES.search(words) for words in (_SENTENCE_END.split(before)[-1], _SENTENCE_END.split(after)[0]))


def _values(figure: str) -> Iterator[Decimal]:
    """The figure with a point, and with a comma, as decimal sign, as far as it can be so read."""
    if figure.isdecimal():
        yield Decimal(figure)
        return
    bare = re.sub(r"[\s'\u00a0\u2009\u202f]", "", figure)
    for thousands, point in ((",", "."), (".", ",")):
        sep, dot = re.escape(thousands), re.escape(point)
        grouped = re.fullmatch(rf"\d{{1,3}}(?:{sep}\d{{2,3}})*{sep}\d{{3}}(?:{dot}\d+)?", bare)
        plain = bare.replace(thousands, "") if grouped else bare
        if re.fullmatch(rf"\d+(?:{dot}\d+)?", plain):
            yield Decimal(plain.replace(point, "."))


# --- in words ---------------------------------------------------------------------------------------------------------

_SMALL = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen").split()
_TENS = {word: 20 + 10 * n for n, word in enumerate(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"))}
_NUMBER = {**{word: n for n, word in enumerate(_SMALL)}, **_TENS, "hundred": 100, "thousand": 1000}
_ONE_WORD = "|".join(sorted(_NUMBER, key=len, reverse=True))
_WORDS = re.compile(rf"\b(?:(?:a|{_ONE_WORD})(?:[\s-]+(?:and[\s-]+)?(?:{_ONE_WORD}))+|{_ONE_WORD})\b", re.IGNORECASE)
_MONEY_AFTER = re.compile(rf"\s(?:{_UNITS})\b", re.IGNORECASE)
_SHORTLY = re.compile(rf"({'|'.join(_SMALL[1:])})[\s-]+((?:{'|'.join(_TENS)})(?:[\s-]+(?:{'|'.join(_SMALL[1:10])}))?|{'|'.join(_SMALL[10:])})", re.IGNORECASE)
"""As prices are said: "two eighty", "fourteen fifty"."""


def _spelt(text: str, currency: str, wanted: Set[Decimal], goods: Goods) -> Iterator[tuple[int, Decimal]]:
    for match in _WORDS.finditer(text):
        if len(match[0]) > _LONGEST:
            continue
        plainly, shortly, to_the_cent = Decimal(_added_up(match[0])), _said_shortly(match[0]), _said_to_the_cent(match[0])
        if not {plainly, shortly, to_the_cent} & wanted or _MEASURED.match(text, match.end()):
            continue
        before, after = text[max(0, match.start() - _NEAR) : match.start()], text[match.end() : match.end() + _NEAR]
        if _is_of_weight_or_frets(before, after, currency):
            continue
        money = _MONEY_AFTER.match(text, match.end()) is not None
        values = [value for value in (plainly, shortly) if value is not None and value in wanted]
        behind = _PRICED_BEHIND.match(after) is not None or _is_beside_its_goods(text, match, values, goods)
        told = plainly >= 100 or behind or (_PRICED_BEFORE.search(before) is not None and _QUANTITY.search(before) is None)
        if plainly in wanted and (money or (told and not _COUNTED.match(after))):
            yield match.start(), plainly
        priced = (
            money
            or behind
            or (_FOR_IT.match(after) is not None and not _UP_TO.search(before))
            or _FOR.search(text, max(0, match.start() - _NEAR), match.start()) is not None
        )
        if priced and shortly is not None and shortly in wanted:
            yield match.start(), shortly
        if to_the_cent is not None and to_the_cent in wanted and (priced or to_the_cent > _LATEST_HOUR):
            yield match.start(), to_the_cent


_LONGEST = 120
"""Letters; no sum takes so many to say, and to add up a page of such words would take long."""
_LATEST_HOUR = 13
"""Up to here what is said so may as well be the time."""


_FOR_IT = re.compile(r"\sfor\s(?:all|both|everything|it|that|the|them|these|this)\b", re.IGNORECASE)
_FOR = re.compile(rf"(?:\bfor(?:\s+{_LINK})*\s+|{_PRICED})\Z", re.IGNORECASE)


def _said_shortly(words: str) -> Decimal | None:
    """What "two eighty" comes to as the price it may be: 280."""
    said = _SHORTLY.fullmatch(words)
    return Decimal(100 * _added_up(said[1]) + _added_up(said[2])) if said else None


def _said_to_the_cent(words: str) -> Decimal | None:
    """What "thirty-nine eighty" comes to as the price it may be: 39.80."""
    said = re.findall(rf"\b(?:{_ONE_WORD})\b", words.casefold())
    for end in range(len(said) - 1, 0, -1):
        before, cents = said[end - 1], _added_up(" ".join(said[end:]))
        if _NUMBER[said[end]] >= 10 and 10 <= cents < 100 and before not in ("hundred", "thousand"):
            return Decimal(100 * _added_up(" ".join(said[:end])) + cents) / 100
    return None


def _added_up(words: str) -> int:
    """What a number in words comes to: "two hundred and eighty" is 280."""
    whole = part = 0
    for word in re.findall(r"[a-z]+", words.casefold()):
        value = _NUMBER.get(word)
        if word == "a":
            part = 1
        elif value == 1000:
            whole, part = whole + (part or 1) * 1000, 0
        elif value == 100:
            part = (part or 1) * 100
        elif value is not None:
            part += value
    return whole + part
