"""The plate becomes a photograph: a camera that leans a little, a lens that is sharp at one depth, light that falls off, film that is not quite even.

Invariant: the same plate and seed give the same bytes.
"""

import io

import numpy as np
from PIL import Image

from drawing.light import F, Plate, blur

MOST_BYTES = 150_000


def photograph(
    plate: Plate, width: int, height: int, *, lean: float = 0.07, turn: float = 0.0, focus: float = 0.55, depth: float = 2.2, exposure: float = 1.0
) -> Image.Image:
    """The plate as the camera saw it, `width` × `height` pixels; `focus` is the sharp height from 0 (top) to 1."""
    rng = plate.rng
    light = plate.rgb * (exposure * _daylight(plate))[..., None]
    light = _leant(light, width, height, lean * rng.uniform(0.6, 1.3), turn + rng.uniform(-0.02, 0.02))
    y, x = np.mgrid[0:height, 0:width].astype(F)
    away = np.clip(np.abs(y / height - focus) - 0.14, 0, 1)
    if depth:
        soft, softer = blur(light, depth * 0.7), blur(light, depth * 1.8)
        t = np.clip(away * 4.2, 0, 2)[..., None]
        light = np.where(t < 1, light * (1 - t) + soft * t, soft * (2 - t) + softer * (t - 1))
    light = light + 0.05 * blur(np.clip(light - 0.9, 0, 3), 9) + 0.012 * blur(light, 40)
    r = np.hypot((x - width * 0.48) / width, (y - height * 0.47) / height)
    light = light * (1 - 0.62 * np.clip(r, 0, 1) ** 2.2)[..., None]
    light = light * np.array([1 + rng.uniform(-0.005, 0.045), 1.0, 1 - rng.uniform(0.0, 0.06)], F)
    return _printed(light, rng)


def _daylight(plate: Plate) -> np.ndarray:
    """The light of a window on everything: stronger on its side, with the soft shadows of its bars."""
    rng = plate.rng
    h, w = plate.height // 4, plate.width // 4
    y, x = np.mgrid[0:h, 0:w].astype(F)
    a = rng.uniform(0.3, 0.7)
    t = (x / w) * np.cos(a) + (y / h) * np.sin(a)
    pool = 1.16 - 0.5 * t
    across = (x - 0.6 * y) / w + rng.uniform(-0.2, 0.2)
    bars = np.zeros_like(across)
    for at in (-0.25, 0.12, 0.5, 0.86):
        bars = np.maximum(bars, np.clip(1 - np.abs(across - at) / 0.035, 0, 1))
    bars = blur(bars, w / 38)
    full = Image.fromarray(pool * (1 - 0.22 * bars)).resize((plate.width, plate.height), Image.Resampling.BICUBIC)
    return np.asarray(full, F)


def _printed(light: np.ndarray, rng: np.random.Generator) -> Image.Image:
    """A gentle shoulder and toe, then grain."""
    a = np.clip(light * 1.24, 0, None)
    a = a * (1 + a * 0.11) / (1 + a * 0.62) * 1.38
    a = np.clip(a, 0, 1) ** F(1 / 2.2)
    a = a + 0.05 * (a - 0.5) * (1 - np.abs(2 * a - 1))  # a little contrast in the middle
    grain = rng.standard_normal(a.shape[:2]).astype(F)
    grain = 0.6 * grain + 0.8 * blur(grain, 0.8)
    a = a + (0.008 * grain * (1.2 - a.mean(-1)))[..., None]
    return Image.fromarray((np.clip(a, 0, 1) * 255 + 0.5).astype("uint8"))


def _leant(light: np.ndarray, width: int, height: int, lean: float, turn: float) -> np.ndarray:
    """Seen from the near side: the far edge is farther away. Bilinear, each colour by itself."""
    h, w = light.shape[:2]
    y, x = np.mgrid[0:height, 0:width].astype(F)
    u, v = (x / (width - 1) - 0.5), (y / (height - 1) - 0.5)
    c, s = np.cos(turn), np.sin(turn)
    ratio = height / width
    u, v = u * c - v * ratio * s, (u * s + v * ratio * c) / ratio
    near = 1 - lean * v * 1.0
    u, v = u * near, (v + lean * 0.25 * (v * v - 0.25)) * (1 + lean * 0.3)
    scale = min(w / width, h / height) * 0.9
    px = np.clip(u * width * scale + w / 2, 0, w - 1.001)
    py = np.clip(v * height * scale + h / 2, 0, h - 1.001)
    x0, y0 = px.astype(int), py.astype(int)
    fx, fy = (px - x0)[..., None], (py - y0)[..., None]
    top = light[y0, x0] * (1 - fx) + light[y0, x0 + 1] * fx
    low = light[y0 + 1, x0] * (1 - fx) + light[y0 + 1, x0 + 1] * fx
    return (top * (1 - fy) + low * fy).astype(F)


def jpeg(image: Image.Image) -> bytes:
    """The photograph's bytes, at most `MOST_BYTES` long."""
    for quality in (82, 78, 74, 70, 66, 60, 52):
        out = io.BytesIO()
        image.save(out, "JPEG", quality=quality, optimize=True, progressive=True, subsampling=2)
        if out.tell() <= MOST_BYTES:
            break
    return out.getvalue()
