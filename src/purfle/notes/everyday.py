"""Words that are somebody's name and far oftener none: of every day, of the trade and of the calendar, and what tells which they are where they stand.

Invariant: knows no name of the shop.
"""

DESCRIBES = frozenset("a an the my our his her of from for in on at by to with and or who whose next old new local same some".split())  # noqa: SIM905
PARTICLES = frozenset("al ben bin da de del della den der di dos dr du el la las le los mr mrs ms miss sir st saint ter the van von".split())  # noqa: SIM905
EVERYDAY = frozenset(
    "anonymous band bass brother brothers buyer cash church client club collector company customer daughter daughters dealer estate father friend guitar guitarist "  # noqa: SIM905
    "guitars hall mother music musician neighbor neighbour nobody online player private pupil repeat school shop sister someone son sons store stranger student "
    "studio teacher unknown works".split()
)
"""Words that stand where a name would and tell nobody's."""

TRADE = frozenset(
    "alder amber ash auburn bass beech birch black blue bolt bridge bridges brown burl butternut cane cedar cherry clear coral copper crimson crown cross cypress "  # noqa: SIM905
    "ebony elm fern field flint frost gold golden gray green grey hazel heath heather holly honey indigo iris ivory ivy jade jet key laurel lilac lime long maple "
    "moss myrtle oak olive peach pearl peg pine plain poplar red ring rose rosewood rowan ruby russet rust rusty sable sage sandy scarlet sharp short sienna silver small "
    "snow steel stone sunny teak violet walnut white willow wood woods yew "
    "best body bright clay current dark first fine fret frets good hand head hood hook horn last light little lock neck new north page post rain ready reed south still tape tone "
    "thin west winter spring summer".split()
)
"""Words of the trade that are names too: woods, colours, parts. At the beginning of a sentence, a line or a cell they are far oftener words."""
NOT_BESIDE = (  # each group of words of one length, for what is looked behind has one
    r"(?<!\b(?:Northern|Southern) )(?<!\b(?:Figured|Quilted|Spalted|Antique|Vintage) )(?<!\b(?:Swamp|Black|White|Flame|Light|Metal) )(?<!\b(?:Hard|Soft|Rose|Dark|Pale|Deep) )(?<!\bRed )"
    r"(?<!\b(?:body|neck|back|tops|wood) is )(?<!\b(?:board|piece|guard) is )"
)
NOT_A_PERSON = (
    r"(?!\s(?i:black|blank|board|body|bridge|brown|burst|cap|core|fingerboard|fretboard|gold|grain|gray|green|grey|guard|hardware|lacquer|neck|paint|pattern|pink|red|satin|stain|stripe|"
    r"sunburst|top|veneer|white|wings|wood)\b)"
    r"(?!(?:,|/|\s?&|\s(?:and|or))\s?(?:Alder|Ash|Basswood|Birch|Cedar|Cherry|Ebony|Limba|Mahogany|Maple|Oak|Pine|Poplar|Rosewood|Sapele|Spruce|Walnut|Wenge)\b)"
)
"""What stands beside a word of the trade and tells that it is no name: `Swamp Ash`, `Rose Gold`."""
DOES = (
    r"(?='s\b|\s(?:and\s+(?:I|me)|agreed|agrees|asked|asks|bought|brings|brought|called|calls|came|collected|collects|comes|drove|found|gave|gets|got|had|has|heard|insisted|insists|is\s+(?:back|happy|here|my|our|proud)|knows|let|liked|likes|lives|loved|loves|made|needed|needs|ordered|orders|owned|owns|phoned|picked|picks|promised|"
    r"plays|played|paid|rang|said|says|sent|sold|told|took|thinks|thought|traded|tried|used|visited|visits|waited|waits|wanted|wants|was\s+(?:happy|here|in|my|our)|went|who|will\s+(?:have|get|play|pick|be)|writes|wrote)\b)"
)
"""What a person does, behind the name."""
TITLED = r"(?:(?<=\bMrs\.\s)|(?<=\bM[rsx]\.\s)|(?<=\bDr\.\s)|(?<=\b[A-Z]\.\s))"
"""Before a surname."""
MODAL = r"(?!\s(?i:I|it|that|the|there|they|this|these|those|we|you|he|she|be|have|not)\b)"
"""`Will it hold?`, `May I say`."""
NO_WILL = (
    r"(?!-)(?=\W*\Z|'s\b|\s*[^\w\s]|\s+(?:[A-Z][a-z]|(?!(?:always|perhaps|need|feed|shed|speed|proceed|\w*ss)\b)[a-z]+(?:s|ed)\b"
    r"|(?:and|or|who|from|of|at|with|in|on|to|for|then|also|had|did|came|went|said|sent|got|gave|took|tried|brought|bought|sold|paid|made|told|rang|let|heard|knew|wrote)\b))"
)
"""What stands behind the name Will; behind the verb, as in `Will sand tomorrow`, stands another."""
MONTHS = "April|August|June|May"
"""Months that are first names too."""
IN_A_YEAR = (
    r"(?<!\b(?:in|In|or|of|IN) )(?<!\b(?:mid|Mid|MID)[ -])(?<!\b(?:late|Late|last|Last|next|Next|this|This|till|Till) )(?<!\b(?:early|Early|since|Since|every|Every|until|Until) )"
    r"(?<!\bbe )(?<!\bApril, )(?<!\d )(?<!\d\. )(?<!\d(?:st|nd|rd|th) )"
)
NO_DAY = r"(?!\s(?:or|to|and)\s(?:January|February|March|April|May|June|July|August|September|October|November|December)\b)(?!,?\s\d)(?!\swas\s(?:wet|dry|cold|warm|hot|grey|gray|busy|quiet|long|short|slow|over)\b)"
"""A month stands behind `in`, or a day or year beside it; `by May`, `for May` and `from May` may be anybody's."""
GOODS = frozenset(
    "amp amps and audio big board boards body case cases custom direct electronics finish finishes finishing fret frets good hardware instrument instruments lacquer lane little lumber "  # noqa: SIM905
    "luthier luthiers music neck necks new of old online paint paints part parts pickup pickups pot pots repair repairs river road screws shop spares steel street string strings "
    "supplies supply switch timber tone tools tuner tuners tonewood tonewoods vintage wire wires workshop".split()
)
PLAIN_WORDS = EVERYDAY | TRADE | GOODS | PARTICLES
"""A firm may be called by these alone, as Guitar Parts or Crown Finishing: written small they are words."""
