"""Sound files with everything but the sound taken out, one module for each kind.

Each module has `stripped(data) -> bytes`, which copies what it knows to be sound and its description and leaves the rest behind.
Invariant: pure functions of bytes; nothing is decoded, so nothing is heard differently.
"""

from purfle.base.trouble import Wrong


def broken(found: str, mend: str = "save the sound anew as .mp3 or .ogg and put that in its place") -> Wrong:
    """What a module raises when it can't vouch for every byte."""
    return Wrong("sound-unreadable", found, mend)
