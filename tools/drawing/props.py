"""Bench clutter: tools, tape, tins, clamps and what lies about.

Invariant: no label, no brand, no writing that says anything.
"""

import numpy as np

from drawing import parts
from drawing.light import F, Frame, Patch, Plate, box, circle, curve, linear, mix, smooth
from drawing.stuff import colour, wood


def handle(plate: Plate, f: Frame, length: float, width: float, tone: str) -> None:
    """A turned handle along −u from the frame's origin."""
    w = width / 2
    outline = curve([(0, -w * 0.6), (-6, -w * 0.75), (-length * 0.3, -w), (-length * 0.8, -w * 0.95), (-length, -w * 0.4), (-length, w * 0.4), (-length * 0.8, w * 0.95),
                     (-length * 0.3, w), (-6, w * 0.75), (0, w * 0.6)])  # fmt: skip
    patch = plate.polygon(f.points(outline))
    tint = wood(plate, patch, f, "ash", int(plate.rng.integers(999)), 0.7) if tone == "wood" else colour(tone) * np.ones((*patch.a.shape, 3), F)
    plate.lay(patch, tint, edge=w * 0.9 * f.scale, lift=w * 1.2 * f.scale, gloss=0.5, rough=0.06)


def screwdriver(plate: Plate, f: Frame, tone: str = "cherry") -> None:
    """A screwdriver, its tip toward +u."""
    parts.plate_of(plate, f.at(46, 0), box(96, 5.5, 2), parts.metal("steel"), mm=9, edge=2.6, metal=True, rough=0.1)
    parts.plate_of(plate, f.at(96, 0), np.array([[0, -2.5], [9, -3.6], [9, 3.6], [0, 2.5]]), parts.metal("steel") * 0.8, mm=7, metal=True, rough=0.15)
    handle(plate, f, 92, 26, tone)


def chisel(plate: Plate, f: Frame) -> None:
    """A paring chisel."""
    blade = np.array([[0, -4], [14, -5], [22, -11], [112, -11], [118, -11], [118, 11], [22, 11], [14, 5], [0, 4]])
    parts.plate_of(plate, f, blade, parts.metal("steel"), mm=6, edge=1.2, metal=True, rough=0.16)
    parts.plate_of(plate, f.at(112, 0), box(14, 21, 0.5), parts.metal("steel") * 1.2, mm=0, edge=0.6, metal=True, rough=0.05)
    handle(plate, f, 108, 27, "wood")


def pencil(plate: Plate, f: Frame) -> None:
    """A carpenter's pencil."""
    parts.plate_of(plate, f.at(-70, 0), box(140, 8, 1), colour("brick"), mm=4, edge=2.2, gloss=0.5)
    parts.plate_of(plate, f, np.array([[0, -4], [16, -1.2], [16, 1.2], [0, 4]]), linear("#d9b684"), mm=4, edge=1.6)
    parts.plate_of(plate, f.at(15, 0), np.array([[0, -1.4], [5, -0.4], [5, 0.4], [0, 1.4]]), linear("#2a2a2c"), mm=3, edge=0.6)


def ruler(plate: Plate, f: Frame, length: float = 300) -> None:
    """A steel rule with its graduations and no figures."""
    parts.plate_of(plate, f, box(length, 26, 1), parts.metal("steel"), mm=1.4, edge=0.6, metal=True, rough=0.2)
    for i in range(int(length // 5)):
        u = -length / 2 + 5 * i + 2
        deep = 9 if i % 10 == 0 else 6.5 if i % 2 == 0 else 4
        plate.tint(plate.stroke(f.points(np.array([[u, -12.4], [u, -12.4 + deep]])), max(1.0, 0.5 * f.scale)), linear("#1a1a1a"), 0.8)


def tape_roll(plate: Plate, f: Frame, tone: str = "#c9a95f", radius: float = 46) -> None:
    """A roll of masking tape lying flat."""
    ring, hole = f.points(circle(radius, 90)), f.points(circle(radius * 0.62, 90))
    patch = plate.polygon(ring, holes=(hole,))
    x, y = f.points(np.zeros((1, 2)))[0]
    r = np.hypot(plate.X[patch.where] - x, plate.Y[patch.where] - y) / f.scale
    layers = 1 + 0.1 * np.sin(r * 5.5) + 0.05 * plate.noise(patch, 3, 1)
    tint = mix(linear(tone), linear("#9a815a"), smooth(radius * 0.66 - r, -0.6, 0.6).astype(F)) * layers[..., None]
    plate.lay(patch, tint, edge=1.5 * f.scale, lift=17 * f.scale, gloss=0.15, rough=0.2)


def sanding_block(plate: Plate, f: Frame) -> None:
    """A cork block in a fold of abrasive paper."""
    paper = plate.polygon(f.points(box(112, 62, 2)))
    grit = 1 + 0.2 * plate.noise(paper, 1.4, 1)
    plate.lay(paper, linear("#6b4a36") * grit[..., None], edge=2 * f.scale, lift=20 * f.scale, gloss=0.1, rough=0.3)
    cork = plate.polygon(f.points(box(112, 46, 3)))
    speck = plate.noise(cork, 4 * f.scale, 3)
    plate.lay(cork, mix(linear("#b98b5a"), linear("#7a5634"), smooth(speck, 0.3, 1.5)), edge=2.5 * f.scale, lift=5 * f.scale)


def brush(plate: Plate, f: Frame) -> None:
    """A flat brush."""
    handle(plate, f, 120, 22, "wood")
    parts.plate_of(plate, f.at(14, 0), box(30, 36, 2), parts.metal("brass"), mm=10, edge=2.4, metal=True, rough=0.14)
    hair = plate.polygon(f.at(28, 0).points(np.array([[0, -17], [44, -19], [50, -10], [47, 0], [51, 9], [45, 19], [0, 17]])))
    strands = plate.noise(hair, 1.5, 1, (14, 1))
    plate.lay(hair, linear("#6e5236") * (1 + 0.3 * strands)[..., None], edge=5 * f.scale, lift=8 * f.scale, bump=0.4 * strands)


def rag(plate: Plate, f: Frame, tone: str = "cream", size: float = 80) -> None:
    """A crumpled cotton rag."""
    n = 26
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    lobes = 1 + 0.12 * np.sin(3 * t + plate.rng.uniform(0, 6)) + 0.09 * np.sin(5 * t + plate.rng.uniform(0, 6)) + 0.05 * plate.rng.standard_normal(n)
    patch = plate.polygon(f.points(curve([(size * k * np.cos(a), size * k * np.sin(a) * 0.72) for k, a in zip(lobes, t, strict=True)])))
    folds = 1 - np.abs(plate.noise(patch, 70 * f.scale, 2, (1.8, 0.8))) + 0.25 * plate.noise(patch, 18 * f.scale, 2)
    weave = 0.05 * np.sin(plate.X[patch.where] * 1.9) * np.sin(plate.Y[patch.where] * 1.9)
    stain = 1 - 0.25 * smooth(plate.noise(patch, 40 * f.scale, 3), 0.3, 1.5)
    plate.lay(patch, colour(tone) * ((0.7 + weave) * stain)[..., None], edge=4 * f.scale, lift=8 * f.scale, bump=9 * f.scale * folds, tilt=1.3)


def tin(plate: Plate, f: Frame, inside: np.ndarray, radius: float = 46, stick: bool = True) -> None:
    """An open tin seen from above, its paint a little below the rim."""
    x, y = f.points(np.zeros((1, 2)))[0]
    r = radius * f.scale
    plate.lay(plate.disc(x, y, r), parts.metal("steel"), edge=3 * f.scale, lift=55 * f.scale, metal=True, rough=0.08, shadow=0.75)
    plate.lay(plate.disc(x, y, r * 0.93), parts.metal("steel") * 0.35, edge=2 * f.scale, lift=0, metal=True, rough=0.2)
    pool = plate.disc(x, y, r * 0.88)
    ripple = 0.5 * plate.noise(pool, 40 * f.scale, 2)
    plate.lay(pool, inside * np.ones((*pool.a.shape, 3), F), edge=1.5, lift=0, gloss=1.3, rough=0.02, bump=ripple)
    shade = Patch(pool.y, pool.x, pool.a * smooth((plate.X[pool.where] - x) * plate.sun[0] + (plate.Y[pool.where] - y) * plate.sun[1], 0.1 * r, 0.75 * r))
    plate.dye(shade, np.array([0.25, 0.25, 0.25], F), 0.8)
    if stick:
        a = plate.rng.uniform(-0.5, 0.5)
        s = Frame(x, y, f.scale, a)
        patch = plate.polygon(s.points(box(150, 15, 2) + [62, 0]))
        plate.lay(patch, wood(plate, patch, s, "maple", 3), edge=1.2 * f.scale, lift=5 * f.scale)
        tip = plate.polygon(s.points(curve([(-14, -7.6), (24, -7.6), (40, -5), (34, 0), (44, 5), (24, 7.6), (-14, 7.6)])))
        plate.lay(tip, inside * np.ones((*tip.a.shape, 3), F), edge=2 * f.scale, lift=0, gloss=1.0)


def spill(plate: Plate, f: Frame, tone: np.ndarray, size: float) -> None:
    """A drop of paint."""
    n = 9
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    outline = curve([(size * (1 + 0.25 * plate.rng.standard_normal()) * np.cos(a), size * np.sin(a)) for a in t])
    plate.lay(plate.polygon(f.points(outline)), tone, edge=2.5 * f.scale, lift=1, gloss=1.0)


def shavings(plate: Plate, x: float, y: float, reach: float, count: int) -> None:
    """Curls of wood."""
    for _ in range(count):
        cx, cy = x + plate.rng.normal(0, reach), y + plate.rng.normal(0, reach * 0.7)
        a, r, turns = plate.rng.uniform(0, 6.3), plate.rng.uniform(5, 15), plate.rng.uniform(0.7, 1.8)
        t = np.linspace(0, turns * 2 * np.pi, 26)
        line = np.stack([cx + (r + t * 1.4) * np.cos(t + a), cy + (r * 0.6 + t) * np.sin(t + a)], 1)
        plate.lay(plate.stroke(line, plate.rng.uniform(3, 6)), linear("#d9b887"), edge=2, lift=4, shadow=0.5)


def screws(plate: Plate, x: float, y: float, reach: float, count: int, scale: float) -> None:
    """Loose wood screws."""
    for _ in range(count):
        f = Frame(x + plate.rng.normal(0, reach), y + plate.rng.normal(0, reach), scale, plate.rng.uniform(0, 6.3))
        parts.plate_of(
            plate,
            f.at(11, 0),
            np.array([[-10, -1.6], [9, -1.0], [13, 0], [9, 1.0], [-10, 1.6]]),
            parts.metal("steel") * 0.8,
            mm=3,
            edge=1.4,
            metal=True,
            rough=0.15,
        )
        parts.plate_of(plate, f, box(4, 7.5, 1.5), parts.metal("nickel"), mm=4, edge=1.6, metal=True, rough=0.1)


def clamp(plate: Plate, a: np.ndarray, b: np.ndarray, width: float, tone: str = "cherry") -> None:
    """A bar clamp from one jaw to the other, seen from above."""
    along = (b - a) / np.linalg.norm(b - a)
    across = np.array([-along[1], along[0]])
    parts.round_bar(plate, a - along * 60, b + along * 90, width * 0.62, parts.metal("steel") * 0.8, width * 2.2, metal=True, rough=0.22)
    for end, way in ((a, -1), (b, 1)):
        jaw = np.array(
            [
                end - across * width * 0.8,
                end + across * width * 0.8,
                end + across * width * 0.7 + way * along * width * 1.7,
                end - across * width * 0.7 + way * along * width * 1.7,
            ]
        )
        plate.lay(plate.polygon(jaw), colour(tone), edge=width * 0.3, lift=width * 1.6, gloss=0.6, rough=0.08)
        pad = np.array(
            [
                end - across * width * 0.9,
                end + across * width * 0.9,
                end + across * width * 0.9 - way * along * width * 0.4,
                end - across * width * 0.9 - way * along * width * 0.4,
            ]
        )
        plate.lay(plate.polygon(pad), linear("#2a2724"), edge=width * 0.15, lift=width * 0.8)
    grip = b + along * 95
    parts.round_bar(plate, grip, grip + along * 70, width * 1.15, linear("#2b2622"), width * 1.5, gloss=0.4)


def clutter(plate: Plate, scale: float, spots: list[tuple[float, float]], never: tuple[str, ...] = ()) -> None:
    """A few things at the given spots (fractions of the plate), chosen by the plate's own chance."""
    kinds = [kind for kind in ("pencil", "screwdriver", "tape", "rag", "ruler", "chisel", "screws", "brush") if kind not in never]
    picks = plate.rng.permutation(kinds)
    for (fx, fy), kind in zip(spots, picks, strict=False):
        f = Frame(fx * plate.width, fy * plate.height, scale, plate.rng.uniform(-0.9, 0.9) + plate.rng.choice([0, np.pi]))
        match kind:
            case "pencil":
                pencil(plate, f)
            case "screwdriver":
                screwdriver(plate, f, str(plate.rng.choice(["cherry", "mustard", "navy", "forest"])))
            case "tape":
                tape_roll(plate, f)
            case "rag":
                rag(plate, f, str(plate.rng.choice(["cream", "sky", "brick"])))
            case "ruler":
                ruler(plate, f)
            case "chisel":
                chisel(plate, f)
            case "screws":
                screws(plate, f.x, f.y, 22 * scale, 6, scale)
            case _:
                brush(plate, f)
