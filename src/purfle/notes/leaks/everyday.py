"""Lists of words that name nobody, and of words that are names and far more often mere words.

Invariant: knows no name of the shop.
"""

NOBODY = frozenset(
    "a an the my our his her of from for in on at by to with and or who whose next old new local same some "
    "al ben bin da de del della den der di dos dr du el la las le los mr mrs ms miss sir st saint ter van von "
    "anonymous band bass brother brothers buyer client club collector company customer daughter daughters dealer estate father friend guitar guitarist "
    "guitars mother music musician neighbor neighbour nobody player private pupil repeat school shop sister someone son sons store stranger student "
    "studio teacher unknown works auction fair market online sale monday tuesday wednesday thursday friday saturday sunday".split()
)
"""Words within a name, or instead of one, that tell nobody's."""

WORDS = frozenset(
    "alder amber ash auburn bass beech birch black blue bolt bridge bridges brown burl butternut cane cedar cherry clear coral copper crimson crown cross cypress "
    "ebony elm fern field flint frost gold golden gray green grey hazel heath heather holly honey indigo iris ivory ivy jade jet key laurel lilac lime long maple "
    "moss myrtle oak olive peach pearl peg pine plain poplar red ring rose rosewood rowan ruby russet rust rusty sable sage sandy scarlet sharp short sienna silver small "
    "snow steel stone sunny teak teal violet walnut white willow wood woods yew "
    "best body bright clay current dark first fine fret frets good hand head hood hook horn last light little lock neck page post price rain ready reed south still tape "
    "tone thin west winter spring summer summers art bell bells bill buck buzz cash chip chuck church clamp cliff cook crane day dot drew drum dusty faith file flat frank gage gale "
    "gene grace grant hall hammer hardy harp hill hope jack joy lake lance mallet mark marks marsh may miles mills nick north pat pen penny pick pierce plane poole pots ray "
    "rich rob rod sand sander saw skip sue tab trace trim turner wade ward wells will wise april august june".split()
)
"""Words of the bench, the trade and the year that are names too: woods, colours, parts, tools, work. At the beginning of a sentence, a line or a cell they
are far oftener words."""

GOODS = frozenset(
    "amp amps audio big board boards case cases custom direct electronics finish finishes finishing hardware instrument instruments lacquer lane lumber "
    "luthier luthiers necks paint paints part parts pickup pickups pot repair repairs river road screws spares street string strings supplies supply switch timber "
    "tool tools tuner tuners tonewood tonewoods vintage wire wires workshop".split()
)
"""What a firm may be called by, as Guitar Parts or Crown Finishing: alone, or written small, they are words."""
PLAIN_WORDS = NOBODY | WORDS | GOODS
