"""Lines of notes as they may be shown: whatever bytes a file held, a page stays readable and whole.

Invariant: changes nothing that a reader could see anyway.
"""

from functools import lru_cache

_HIDDEN = {code: chr(0x2400 + code) for code in range(32) if code != 9}
_HIDDEN[9] = " "
_HIDDEN[127] = "␡"
_HIDDEN.update(dict.fromkeys(range(128, 160), "�"))
# Marks that turn the direction of writing could make a line read as another.
_HIDDEN.update({code: f"[U+{code:04X}]" for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))})
_HIDDEN.update(dict.fromkeys((*range(55296, 57344), 65534, 65535), "�"))


@lru_cache(maxsize=8192)
def visible(text: str) -> str:
    """The text with control characters and turns of direction made visible.

    Kept, for a line stands in the ledger of its year and on the page of its build, and many a note has the same ones.
    """
    return text.translate(_HIDDEN)
