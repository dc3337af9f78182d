"""The part of a file that a browser asks for: it winds through a sound by asking for parts, and where it gets none it can't (RFC 9110, section 14).

Invariant: pure; a request that is not understood is one for the whole.
"""

import re

_ONE_PART = re.compile(r"bytes=([0-9]{0,18})-([0-9]{0,18})", re.IGNORECASE)


def part_of(asked: str, size: int) -> range | None:
    """The bytes of so many that the header `Range` asks for: None for the whole, an empty range when there are none such.

    Several parts at once are sent as the whole, as a server may.
    """
    match = _ONE_PART.fullmatch(asked.strip())
    if match is None or not (match[1] or match[2]):
        return None
    if not match[1]:
        return range(max(size - int(match[2]), 0), size)
    first, last = int(match[1]), int(match[2] or size)
    return None if match[2] and last < first else range(first, min(last + 1, size))
