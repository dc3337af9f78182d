"""A chip of lacquer for a finish, from the words that name it.

Invariant: a colour is guessed from public words alone, and is decoration: no page says anything by colour only.
"""

import re

from purfle.views.public import Lacquer

_COLOURS = {
    "natural": "#c99d5b",
    "amber": "#c27a1f",
    "honey": "#d39a3c",
    "umber": "#6b3f1f",
    "tobacco": "#7a4a1e",
    "walnut": "#5a3a23",
    "brown": "#6a4427",
    "chestnut": "#7b3f22",
    "cognac": "#8c4a1c",
    "oxblood": "#5e1512",
    "cherry": "#8f1d22",
    "wine": "#5b1527",
    "burgundy": "#5b1527",
    "crimson": "#a3182c",
    "red": "#a3211c",
    "scarlet": "#b3231a",
    "rust": "#9a4520",
    "copper": "#a9623a",
    "orange": "#c8641b",
    "coral": "#d9705c",
    "salmon": "#d9806f",
    "pink": "#d79aa5",
    "gold": "#b48a3a",
    "brass": "#b08d45",
    "yellow": "#d9b33b",
    "butter": "#e6cf86",
    "cream": "#e9dcb8",
    "ivory": "#e8dfc6",
    "white": "#efece2",
    "pearl": "#e4e1d6",
    "bone": "#e3d8bd",
    "sand": "#cbb487",
    "straw": "#d8bd72",
    "olive": "#6a6b32",
    "moss": "#5d6b38",
    "sage": "#8b9b78",
    "green": "#2f6244",
    "emerald": "#1e6b4d",
    "seafoam": "#9cc7b0",
    "foam": "#a5ccb8",
    "mint": "#a8d1bb",
    "teal": "#1f6a6b",
    "turquoise": "#3d9c9b",
    "blue": "#2c5583",
    "sky": "#86b3cf",
    "ice": "#b9d3dd",
    "navy": "#1d2f4e",
    "cobalt": "#20479a",
    "indigo": "#2b2f63",
    "midnight": "#141c33",
    "slate": "#55606b",
    "storm": "#5b6670",
    "purple": "#54305f",
    "plum": "#5a2745",
    "violet": "#5c3a78",
    "lilac": "#a893bd",
    "silver": "#b4b8ba",
    "grey": "#7c8083",
    "gray": "#7c8083",
    "smoke": "#6e6c68",
    "charcoal": "#3a3b3c",
    "black": "#161514",
    "ebony": "#1f1a17",
    "oil": "#b0803f",
    "blue-green": "#5da294",
    "sea-green": "#2f7a68",
    "off-white": "#e9e4d4",
    "shellac": "#c08a3c",
    "stain": "#7a4a1e",
    "varnish": "#a3692b",
}
_HEART, _RIM = "#d59a3f", "#3a1d0d"
"""Of a burst that is named by its rim alone, and of one that is named by no colour."""
_WORD = re.compile("|".join([*(name for name in _COLOURS if "-" in name), "[a-z]+"]))


def lacquer_of(finish: str) -> Lacquer | None:
    """The chip of a finish such as `umber burst` or `sea green over white`; None when no word names a colour."""
    words = _WORD.findall(finish.casefold())
    named = [_COLOURS[word] for word in words if word in _COLOURS]
    if any(word == "shaded" or word.endswith("burst") for word in words):
        return Lacquer(named[0], named[-1]) if len(named) > 1 else Lacquer(_HEART, named[0] if named else _RIM)
    return Lacquer(named[0], named[0]) if named else None
