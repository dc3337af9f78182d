"""The demo's drawn photographs and plucked samples: all there, small, and what their table says."""

import io
import re
import sys
import wave
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tools"))

import draw_demo  # noqa: E402
from drawing.develop import jpeg  # noqa: E402
from drawing.instrument import Look  # noqa: E402
from drawing.pluck import RATE, Sample, hertz, pluck, sample  # noqa: E402
from drawing.scenes import SCENES  # noqa: E402
from drawing.shapes import BODIES, body  # noqa: E402

PICTURES, SOUNDS = draw_demo.wanted()


def test_the_head_of_the_table_names_every_scene() -> None:
    head = draw_demo.TABLE.read_text("utf-8").split("# Scenes\n")[1].split("#\n# [[sound]]")[0]
    assert {line.split()[1] for line in head.splitlines() if line.startswith("#   ")} == SCENES.keys()


def test_every_file_stands_once_in_the_table() -> None:
    files = [row.file for row in (*PICTURES, *SOUNDS)]
    assert len(files) == len(set(files))


def test_every_picture_is_drawn_small_and_bare() -> None:
    sizes = []
    for row in PICTURES:
        data = (ROOT / row.file).read_bytes()
        image = Image.open(io.BytesIO(data))
        assert (image.format, image.mode) == ("JPEG", "RGB") and not image.getexif() and max(image.size) == 1400, row.file
        sizes.append(len(data))
    assert max(sizes) <= 150_000 and sum(sizes) <= 12_000_000


def test_no_two_pictures_are_the_same() -> None:
    assert len({(ROOT / row.file).read_bytes() for row in PICTURES}) == len(PICTURES)


def test_every_sample_is_there_and_short() -> None:
    for row in SOUNDS:
        data = (ROOT / row.file).read_bytes()
        with wave.open(io.BytesIO(data)) as file:
            assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
            assert file.getnframes() == int(row.seconds * RATE)
        assert len(data) <= 200_000


def test_every_picture_named_by_a_build_is_in_the_table() -> None:
    drawn = {row.file for row in (*PICTURES, *SOUNDS)}
    for note in sorted((ROOT / "builds").glob("*/*.md")):
        for name in re.findall(r"\]\(([^)\s]+\.(?:jpg|wav))\)", note.read_text("utf-8")):
            assert f"builds/{note.parent.name}/{name}" in drawn, f"{note.name}: {name}"


# OpenStax, University Physics 16.3 and the CRC Handbook: the open strings of a guitar.
@pytest.mark.parametrize(("note", "pitch"), [("E2", 82.407), ("A2", 110), ("D3", 146.832), ("G3", 195.998), ("B3", 246.942), ("E4", 329.628)])
def test_a_plucked_string_has_its_pitch(note: str, pitch: float) -> None:
    assert hertz(note) == pytest.approx(pitch, abs=0.001)
    sound = pluck(pitch, 2.0, np.random.default_rng(1))
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 1 << 18))
    hertz_of = np.fft.rfftfreq(1 << 18, 1 / RATE)
    near = (hertz_of > pitch * 0.9) & (hertz_of < pitch * 1.1)
    assert hertz_of[near][spectrum[near].argmax()] == pytest.approx(pitch, rel=0.006)  # a tenth of a semitone


def test_the_same_row_gives_the_same_bytes() -> None:
    row, tune = Look("builds/x/a.jpg", "cavity", 3), Sample("builds/x/a.wav", ("E2", "B2"), "strum", 1.0, 3)
    assert jpeg(SCENES["cavity"](row)) == jpeg(SCENES["cavity"](row))
    assert sample(tune) == sample(tune)


@pytest.mark.parametrize("name", sorted(set(BODIES) - {"box"}))
def test_every_outline_is_lopsided(name: str) -> None:
    points = body(name)
    upper, lower = -points[:, 1].min(), points[:, 1].max()
    mirrored = np.abs(points[:, None] - (points * [1, -1])[None]).sum(-1).min(1)
    assert mirrored.max() > 8 and min(upper, lower) > 60
