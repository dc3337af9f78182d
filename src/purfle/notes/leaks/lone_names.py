"""Whether a word that is also somebody's name is meant as the name, told by the words right before and behind it.

Within a sentence a capital is that of a name, unless what stands beside it is a wood's, a colour's or a day's; at the beginning of a sentence, a line or a cell it
is a name where it does what people do. What is in doubt is a word: a false alarm holds the showroom, and the name in full is found whatever stands beside it.
Invariant: knows no name of the shop; English words alone are read.
"""

import re

_BESIDE = 40  # characters that are looked at before and behind a word
_TITLED = re.compile(r"\b(?:M[rsx]|Mrs|Dr|Capt|Fr|Hr|Prof|Rev|Revd|Sgt|Sra?|[A-Z])\.\s\Z")
"""Before a surname. A title without its point stands before it as any word does."""
_WITHIN = re.compile(r"[^\W\dA-Z_][,;]?\s\Z")
_MONTH = r"(?:January|February|March|April|May|June|July|August|September|October|November|December)\b"
_NO_NAME_BEFORE = re.compile(
    rf"(?:\b(?i:a|an|the|this|that|some|more|of|in|is|be|or|than|like|mid|late|last|next|early|since|every|until|till)|\b\d\d?\.?|\d(?:st|nd|rd|th)|{_MONTH},?|{_MONTH}\s(?:and|to)"
    r"|\b(?:Northern|Southern|Swamp|Figured|Quilted|Spalted|Antique|Vintage|Black|White|Flame|Light|Metal|Hard|Soft|Rose|Dark|Pale|Deep|Red))[ \n-]\Z"
)
"""What stands before a wood, a colour or a month: `of Ash`, `Swamp Ash`, `the April episode`, `on 12 April`."""
_NO_NAME_BEHIND = re.compile(
    r"\s(?i:black|blank|board|body|bridge|brown|burst|cap|core|dust|fingerboard|fretboard|gold|grain|gray|green|grey|guard|hardware|key|lacquer|neck|paint|paper|pattern|pink|plate|ply|red|"
    r"satin|socket|stain|stripe|sunburst|top|veneer|white|wings|wood)\b"
    r"|(?:,|/|\s?&|\s(?:and|or))\s?(?:Alder|Ash|Basswood|Beech|Birch|Cedar|Cherry|Ebony|Limba|Mahogany|Maple|Oak|Pine|Poplar|Rosewood|Sapele|Spruce|Walnut|Wenge)\b"
    rf"|,?\s\d|\s(?:or|to|and)\s{_MONTH}|\s(?i:I|it|that|there|they|these|this|those|we|you|he|she|on|onwards?)\b"
)
"""What stands behind one: `Rose gold`, `Ash and Maple`, `April 3`."""
_VERBS = (
    "agre|answer|approv|ask|call|collect|cri|enjoy|help|hop|insist|join|laugh|lik|liv|listen|lov|order|own|phon|pick|play|prefer|promis|remember|smil|talk|text|thank|trad|tri|us|visit|wait|"
    "want|wish|admitt|apologis|apologiz|charg|haggl|invoic|mail|quot|reckon|repli|warn"
)
_MADE = r"(?!(?:cover|feed|follow|includ|match|need|proceed|remain|shed|show|speed)(?:ed)?\b)(?:\w+ed|built|found|held|kept|taught|wound)"
"""Past forms, but for those of what wood and paint do, too, and words that only end alike."""
_OBJECT = "it|them|his|her|him|me|us|my|our|both|back|home"
_DOES = re.compile(
    rf"'s\b|\s(?:(?:already|also|always|just|never|now|still)\s)?(?:(?:{_VERBS})(?:s|es|d|ed)\b"
    rf"|{_MADE}\s(?:the|{_OBJECT})\b|(?:gave|got|put|took|went|(?!(?:as|has|is|was|\w*ss)\b)\w+s)\s(?:{_OBJECT})\b"
    r"|(?:dropp|return|stopp)ed\s(?:by|in|off|with)\b"
    r"|(?:bought|brings|brought|chose|chooses|drove|gets|hears|heard|keeps|knew|knows|made|paid|rang|sang|sings|sat|says|said|sent|sold|swore|thinks|thought|threw|told|who|writes|wrote|kept\s\w+ing)\b"
    r"|and\s(?:I|me|we|his|her)\b"
    r"|(?:is|was)\s(?:back|delighted|glad|happy|here|in|my|our|pleased|proud|sure|thrilled|waiting)\b"
    r"|(?:has|had)\s(?:a|an|asked|both|her|his|it|my|one|our|the|them|three|two)\b"
    r"|(?:came|comes)(?:\s(?:along|back|by|for|here|home|in|over|round|to|twice|with)\b|(?=[.!?]))"
    r"|(?:will|can|could|may|might|should|would)\s(?:be|bring|choose|come|get|have|hear|keep|pick|play|say|see|sell|sing|use|want)\b)"
    r"|,\s(?:who|whose|our|my|thank|thanks)\b",
    re.IGNORECASE,
)
"""What a person does, behind the name."""
_FAMILY = re.compile(r"\s(?:family|brothers|sisters)\b")
_THE = re.compile(r"\b[Tt]he\s\Z")
_OWN = re.compile(r"\b(?:is|was|be|of)\s\Z")
_ALONE = re.compile(r"\W*\Z|\s[A-Z][a-z]")


def is_name(text: str, start: int, end: int, plural: bool) -> bool:
    """Whether the word from start to end is a name; `plural` if it is so written, for only a family stands behind `the`."""
    before, behind = text[max(0, start - _BESIDE) : start], text[end : end + _BESIDE]
    if _FAMILY.match(behind) or (plural and _THE.search(before)) or (behind.startswith("'s") and _OWN.search(before)):
        return True
    if _NO_NAME_BEFORE.search(before):
        return False
    if _DOES.match(behind):
        return True
    if text[start:end].casefold() == "will" and not before and _ALONE.match(behind):
        return True
    return not _NO_NAME_BEHIND.match(behind) and bool(_TITLED.search(before) or _WITHIN.search(before))
