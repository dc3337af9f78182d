"""A canary in everything private, through the whole command on a disk: it is found nowhere in the showroom, in no name and no byte.

The canary stands in every private text and amount of the vocabulary, in names of files, in private blocks, comments and keys of
the owner's own, in the tags of photos (EXIF, GPS, XMP, IPTC, comment) and of sounds. A second shop differs in every one of these; its
showroom is the same, byte for byte. Such a shop is full of troubles, so the gate that holds a showroom back is taken away here: what is
tested is what stands behind it.
"""

import io
import struct
import sys
from datetime import date
from pathlib import Path

import pytest
import test_sounds
from PIL import ExifTags, Image, PngImagePlugin
from shop_texts import put
from showroom_shop import HERON
from test_showroom_privacy import PUBLIC

import purfle.sites
from purfle.base.codes import stops_showroom
from purfle.base.place import Place
from purfle.base.trouble import Troubles
from purfle.notes.frontmatter.tree import compose_bare
from purfle.notes.records.build import BuildSheet
from purfle.notes.records.note import NoteSheet
from purfle.notes.records.shop import ShopSheet
from purfle.notes.records.show import BulletinSheet, EpisodeSheet
from purfle.notes.shop import read_shop
from purfle.notes.vocabulary.fields import Key, Reading, Record, keys_of
from purfle.notes.vocabulary.kinds import AMOUNT
from purfle.shell.cli import run
from purfle.shell.folder import read_folder

DAY = "2026-05-20"
FIRST, SECOND = ("Xqzcanary", "7919.83"), ("Wvkfinch", "6421.17")
DECIDES = {("Acquired", "how"), ("Bench", "build"), ("StageSheet", "stage"), ("Promise", "build"), ("Promise", "do"), ("ShopSheet", "year_starts")}
"""What is private and yet decides, with the rest, what is public: progress, and what is coming up."""


def filled(record: type[Record], mark: tuple[str, str], **fixed: str) -> str:
    """Every key of a record: private words and amounts are the mark's, all others their example."""
    return "".join(f"{word}: {fixed[word] if word in fixed else _value(record, field, key, mark)}\n" for word, (field, key) in keys_of(record).items())


def _value(record: type[Record], field: str, key: Key, mark: tuple[str, str]) -> str:
    name = record.__name__
    open_to_all = (name, field) in DECIDES or name == "Credit" or field in PUBLIC.get(name, ()) or "*" in PUBLIC.get(name, ())
    if key.kind.part is not None:
        inner = key.kind.part
        whole = "{" + ", ".join(f"{word}: {_value(inner, f, k, mark)}" for word, (f, k) in keys_of(inner).items()) + "}"
        return next((text for text in (whole, f"{{{mark[0]}: {whole}}}") if _reads(key, text) is not None), key.example)
    if not open_to_all and key.kind is AMOUNT:
        return mark[1]
    return mark[0] if not open_to_all and _reads(key, mark[0]) in (mark[0], (mark[0],)) else key.example


def _reads(key: Key, text: str) -> object:
    """What the key reads from a text; None for nothing without a trouble."""
    troubles = Troubles()
    try:
        value = key.kind.read(compose_bare(text, Place("f", 1), troubles), Reading(troubles))
    except Exception:  # (a kind raises for what it does not take)
        return None
    return None if troubles.found else value


def shop(root: Path, mark: tuple[str, str]) -> Path:
    """A shop on the disk with that mark in everything private."""
    word = mark[0]
    secret = f"\n::: private\n{word} came for {mark[1]}.\n:::\n\n<!-- {word} -->\n"
    pictures = (
        "\n".join(f"![A board](photos/{word}-{n}.{kind})\n" for n, kind in enumerate(("jpg", "png", "webp")))
        + f"\n![A note]({word}.mp3)\n\n![A note]({word}.ogg)\n"
    )
    sheet = filled(
        BuildSheet,
        mark,
        title="Heron",
        kind="resale",
        units="1",
        route="plain",
        showroom="yes",
        serial_public="no",
        cover=f"photos/{word}-0.jpg",
        as_found=f"photos/{word}-1.png",
        as_left=f"photos/{word}-2.webp",
        address="heron-bass",
        was="[old-heron]",
        stages="[]",
        ends_at="assembly",
    )
    routes = "{plain: [{stage: strip, hours: 2}, {stage: colour, hours: 3}, {stage: assembly, hours: 2}]}"
    texts = {
        "shop.md": f"---\n{filled(ShopSheet, mark, name='Test Bench', place='the valley', site='https://example.org/b', currency='USD', locale='en_US', routes=routes, year_starts='01-01')}own_key: {word}\n---\nAbout us.\n{secret}\n![The bench](photos/{word}-0.jpg)\n",
        "builds/heron/build.md": f"---\n{sheet}---\nA story.\n{secret}\n{pictures}",
        f"builds/heron/2026-02-01-{word.lower()}.md": f"---\n{filled(NoteSheet, mark, stage='strip', showroom='yes', bench='[]')}---\nStripped.\n{secret}",
        "builds/heron/2026-02-02.md": f"---\nstage: colour\nshowroom: no\n---\n{word}\n",
        f"builds/{word.lower()}/build.md": HERON.replace("Heron", word).replace("showroom: yes", "showroom: no").replace("was: [old-heron]\n", ""),
        f"journal/2026-02-03-{word.lower()}.md": f"---\nnotes: {word}\n---\n{word} before any heading.\n\n# Heron\n\nMore of it.\n\n# Elsewhere\n\n{word}\n",
        f"journal/episodes/2026-04-03-{word.lower()}.md": f"---\n{filled(EpisodeSheet, mark, title='Two blues', showroom='yes', aired='yes', segments=f'[{{build: heron, stage: colour, words: {word}}}, {{build: {word.lower()}, stage: strip}}]', promises='[]', still='')}---\nBlue.\n{secret}",
        f"journal/bulletins/2026-04-05-{word.lower()}.md": f"---\n{filled(BulletinSheet, mark, build='heron', stage='colour', showroom='yes')}---\nBrown.\n{secret}",
    }
    put(root, texts)
    _photos(root / "builds/heron/photos", word)
    _photos(root / "photos", word)
    _sounds(root / "builds/heron", word)
    return root


def _photos(folder: Path, word: str) -> None:
    folder.mkdir()
    exif = Image.Exif()
    exif[ExifTags.Base.Artist] = exif[ExifTags.Base.ImageDescription] = exif[ExifTags.Base.Copyright] = word
    exif.get_ifd(ExifTags.IFD.Exif).update({37500: word.encode(), 42032: word, 42033: word, 37510: word.encode()})
    exif.get_ifd(ExifTags.IFD.GPSInfo).update({1: "N", 2: (41.0, 52.0, 41.1), 29: word})
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", word)
    for number, (kind, options) in enumerate(
        {"jpg": {"comment": word.encode(), "xmp": word.encode()}, "png": {"pnginfo": info}, "webp": {"xmp": word.encode()}}.items()
    ):
        made = io.BytesIO()
        Image.linear_gradient("L").convert("RGB").resize((700, 500)).rotate(90 * number).save(made, {"jpg": "JPEG"}.get(kind, kind), exif=exif, **options)
        data = made.getvalue()
        if kind == "jpg":  # IPTC by hand: an APP13 segment, record 2, data set 80 (by-line), as IIM 4.2 lays it out
            line = b"\x1c\x02\x50" + struct.pack(">H", len(word)) + word.encode()
            body = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00" + struct.pack(">I", len(line)) + line + b"\x00" * (len(line) % 2)
            data = data[:2] + b"\xff\xed" + struct.pack(">H", len(body) + 2) + body + data[2:]
        assert word.encode() in data
        (folder / f"{word}-{number}.{kind}").write_bytes(data)


def _sounds(folder: Path, word: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(test_sounds, "CANARY", word.encode())
        for kind in ("mp3", "ogg"):
            tagged = test_sounds.sound.__wrapped__(kind)
            assert word.encode() in tagged
            (folder / f"{word}.{kind}").write_bytes(tagged)


@pytest.fixture(scope="module")
def rooms(tmp_path_factory):
    """The showrooms of two shops that differ in everything private."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(purfle.sites, "stops_showroom", lambda troubles: False)
        found = []
        for mark in (FIRST, SECOND):
            root = shop(tmp_path_factory.mktemp("shop"), mark)
            run(["compile", "--shop", str(root), "--today", DAY, "-q"])
            found.append((root, {p.relative_to(root / "out/showroom").as_posix(): p.read_bytes() for p in (root / "out/showroom").rglob("*") if p.is_file()}))
    return found


def test_the_gate_stands_again(rooms):
    """A module that was first loaded while the gate was away would keep what stood in its place for the rest of the run."""
    assert [
        name for name, module in sys.modules.items() if name.startswith("purfle.") and getattr(module, "stops_showroom", stops_showroom) is not stops_showroom
    ] == []


def test_the_canary_was_read(rooms):
    (root, files), _ = rooms
    folder = read_folder(root)
    read = repr(read_shop(folder.files, folder.assets, date.fromisoformat(DAY))[0])
    assert read.count(FIRST[0]) > 120 and read.count(FIRST[1]) > 40
    assert sum(name.startswith("pictures/") for name in files) >= 6 and sum(name.startswith("sounds/") for name in files) == 2
    assert (
        b"A story." in files["builds/heron-bass.html"] and b"Stripped." in files["builds/heron-bass.html"] and b"More of it." in files["builds/heron-bass.html"]
    )
    assert b"<picture>" in files["about.html"]
    assert "episodes/2026-04-03.html" in files and b"Brown." in files["bulletins.html"]


def test_no_canary_in_any_name_or_byte(rooms):
    for (word, amount), (_, files) in zip((FIRST, SECOND), rooms, strict=True):
        forms = [word.lower().encode(), word.lower().encode("utf-16-le"), amount.encode(), amount.replace(".", ",").encode(), f"{float(amount):,.2f}".encode()]
        assert [name for name, data in files.items() if word.lower() in name.lower() or any(form in data.lower() for form in forms)] == []


def test_everything_private_may_change_and_no_byte_does(rooms):
    (_, one), (_, other) = rooms
    assert sorted(one) == sorted(other)
    assert [name for name in one if one[name] != other[name]] == []
