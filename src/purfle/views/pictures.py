"""Pictures and sound samples as the pages show them: made anew from pixels and samples, named by their own bytes.

Every path stands under out/showroom (or out/office) and, alike, under the store that the shell fills:
the bytes of `variant.path` are the file `store / variant.path`.
Invariant: no source path, file name, date or other metadata of the owner's file is here; who needs the source holds it as
the key of the mapping that gave the value.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Variant:
    """One published file of a picture."""

    path: str
    """`pictures/<first 16 hex digits of the sha256 of these bytes>-<width>.webp` (or `.jpg`)."""
    width: int
    """Pixels, upright."""
    height: int
    """Pixels, upright."""
    media_type: str
    """`image/webp` or `image/jpeg`."""
    size: int
    """Bytes."""


@dataclass(frozen=True, slots=True)
class PublishedPicture:
    """A picture ready to be shown: upright, in sRGB, without metadata."""

    width: int
    """Upright pixels of the largest variant, for the `width` attribute."""
    height: int
    """Upright pixels of the largest variant, for the `height` attribute."""
    variants: tuple[Variant, ...]
    """WebP, from the narrowest to the widest; at least one."""
    fallback: Variant
    """JPEG for browsers and feeds without WebP, and for Open Graph; at most 1,200 wide."""
    colour: str
    """The picture's mean colour as `#rrggbb`, to stand in its place until it has loaded."""

    def srcset(self, root: str = "") -> str:
        """The variants as the `srcset` attribute wants them; `root` leads from the page to the site's root, such as `../`."""
        return ", ".join(f"{root}{v.path} {v.width}w" for v in self.variants)

    def files(self) -> tuple[Variant, ...]:
        """Every file that must lie beside the pages for this picture to be seen."""
        return (*self.variants, self.fallback)


@dataclass(frozen=True, slots=True)
class PublishedSound:
    """A sound sample ready to be played: the sound alone, every tag gone."""

    path: str
    """`sounds/<first 16 hex digits of the sha256 of these bytes>.ogg` (or `.opus`, `.mp3`, `.wav`, `.flac`, `.m4a`)."""
    media_type: str
    """Such as `audio/ogg`."""
    size: int
    """Bytes."""


Pictures = Mapping[str, PublishedPicture]
"""By the source's path in the shop folder, with forward slashes: `builds/heron/photos/front.jpg`."""
Sounds = Mapping[str, PublishedSound]
"""By the source's path in the shop folder."""
