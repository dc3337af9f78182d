"""Words as they are set: where a sentence ends, and what must not part at the end of a line.

Invariant: knows nothing of what the words are about.
"""

import re

_TAG = re.compile(r"<[^<>]*>")


def stop(text: str) -> str:
    """The text with a full stop after it, unless it ends with one: amounts and days of some locales do (`20,00 kr.`, `3. jan.`)."""
    return text if _TAG.sub("", str(text)).rstrip().endswith(".") else text + "."


_UNIT = re.compile(r"(?<=\d) (?=(?:in|mm|cm|m|kg|g|lbf?|oz|N|V|W|Hz|[kM]?Ω|[nµ]F|mAh?|°C|%|h|min|days?)(?![\w/]))")


def tight(text: str) -> str:
    """The text with each figure kept on the line of its unit."""
    return _UNIT.sub("\xa0", text)
