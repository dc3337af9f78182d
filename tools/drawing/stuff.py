"""Woods, finishes and grounds, as colours for each pixel.

Invariant: every function gives linear light of the patch's shape × 3 and lays nothing down itself, but for `ground`.
"""

from dataclasses import dataclass

import numpy as np

from drawing.light import F, Frame, Patch, Plate, blur, linear, mix, smooth

COLOURS = {
    "umber": "#4a2a16", "amber": "#b8691b", "honey": "#c98f3d", "cherry": "#8e1f1d", "tobacco": "#5c3516", "brick": "#9c4a34", "coral": "#d9695a",
    "mustard": "#c7962c", "cream": "#e6d9b8", "ivory": "#e9e1cc", "white": "#e9e8e3", "black": "#17171a", "slate": "#4b5660", "primer": "#8e9293",
    "navy": "#1d2f55", "teal": "#1f6d72", "seafoam": "#8fc4ae", "forest": "#1f4a35", "moss": "#66703a", "plum": "#53244a", "copper": "#b06a42",
    "bronze": "#8a6a3a", "silver": "#b4b6b8", "sky": "#85abc9",
}  # fmt: skip


def colour(name: str) -> np.ndarray:
    """A named colour of the demo's paint shelf."""
    return linear(COLOURS[name])


@dataclass(frozen=True)
class Wood:
    """How one kind of wood looks."""

    light: str
    dark: str
    rings: float
    """Rings in 100 mm across."""
    contrast: float
    pores: float
    flame: float = 0.0


WOODS = {
    "ash": Wood("#d9b98a", "#a37c4c", 9, 0.85, 0.8), "alder": Wood("#cfa074", "#b5835a", 6, 0.4, 0.15), "maple": Wood("#e3c597", "#cba56f", 7, 0.35, 0.05),
    "flame": Wood("#dfbf8c", "#c19a62", 6, 0.3, 0.05, 0.9), "walnut": Wood("#8a6040", "#4e3422", 8, 0.75, 0.5), "sapele": Wood("#9a5a3a", "#6f3a25", 12, 0.5, 0.7),
    "pine": Wood("#e2bd80", "#b67a3d", 6, 0.9, 0.0), "cedar": Wood("#b9764a", "#8d5231", 10, 0.6, 0.1), "dark": Wood("#4a3226", "#2b1c15", 12, 0.5, 0.9),
    "red": Wood("#6e3b2a", "#43221a", 11, 0.55, 0.8), "ply": Wood("#cfae85", "#b08a5e", 8, 0.5, 0.3),
}  # fmt: skip


def wood(plate: Plate, patch: Patch, frame: Frame, kind: str, seed: int, wet: float = 0.0) -> np.ndarray:
    """Flat-sawn wood, its grain along the frame's x; `wet` deepens it as oil or clear does."""
    w = WOODS[kind]
    rng = np.random.default_rng(seed)
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    px = frame.scale
    local = Plate.noise
    saved, plate.rng = plate.rng, rng
    big = local(plate, patch, 240 * px, 2, (2.2, 1.0))
    mid = local(plate, patch, 60 * px, 3, (5, 1))
    fine = local(plate, patch, max(1.2, 1.1 * px), 1, (34, 1))
    fibre = local(plate, patch, max(1.6, 3 * px), 2, (22, 1))
    pore = local(plate, patch, max(1.1, 0.8 * px), 1, (16, 1))
    wave = local(plate, patch, 24 * px, 3, (0.5, 3.0))
    plate.rng = saved
    off, slope, depth = rng.uniform(-60, 60), rng.uniform(0.05, 0.16), rng.uniform(8, 40)
    r = np.sqrt((v - off + 14 * big + 2.5 * mid) ** 2 + (depth + slope * (u + 300) + 10 * big) ** 2) * w.rings / 100
    ring = r % 1.0
    late = smooth(ring, 0.35, 0.92) * (1 - smooth(ring, 0.95, 1.0))
    tone = np.clip(w.contrast * (0.75 * late + 0.16 * fibre) + 0.1 * mid + 0.16 * w.contrast * fine, -0.25, 1.2)
    dots = smooth(pore, 1.1, 1.9) * w.pores * (0.35 + 0.65 * (1 - late) if kind == "ash" else 1)
    light, dark = linear(w.light), linear(w.dark)
    out = light + (dark - light) * tone[..., None]
    out = out * (1 - 0.55 * dots[..., None])
    if w.flame:
        bend = u + 0.22 * v + 9 * big + 5 * wave
        stripes = np.sin(bend * 2 * np.pi / 17 + 1.6 * wave) * 0.6 + 0.4 * wave
        out = out * (1 + 0.26 * w.flame * np.clip(stripes, -1.2, 1.2))[..., None]
    if wet:
        grey = out.mean(-1, keepdims=True)
        out = np.clip(grey + (out - grey) * (1 + 0.35 * wet), 0, 1) * (1 - 0.3 * wet) * np.array([1.04, 0.98, 0.86], F) ** wet
    return np.clip(out, 0.004, 0.95).astype(F)


def burst(plate: Plate, patch: Patch, bare: np.ndarray, rim: np.ndarray, inner: np.ndarray | None, reach: float) -> np.ndarray:
    """A burst: clear or `inner` at the heart, `rim` at the edge; `reach` in pixels."""
    pad = int(reach * 2.2)
    depth = blur(np.pad(patch.a, pad), reach * 0.62)[pad:-pad, pad:-pad]
    depth = depth + 0.02 * plate.noise(patch, reach, 2)
    t = smooth(depth, 0.5, 0.97)
    t2 = smooth(depth, 0.42, 0.8)
    heart = bare * np.array([1.0, 0.86, 0.52], F) if inner is None else bare * np.clip(inner * 1.9, 0, 1.1) * 1.2
    middle = bare * np.clip(np.sqrt(rim) * 1.0, 0, 1) if inner is None else 0.45 * heart + 0.3 * rim
    out = mix(middle, heart, t)
    deep = rim * 0.55 * (0.8 + 0.4 * bare.mean(-1, keepdims=True))
    return mix(deep, out, t2)


def pattern(plate: Plate, patch: Patch, frame: Frame, kind: str, seed: int) -> np.ndarray:
    """Where the second colour of a masked pattern lies: 0 or 1, edges smooth over a pixel."""
    rng = np.random.default_rng(seed)
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    px = 1.2 / frame.scale

    def wave(t: np.ndarray, soft: float) -> np.ndarray:
        return smooth(np.abs((t % 1) - 0.5), 0.25 - soft, 0.25 + soft)

    if kind == "rays":
        cx, cy = 70 + rng.uniform(-10, 10), 40 * rng.choice([-1, 1])
        angle = np.arctan2(v - cy, u - cx) / (2 * np.pi) * 15 + rng.uniform()
        return wave(angle, np.clip(px * 15 / (2 * np.pi * np.hypot(u - cx, v - cy) + 8), 0.002, 0.2))
    if kind == "chevrons":
        return wave((u + 0.75 * np.abs(v)) / 78 + rng.uniform(), px / 78)
    if kind == "stripes":
        t = v + 0.45 * u
        return np.maximum.reduce([smooth(w - np.abs(t - at), -px, px) for at, w in ((-34, 7), (0, 18), (34, 7))])
    if kind == "tiles":
        a, b = (u + 1.732 * v) / 62, (u - 1.732 * v) / 62
        return np.abs(wave(a, px / 62) - wave(b, px / 62))
    if kind == "waves":
        return wave((v + 16 * np.sin(u / 42) + 0.2 * u) / 52, px / 52)
    if kind == "blocks":
        cu, cv = np.floor(u / 48), np.floor(v / 38 + 0.5 * (np.floor(u / 48) % 2))
        cell = np.sin(cu * 12.9898 + cv * 78.233 + seed) * 43758.5453
        return (cell % 1 > 0.58).astype(F)
    raise KeyError(kind)


# --- what things lie on


def ground(plate: Plate, kind: str) -> None:
    """Cover the plate with a bench, a wall or a floor."""
    patch = plate.whole()
    GROUNDS[kind](plate, patch)


def _uneven(plate: Plate, patch: Patch, size: float, depth: float) -> np.ndarray:
    return depth * plate.noise(patch, size, 3)


def _ply(plate: Plate, patch: Patch) -> None:
    frame = Frame(plate.width / 2, plate.height / 2, 1.0, plate.rng.uniform(-0.06, 0.06))
    base = wood(plate, patch, frame, "ply", int(plate.rng.integers(1 << 30)))
    stains = smooth(plate.noise(patch, 190, 3), 0.5, 2.4)
    base = base * (0.72 - 0.1 * stains)[..., None]
    scratch = smooth(plate.noise(patch, 1.5, 1, (120, 1)), 2.2, 3.2)
    plate.lay(patch, base * (1 - 0.25 * scratch[..., None]), edge=0.5, lift=0, bump=_uneven(plate, patch, 3, 0.05) - 0.3 * scratch)
    for _ in range(int(plate.rng.integers(3, 8))):
        drop = plate.disc(plate.rng.uniform(0, plate.width), plate.rng.uniform(0, plate.height), plate.rng.uniform(2, 9))
        plate.tint(drop, linear(plate.rng.choice(["#5a3218", "#2c2c2e", "#e8e2d2", "#2b6f73"])), 0.55)


def _mat(plate: Plate, patch: Patch) -> None:
    base = np.broadcast_to(linear("#23483f"), (*patch.a.shape, 3)) * (1 + 0.08 * plate.noise(patch, 300, 3))[..., None]
    step, a = 62.0, plate.rng.uniform(-0.04, 0.04)
    x, y = plate.X * np.cos(a) + plate.Y * np.sin(a), plate.Y * np.cos(a) - plate.X * np.sin(a)
    lines = np.maximum(*(smooth(1.0 - np.abs((t + step / 2) % step - step / 2), -0.6, 0.6) for t in (x, y)))
    bold = np.maximum(*(smooth(1.7 - np.abs((t + step * 2.5) % (step * 5) - step * 2.5), -0.6, 0.6) for t in (x, y)))
    base = mix(base, linear("#8fae97"), 0.35 * lines + 0.3 * bold * (1 - lines))
    cuts = np.maximum(smooth(plate.noise(patch, 1.3, 1, (150, 1)), 2.6, 3.4), smooth(plate.noise(patch, 1.3, 1, (1, 130)), 2.6, 3.4))
    dust = smooth(plate.noise(patch, 2, 1), 2.4, 3.2) * 0.3
    plate.lay(patch, mix(base, linear("#b7bfae"), 0.3 * cuts + dust), edge=0.5, lift=0, gloss=0.35, rough=0.3, bump=_uneven(plate, patch, 2, 0.06))


def _paper(plate: Plate, patch: Patch) -> None:
    base = linear("#c09a6b") * (1 + 0.05 * plate.noise(patch, 3, 2, (6, 1)) + 0.05 * plate.noise(patch, 400, 2))[..., None]
    folds = np.zeros_like(patch.a)
    for _ in range(5):
        a, d = plate.rng.uniform(0, np.pi), plate.rng.uniform(-400, 400)
        t = (plate.X - plate.width / 2) * np.cos(a) + (plate.Y - plate.height / 2) * np.sin(a) - d + 6 * plate.noise(patch, 200, 2)
        folds += plate.rng.uniform(1.2, 3.5) * np.tanh(t / 9)
    plate.lay(patch, base, edge=0.5, lift=0, bump=blur(folds, 2) + _uneven(plate, patch, 260, 5) + _uneven(plate, patch, 2, 0.05))


def _brick(plate: Plate, patch: Patch) -> None:
    bw, bh = 168.0, 58.0
    x, y = plate.X + 5 * plate.noise(patch, 90, 2), plate.Y + 2.5 * plate.noise(patch, 90, 2)
    row = np.floor(y / bh)
    fx, fy = (x + (row % 2) * bw / 2) % bw, y % bh
    near = np.minimum(np.minimum(fx, bw - fx), np.minimum(fy, bh - fy)) + 1.6 * plate.noise(patch, 7, 2)
    face = smooth(near, 4.2, 6.4)
    col = np.floor((x + (row % 2) * bw / 2) / bw)
    tone = (np.sin(row * 127.1 + col * 311.7) * 43758.5) % 1
    brick = mix(linear("#8e4a35"), linear("#b3694c"), tone.astype(F)) * (1 + 0.16 * plate.noise(patch, 18, 4))[..., None]
    brick = mix(brick, linear("#d8cbb8"), 0.28 * smooth(plate.noise(patch, 60, 4), 0.6, 2.0))
    mortar = linear("#a89e90") * (1 + 0.12 * plate.noise(patch, 6, 3))[..., None]
    plate.lay(patch, mix(mortar, brick, face) * 0.62, edge=0.5, lift=0, bump=5 * blur(face, 1.6) + _uneven(plate, patch, 9, 0.5), tilt=1.2)


def _booth(plate: Plate, patch: Patch) -> None:
    step = 46.0
    fold = np.abs((plate.X / step) % 1 - 0.5) * 2
    base = linear("#c9cac4") * (0.7 + 0.22 * fold)[..., None]
    frame = smooth(3.5 - np.abs((plate.Y + 140) % 520 - 260), -1, 1)
    base = mix(base, linear("#6d7175"), 0.85 * frame)
    mist = np.zeros_like(base)
    for name in plate.rng.choice(["umber", "teal", "cherry", "primer", "mustard", "navy"], 3, replace=False):
        cx, cy = plate.rng.uniform(0.2, 0.8) * plate.width, plate.rng.uniform(0.25, 0.75) * plate.height
        cloud = np.exp(-((plate.X - cx) ** 2 + (plate.Y - cy) ** 2) / (2 * (plate.rng.uniform(150, 320)) ** 2)) * (1 + 0.25 * plate.noise(patch, 60, 3))
        mist += 0.5 * np.clip(cloud, 0, 1)[..., None] * (colour(name) - 0.75)
    plate.lay(patch, np.clip(base * (1 + mist), 0.02, 0.9), edge=0.5, lift=0, bump=4 * fold + _uneven(plate, patch, 2, 0.12), tilt=0.6)


def _concrete(plate: Plate, patch: Patch) -> None:
    base = linear("#8d8b86") * (1 + 0.1 * plate.noise(patch, 260, 4) + 0.05 * plate.noise(patch, 4, 2))[..., None]
    pits = smooth(plate.noise(patch, 5, 2), 2.0, 2.9)
    plate.lay(patch, base * (1 - 0.4 * pits[..., None]), edge=0.5, lift=0, bump=_uneven(plate, patch, 3, 0.12) - pits)


def _cloth(plate: Plate, patch: Patch) -> None:
    folds = 16 * plate.noise(patch, 330, 2, (1.6, 0.7))
    weave = np.sin(plate.X * 2.2) * np.sin(plate.Y * 2.2)
    base = linear("#47566b") * (1 + 0.12 * weave + 0.1 * plate.noise(patch, 3, 1))[..., None]
    plate.lay(patch, base, edge=0.5, lift=0, bump=folds + 0.15 * weave, tilt=1.0)


GROUNDS = {"ply": _ply, "mat": _mat, "paper": _paper, "brick": _brick, "booth": _booth, "concrete": _concrete, "cloth": _cloth}
