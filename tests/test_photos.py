"""Photos become published pictures: upright, in sRGB, without metadata, in widths never above the source."""

import hashlib
import io
import os
import struct
import time
import zlib
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image, PngImagePlugin

from purfle.base.codes import CODES
from purfle.shell import kept
from purfle.shell.photos import publish

CANARY = b"CANARY-41.8781N-87.6298W"


def photo(width: int, height: int, seed: int = 0) -> Image.Image:
    """A picture with a red upper left quarter, noise elsewhere."""
    pixels = np.random.default_rng(seed).integers(60, 120, (height // 8 + 1, width // 8 + 1, 3)).astype("uint8")
    image = Image.fromarray(pixels.repeat(8, 0).repeat(8, 1)[:height, :width])
    image.paste((220, 20, 20), (0, 0, width // 2, height // 2))
    return image


class Bin:
    """A shop folder with a store beside it."""

    def __init__(self, root: Path) -> None:
        self.shop, self.store = root / "shop", root / "store"
        self.shop.mkdir()

    def put(self, name: str, data: bytes) -> str:
        (self.shop / name).write_bytes(data)
        return name

    def save(self, name: str, image: Image.Image, kind: str = "JPEG", **options: object) -> str:
        out = io.BytesIO()
        image.save(out, kind, **options)
        return self.put(name, out.getvalue())

    def publish(self, *names: str):
        return publish(names, self.shop, self.store)

    def one(self, name: str):
        pictures, troubles = self.publish(name)
        return pictures[name], [t.code for t in troubles]

    def codes(self, name: str) -> list[str]:
        pictures, troubles = self.publish(name)
        assert all(t.place.file == name and t.code in CODES for t in troubles)
        assert (name in pictures) == (not any(CODES[t.code].stops.showroom() for t in troubles))
        return [t.code for t in troubles]

    def open(self, path: str) -> Image.Image:
        return Image.open(self.store / path)


@pytest.fixture
def bin(tmp_path: Path) -> Bin:
    return Bin(tmp_path)


def test_widths_are_those_of_the_site_and_never_above_the_source(bin: Bin) -> None:
    large, _ = bin.one(bin.save("a.jpg", photo(2000, 1500)))
    small, _ = bin.one(bin.save("b.jpg", photo(300, 200)))
    assert [v.width for v in large.variants] == [480, 960, 1600]
    assert [v.width for v in small.variants] == [300]
    assert (large.width, large.height, small.width, small.height) == (1600, 1200, 300, 200)
    assert large.fallback.width == 1200 and small.fallback.width == 300


def test_every_file_is_what_its_variant_says(bin: Bin) -> None:
    picture, _ = bin.one(bin.save("a.jpg", photo(1500, 1000)))
    for variant in picture.files():
        data = (bin.store / variant.path).read_bytes()
        image = Image.open(io.BytesIO(data))
        assert (image.width, image.height, Image.MIME[image.format], len(data)) == (variant.width, variant.height, variant.media_type, variant.size)


def test_the_name_is_the_digest_of_the_published_bytes(bin: Bin) -> None:
    picture, _ = bin.one(bin.save("customer-name.jpg", photo(600, 400)))
    for variant in picture.files():
        digest = hashlib.sha256((bin.store / variant.path).read_bytes()).hexdigest()[:16]
        assert variant.path == f"pictures/{digest}-{variant.width}.{variant.path[-4:].lstrip('.')}"


# Where the upper left quarter of the stored pixels is seen: EXIF 2.32, table of tag 274 (0th row / 0th column).
CORNERS = {1: (0, 0), 2: (1, 0), 3: (1, 1), 4: (0, 1), 5: (0, 0), 6: (1, 0), 7: (1, 1), 8: (0, 1)}


@pytest.mark.parametrize(("turn", "corner"), CORNERS.items())
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_picture_stands_upright(bin: Bin, turn: int, corner: tuple[int, int], kind: str) -> None:
    exif = Image.Exif()
    exif[274] = turn
    picture, _ = bin.one(bin.save(f"a.{kind.lower()}", photo(640, 400), kind, exif=exif))
    assert (picture.width, picture.height) == ((640, 400) if turn < 5 else (400, 640))
    image = bin.open(picture.fallback.path)
    red = image.getpixel((image.width * (1 + 2 * corner[0]) // 4, image.height * (1 + 2 * corner[1]) // 4))
    assert red[0] > 180 and red[1] < 60


def test_a_turned_large_photo_is_decoded_large_enough(bin: Bin) -> None:
    exif = Image.Exif()
    exif[274] = 6
    picture, _ = bin.one(bin.save("a.jpg", photo(3400, 1700), exif=exif))
    assert (picture.width, picture.height) == (1600, 3200)


def tagged(kind: str) -> dict[str, object]:
    """A canary in every tag that the format can carry."""
    exif = Image.Exif()
    text = CANARY.decode()
    exif[270] = exif[315] = exif[33432] = text
    exif.get_ifd(34665).update({37500: CANARY, 42032: text, 42033: text, 37510: CANARY})  # maker note, owner, body serial: EXIF 2.32
    exif.get_ifd(34853).update({1: "N", 2: (41.0, 52.0, 41.1), 29: text})  # GPS
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", text)
    info.add_itxt("XML:com.adobe.xmp", text)
    more = {"JPEG": {"comment": CANARY, "xmp": CANARY}, "PNG": {"pnginfo": info}, "WEBP": {"xmp": CANARY}}[kind]
    return {"exif": exif, **more}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_no_metadata_is_left(bin: Bin, kind: str) -> None:
    name = bin.save(f"a.{kind.lower()}", photo(640, 400), kind, **tagged(kind))
    assert CANARY in (bin.shop / name).read_bytes()
    picture, _ = bin.one(name)
    for variant in picture.files():
        data = (bin.store / variant.path).read_bytes()
        image = Image.open(io.BytesIO(data))
        assert not image.getexif() and not {"exif", "xmp", "comment", "icc_profile"} & image.info.keys()
        assert not any(mark in data for mark in (CANARY, b"Exif", b"http://ns.adobe", b"ICC_PROFILE", b"EXIF", b"XMP "))


def test_pixels_alone_decide_the_published_bytes(bin: Bin) -> None:
    plain, _ = bin.one(bin.save("a.png", photo(640, 400), "PNG"))
    tags, _ = bin.one(bin.save("b.png", photo(640, 400), "PNG", **tagged("PNG")))
    assert plain == tags


def test_the_same_photo_gives_the_same_files_in_another_store(bin: Bin, tmp_path: Path) -> None:
    name = bin.save("a.jpg", photo(1000, 700))
    first, _ = bin.publish(name)
    again, _ = publish([name], bin.shop, tmp_path / "other")
    assert first == again
    assert all((bin.store / v.path).read_bytes() == (tmp_path / "other" / v.path).read_bytes() for v in first[name].files())


def test_transparency_is_laid_on_white(bin: Bin) -> None:
    picture, troubles = bin.one(bin.save("a.png", Image.new("RGBA", (200, 100), (0, 0, 0, 0)), "PNG"))
    assert bin.open(picture.fallback.path).getpixel((50, 50)) == (255, 255, 255)
    assert (picture.colour, troubles) == ("#ffffff", [])


def test_a_tall_picture_is_bounded(bin: Bin) -> None:
    picture, _ = bin.one(bin.save("a.png", Image.new("RGB", (500, 20_000)), "PNG"))  # WebP ends at 16,383 pixels
    assert (picture.width, picture.height) == (80, 3200)


def test_heic_from_a_phone(bin: Bin) -> None:
    pillow_heif.register_heif_opener()
    exif = Image.Exif()
    exif[270] = CANARY.decode()
    name = bin.save("a.heic", photo(640, 400), "HEIF", quality=80, exif=exif.tobytes())
    picture, troubles = bin.one(name)
    assert (picture.width, picture.height, troubles) == (640, 400, [])
    assert all(CANARY not in (bin.store / v.path).read_bytes() for v in picture.files())
    assert bin.open(picture.fallback.path).getpixel((100, 100))[0] > 180


# Colourants adapted to D50 of the sRGB (IEC 61966-2-1) and Display P3 spaces, as published libraries of colour quote the ICC profiles, to five places.
SRGB = np.array([[0.43607, 0.38515, 0.14307], [0.22249, 0.71687, 0.06061], [0.01392, 0.09708, 0.71410]])
P3 = np.array([[0.51512, 0.29198, 0.15710], [0.24120, 0.69225, 0.06657], [-0.00105, 0.04189, 0.78407]])


def icc(colourants: np.ndarray, gamma: float) -> bytes:
    """A matrix profile as ICC.1:2010 lays it out: header, tag table, three XYZ and three gamma curves."""

    def s15(*values: float) -> bytes:
        return b"".join(struct.pack(">i", round(v * 65536)) for v in values)

    tags = [(b"wtpt", b"XYZ \0\0\0\0" + s15(0.9642, 1, 0.8249))]
    tags += [(letter + b"XYZ", b"XYZ \0\0\0\0" + s15(*colourants[:, i])) for i, letter in enumerate((b"r", b"g", b"b"))]
    tags += [(letter + b"TRC", b"curv\0\0\0\0\0\0\0\1" + struct.pack(">H", round(gamma * 256)) + b"\0\0") for letter in (b"r", b"g", b"b")]
    table, body = struct.pack(">I", len(tags)), b""
    for name, data in tags:
        table += name + struct.pack(">II", 132 + 12 * len(tags) + len(body), len(data))
        body += data
    header = struct.pack(">I4sI4s4s4s12x4s28x", 132 + 12 * len(tags) + len(body), b"", 0x02100000, b"mntr", b"RGB ", b"XYZ ", b"acsp")
    return header + s15(0.9642, 1, 0.8249) + bytes(48) + table + body


def test_a_wide_gamut_photo_is_converted_to_srgb(bin: Bin) -> None:
    seen = np.array([140, 110, 90])
    linear = np.linalg.inv(SRGB) @ P3 @ (seen / 255) ** 2.2
    expected = 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)  # IEC 61966-2-1
    picture, _ = bin.one(bin.save("a.png", Image.new("RGB", (64, 64), tuple(seen)), "PNG", icc_profile=icc(P3, 2.2)))
    shown = np.array(bin.open(picture.fallback.path).convert("RGB").getpixel((30, 30)))
    assert np.abs(shown - expected).max() <= 2 and np.abs(shown - seen).max() >= 4


# --- files that are not what a photo should be


def test_print_colours_are_converted_and_told(bin: Bin) -> None:
    name = bin.save("a.jpg", Image.new("CMYK", (64, 64), (0, 255, 255, 0)))
    picture, troubles = bin.one(name)
    red, green, blue = bin.open(picture.fallback.path).getpixel((30, 30))
    assert troubles == ["picture-converted"] and red > 200 and green < 60 and blue < 60


def test_sixteen_bits_grey_keep_their_tone(bin: Bin) -> None:
    grey = Image.fromarray(np.full((64, 64), 0x8000, "uint16"))
    picture, troubles = bin.one(bin.save("a.png", grey, "PNG"))
    assert troubles == ["picture-converted"]
    assert abs(bin.open(picture.fallback.path).getpixel((30, 30))[0] - 128) <= 1


@pytest.mark.parametrize(("name", "kind", "told"), [("a.webp", "WEBP", ["picture-moving"]), ("a.jpg", "MPO", [])])
def test_a_moving_picture_and_a_phone_file_of_several_show_the_first(bin: Bin, name: str, kind: str, told: list[str]) -> None:
    first, second = (Image.new("RGB", (64, 64), colour) for colour in ("#c02020", "#2020c0"))
    picture, troubles = bin.one(bin.save(name, first, kind, save_all=True, append_images=[second]))
    assert troubles == told
    assert bin.open(picture.fallback.path).getpixel((30, 30))[0] > 150


def test_a_mislabelled_picture_is_read_as_what_it_is(bin: Bin) -> None:
    assert bin.codes(bin.save("a.jpg", photo(64, 64), "PNG")) == ["picture-mislabelled"]


WRONG = {
    "empty": b"",
    "words": b"not a picture at all",
    "page": b"<!doctype html><script>alert(1)</script>",
    "drawing": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    "only the start": b"\xff\xd8\xff",
    "gif": b"GIF89a" + bytes(30),
    "png head alone": b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sIIBBBBB", 13, b"IHDR", 10, 10, 8, 2, 0, 0, 0),
    "webp head alone": b"RIFF\x20\0\0\0WEBPVP8 ",
    "heif head alone": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
}


@pytest.mark.parametrize("kind", WRONG)
def test_what_is_no_picture_is_told(bin: Bin, kind: str) -> None:
    assert "picture-unreadable" in bin.codes(bin.put("a.jpg", WRONG[kind]))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_cut_short_is_told(bin: Bin, kind: str) -> None:
    name = bin.save(f"a.{kind.lower()}", photo(640, 400), kind)
    whole = (bin.shop / name).read_bytes()
    assert bin.codes(bin.put(name, whole[: len(whole) // 2])) == ["picture-unreadable"]


@pytest.mark.parametrize("seed", range(60))
def test_damaged_bytes_never_crash(bin: Bin, seed: int) -> None:
    kind = ["JPEG", "PNG", "WEBP"][seed % 3]
    name = bin.save(f"a.{kind.lower()}", photo(64, 48), kind, **tagged(kind))
    data = bytearray((bin.shop / name).read_bytes())
    rng = np.random.default_rng(seed)
    for at in rng.integers(12, len(data), 12):
        data[at] = rng.integers(0, 256)
    assert set(bin.codes(bin.put(name, bytes(data)))) <= CODES.keys()  # `codes` also checks: a picture, or a trouble that stops


def test_a_bomb_is_refused_by_its_header(bin: Bin) -> None:
    ihdr = b"IHDR" + struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    head = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + ihdr + struct.pack(">I", zlib.crc32(ihdr))
    idat = b"IDAT" + zlib.compress(bytes(1000))
    bomb = head + struct.pack(">I", len(idat) - 4) + idat + struct.pack(">I", zlib.crc32(idat))
    assert bin.codes(bin.put("a.png", bomb)) == ["picture-too-large"]


def test_a_file_of_too_many_bytes_is_refused(bin: Bin) -> None:
    with (bin.shop / "a.jpg").open("wb") as file:
        file.truncate(200_000_000)  # sparse
    assert bin.codes("a.jpg") == ["picture-too-large"]


# --- what is not a file of the shop


def test_a_missing_picture_is_told(bin: Bin) -> None:
    assert bin.codes("gone.jpg") == ["picture-missing"]


def test_links_pipes_devices_and_folders_are_refused(bin: Bin) -> None:
    outside = bin.shop.parent / "outside.jpg"
    photo(64, 64).save(outside)
    (bin.shop / "link.jpg").symlink_to(outside)
    (bin.shop / "device.jpg").symlink_to("/dev/zero")
    (bin.shop / "loop.jpg").symlink_to("loop.jpg")
    os.mkfifo(bin.shop / "pipe.jpg")
    (bin.shop / "folder.jpg").mkdir()
    for name in ("link.jpg", "device.jpg", "loop.jpg", "pipe.jpg", "folder.jpg", "../outside.jpg", str(outside)):
        assert bin.codes(name) == ["picture-refused"], name


def test_what_was_written_is_no_source(bin: Bin) -> None:
    (bin.shop / "out").mkdir()
    assert bin.codes(bin.save("out/a.jpg", photo(64, 64))) == ["picture-refused"]


def test_a_link_within_the_shop_is_followed(bin: Bin) -> None:
    bin.save("a.jpg", photo(64, 64))
    (bin.shop / "b.jpg").symlink_to("a.jpg")
    assert bin.codes("b.jpg") == []


# --- kept between compiles


def stored(bin: Bin) -> dict[str, int]:
    return {str(p.relative_to(bin.store)): p.stat().st_mtime_ns for p in bin.store.rglob("*") if p.is_file()}


def test_a_second_compile_makes_nothing(bin: Bin) -> None:
    name = bin.save("a.jpg", photo(640, 400))
    first, before = bin.publish(name), stored(bin)
    assert bin.publish(name) == first and stored(bin) == before


def test_a_remark_is_told_again_from_the_store(bin: Bin) -> None:
    name = bin.save("a.jpg", photo(64, 64), "PNG")
    first = bin.publish(name)
    assert bin.publish(name) == first and first[1]


def test_what_is_not_wanted_any_more_is_dropped(bin: Bin) -> None:
    names = bin.save("a.jpg", photo(640, 400)), bin.save("b.jpg", photo(640, 400, 1))
    bin.publish(*names)
    pictures, _ = bin.publish("a.jpg")
    assert {p for p in stored(bin) if p.startswith("pictures/")} == {v.path for v in pictures["a.jpg"].files()}


def test_a_changed_photo_replaces_its_files(bin: Bin) -> None:
    before, _ = bin.one(bin.save("a.jpg", photo(640, 400)))
    after, _ = bin.one(bin.save("a.jpg", photo(640, 400, 1)))
    assert not {v.path for v in before.files()} & {v.path for v in after.files()}
    assert {p for p in stored(bin) if p.startswith("pictures/")} == {v.path for v in after.files()}


@pytest.mark.parametrize("harm", ["delete a file", "cut a file", "change a file", "link a file", "break the record"])
def test_a_damaged_store_is_made_good(bin: Bin, harm: str) -> None:
    name = bin.save("a.jpg", photo(640, 400))
    first, whole = bin.publish(name), {p: (bin.store / p).read_bytes() for p in stored(bin)}
    victim = bin.store / sorted(p for p in whole if p.startswith("records" if "record" in harm else "pictures"))[0]
    if "delete" in harm or "link" in harm:
        victim.unlink()
    else:
        victim.write_bytes(bytes(victim.stat().st_size) if "change" in harm else b"{")
    if "link" in harm:
        (bin.shop / "elsewhere").write_bytes(bytes(len(whole[str(victim.relative_to(bin.store))])))
        victim.symlink_to(bin.shop / "elsewhere")
    assert bin.publish(name) == first
    assert {p: (bin.store / p).read_bytes() for p in stored(bin)} == whole


def test_two_photos_of_the_same_pixels_share_their_files_and_are_made_once(bin: Bin, monkeypatch: pytest.MonkeyPatch) -> None:
    names = bin.save("a.jpg", photo(640, 400)), bin.save("b.jpg", photo(640, 400), comment=b"another file")
    first, before = bin.publish(*names), stored(bin)
    assert len({bin.shop.joinpath(name).read_bytes() for name in names}) == 2 and first[0][names[0]] == first[0][names[1]]
    monkeypatch.setattr("purfle.shell.photos.develop", no_reading)
    assert bin.publish(*names) == first and stored(bin) == before


def test_progress_is_told_for_each_picture(bin: Bin) -> None:
    names = [bin.save(f"{i}.jpg", photo(64, 64, i)) for i in range(3)]
    told: list[tuple[int, int]] = []
    publish([*names, names[0]], bin.shop, bin.store, lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_nothing_wanted_leaves_nothing(bin: Bin) -> None:
    bin.publish(bin.save("a.jpg", photo(64, 64)))
    assert bin.publish() == ({}, ()) and stored(bin) == {}


def no_reading(*_: object) -> bytes:
    raise AssertionError("a file was read that need not be")


def test_a_photo_left_alone_is_not_even_read_again(bin: Bin, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "since", lambda: time.time_ns() + 10**18)  # as if it had lain there for long
    name = bin.save("a.jpg", photo(640, 400))
    first = bin.publish(name)
    monkeypatch.setattr(kept, "read_at_most", no_reading)
    assert bin.publish(name) == first


def test_a_photo_changed_since_is_read(bin: Bin, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "since", lambda: time.time_ns() + 10**18)
    before, _ = bin.one(bin.save("a.jpg", photo(640, 400)))
    after, _ = bin.one(bin.save("a.jpg", photo(640, 400, 1)))
    assert before != after


def test_a_photo_of_this_very_moment_is_read_twice(bin: Bin, monkeypatch: pytest.MonkeyPatch) -> None:
    name = bin.save("a.jpg", photo(64, 64))
    bin.publish(name)
    monkeypatch.setattr(kept, "read_at_most", no_reading)
    with pytest.raises(AssertionError, match="need not be"):
        bin.publish(name)
