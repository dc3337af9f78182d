"""Published pictures and sounds as HTML.

Invariant: leads only to the published files; `root` leads from the page to the site's root, such as `../`.
"""

from markupsafe import Markup, escape

from purfle.views.pictures import PublishedPicture, PublishedSound


def largest(picture: PublishedPicture) -> str:
    """The path of a picture's widest file."""
    return picture.variants[-1].path if picture.variants else picture.fallback.path


def picture_html(
    picture: PublishedPicture, alt: str, root: str, sizes: str = "(min-width: 60rem) 46rem, 94vw", lazy: bool = True, tinted: bool = False
) -> Markup:
    """A responsive picture: modern format first, JPEG to fall back on, width and height set so that nothing shifts."""
    source = f'<source type="image/webp" srcset="{escape(picture.srcset(root))}" sizes="{escape(sizes)}">' if picture.variants else ""
    waits = ' loading="lazy"' if lazy else ' fetchpriority="high"'
    tint = f' data-tint="{picture.colour}"' if tinted else ""
    image = f'<img src="{escape(root + picture.fallback.path)}" width="{picture.width}" height="{picture.height}" alt="{escape(alt)}"{tint}{waits}>'
    return Markup(f"<picture>{source}{image}</picture>")


def sound_html(sound: PublishedSound, alt: str, root: str) -> str:
    """A player with its words; nothing is fetched until it is played."""
    name = f'<span class="caption">{escape(alt)}</span>' if alt else ""
    label = f' aria-label="{escape(alt)}"' if alt else ""
    return f'<span class="sound">{name}<audio controls preload="none" src="{escape(root + sound.path)}"{label}></audio></span>'
