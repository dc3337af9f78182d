"""Sound samples are published without their tags and sound as before: PyAV (another library) writes and decodes them."""

import io
import struct
from functools import cache
from pathlib import Path

import av
import numpy as np
import pytest

from purfle.base.codes import CODES
from purfle.base.trouble import Wrong
from purfle.shell.samples import flac, ogg
from purfle.shell.sounds import publish, stripped

CANARY = b"CANARY-of-the-owner"
KINDS = {
    "wav": ("wav", "pcm_s16le"), "float.wav": ("wav", "pcm_f32le"), "mp3": ("mp3", "libmp3lame"), "ogg": ("ogg", "vorbis"),
    "opus": ("ogg", "libopus"), "flac": ("flac", "flac"), "m4a": ("ipod", "aac"), "alac.m4a": ("ipod", "alac"),
}  # fmt: skip


@cache
def sound(kind: str, tagged: bool = True, seconds: float = 1.0) -> bytes:
    """A chirp in a file of that kind, with a canary in the tags the format's writer offers."""
    container, codec = KINDS[kind]
    out = io.BytesIO()
    with av.open(out, "w", format=container, options={"fflags": "+bitexact"}) as file:
        if tagged:
            file.metadata.update({"title": CANARY.decode(), "artist": CANARY.decode(), "comment": CANARY.decode(), "creation_time": "2026-03-14T10:00:00Z"})
        options = {"strict": "-2"} if codec == "vorbis" else {}
        stream = file.add_stream(codec, rate=48000, layout="stereo", options=options)
        time = np.arange(int(48000 * seconds)) / 48000
        wave = (0.4 * np.sin(2 * np.pi * (220 + 200 * time) * time)).astype("float32")
        frame = av.AudioFrame.from_ndarray(np.stack([wave, wave]), format="fltp", layout="stereo")
        frame.rate = 48000
        resampler = av.AudioResampler(format=stream.codec_context.format, layout="stereo", rate=48000, frame_size=stream.codec_context.frame_size or 0)
        for piece in (*resampler.resample(frame), *resampler.resample(None)):
            file.mux(stream.encode(piece))
        file.mux(stream.encode(None))
    return out.getvalue()


def heard(data: bytes) -> np.ndarray:
    """The samples of the left side as PyAV decodes them."""
    with av.open(io.BytesIO(data)) as file:
        return np.concatenate([frame.to_ndarray()[0, :: 1 if frame.format.is_planar else 2] for frame in file.decode(audio=0)])


def tags(data: bytes) -> dict[str, str]:
    with av.open(io.BytesIO(data)) as file:
        found = {**file.metadata, **file.streams.audio[0].metadata}
    return {key: value for key, value in found.items() if value and (key, value) not in HARMLESS}


HARMLESS = {("major_brand", "M4A "), ("minor_version", "512"), ("compatible_brands", "M4A isomiso2"), ("language", "und")}


@pytest.mark.parametrize("kind", KINDS)
def test_the_sound_is_the_same_and_the_tags_are_gone(kind: str) -> None:
    source = sound(kind)
    bare, _ = stripped(source)
    assert CANARY in source and CANARY not in bare
    assert tags(bare) == {}
    before, after = heard(source), heard(bare)
    # An M4A and an MP3 say in a tag how many samples of padding to leave out; without it they are heard too.
    padding = len(after) - len(before)
    assert padding == 0 or (kind in ("mp3", "m4a", "alac.m4a") and 0 <= padding < 3000)
    starts = range(padding + 1)
    assert any(np.array_equal(after[start : start + 4000], before[:4000]) for start in starts)


@pytest.mark.parametrize("kind", KINDS)
def test_stripping_twice_changes_nothing(kind: str) -> None:
    once, name = stripped(sound(kind))
    assert stripped(once) == (once, name)


@pytest.mark.parametrize("kind", sorted(KINDS.keys() - {"m4a", "alac.m4a"}))  # an M4A keeps its length
def test_tags_make_no_difference(kind: str) -> None:
    assert stripped(sound(kind)) == stripped(sound(kind, tagged=False))


def id3v2(size: int) -> bytes:
    """A tag as ID3v2.4 lays it out: ten bytes, the length in groups of seven bits."""
    body = CANARY.ljust(size, b"\0")
    return b"ID3\4\0\0" + bytes(size >> shift & 0x7F for shift in (21, 14, 7, 0)) + body


def ape() -> bytes:
    return b"APETAGEX" + struct.pack("<III", 2000, 32 + len(CANARY), 1) + bytes(12) + CANARY


@pytest.mark.parametrize("tail", [b"TAG" + CANARY.ljust(125, b"\0"), ape(), b"LYRICSBEGIN" + CANARY + b"LYRICSEND", bytes(300)])
def test_an_mp3_loses_tags_at_both_ends(tail: bytes) -> None:
    plain, _ = stripped(sound("mp3", tagged=False))
    assert stripped(id3v2(300) + id3v2(200_000) + plain + tail) == (plain, "mp3")


def test_an_mp3_names_no_encoder() -> None:
    first_frame = stripped(sound("mp3"))[0][:384]
    assert b"Lavf" in sound("mp3") and b"Info" in first_frame and b"Lavf" not in first_frame


def test_a_wav_keeps_two_chunks() -> None:
    plain = sound("wav", tagged=False)
    chunk = b"bext" + struct.pack("<I", len(CANARY)) + CANARY + b"\0" * (len(CANARY) % 2)
    bare, _ = stripped(plain[:12] + chunk + plain[12:] + chunk)
    assert bare == stripped(plain)[0]
    assert bare[12:16] + bare[36:40] == b"fmt data" and len(bare) == 44 + 48000 * 4


def test_a_flac_loses_pictures_padding_and_an_old_tag() -> None:
    plain, _ = stripped(sound("flac"))
    blocks = b"\x06" + len(CANARY).to_bytes(3, "big") + CANARY + b"\x81\0\0\x08" + CANARY[:8]
    tagged = b"fLaC\0" + plain[5:42] + blocks + plain[42:] + b"TAG" + CANARY.ljust(125, b"\0")
    assert stripped(tagged) == (plain, "flac")


def test_a_flac_with_something_after_its_sound_is_refused() -> None:
    with pytest.raises(Wrong, match="after its sound"):
        stripped(stripped(sound("flac"))[0] + CANARY)


def test_an_m4a_keeps_no_dates_and_no_loose_bytes() -> None:
    source = sound("m4a")
    bare, _ = stripped(source + struct.pack(">I4s", 8 + len(CANARY), b"uuid") + CANARY)
    at = bare.index(b"mvhd")
    assert bare[at + 8 : at + 16] == bytes(8) and CANARY not in bare
    assert b"udta" not in bare and b"meta" not in bare and b"uuid" not in bare and b"Handler" not in bare


def test_an_m4a_zeros_what_no_table_points_at() -> None:
    source = bytearray(sound("m4a", tagged=False))
    at = source.index(b"mdat")
    size = int.from_bytes(source[at - 4 : at], "big")
    source[at - 4 : at] = (size + len(CANARY)).to_bytes(4, "big")
    end = at - 4 + size
    grown = bytes(source[:end]) + CANARY + bytes(source[end:])
    bare, _ = stripped(grown)
    assert CANARY not in bare and np.array_equal(heard(bare), heard(stripped(sound("m4a", tagged=False))[0]))


def test_a_flac_made_of_beginnings_of_frames_is_given_up_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of half a million places could begin its last frame: summed up to the end from each of them it would take hours."""
    summed = []
    monkeypatch.setattr(flac, "crc16", lambda data: summed.append(len(data)) or 1)
    with pytest.raises(Wrong):
        stripped(b"fLaC\x80\0\0\x22" + bytes(34) + b"\xff\xf8" * (1 << 19))
    assert sum(summed) < 6 << 20


def _box(kind: bytes, *parts: bytes) -> bytes:
    return struct.pack(">I4s", 8 + sum(map(len, parts)), kind) + b"".join(parts)


def _m4a(runs: list[tuple[int, int, int]], chunks: int, places: int) -> bytes:
    """An M4A of no samples, with such a table of runs of chunks (ISO/IEC 14496-12, 8.7.4)."""
    zeros, count = bytes(4), lambda of: struct.pack(">I", of)
    tables = (
        _box(b"stsd", zeros, count(1), _box(b"mp4a", bytes(28))),
        _box(b"stsz", zeros, count(1), count(0)),
        _box(b"stsc", zeros, count(len(runs)), *(struct.pack(">III", *run) for run in runs)),
        _box(b"stco", zeros, count(chunks), bytes(4 * chunks)),
    )
    media = _box(b"mdia", _box(b"hdlr", bytes(8), b"soun", bytes(13)), _box(b"minf", _box(b"stbl", *tables)))
    return _box(b"ftyp", b"M4A ", zeros) + _box(b"moov", _box(b"trak", media)) + _box(b"mdat") * places


def test_an_m4a_of_as_many_runs_as_chunks_is_read_once() -> None:
    """Runs that begin before the one before them would walk all chunks for each of them, and so would many places for the samples."""
    assert stripped(_m4a([(1, 0, 1), (3, 0, 1)], 9, 1))[1] == "m4a"
    for runs, places in (([(1, 0, 1), (9, 0, 1)] * 5, 1), ([(0, 0, 1)], 1), ([(1, 0, 1)], 99)):
        with pytest.raises(Wrong):
            stripped(_m4a(runs, 9, places))


def test_page_checksums_are_those_of_rfc_3533() -> None:
    def slow(data: bytes) -> int:  # RFC 3533, section 6, field 7, bit by bit
        value = 0
        for byte in data:
            value ^= byte << 24
            for _ in range(8):
                value = (value << 1 ^ 0x04C11DB7 if value & 0x80000000 else value << 1) & 0xFFFFFFFF
        return value

    for data in (b"", b"OggS", bytes(range(256)), CANARY):
        assert ogg.crc(data) == slow(data)


def test_frame_checksums_are_those_of_rfc_9639() -> None:
    assert flac.crc16(b"123456789") == 0xFEE8  # the check value of CRC-16/UMTS, the same polynomial, in the published catalogues of parametrised CRCs


def test_an_ogg_with_a_large_picture_in_its_comment() -> None:
    bare, _ = stripped(sound("opus"))
    head = bare[:47]
    comment = b"OpusTags" + struct.pack("<II", 0, 1) + struct.pack("<I", 200_000) + CANARY * 10_600
    pages = [*ogg._laid([comment]), *list(ogg._pages(bare))[2:]]
    made = head + b"".join(ogg._written(page, number) for number, page in enumerate(pages, 1))
    assert len(pages) > 4 and np.array_equal(heard(made), heard(bare))
    assert stripped(made) == (bare, "opus")


# --- what is no sound

WRONG = {
    "empty": b"",
    "a page": b"<!doctype html><script>alert(1)</script>",
    "a page behind a tag": id3v2(20) + b"<!doctype html><script>alert(1)</script>" * 50,
    "a script": b"#!/bin/sh\necho",
    "words": b"la la la",
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(100),
    "a wav head": b"RIFF\x24\0\0\0WAVE",
    "a wav of nothing": b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0\1\0\1\0\x44\xac\0\0\x88\x58\1\0\2\0\x10\0data\0\0\0\0",
    "an ogg head": b"OggS\0\2",
    "a flac head": b"fLaC\0\0\0\x22",
    "an m4a head": b"\0\0\0\x18ftypM4A \0\0\0\0M4A isom",
}


@pytest.mark.parametrize("kind", WRONG)
def test_what_is_no_sound_is_refused(tmp_path: Path, kind: str) -> None:
    (tmp_path / "a.mp3").write_bytes(WRONG[kind])
    sounds, troubles = publish(["a.mp3"], tmp_path, tmp_path / "store")
    assert sounds == {} and [t.code for t in troubles] == ["sound-unreadable"]


def test_a_page_is_called_one(tmp_path: Path) -> None:
    (tmp_path / "a.mp3").write_bytes(WRONG["a page"])
    assert "page or a script" in publish(["a.mp3"], tmp_path, tmp_path / "store")[1][0].found


@pytest.mark.parametrize("kind", ["wav", "ogg", "opus", "flac", "m4a"])
def test_a_sound_cut_short_is_refused(kind: str) -> None:
    with pytest.raises(Wrong) as wrong:
        stripped(sound(kind)[:-1000])
    assert wrong.value.code == "sound-unreadable"


def test_an_ogg_of_two_streams_is_refused() -> None:
    with pytest.raises(Wrong, match="more than one stream"):
        stripped(sound("ogg") + sound("ogg"))


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_bytes_never_crash(kind: str) -> None:
    whole = sound(kind, seconds=0.2)
    for seed in range(40):
        data = bytearray(whole)
        rng = np.random.default_rng(seed)
        for at in rng.integers(0, min(len(data), 3000), 8):
            data[at] = rng.integers(0, 256)
        try:
            bare, name = stripped(bytes(data))
        except Wrong as wrong:
            assert wrong.code == "sound-unreadable"
        else:
            assert stripped(bare) == (bare, name)


# --- published and kept


def test_a_sound_is_published_under_its_own_bytes(tmp_path: Path) -> None:
    import hashlib

    (tmp_path / "owner-at-home.ogg").write_bytes(sound("opus"))
    sounds, troubles = publish(["owner-at-home.ogg"], tmp_path, tmp_path / "store")
    made = sounds["owner-at-home.ogg"]
    data = (tmp_path / "store" / made.path).read_bytes()
    assert (made.path, made.size, made.media_type) == (f"sounds/{hashlib.sha256(data).hexdigest()[:16]}.opus", len(data), "audio/ogg")
    assert troubles == () and publish(["owner-at-home.ogg"], tmp_path, tmp_path / "store") == (sounds, ())


def test_a_mislabelled_sound_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.mp3").write_bytes(sound("wav"))
    sounds, troubles = publish(["a.mp3"], tmp_path, tmp_path / "store")
    assert sounds["a.mp3"].path.endswith(".wav") and [t.code for t in troubles] == ["sound-mislabelled"]


def test_missing_large_and_foreign_files_are_told(tmp_path: Path) -> None:
    with (tmp_path / "large.wav").open("wb") as file:
        file.truncate(30_000_000)
    (tmp_path / "link.wav").symlink_to("/dev/zero")
    _, troubles = publish(["gone.wav", "large.wav", "link.wav"], tmp_path, tmp_path / "store")
    assert [t.code for t in troubles] == ["picture-missing", "sound-too-large", "picture-refused"]
    assert all(CODES[t.code].stops.showroom() for t in troubles)


def test_stale_sounds_are_dropped_and_pictures_stay(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(sound("wav"))
    other = tmp_path / "store" / "pictures" / "x.webp"
    other.parent.mkdir(parents=True)
    other.write_bytes(b"x")
    publish(["a.wav"], tmp_path, tmp_path / "store")
    publish([], tmp_path, tmp_path / "store")
    assert [p.name for p in (tmp_path / "store").rglob("*") if p.is_file()] == ["x.webp"]
