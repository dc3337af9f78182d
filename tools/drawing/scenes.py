"""Every scene of the table, drawn with the parts.

Each function takes a look and gives a photograph. Invariant: `SCENES` names them all, as the table's head does.
"""

from collections.abc import Callable

import numpy as np
from PIL import Image

from drawing import instrument, parts, props, shapes
from drawing.develop import photograph
from drawing.instrument import Look
from drawing.light import F, Frame, Patch, Plate, blur, box, circle, curve, linear, mix, smooth
from drawing.stuff import colour, ground, pattern, wood

WIDE, TALL = (1400, 980), (980, 1400)
_OVER = 1.16  # the plate is larger than the picture, so that the camera may lean and turn


def _plate(look: Look, size: tuple[int, int], choices: tuple[str, ...]) -> Plate:
    """A plate with its ground."""
    plate = Plate(round(size[0] * _OVER), round(size[1] * _OVER), look.seed * 7919 + sum(map(ord, look.file)))
    ground(plate, look.ground or choices[look.seed % len(choices)])
    return plate


def _lying(plate: Plate, look: Look, angle: float, fill: float = 0.98) -> Frame:
    """A frame that shows the whole instrument across the plate at that angle."""
    outline = look.outline()
    long = outline[:, 0].max() + look.scale + 190
    wide = np.ptp(outline[:, 1])
    c, s = abs(np.cos(angle)), abs(np.sin(angle))
    usable = 0.86
    scale = fill * usable * min(plate.width / (long * c + wide * s * 0.6), plate.height / (long * s + wide * c * 0.75))
    middle = (outline[:, 0].max() - look.scale - 175) / 2
    mid_v = (outline[:, 1].max() + outline[:, 1].min()) / 2 * 0.6
    f = Frame(0, 0, scale, angle)
    x, y = f.points(np.array([[middle, mid_v]]))[0]
    return Frame(plate.width / 2 - x, plate.height / 2 - y, scale, angle)


def _on_body(plate: Plate, look: Look, scale: float, angle: float, spot: tuple[float, float] | None = None) -> Frame:
    """A frame that puts a spot of the body, or its middle, in the middle of the plate."""
    if spot is None:
        o = look.outline()
        spot = ((o[:, 0].max() + o[:, 0].min()) / 2, (o[:, 1].max() + o[:, 1].min()) / 2)
    x, y = Frame(0, 0, scale, angle).points(np.array([spot]))[0]
    return Frame(plate.width / 2 - x, plate.height / 2 - y, scale, angle)


def _fit(plate: Plate, look: Look, fill: float = 0.8) -> float:
    """The scale at which the body alone fills the plate."""
    o = look.outline()
    return fill * 0.86 * min(plate.width / np.ptp(o[:, 0]), plate.height / np.ptp(o[:, 1]))


def _glint(plate: Plate, x: float, y: float) -> None:
    """Move the window so that a flat gloss at that spot shows it."""
    plate.window = ((x - plate.width / 2) / plate.width * 0.75, (y - plate.height / 2) / plate.width * 0.75)


def _tilt(plate: Plate, low: float = 0.22, high: float = 0.4) -> float:
    return float(-plate.rng.uniform(low, high))


# --- the whole instrument


def front(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("ply", "paper", "cloth", "concrete"))
    frame = _lying(plate, look, _tilt(plate))
    props.clutter(plate, frame.scale, [(0.2, 0.26), (0.62, 0.83)] if look.seed % 2 else [(0.3, 0.2)])
    x, y = frame.points(np.array([[-40, -120]]))[0]
    _glint(plate, x, y)
    instrument.whole(plate, frame, look)
    return photograph(plate, *WIDE)


def back(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("cloth", "ply", "mat"))
    base = _lying(plate, look, _tilt(plate, 0.15, 0.3))
    frame = Frame(base.x, base.y, base.scale, base.angle, flip=True)
    size = 1.0 if look.long else 0.86
    parts.head(plate, frame, look.scale, look.strings, look.metal, None, look.seed, size)
    instrument.body(plate, frame, look)
    length = look.scale + look.end
    tube = plate.polygon(frame.points(parts.neck_outline(look.scale, length, look.at_nut, look.at_end)))
    reach = smooth(frame.own(plate.X[tube.where], plate.Y[tube.where])[0], look.end - 66, look.end - 60)
    tube = Patch(tube.y, tube.x, tube.a * (1 - reach))
    plate.lay(tube, wood(plate, tube, frame, "maple", look.seed, 0.7), edge=18 * frame.scale, lift=14 * frame.scale, gloss=0.4, rough=0.06)
    parts.plate_of(plate, frame.at(look.end - 28, 0), box(62, 50, 4), parts.metal(look.metal), mm=3, metal=look.metal != "black", rough=0.08, gloss=0.5)
    for a in (-1, 1):
        for b in (-1, 1):
            parts.screw(plate, frame, look.end - 28 + 24 * a, 18 * b, look.metal, 4)
    u, v = instrument.knobs_at(look)[1]
    cover = shapes.even(curve([(u - 66, v - 24), (u, v - 34), (u + 56, v - 26), (u + 58, v + 14), (u, v + 24), (u - 66, v + 16)]), 5)
    parts.plate_of(plate, frame, cover, linear("#1a1a1c"), mm=2, gloss=0.6)
    parts.plate_of(plate, frame.at(0, -66 * look.size), box(60, 34, 4), linear("#1a1a1c"), mm=2, gloss=0.6)
    for p in cover[:: len(cover) // 5]:
        c = cover.mean(0)
        parts.screw(plate, frame, *(c + (p - c) * 0.84), look.metal, 2.2)
    return photograph(plate, *WIDE)


def portrait(look: Look) -> Image.Image:
    plate = _plate(look, TALL, ("brick", "booth", "concrete"))
    plate.rgb = blur(plate.rgb, 1.2)
    base = _lying(plate, look, np.pi / 2, 1.0)
    frame = Frame(base.x, base.y, base.scale, np.pi / 2 + plate.rng.uniform(-0.03, 0.03))
    hook = frame.points(np.array([[-look.scale - 20, 0]]))[0]
    for side in (-1, 1):
        peg = frame.points(np.array([[-look.scale - 16, side * 30]]))[0]
        parts.round_bar(plate, hook + [side * 4, -14], peg, 13, linear("#27211c"), 10, gloss=0.3)
    x, y = frame.points(np.array([[-90, 110]]))[0]
    _glint(plate, x, y)
    instrument.whole(plate, frame, look)
    return photograph(plate, *TALL, lean=0.03, depth=1.4)


def before(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("concrete", "cloth", "paper"))
    frame = _lying(plate, look, _tilt(plate, 0.1, 0.36))
    instrument.whole(plate, frame, look, "worn", missing=1 + look.seed % 2, strung=look.seed % 3 != 0)
    patch = plate.polygon(frame.points(look.outline()))
    parts.dust(plate, patch, linear("#9a917f"), 0.35)
    return photograph(plate, *WIDE, exposure=0.88)


def lot(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("brick", "concrete"))
    floor = plate.polygon(np.array([[0, plate.height * 0.8], [plate.width, plate.height * 0.8], [plate.width, plate.height], [0, plate.height]]))
    f = Frame(0, plate.height * 0.9, 0.5, 0)
    planks = 1 - 0.5 * smooth(1.6 - np.abs(plate.Y[floor.where] % 64 - 32), -0.5, 0.5)
    plate.lay(floor, wood(plate, floor, f, "ply", 5, 0.6) * 0.5 * planks[..., None], edge=2, lift=0)
    names = plate.rng.permutation([b for b in shapes.BODIES if b not in ("box", "drop")])
    tones = plate.rng.permutation(["cherry", "cream", "umber", "teal", "black", "mustard", "slate", "white"])
    for i in range(4):
        other = Look(look.file, look.scene, look.seed + i, str(names[i]), "ash", "worn", str(tones[i]), strings=4 if (i + look.seed) % 2 else 6, guard=("none", "cream", "black")[i % 3])
        scale = 0.8
        x = plate.width * (0.19 + 0.205 * i)
        foot = plate.height * 0.885 - other.outline()[:, 0].max() * scale
        frame = Frame(x, foot, scale, np.pi / 2 + plate.rng.uniform(-0.1, 0.1))
        instrument.whole(plate, frame, other, "worn", missing=i % 3, strung=i != 1)
    return photograph(plate, *WIDE, lean=0.02, exposure=0.9)


# --- the body alone


def _body_scene(look: Look, how: str, choices: tuple[str, ...], *, holes: bool, fill: float = 0.84, clutter: tuple[tuple[float, float], ...] = ((0.13, 0.2), (0.86, 0.84))) -> tuple[Plate, Frame, Patch]:
    plate = _plate(look, WIDE, choices)
    frame = _on_body(plate, look, _fit(plate, look, fill), plate.rng.uniform(-0.28, 0.28))
    props.clutter(plate, frame.scale, list(clutter))
    x, y = frame.points(np.array([[-90, -90]]))[0]
    _glint(plate, x, y)
    return plate, frame, instrument.body(plate, frame, look, how, holes=holes)


def bare_wood(look: Look) -> Image.Image:
    plate, frame, _ = _body_scene(look, "bare", ("mat", "ply", "cloth"), holes=True)
    props.shavings(plate, plate.width * 0.2, plate.height * 0.82, 70, 9)
    plate.tint(plate.stroke(frame.points(np.array([[look.end - 20, 0], [90, 0]])), 1.2), linear("#3a332c"), 0.4)
    return photograph(plate, *WIDE)


def primer(look: Look) -> Image.Image:
    plate, _, _ = _body_scene(look, "primer", ("paper", "cloth", "ply"), holes=True)
    return photograph(plate, *WIDE)


def sanding(look: Look) -> Image.Image:
    plate, frame, patch = _body_scene(look, "worn", ("ply", "mat"), holes=False, clutter=())
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    edge = plate.noise(patch, 60 * frame.scale, 5)
    done = smooth(u + 0.5 * v + 26 * edge, -70, -40)
    raw, _, _, bump = instrument.finish(plate, patch, frame, look, "bare")
    ghost = smooth(plate.noise(patch, 26, 3), 0.4, 1.8) * 0.4
    raw = mix(raw, colour(look.colour), (ghost * (1 - smooth(u + 0.5 * v, -60, 60))).astype(F))
    plate.lay(Patch(patch.y, patch.x, patch.a * done), raw, edge=5.5 * frame.scale, lift=0, gloss=0.05, rough=0.3, bump=bump, tilt=1.2)
    instrument.cavities(plate, frame, look)
    parts.dust(plate, plate.whole(), linear("#d8c7a8"), 0.28)
    props.sanding_block(plate, frame.at(-40, 70, 0.5))
    props.rag(plate, Frame(plate.width * 0.14, plate.height * 0.2, frame.scale), "sky")
    return photograph(plate, *WIDE)


def test_body(look: Look) -> Image.Image:
    plate, frame, patch = _body_scene(look, "bare", ("paper", "mat"), holes=False)
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    tones = [look.colour, *(t for t in plate.rng.permutation(["amber", "cherry", "teal", "navy", "moss", "plum", "copper", "mustard"]) if t != look.colour)][:6]
    wet = wood(plate, patch, frame, look.wood, look.seed, 0.9)
    low, high = look.outline()[:, 0].min(), look.outline()[:, 0].max()
    step = (high - low) / 6.4
    for i, tone in enumerate(tones):
        a, b = low + (i + 0.3) * step, low + (i + 1.1) * step
        band = smooth(u - a, -0.5, 0.5) * smooth(b - u, -0.5, 0.5)
        coat = colour(str(tone)) if i % 2 else wet * np.sqrt(colour(str(tone))) * 1.2
        thin = np.clip(0.55 + (v + 150) / 320, 0.3, 1) if i % 2 else 1.0
        plate.lay(Patch(patch.y, patch.x, patch.a * band * thin), coat * np.ones_like(wet), edge=1, lift=0, gloss=0.9, rough=0.03)
        column = look.outline()[np.abs(look.outline()[:, 0] - a + 7) < 9][:, 1]
        parts.tape(plate, frame.points(np.array([[a - 7, column.min() - 3], [a - 7, column.max() + 3]])), 13 * frame.scale)
    return photograph(plate, *WIDE)


def body_hanging(look: Look) -> Image.Image:
    plate = _plate(look, TALL, ("booth", "brick", "booth"))
    plate.rgb = blur(plate.rgb, 6) * 0.85
    scale = _fit(plate, Look(look.file, look.scene, body=look.body, strings=look.strings), 0.86)
    o = look.outline()
    scale = 0.8 * 0.86 * min(plate.width / np.ptp(o[:, 1]), plate.height / np.ptp(o[:, 0]))
    frame = _on_body(plate, look, scale, np.pi / 2 + plate.rng.uniform(-0.06, 0.06))
    frame = Frame(frame.x, frame.y + plate.height * 0.07, frame.scale, frame.angle)
    x, y = frame.points(np.array([[-110, 70]]))[0]
    _glint(plate, x, y)
    top = frame.points(np.array([[look.end - 18, 0]]))[0]
    stick = np.array([[top[0] - 4, -10], [top[0], top[1] + 30]])
    parts.round_bar(plate, stick[0], [top[0], top[1] - 150], 5, parts.metal("steel"), 8, metal=True, rough=0.15)
    instrument.body(plate, frame, look, mm=60)
    instrument.neck_pocket(plate, frame, look)
    for u, lean in instrument.pickups_at(look):
        instrument.hollow(plate, frame.at(u, 0, lean), box(33, look.spread + 18, 8), look, 20)
    slat = frame.at(look.end - 60, 0)
    patch = plate.polygon(slat.points(box(150, 34, 2)))
    plate.lay(patch, wood(plate, patch, slat, "pine", 4), edge=2 * frame.scale, lift=8 * frame.scale)
    for u in (10, 40):
        parts.screw(plate, slat, u, 0, "steel", 4)
    hole = slat.points(np.array([[-60, 0]]))[0]
    parts.round_bar(plate, [hole[0], hole[1] - 120], hole, 5, parts.metal("steel"), 6, metal=True, rough=0.15)
    return photograph(plate, *TALL, lean=0.02, depth=1.2)


def masked(look: Look) -> Image.Image:
    plate, frame, patch = _body_scene(look, "solid", ("paper", "cloth"), holes=False)
    instrument.cavities(plate, frame, look)
    kind = look.pattern if look.look == "pattern" else "stripes"
    where = pattern(plate, patch, frame, kind, look.seed)
    paint = colour(look.second or "cream")
    coat = paint * (1 + 0.05 * plate.noise(patch, 40, 3))[..., None]
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    covered = smooth(where, 0.4, 0.6)
    papered = mix(linear("#cfae66"), linear("#d9bd80"), smooth(plate.noise(patch, 30, 2), -1, 1))
    inside = smooth(blur(patch.a, 2), 0.7, 0.95)
    plate.lay(Patch(patch.y, patch.x, patch.a * covered * inside), papered, edge=1.2, lift=1.5, bump=0.25 * plate.noise(patch, 2.2, 2), gloss=0.1, rough=0.3)
    sprayed = smooth(u + 0.3 * v + 30 * plate.noise(patch, 90, 2), -20, 30)
    plate.tint(Patch(patch.y, patch.x, patch.a * sprayed * 0.93), coat * 0.95)
    for _ in range(3):
        a = np.array([plate.rng.uniform(look.end, 60), plate.rng.uniform(-150, 150) * look.size])
        d = np.array([plate.rng.uniform(-1, 1), plate.rng.uniform(-1, 1)])
        d = d / np.linalg.norm(d) * 60
        parts.tape(plate, frame.points(np.linspace(a - d, a + d, 6)), 18 * frame.scale)
    props.tape_roll(plate, Frame(plate.width * 0.85, plate.height * 0.2, frame.scale))
    return photograph(plate, *WIDE)


def clamps(look: Look) -> Image.Image:
    plate, frame, patch = _body_scene(look, "bare", ("ply", "mat"), holes=False, clutter=((0.12, 0.82),))
    low = float(look.outline()[:, 1].max())
    piece = curve([(-150, low * 0.55), (-60, low * 0.62), (40, low * 0.6), (60, low * 1.05), (-40, low * 1.12), (-150, low * 0.98)])
    full = np.zeros((plate.height, plate.width), F)
    full[patch.where] = patch.a
    strip = plate.polygon(frame.points(piece))
    strip = Patch(strip.y, strip.x, strip.a * full[strip.where])
    plate.lay(strip, wood(plate, strip, frame, "maple", look.seed + 4), edge=1.2 * frame.scale, lift=0, gloss=0.06, rough=0.3)
    seam = frame.points(curve([(-150, low * 0.55), (-60, low * 0.62), (40, low * 0.6)], closed=False))
    plate.tint(plate.stroke(seam, 1.6), linear("#3a2415"), 0.7)
    for p in seam[::4]:
        plate.lay(plate.disc(*(p + plate.rng.normal(0, 2, 2)), plate.rng.uniform(2, 5)), linear("#e7d9a8"), edge=3, lift=1.5, gloss=0.8)
    for u in (-125, -52, 22):
        column = look.outline()[np.abs(look.outline()[:, 0] - u) < 8][:, 1]
        a, b = frame.points(np.array([[u, column.min()], [u, column.max()]]))
        props.clamp(plate, a, b, 22 * frame.scale, str(plate.rng.choice(["cherry", "navy", "forest"])))
    return photograph(plate, *WIDE)


def spraying(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("booth",))
    plate.rgb = blur(plate.rgb, 5) * 0.8
    frame = _on_body(plate, look, _fit(plate, look, 0.76), np.pi / 2 - 0.22)
    frame = Frame(frame.x - plate.width * 0.16, frame.y + 40, frame.scale, frame.angle)
    end = frame.points(np.array([[look.end - 40, 0], [look.end - 400, 0]]))
    parts.round_bar(plate, end[0], end[1], 24 * frame.scale, linear("#c79a62"), 10)
    x, y = frame.points(np.array([[-90, 60]]))[0]
    _glint(plate, x, y)
    instrument.body(plate, frame, look, look.look if look.look != "bare" else "solid", mm=60)
    sx, sy = plate.width * 0.79, plate.height * 0.4
    _mist(plate, sx, sy, frame, colour(look.colour))
    _gun(plate, Frame(sx, sy, 2.1, -0.12))
    return photograph(plate, *WIDE, lean=0.02, depth=1.5)


def _mist(plate: Plate, sx: float, sy: float, frame: Frame, paint: np.ndarray) -> None:
    dx, dy = plate.X - sx, plate.Y - sy
    far = np.hypot(dx, dy)
    tx, ty = frame.points(np.array([[-80, 0]]))[0]
    aim = np.arctan2(ty - sy, tx - sx)
    off = np.abs((np.arctan2(dy, dx) - aim + np.pi) % (2 * np.pi) - np.pi)
    cone = np.exp(-((off / 0.2) ** 2)) * np.exp(-far / 520) * smooth(far, 4, 50)
    cone = cone * (1 + 0.25 * plate.noise(plate.whole(), 70, 4))
    drift = np.exp(-(((plate.X - tx) / 330) ** 2 + ((plate.Y - ty) / 260) ** 2)) * (0.16 + 0.1 * plate.noise(plate.whole(), 120, 4))
    veil = np.clip(0.75 * cone + drift, 0, 0.85)
    plate.rgb = mix(plate.rgb, 0.45 * paint + 0.42, veil.astype(F))


def _gun(plate: Plate, f: Frame) -> None:
    """A spray gun pointing toward −u, from the side."""
    steel = parts.metal("steel")
    parts.plate_of(plate, f, curve([(0, -5), (14, -11), (30, -13), (64, -14), (86, -8), (88, 8), (66, 13), (30, 12), (14, 10), (0, 5)]), steel, mm=12, edge=7, metal=True, rough=0.07)
    parts.plate_of(plate, f.at(6, 0), box(12, 21, 3), parts.metal("brass"), mm=10, edge=3, metal=True, rough=0.07)
    grip = curve([(58, 8), (82, 4), (98, 40), (112, 92), (96, 104), (80, 98), (68, 50)])
    parts.plate_of(plate, f, grip, steel * 0.75, mm=10, edge=8, metal=True, rough=0.12)
    parts.plate_of(plate, f, curve([(44, 14), (52, 16), (58, 52), (50, 60), (46, 36)]), steel, mm=8, edge=3, metal=True, rough=0.06)
    cup = np.array([[24, -14], [20, -20], [16, -74], [66, -74], [60, -20], [56, -14]])
    parts.plate_of(plate, f, cup, steel, mm=14, edge=10, metal=True, rough=0.05)
    parts.plate_of(plate, f.at(41, -78), box(58, 12, 5), linear("#222226"), mm=10, edge=3, gloss=0.6)
    hose = f.points(np.array([[100, 100], [118, 150], [150, 190], [190, 260]]))
    parts.wire(plate, hose, 13 * f.scale / 2, "#20242a")


def boards_batch(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("ply", "concrete", "paper"))
    for y in (0.3, 0.72):
        rail = Frame(plate.width / 2, plate.height * y, 1.0, 0)
        patch = plate.polygon(rail.points(box(plate.width * 1.1, 36)))
        plate.lay(patch, wood(plate, patch, rail, "pine", 3, 0.2), edge=3, lift=18)
    o = look.outline()
    scale = min(plate.height * 0.7 / np.ptp(o[:, 0]), plate.width * 0.86 / 6 * 0.9 / np.ptp(o[:, 1]))
    _glint(plate, plate.width * 0.4, plate.height * 0.35)
    for i in range(6):
        one = Look(look.file, look.scene, look.seed + 11 * i, look.body, look.wood, look.look, look.colour, look.second, look.pattern, look.strings, look.metal)
        x = plate.width * (0.5 + (i - 2.5) * 0.143)
        frame = _on_body(plate, one, scale, np.pi / 2 + plate.rng.uniform(-0.03, 0.03))
        frame = Frame(frame.x - plate.width / 2 + x, frame.y + plate.rng.uniform(-14, 14), scale, frame.angle)
        patch = instrument.body(plate, frame, one, mm=24)
        plate.dye(patch, np.ones(3, F) * plate.rng.uniform(0.88, 1.0))
        if look.look != "bare":
            parts.plate_of(plate, frame.at(o[:, 0].max() - 26, 0), box(9, 46, 2), parts.metal(look.metal), mm=6, edge=2, metal=True, rough=0.1)
    return photograph(plate, *WIDE, lean=0.1)


# --- close


def _close(look: Look, spot: tuple[float, float], scale: float, angle: float, how: str | None = None, **camera: float) -> Image.Image:
    """The strung instrument with a spot of it large in the middle."""
    plate = _plate(look, WIDE, ("ply", "cloth", "mat"))
    frame = _on_body(plate, look, scale, angle, spot)
    _glint(plate, plate.width * plate.rng.uniform(0.2, 0.4), plate.height * plate.rng.uniform(0.2, 0.35))
    instrument.whole(plate, frame, look, how)
    return photograph(plate, *WIDE, **{"lean": 0.12, "depth": 4.0, **camera})


def detail_bridge(look: Look) -> Image.Image:
    return _close(look, (6, 6), 6.2, 0.3 + 0.1 * (look.seed % 3))


def detail_knobs(look: Look) -> Image.Image:
    u, v = instrument.knobs_at(look)[1]
    return _close(look, (u - 8, v - 10), 6.0, -0.35 + 0.1 * (look.seed % 3), focus=0.5)


def pickups(look: Look) -> Image.Image:
    return _close(look, (look.end * 0.5, 0), 5.2, 0.22 - 0.15 * (look.seed % 3))


def headstock(look: Look) -> Image.Image:
    long = (70 + 24 * min(look.strings, 7)) * (1.0 if look.long else 0.86)
    return _close(look, (-look.scale - long * 0.42, 0), 4.6, 0.25 + 0.2 * (look.seed % 2))


def burst(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("paper", "cloth"))
    o = look.outline()
    edge = o[np.argmin(np.abs(o[:, 0] - 10) + 1000 * (o[:, 1] > 0))]
    frame = _on_body(plate, look, 3.4, 0.35, (edge[0] - 30, edge[1] + 112))
    _glint(plate, plate.width * 0.3, plate.height * 0.36)
    instrument.body(plate, frame, look, "burst")
    return photograph(plate, *WIDE, lean=0.14, depth=3.4, focus=0.45)


def clear_gloss(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("cloth", "ply"))
    frame = _on_body(plate, look, 2.7, -0.3, (20, 40))
    _glint(plate, plate.width * 0.56, plate.height * 0.42)
    instrument.body(plate, frame, look)
    props.rag(plate, Frame(plate.width * 0.24, plate.height * 0.68, 2.6), "cream", 62)
    return photograph(plate, *WIDE, lean=0.16, depth=3.4)


def damage(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("concrete", "cloth"))
    o = look.outline()
    edge = o[np.argmin(np.abs(o[:, 0] - 30) + 1000 * (o[:, 1] < 0))]
    frame = _on_body(plate, look, 3.6, -0.2, (edge[0] - 20, edge[1] - 80))
    patch = instrument.body(plate, frame, look, "worn")
    bare = wood(plate, patch, frame, look.wood, look.seed)
    chip = smooth(plate.noise(patch, 55, 4) + 0.5 * plate.noise(patch, 12, 3), 1.45, 1.6)
    plate.lay(Patch(patch.y, patch.x, patch.a * chip), bare, edge=1.5, lift=0, bump=-2.5 * blur(chip, 1.5))
    start = np.array([edge[0] - 20, edge[1] - 2])
    line = start + np.cumsum(np.stack([plate.rng.normal(-5.5, 2.2, 30), plate.rng.normal(-3.4, 2.4, 30)], 1), 0)
    for width, tone, strength in ((5, "#2a1a10", 0.5), (2.2, "#0c0806", 0.95)):
        plate.tint(plate.stroke(frame.points(line), width), linear(tone), strength)
    return photograph(plate, *WIDE, lean=0.13, depth=3.2, exposure=0.95)


def neck(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("mat", "cloth", "ply"))
    angle = _tilt(plate, 0.3, 0.45)
    scale = 0.86 * plate.width / (look.scale * 0.98)
    f = Frame(0, 0, scale, angle)
    x, y = f.points(np.array([[-look.scale * 0.69, 0]]))[0]
    frame = Frame(plate.width / 2 - x, plate.height / 2 - y, scale, angle)
    props.clutter(plate, frame.scale, [(0.24, 0.25), (0.72, 0.76)], never=("rag",))
    parts.head(plate, frame, look.scale, look.strings, look.metal, None, look.seed, 1.0 if look.long else 0.86)
    heel = plate.polygon(frame.points(box(64, look.at_end, 6) + [look.end - 30, 0]))
    plate.lay(heel, wood(plate, heel, frame, "maple", look.seed, 0.5), edge=3 * frame.scale, lift=16 * frame.scale, gloss=0.3)
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.seed)
    return photograph(plate, *WIDE)


def fretwork(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("mat", "ply"))
    frame = _on_body(plate, look, 5.2, -0.24, (-look.scale * 0.5, 0))
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.seed)
    length = look.scale + look.end
    for fret in range(6, look.frets):
        a, b = -look.scale * 2 ** (-fret / 12) + 2.2, -look.scale * 2 ** (-(fret + 1) / 12) - 2.2
        if fret > 12 + look.seed % 4:
            continue
        for k in range(max(1, round((b - a) / 14))):
            w = (b - a) / max(1, round((b - a) / 14))
            u = a + w * (k + 0.5)
            half = (look.at_nut + (look.at_end - look.at_nut) * (u + look.scale) / length) / 2
            parts.tape(plate, frame.points(np.linspace([u, -half - 3], [u, half + 3], 6)), (w + 0.3) * frame.scale, "#c4a45c")
    beam = frame.at(-look.scale * 0.56, 2, 0.05)
    parts.plate_of(plate, beam, box(190, 25, 1), parts.metal("steel"), mm=20, edge=1.4, metal=True, rough=0.18)
    parts.plate_of(plate, beam, box(188, 11, 1), parts.metal("steel") * 0.72, mm=0, edge=0.8, metal=True, rough=0.25)
    parts.dust(plate, plate.whole(), linear("#b9bcbc"), 0.05, 1.6)
    return photograph(plate, *WIDE, lean=0.14, depth=4.0)


def leds(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("cloth",))
    plate.rgb *= 0.3
    frame = _on_body(plate, look, 3.6, -0.3, (-look.scale * 0.55, 0))
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.seed)
    parts.strings_over(plate, frame, look.scale, look.strings, look.at_nut, look.spread)
    plate.rgb *= 0.16
    for fret in (3, 5, 7, 9, 12, 15, 17):
        parts._marker(plate, frame, fret, look.scale, look.at_nut / 2, look.board, True)
    return photograph(plate, *WIDE, lean=0.14, depth=4.0)


def _opening(look: Look, plate: Plate, lining: bool) -> tuple[Frame, np.ndarray]:
    """A body's back with its control cavity open, filling the picture."""
    u, v = instrument.knobs_at(look)[1]
    frame = _on_body(plate, look, 5.6, 0.12, (u - 4, v - 6))
    frame = Frame(frame.x, frame.y, frame.scale, frame.angle)
    instrument.body(plate, frame, look)
    ledge = shapes.even(curve([(u - 74, v - 34), (u, v - 44), (u + 64, v - 34), (u + 68, v + 18), (u, v + 32), (u - 74, v + 22)]), 6)
    centre = ledge.mean(0)
    rim = plate.polygon(frame.points(ledge))
    plate.lay(rim, wood(plate, rim, frame, look.wood, look.seed) * 0.7, edge=2, lift=0)
    inner = centre + (ledge - centre) * 0.9
    hole = plate.polygon(frame.points(inner))
    if lining:
        plate.lay(hole, linear("#160d07"), edge=1, lift=0)
        floor = plate.polygon(frame.points(centre + (inner - centre) * 0.95 + [1.4, 2.2]))
        crease = 1.6 * np.abs(plate.noise(floor, 90, 2)) + 0.05 * plate.noise(floor, 8, 1)
        plate.lay(floor, parts.metal("copper") * 0.8, edge=4, lift=0, metal=True, rough=0.16, bump=2.4 * crease, tilt=0.8)
        deep = Patch(floor.y, floor.x, floor.a * (1 - smooth(blur(floor.a, 22), 0.55, 0.98)))
        plate.dye(deep, np.array([0.2, 0.17, 0.15], F), 0.9)
    else:
        instrument.hollow(plate, frame, inner, look, 24)
    for p in ledge[:: len(ledge) // 5]:
        x, y = frame.points((centre + (p - centre) * 0.945)[None])[0]
        plate.lay(plate.disc(x, y, 1.2 * frame.scale), linear("#120b06"), edge=1, lift=0)
    return frame, centre


def cavity(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("cloth", "mat"))
    _glint(plate, plate.width * 0.25, plate.height * 0.2)
    frame, centre = _opening(look, plate, True)
    for du in (-42, -4, 34):
        x, y = frame.points(np.array([centre + [du, -2]]))[0]
        plate.lay(plate.disc(x, y, 4.8 * frame.scale), linear("#0d0805"), edge=2, lift=0)
    return photograph(plate, *WIDE, lean=0.12, depth=3.6)


def wiring(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("cloth", "mat"))
    _glint(plate, plate.width * 0.25, plate.height * 0.2)
    frame, centre = _opening(look, plate, True)
    spots = [centre + [du, dv] for du, dv in ((-42, -6), (-3, -10), (36, -6))]
    tones = ["#1c1c1e", "#b32d25", "#d9d3c4", "#2e5d8f", "#d8b23a", "#3d7a4a"]
    for p in spots:
        f = frame.at(*p)
        parts.plate_of(plate, f, circle(12, 60), parts.metal("steel"), mm=9, edge=2.2, metal=True, rough=0.12)
        parts.plate_of(plate, f, circle(9.5, 60), parts.metal("steel") * 0.92, mm=1, edge=1.5, metal=True, rough=0.1)
        parts.plate_of(plate, f.at(0, 15.5), box(19, 8, 1), linear("#7a4b2a"), mm=3, edge=0.6, gloss=0.3)
        for i in (-1, 0, 1):
            parts.plate_of(plate, f.at(6 * i, 19.5), box(2.6, 9, 0.8), parts.metal("brass"), mm=3, edge=0.7, metal=True, rough=0.12)
            parts.plate_of(plate, f.at(6 * i, 22), circle(2.1, 20), parts.metal("steel") * 1.15, mm=3, edge=1.6, metal=True, rough=0.06)
    for i in range(8):
        a = spots[int(plate.rng.integers(3))] + [6 * plate.rng.integers(-1, 2), 22]
        b = spots[int(plate.rng.integers(3))] + [6 * plate.rng.integers(-1, 2), 22] if i % 2 else centre + [plate.rng.choice([-66, 60]), plate.rng.uniform(-14, 10)]
        mid = (a + b) / 2 + [plate.rng.normal(0, 8), plate.rng.uniform(-4, 10)]
        parts.wire(plate, frame.points(np.array([a, a + [0, 4], mid, b])), 1.9 * frame.scale, tones[i % len(tones)])
    cap = frame.at(*(spots[1] + [20, 12]), 0.3)
    parts.wire(plate, cap.points(np.array([[-16, 2], [0, 0], [18, 3]])), 0.8 * frame.scale, "#b9b9b6")
    parts.plate_of(plate, cap, box(15, 9, 3), linear("#b5562b"), mm=6, edge=3, gloss=0.8, rough=0.05)
    return photograph(plate, *WIDE, lean=0.12, depth=3.4)


# --- things on the bench


def parts_laid_out(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("paper", "cloth", "mat"))
    s = 3.3
    mid = Frame(plate.width / 2, plate.height / 2, s, plate.rng.uniform(-0.06, 0.06))
    parts.bridge(plate, mid.at(-170, -58, 0.03), look.strings, look.spread, look.metal)
    for i, u in enumerate((-60, 10)):
        f = mid.at(u, -62, 0.03 * (i - 1))
        parts.pickup(plate, f, 0, 0, look.strings, look.spread, "#17171a" if look.guard != "cream" else "#d9ceb0")
        ends = f.points(np.array([[10, look.spread * 0.5], [22, look.spread * 0.62 + 20], [8, look.spread * 0.62 + 44], [30, look.spread * 0.62 + 60]]))
        parts.wire(plate, ends, 2.4 * s, "#1d1d20")
    for i in range(3):
        parts.knob(plate, mid, 78 + 32 * i, -92, look.metal)
        parts.plate_of(plate, mid.at(78 + 32 * i, -54), circle(8), parts.metal("steel"), mm=7, edge=1.4, metal=True, rough=0.12)
        parts.plate_of(plate, mid.at(78 + 32 * i, -54), circle(3.1), parts.metal("brass"), mm=9, edge=1, metal=True, rough=0.12)
    for i in range(min(look.strings, 6)):
        f = mid.at(-200 + 44 * i, 52, plate.rng.uniform(-0.08, 0.08))
        parts.plate_of(plate, f, box(26, 17, 3), parts.metal(look.metal), mm=4, edge=1.2, metal=look.metal != "black", rough=0.09, gloss=0.5)
        parts.round_bar(plate, *f.points(np.array([[0, 6], [0, 32]])), 5 * s, parts.metal(look.metal), 5, metal=look.metal != "black", rough=0.1)
        parts.plate_of(plate, f.at(0, 38), curve([(-10, -3), (-8, 5), (0, 8), (8, 5), (10, -3), (0, -5)]), parts.metal(look.metal), mm=6, edge=3, metal=look.metal != "black", rough=0.07, gloss=0.5)
        parts.plate_of(plate, f, circle(5), parts.metal(look.metal), mm=8, edge=2, metal=look.metal != "black", rough=0.06, gloss=0.5)
    for i in range(14):
        props.screws(plate, *mid.points(np.array([[76 + 20 * (i % 7), 40 + 34 * (i // 7)]]))[0], 1.5, 1, s * 0.9)
    props.clutter(plate, s * 0.9, [(0.5, 0.87)], never=("screws", "rag", "tape"))
    return photograph(plate, *WIDE)


def case(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("concrete", "ply", "cloth"))
    frame = _lying(plate, look, -0.1, 0.8)
    o = look.outline()
    u0, u1 = -look.scale - 225, o[:, 0].max() + 55
    v = max(abs(o[:, 1].min()), o[:, 1].max()) + 42
    centre, size = ((u0 + u1) / 2, 0.0), (u1 - u0, 2 * v)
    lid = frame.at(centre[0], -v * 1.62)
    cloth = colour(look.colour)
    for f, inside in ((lid, False), (frame.at(*centre), True)):
        shell = plate.polygon(f.points(box(size[0], size[1], 26)))
        weave = 1 + 0.12 * np.sin(plate.X[shell.where] * 1.6) * np.sin(plate.Y[shell.where] * 1.6)
        plate.lay(shell, cloth * weave[..., None], edge=8 * f.scale, lift=60 * f.scale, gloss=0.1, rough=0.3)
        binding = plate.polygon(f.points(box(size[0] - 8, size[1] - 8, 22)), holes=(f.points(box(size[0] - 26, size[1] - 26, 18)),))
        plate.lay(binding, linear("#1c1917"), edge=2 * f.scale, lift=2, gloss=0.4)
        nap = plate.polygon(f.points(box(size[0] - 26, size[1] - 26, 18)))
        pile = 1 + 0.12 * plate.noise(nap, 2, 1) + 0.1 * plate.noise(nap, 60, 3)
        plate.lay(nap, colour(look.second or "mustard") * pile[..., None] * (0.7 if inside else 0.6), edge=10 * f.scale, lift=0, bump=0.5 * plate.noise(nap, 2.5, 2))
        well = Patch(nap.y, nap.x, nap.a * (1 - smooth(blur(np.pad(nap.a, 90), 26)[90:-90, 90:-90], 0.5, 0.95)))
        plate.dye(well, np.array([0.3, 0.28, 0.26], F), 0.75)
    grown = shapes.even(o, 14) * 1.03
    slot = parts.neck_outline(look.scale + 180, look.scale + look.end + 180, 92, 78)
    recess = plate.polygon(frame.points(grown), frame.points(slot))
    pile = 1 + 0.14 * plate.noise(recess, 2, 1)
    plate.lay(recess, colour(look.second or "mustard") * 0.42 * pile[..., None], edge=3, lift=0)
    rim = Patch(recess.y, recess.x, recess.a * (1 - smooth(blur(np.pad(recess.a, 60), 12)[60:-60, 60:-60], 0.55, 0.98)))
    plate.dye(rim, np.array([0.2, 0.18, 0.17], F), 0.85)
    if look.look != "bare":
        _glint(plate, *frame.points(np.array([[-60, -90]]))[0])
        instrument.whole(plate, frame, Look(look.file, look.scene, look.seed, look.body, look.wood, "solid" if look.look == "solid" else look.look, look.pattern if look.pattern in ("cream",) else "cherry", strings=look.strings, metal=look.metal, guard=look.guard, board=look.board))
    for u in (u0 + 240, u1 - 160):
        parts.plate_of(plate, frame.at(u, v - 4), box(44, 26, 4), parts.metal("brass"), mm=5, edge=1.5, metal=True, rough=0.1)
        parts.plate_of(plate, frame.at(u, v + 4), box(22, 14, 3), parts.metal("brass"), mm=5, edge=2, metal=True, rough=0.06)
    return photograph(plate, *WIDE)


def finish_cans(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("paper", "ply"))
    s = 3.0
    tones = [look.colour, look.second or "cream", "honey"]
    spots = [(0.34, 0.4), (0.6, 0.33), (0.53, 0.7)]
    for i in range(10):
        f = Frame(plate.width * plate.rng.uniform(0.2, 0.8), plate.height * plate.rng.uniform(0.2, 0.85), s)
        props.spill(plate, f, colour(tones[i % 2]), plate.rng.uniform(1, 4))
    for i in range(5):
        card = Frame(plate.width * 0.82, plate.height * (0.22 + 0.13 * i), s, plate.rng.uniform(-0.12, 0.12))
        patch = plate.polygon(card.points(box(70, 26, 1)))
        grain = wood(plate, patch, card, "ash", i, 0.8)
        coat = mix(grain * np.sqrt(colour(tones[0])) * 1.3, colour(tones[0]) * np.ones_like(grain), np.full(patch.a.shape, i / 4, F))
        plate.lay(patch, coat, edge=2, lift=6, gloss=0.9, rough=0.03)
    _glint(plate, plate.width * 0.35, plate.height * 0.36)
    for (fx, fy), tone in zip(spots, tones, strict=True):
        props.tin(plate, Frame(plate.width * fx, plate.height * fy, s), colour(tone), 44 if tone != "honey" else 34)
    props.brush(plate, Frame(plate.width * 0.2, plate.height * 0.78, s * 0.9, -0.5))
    return photograph(plate, *WIDE, lean=0.12, depth=3.0)


def bench(look: Look) -> Image.Image:
    plate = _plate(look, WIDE, ("ply",))
    s = 1.9
    mat = Frame(plate.width * 0.46, plate.height * 0.56, s, -0.05)
    patch = plate.polygon(mat.points(box(430, 270, 6)))
    plate.lay(patch, linear("#23483f") * (1 + 0.05 * plate.noise(patch, 200, 2))[..., None], edge=2, lift=5, gloss=0.2, rough=0.3)
    for k in range(-10, 11):
        for line in (np.array([[k * 20, -128], [k * 20, 128]]), np.array([[-208, k * 12.8], [208, k * 12.8]])):
            plate.tint(plate.stroke(mat.points(line), 1.0), linear("#8fae97"), 0.35)
    props.chisel(plate, mat.at(-60, -70, 0.1))
    props.chisel(plate, mat.at(-70, -30, 0.04))
    props.screwdriver(plate, mat.at(-50, 20, -0.06), "cherry")
    props.screwdriver(plate, mat.at(-40, 66, 0.05), "mustard")
    props.ruler(plate, mat.at(60, 112, 0.02))
    props.pencil(plate, mat.at(190, 70, -0.4))
    props.tape_roll(plate, mat.at(160, -60))
    props.tin(plate, Frame(plate.width * 0.85, plate.height * 0.24, s), colour(look.colour), 40)
    props.rag(plate, Frame(plate.width * 0.83, plate.height * 0.72, s), "sky", 70)
    props.brush(plate, Frame(plate.width * 0.3, plate.height * 0.2, s, 0.2))
    props.shavings(plate, plate.width * 0.2, plate.height * 0.84, 60, 12)
    props.screws(plate, plate.width * 0.62, plate.height * 0.2, 30, 7, s)
    return photograph(plate, *WIDE, lean=0.12, depth=2.6)


SCENES: dict[str, Callable[[Look], Image.Image]] = {
    function.__name__.replace("_", "-"): function
    for function in (
        front, back, portrait, before, damage, bare_wood, sanding, primer, body_hanging, masked, spraying, burst, clear_gloss, test_body, boards_batch, neck,
        fretwork, headstock, cavity, wiring, leds, pickups, detail_bridge, detail_knobs, clamps, parts_laid_out, case, finish_cans, lot, bench,
    )
}  # fmt: skip
