"""Plucked strings for the sound samples: a noise burst in a loop that loses its edge (Karplus and Strong, 1983).

Invariant: the same row gives the same bytes.
"""

import io
import wave
from dataclasses import dataclass

import numpy as np

RATE = 22_050
_STEPS = {"C": -9, "D": -7, "E": -5, "F": -4, "G": -2, "A": 0, "B": 2}


@dataclass(frozen=True)
class Sample:
    """One row of the table's sounds."""

    file: str
    notes: tuple[str, ...]
    play: str = "open"
    seconds: float = 3.0
    seed: int = 0


def hertz(note: str) -> float:
    """A note such as E1 or F#2 in equal temperament, A4 = 440 Hz."""
    step = _STEPS[note[0]] + ("#" in note) - ("b" in note[1:]) + 12 * (int(note[-1]) - 4)
    return 440.0 * 2 ** (step / 12)


def pluck(pitch: float, seconds: float, rng: np.random.Generator, bright: float = 0.5) -> np.ndarray:
    """One plucked string, −1 to 1."""
    n = int(seconds * RATE)
    period = RATE / pitch
    size = int(period - 0.5)
    tune = period - 0.5 - size  # the fraction of a sample, by a linear tap
    line = rng.uniform(-1, 1, size + 2)
    for _ in range(round(6 * (1 - bright)) + 1):
        line = 0.5 * (line + np.roll(line, 1))
    at = int(len(line) * 0.18)
    line = line - 0.9 * np.roll(line, at)  # plucked at about a sixth of the string
    out = np.zeros(n + size + 2)
    out[: size + 2] = line
    loss = 0.5 ** (period / RATE / (1.1 if pitch < 100 else 0.8))
    # One period at a time: every sample needs only those of the period before.
    start = size + 2
    while start < len(out):
        stop = min(start + size, len(out))
        k = np.arange(start, stop)
        a = (1 - tune) * out[k - size] + tune * out[k - size - 1]
        b = (1 - tune) * out[k - size - 1] + tune * out[k - size - 2]
        out[start:stop] = loss * (0.5 * a + 0.5 * b)
        start = stop
    return out[:n]


def slide(a: float, b: float, seconds: float, rng: np.random.Generator) -> np.ndarray:
    """A stopped note that slides from one pitch to another, with a slow shake at its end."""
    n = int(seconds * RATE)
    base = pluck(a, seconds, rng, 0.8)
    t = np.arange(n) / RATE
    glide = 1 + (b / a - 1) * np.clip((t - 0.25) / 0.35, 0, 1) ** 1.5
    shake = 1 + 0.006 * np.sin(2 * np.pi * 5.2 * t) * np.clip((t - 0.7) * 3, 0, 1)
    reading = np.cumsum(glide * shake)
    longer = pluck(a, seconds * max(1.0, b / a) + 0.2, rng, 0.8)
    return np.interp(reading, np.arange(len(longer)), longer) if len(longer) > reading[-1] else base


def sample(row: Sample) -> bytes:
    """The WAV of a row: 16 bits, one channel."""
    rng = np.random.default_rng(row.seed)
    out = np.zeros(int(row.seconds * RATE))
    pitches = [hertz(note) for note in row.notes]
    for at, sound in _events(row, pitches, rng):
        i = int(at * RATE)
        piece = sound[: len(out) - i]
        out[i : i + len(piece)] += piece
    fade = np.clip((np.arange(len(out))[::-1]) / (0.25 * RATE), 0, 1)
    out = np.tanh(1.4 * out / np.abs(out).max()) * fade
    # A body's warmth and a little of the room.
    room = out + 0.18 * np.roll(out, int(0.031 * RATE)) + 0.1 * np.roll(out, int(0.047 * RATE))
    room[: int(0.05 * RATE)] = out[: int(0.05 * RATE)]
    data = (room / np.abs(room).max() * 0.85 * 32767).astype("<i2").tobytes()
    file = io.BytesIO()
    with wave.open(file, "wb") as made:
        made.setnchannels(1)
        made.setsampwidth(2)
        made.setframerate(RATE)
        made.writeframes(data)
    return file.getvalue()


def _events(row: Sample, pitches: list[float], rng: np.random.Generator) -> list[tuple[float, np.ndarray]]:
    """When each note begins, and its sound."""
    long = row.seconds
    if row.play == "strum":
        return [(0.05 + 0.035 * i, pluck(p, long, rng, 0.7)) for i, p in enumerate(pitches)]
    if row.play == "line":
        steps = (0, 0, 3, 5, 7, 5, 3, 0)
        gap = long / (len(steps) + 1)
        return [(gap * i, pluck(pitches[0] * 2 ** (s / 12), gap * (2.2 if i == len(steps) - 1 else 0.96), rng, 0.45)) for i, s in enumerate(steps)]
    if row.play == "slide":
        gap = long / len(pitches)
        return [(gap * i, slide(p, p * 2 ** (2 / 12), gap * 1.1, rng)) for i, p in enumerate(pitches)]
    gap = (long - 0.8) / max(1, len(pitches))
    return [(gap * i, pluck(p, long - gap * i, rng, 0.5)) for i, p in enumerate(pitches)]
