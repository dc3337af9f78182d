"""How the names of pictures and sounds end, and what such a file holds.

Invariant: opens nothing; whether a file holds what its name says is found out by whoever reads it.
"""

PICTURES = {"jpg": "JPEG", "jpeg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
"""By ending, the kind of picture; the first of a kind is the usual one."""
SOUNDS = {"mp3": "audio/mpeg", "ogg": "audio/ogg", "opus": "audio/ogg", "wav": "audio/wav", "flac": "audio/flac", "m4a": "audio/mp4"}
"""By ending, the media type of a sound."""
OF_PICTURE = rf"\.(?:{'|'.join((*PICTURES, 'heif'))})"
"""As a pattern, what a name ends with that means a picture; whoever writes the longer `.heif` means one, too."""
ENDING = rf"\.(?:{'|'.join((*PICTURES, 'heif', *SOUNDS))})"
"""The same of a picture or a sound."""
