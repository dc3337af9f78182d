"""Whether a word that is also somebody's name is the name where it stands: by the words right before and behind it.

Within a sentence a capital is that of a name, unless what stands beside it is a wood's, a colour's or a day's; at the beginning of a sentence, a line or a cell it
is a name where it does what people do. What is in doubt is a word: a false alarm holds the showroom, and the name in full is found whatever stands beside it.
Invariant: knows no name of the shop; English words alone are read.
"""

import re

_BESIDE = 40  # characters that are looked at before and behind a word
_TITLED = re.compile(r"\b(?:M[rsx]|Mrs|Dr|[A-Z])\.\s\Z")
"""Before a surname. A title without its point stands before it as any word does."""
_WITHIN = re.compile(r"[a-z][,;]?\s\Z")
_MONTH = r"(?:January|February|March|April|May|June|July|August|September|October|November|December)\b"
_NO_NAME_BEFORE = re.compile(
    rf"(?:\b(?i:a|an|the|this|that|some|more|of|in|is|be|or|than|like|mid|late|last|next|early|since|every|until|till)|\d|\d\.|\d(?:st|nd|rd|th)|{_MONTH},?|{_MONTH}\s(?:and|to)"
    r"|\b(?:Northern|Southern|Swamp|Figured|Quilted|Spalted|Antique|Vintage|Black|White|Flame|Light|Metal|Hard|Soft|Rose|Dark|Pale|Deep|Red))[ \n-]\Z"
)
"""What stands before a wood, a colour or a month: `of Ash`, `Swamp Ash`, `the April episode`."""
_NO_NAME_BEHIND = re.compile(
    r"\s(?i:black|blank|board|body|bridge|brown|burst|cap|core|dust|fingerboard|fretboard|gold|grain|gray|green|grey|guard|hardware|key|lacquer|neck|paint|paper|pattern|pink|plate|ply|red|"
    r"satin|socket|stain|stripe|sunburst|top|veneer|white|wings|wood)\b"
    r"|(?:,|/|\s?&|\s(?:and|or))\s?(?:Alder|Ash|Basswood|Beech|Birch|Cedar|Cherry|Ebony|Limba|Mahogany|Maple|Oak|Pine|Poplar|Rosewood|Sapele|Spruce|Walnut|Wenge)\b"
    rf"|,?\s\d|\s(?:or|to|and)\s{_MONTH}|\s(?i:I|it|that|there|they|these|this|those|we|you|he|she|on|onwards?)\b"
)
"""What stands behind one: `Rose gold`, `Ash and Maple`, `April 3`."""
_SUBJECT = r"(?:always|already|also|even|finally|just|never|now|often|only|really|soon|still|then)"
_REGULAR = (
    "admir|ador|agre|answer|approv|ask|believ|call|collect|cri|deliver|decid|dislik|dropp?(?= by| in| off|ed by|ed in|s by|s in)|email|enjoy|gigg?|hat|help|hop|insist|interview|join|jok|laugh|"
    "lik|liv|listen|lov|mail|mention|nodd?|offer|order|own|perform|phon|pick|play|post(?!s)|practis|prefer|promis|receiv|recommend|record|regrett?|reckon|rehears|remember|repli|"
    "return(?=ed with|s with)|shar|smil|sign|stopp?(?=ed by|s by)|strumm?|suggest|swapp?|talk|tast|teas|test|text|thank|tour|trad|tri|trust|us|visit|volunteer|wait|want|wav|wish|wonder|work"
)
_DOES = re.compile(
    rf"'s\b|\s(?:{_SUBJECT}\s)?(?:(?:{_REGULAR})(?:s|es|d|ed|red|ted)\b"
    r"|(?:bought|brings|brought|chose|chooses|cries|drove|drives|gets|heard|hears|kept|keeps|knew|knows|lent|let\s(?:me|us)|made|met|meets|paid|pays|rang|rings|sang|sings|sat|says|said|saw|"
    r"sent|sends|slept|sold|sells|spoke|taught|tells|told|thinks|thought|tries|wept|writes|wrote|who)\b"
    r"|and\s(?:I|me|we|his|her)\b"
    r"|(?!(?:need|includ|cover|show|match|follow|remain)ed\b)(?:\w+ed|built|wound)\sthe\b"
    r"|(?:is|was)\s(?:back|coming|delighted|glad|happy|here|in|my|our|pleased|proud|sure|thrilled|waiting)\b"
    r"|(?:has|had)\s(?:a|an|asked|both|her|his|it|kept|my|one|our|the|them|three|two)\b"
    r"|(?:came|comes)(?:\s(?:along|back|by|for|here|home|in|over|round|to|twice|with)\b|(?=[.!?]))"
    r"|(?:will|can|could|may|might|should|would)\s(?:be|bring|choose|come|decide|get|have|hear|keep|like|pick|play|say|see|sell|sing|use|want)\b"
    r"|(?!(?:need|feed|shed|speed|proceed|is|was|has|as|\w*ss)\b)(?:\w+(?:s|ed)|found|gave|got|held|put|took|went)\s(?:it|them|his|her|him|me|us|my|our|both|back|home)\b"
    r")|,\s(?:who|whose|our|my|thank|thanks)\b",
    re.IGNORECASE,
)
"""What a person does, behind the name."""
_FAMILY = re.compile(r"\s(?:family|brothers|sisters)\b")
_THE = re.compile(r"\b[Tt]he\s\Z")
_IS = re.compile(r"\b(?:is|was|be)\s\Z")
_ALONE = re.compile(r"\W*\Z|\s[A-Z][a-z]")


def is_meant(text: str, start: int, end: int, plural: bool) -> bool:
    """Whether the word from start to end is a name; `plural` if it is so written, for only a family stands behind `the`."""
    before, behind = text[max(0, start - _BESIDE) : start], text[end : end + _BESIDE]
    if _FAMILY.match(behind) or (plural and _THE.search(before)) or (behind.startswith("'s") and _IS.search(before)):
        return True
    if _NO_NAME_BEFORE.search(before):
        return False
    if _DOES.match(behind):
        return True
    if text[start:end].casefold() == "will" and not before and _ALONE.match(behind):
        return True
    return not _NO_NAME_BEHIND.match(behind) and bool(_TITLED.search(before) or _WITHIN.search(before))
