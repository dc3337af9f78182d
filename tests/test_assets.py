"""A picture of the owner's own in `site_templates/` is published as it is: one that says more than is seen of it holds the showroom."""

import io
import json
import zlib

import pytest
from PIL import ExifTags, Image, PngImagePlugin
from pillow_heif import register_heif_opener
from shop_texts import put
from showroom_shop import HERON, SHOP

from purfle.pages.site_files import packaged
from purfle.shell.assets import telling
from purfle.shell.cli import run

register_heif_opener(thumbnails=False)
PIXELS = Image.linear_gradient("L").convert("RGB")


def saved(kind, **options):
    made = io.BytesIO()
    PIXELS.save(made, kind, **options)
    return made.getvalue()


def exif(**tags):
    """EXIF 2.32 with tags by their names; GPS by its own."""
    block = Image.Exif()
    for name, value in tags.items():
        if name == "GPS":
            block.get_ifd(ExifTags.IFD.GPSInfo).update({1: "N", 2: (41.0, 52.0, 41.1)})
        elif name == "LensModel":
            block.get_ifd(ExifTags.IFD.Exif).update({42036: value})
        else:
            block[ExifTags.Base[name]] = value
    return block


def text(key, **more):
    info = PngImagePlugin.PngInfo()
    info.add_text(key, "Osric Penhallow", **more)
    return info


IPTC = b"\xff\xed\x00\x1cPhotoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x00"
TELLING = {
    "place.jpg": saved("JPEG", exif=exif(GPS=True)),
    "artist.jpg": saved("JPEG", exif=exif(Artist="Osric Penhallow")),
    "lens.jpg": saved("JPEG", exif=exif(LensModel="x")),
    "remark.jpg": saved("JPEG", comment=b"for Osric"),
    "editor.jpg": saved("JPEG", xmp=b"<x:xmpmeta/>"),
    "press.jpg": saved("JPEG")[:2] + IPTC + saved("JPEG")[2:],
    "broken.jpg": saved("JPEG", exif=b"Exif\0\0II*\0\xff\xff"),
    "place.png": saved("PNG", exif=exif(Orientation=1, GPS=True)),
    "author.png": saved("PNG", pnginfo=text("Author")),
    "author-z.png": saved("PNG", pnginfo=text("Author", zip=True)),
    "half-sent.png": saved("PNG", pnginfo=text("Author"))[:-20],
    "place.webp": saved("WEBP", exif=exif(GPS=True)),
    "editor.webp": saved("WEBP", xmp=b"<x:xmpmeta/>"),
    "place.heic": saved("HEIF", exif=exif(GPS=True)),
    "editor.heic": saved("HEIF", xmp=b"<x:xmpmeta/>"),
    "place.avif": saved("AVIF", exif=exif(GPS=True).tobytes()),
    "remark.gif": saved("GIF", comment=b"for Osric"),
    "drawn.svg": b'<svg xmlns="http://www.w3.org/2000/svg" inkscape:export-filename="/home/osric/boat.png"/>',
    "by.svg": b"<?xml version='1.0'?><svg><metadata><rdf:RDF/></metadata></svg>",
}
INNOCENT = {
    "plain.jpg": saved("JPEG"),
    "turned.jpg": saved("JPEG", exif=exif(Orientation=6, XResolution=72.0)),
    "wide.jpg": saved("JPEG", icc_profile=b"x" * 300),
    "plain.png": saved("PNG"),
    "software.png": saved("PNG", pnginfo=text("Software")),
    "plain.webp": saved("WEBP"),
    "plain.heic": saved("HEIF"),
    "plain.avif": saved("AVIF"),
    "film.mp4": b"\0\0\0\x18ftypisom\0\0\2\0isom",
    "boat.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><!-- a boat --><path d="M0 0"/></svg>',
    "mine.css": b"body {}",
    "cut.jpg": saved("JPEG")[:3],
    "cut.png": saved("PNG")[:20],
    "empty.png": b"",
}


@pytest.mark.parametrize("name", TELLING)
def test_what_a_picture_carries_is_told(name):
    (told,) = telling({f"showroom/{name}": TELLING[name]})
    assert (told.code, told.place.file, told.place.line) == ("asset-tells", f"site_templates/showroom/{name}", 0)  # of the file as a whole


# EXIF 2.32, 4.6.4: A is the structure of the picture, C its colours; D is all that tells of who, when and with what.
STRUCTURE = (
    "ImageWidth ImageLength BitsPerSample Compression PhotometricInterpretation Orientation SamplesPerPixel XResolution YResolution PlanarConfiguration "
    "ResolutionUnit TransferFunction WhitePoint PrimaryChromaticities YCbCrCoefficients YCbCrSubSampling YCbCrPositioning ReferenceBlackWhite"
)
OTHER_TAGS = "DateTime ImageDescription Make Model Artist Copyright HostComputer"


@pytest.mark.parametrize("tag", STRUCTURE.split())
def test_a_tag_of_the_pixels_tells_nothing(tag):
    block = exif(**{tag: 1})
    assert list(block) == [ExifTags.Base[tag]]
    assert list(telling({"showroom/a.jpg": saved("JPEG", exif=block)})) == []


def test_the_versions_and_sizes_of_the_exif_block_tell_nothing():
    """The same of the block below (4.6.5): A, B and those of C that say how the pixels are stored."""
    block = Image.Exif()
    block.get_ifd(ExifTags.IFD.Exif).update(
        {ExifTags.Base.ExifVersion: b"0232", ExifTags.Base.FlashPixVersion: b"0100", ExifTags.Base.ComponentsConfiguration: b"\1\2\3\0"}
        | dict.fromkeys((ExifTags.Base.ColorSpace, ExifTags.Base.ExifImageWidth, ExifTags.Base.ExifImageHeight), 1)
    )
    assert len(Image.open(io.BytesIO(saved("JPEG", exif=block))).getexif().get_ifd(ExifTags.IFD.Exif)) == 6
    assert list(telling({"showroom/a.jpg": saved("JPEG", exif=block)})) == []


@pytest.mark.parametrize("tag", OTHER_TAGS.split())
def test_a_tag_of_who_when_or_with_what_tells(tag):
    assert [t.code for t in telling({"showroom/a.jpg": saved("JPEG", exif=exif(**{tag: "x"}))})] == ["asset-tells"]


def test_a_picture_too_large_to_be_read_may_say_anything():
    """200 million pixels; the imaging library refuses what is over twice its limit of 89,478,485 (`Image.MAX_IMAGE_PIXELS`)."""
    data = io.BytesIO()
    Image.new("1", (20_000, 10_000)).save(data, "PNG", exif=exif(GPS=True))
    (told,) = telling({"showroom/coast.png": data.getvalue()})
    assert told.code == "asset-tells"


@pytest.mark.parametrize("name", INNOCENT)
def test_what_only_says_how_the_pixels_lie_is_left_alone(name):
    assert list(telling({f"showroom/{name}": INNOCENT[name]})) == []


def test_a_copy_left_behind_is_not_published_and_tells_nothing():
    assert list(telling({f"showroom/place.jpg{end}": TELLING["place.jpg"] for end in ("~", ".bak", ".orig")})) == []


def test_the_office_and_what_comes_with_purfle_tell_nothing():
    assert list(telling({f"office/{name}": data for name, data in TELLING.items()})) == []
    assert list(telling({f"showroom/{name}": data for name, data in packaged("showroom").items()})) == []


@pytest.mark.parametrize("name", ["place.jpg", "place.png", "place.webp"])
def test_damaged_bytes_never_crash(name):
    data = TELLING[name]
    for at in range(0, len(data), max(1, len(data) // 60)):
        list(telling({"showroom/x": data[:at]}))
        list(telling({"showroom/x": data[:at] + bytes([zlib.crc32(data[:at]) & 255]) + data[at + 1 :]}))


def test_a_phone_photo_beside_the_templates_holds_the_showroom(tmp_path, capsys):
    put(tmp_path, {"shop.md": SHOP, "builds/heron/build.md": HERON.partition("cover:")[0] + "---\nA story.\n"})
    own = tmp_path / "site_templates/showroom"
    own.mkdir(parents=True)
    (own / "bench.jpg").write_bytes(TELLING["place.jpg"])
    assert run(["check", "--shop", str(tmp_path), "--today", "2026-05-20", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)["troubles"]
    assert [(t["code"], t["stops"]) for t in told if t["file"].startswith("site_templates")] == [("asset-tells", "showroom")]
    (own / "bench.jpg").write_bytes(INNOCENT["turned.jpg"])
    run(["check", "--shop", str(tmp_path), "--today", "2026-05-20", "--json"])
    assert "site_templates" not in capsys.readouterr().out
