"""One picture's bytes become the bytes that are published: pixels only, upright, sRGB, in several widths.

Invariant: a pure function of the bytes and their ending; no path, no clock, and nothing of the source but its pixels.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from purfle.base.endings import PICTURES
from purfle.base.trouble import Wrong
from purfle.shell.store import public_name
from purfle.views.pictures import PublishedPicture, Variant

if TYPE_CHECKING:
    from PIL.Image import Image

WIDTHS = (480, 960, 1600)
FALLBACK_WIDTH = 1200
TALLEST = 3200
MOST_PIXELS = 120_000_000
MOST_BYTES = 100_000_000
WEBP_QUALITY, JPEG_QUALITY = 78, 82

_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")
_REFUSED = (
    (b"GIF8", "a GIF"), (b"BM", "a BMP"), (b"%PDF", "a PDF"),
    (b"II*\0", "a TIFF or a camera's raw file"), (b"MM\0*", "a TIFF or a camera's raw file"), (b"version https://git-lfs", "a pointer, not the picture itself"),
)  # fmt: skip
_SAVE_AS = "save it as .jpg and put that in its place"
_ORIENTATION = 0x0112  # EXIF 2.32, tag 274


@dataclass(frozen=True, slots=True)
class Developed:
    """A picture and the bytes of its files, with what a photographer should know."""

    picture: PublishedPicture
    files: tuple[tuple[str, bytes], ...]
    remarks: tuple[Wrong, ...]


def develop(data: bytes, ending: str) -> Developed:
    """The published picture of a source file's bytes; `ending` is its suffix without the dot.

    Raises Wrong `picture-unreadable` or `picture-too-large`.
    """
    kind = _kind(data)
    remarks = []
    if PICTURES.get(ending.casefold()) != kind:
        usual = next(name for name, of in PICTURES.items() if of == kind)
        remarks.append(Wrong("picture-mislabelled", f"the file ends in .{ending} and holds {kind} bytes", f"rename it to .{usual}"))
    try:
        image = _opened(data, kind)
        remarks += _remarks(image, data, kind)
        image = _upright(image, kind)
    except Wrong:
        raise
    except Exception as error:  # the decoders raise some twenty kinds of error on hostile bytes; all mean the same to the shop
        raise _unreadable(f"the picture can't be read ({_short(error)})") from None
    return _published(image, tuple(remarks))


def _unreadable(found: str) -> Wrong:
    return Wrong("picture-unreadable", found, _SAVE_AS)


def _short(error: Exception) -> str:
    """The decoder's words, without the memory addresses and paths some of them carry."""
    words = str(error).split("<")[0].split("'")[0].strip(" :") or "its bytes make no sense"
    return words[:80]


def _kind(data: bytes) -> str:
    """What a file is by its first bytes; anything else is told by what it looks like."""
    if not data:
        raise _unreadable("the file is empty")
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if is_heif(data):
        return "HEIF"
    for start, what in _REFUSED:
        if data.startswith(start):
            raise _unreadable(f"the file is {what}")
    raise _unreadable("the file does not begin as a .jpg, .png, .webp or .heic does")


def is_heif(data: bytes) -> bool:
    """Whether a file begins as a HEIC does."""
    return data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS


def open_heif() -> None:
    """From now on the imaging library opens HEIC, too. Raises `Wrong` where the library for it is missing."""
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise _unreadable("the file is HEIC, and the library that reads it is not installed") from None
    register_heif_opener(thumbnails=False)


def _opened(data: bytes, kind: str) -> Image:
    """The image, its header read and its size found bearable, its pixels not yet decoded."""
    from PIL import Image

    if kind == "HEIF":
        open_heif()
    try:
        image = Image.open(io.BytesIO(data), formats=(kind,))
    except Image.DecompressionBombError:
        raise _too_large("the picture has far too many pixels") from None
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise _too_large(f"the picture has {width} × {height} pixels; {MOST_PIXELS // 1_000_000} million is the most")
    return image


def _too_large(found: str) -> Wrong:
    return Wrong("picture-too-large", found, "save a smaller copy, at most 8,000 pixels on its long side")


def _remarks(image: Image, data: bytes, kind: str) -> list[Wrong]:
    """What is unusual about the picture and does not keep it from being shown."""
    remarks = []
    if kind in ("PNG", "WEBP") and getattr(image, "is_animated", False):
        remarks.append(Wrong("picture-moving", "the picture is animated; only its first frame is shown", "save the frame you want as .jpg"))
    if image.mode in ("CMYK", "LAB"):
        remarks.append(Wrong("picture-converted", "the picture is in print colours (CMYK)", "save it in RGB if the shown colours are off"))
    if kind == "PNG" and data[24:25] == b"\x10":
        remarks.append(Wrong("picture-converted", "the picture has 16 bits a colour; screens show 8", "save it with 8 bits if the shown colours are off"))
    return remarks


def _upright(image: Image, kind: str) -> Image:
    """The picture at its largest published size, upright, in sRGB, on white, as a bare image."""
    turn = _orientation(image)
    turned = turn >= 5  # 5 to 8 swap width and height
    width, height = image.size[::-1] if turned else image.size
    width, height = _largest(width, height)
    target = (height, width) if turned else (width, height)
    if kind == "JPEG":
        image.draft(image.mode, target)  # decodes at a half, quarter or eighth where that is still large enough
    image.load()
    colours, alpha = _plain(image)
    if colours.size != target:
        colours = _resized(colours, target)
        alpha = _resized(alpha, target) if alpha else None
    colours = _srgb(colours, image.info.get("icc_profile"))
    return _bare(_turned(_on_white(colours, alpha), turn))


def _orientation(image: Image) -> int:
    """1 to 8 as EXIF counts them; 1 where the tag is missing or makes no sense."""
    try:
        turn = image.getexif().get(_ORIENTATION, 1)
    except Exception:  # broken EXIF beside sound pixels: the picture is shown as it lies
        return 1
    return turn if isinstance(turn, int) and 1 <= turn <= 8 else 1


def _largest(width: int, height: int) -> tuple[int, int]:
    """The largest size that is published: never above the source."""
    scale = min(1.0, WIDTHS[-1] / width, TALLEST / height)
    return max(1, round(width * scale)), max(1, round(height * scale))


def _plain(image: Image) -> tuple[Image, Image | None]:
    """The picture as L, RGB or CMYK, with its transparency beside it."""
    from PIL import Image

    if image.mode.startswith("I"):
        wide = image if image.mode == "I;16" else image.convert("I;16")
        return Image.frombytes("L", wide.size, wide.tobytes()[1::2]), None  # little-endian: the high byte of each pair
    if image.mode in ("LA", "PA", "La", "RGBa", "RGBA") or "transparency" in image.info:
        rgba = image.convert("RGBA")
        return rgba.convert("RGB"), rgba.getchannel("A")
    return image if image.mode in ("L", "RGB", "CMYK") else image.convert("RGB"), None


def _resized(image: Image, size: tuple[int, int]) -> Image:
    from PIL.Image import Resampling

    return image.resize(size, Resampling.LANCZOS, reducing_gap=3.0)


def _srgb(image: Image, profile: bytes | None) -> Image:
    """The colours as sRGB; those of a missing or broken profile are taken as sRGB already."""
    from PIL import ImageCms

    if profile:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            changed = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
            if changed is not None:
                return changed
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass
    return image.convert("RGB")


def _on_white(colours: Image, alpha: Image | None) -> Image:
    from PIL import Image

    if alpha is None:
        return colours
    ground = Image.new("RGB", colours.size, "white")
    ground.paste(colours, mask=alpha)
    return ground


def _turned(image: Image, turn: int) -> Image:
    from PIL.Image import Transpose as T

    ways = {2: T.FLIP_LEFT_RIGHT, 3: T.ROTATE_180, 4: T.FLIP_TOP_BOTTOM, 5: T.TRANSPOSE, 6: T.ROTATE_270, 7: T.TRANSVERSE, 8: T.ROTATE_90}
    return image.transpose(ways[turn]) if turn in ways else image


def _bare(image: Image) -> Image:
    """A new image from the pixels alone: comments, EXIF, XMP and profiles stay behind."""
    from PIL import Image

    return Image.frombytes("RGB", image.size, image.tobytes())


def _published(image: Image, remarks: tuple[Wrong, ...]) -> Developed:
    """Encode the picture in every width, each made from the next larger one."""
    top = image.width
    webps = sorted({w for w in WIDTHS if w < 0.85 * top} | {top}, reverse=True)
    jpeg = min(top, FALLBACK_WIDTH)
    made: list[tuple[Variant, bytes]] = []
    full_height = image.height
    for width in sorted({*webps, jpeg}, reverse=True):
        if width != image.width:
            image = _resized(image, (width, max(1, round(full_height * width / top))))
        if width in webps:
            made.append(_encoded(image, "webp"))
        if width == jpeg:
            fallback = _encoded(image, "jpg")
    variants = tuple(variant for variant, _ in reversed(made))
    picture = PublishedPicture(top, full_height, variants, fallback[0], _mean(image))
    return Developed(picture, tuple((variant.path, data) for variant, data in (*made, fallback)), remarks)


def _encoded(image: Image, ending: str) -> tuple[Variant, bytes]:
    out = io.BytesIO()
    if ending == "webp":
        image.save(out, "WEBP", quality=WEBP_QUALITY, method=4)
    else:
        image.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True, progressive=True)
    data = out.getvalue()
    path = f"pictures/{public_name(data)}-{image.width}.{ending}"
    return Variant(path, image.width, image.height, "image/webp" if ending == "webp" else "image/jpeg", len(data)), data


def _mean(image: Image) -> str:
    from PIL.Image import Resampling

    red, green, blue = image.resize((1, 1), Resampling.BOX).tobytes()
    return f"#{red:02x}{green:02x}{blue:02x}"
