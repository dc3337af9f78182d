"""Pictures of a body at the stages of its work.

Invariant: each function takes a look and gives a photograph.
"""

import numpy as np
from PIL import Image

from drawing import instrument, parts, props
from drawing.camera import TALL, WIDE, fit, glint, on_body, plate_for
from drawing.develop import photograph
from drawing.instrument import Look
from drawing.light import F, Frame, Patch, Plate, blur, box, curve, linear, mix, smooth
from drawing.stuff import COLOURS, colour, pattern, wood


def _body_scene(
    look: Look, how: str, choices: tuple[str, ...], *, holes: bool, fill: float = 0.84, clutter: tuple[tuple[float, float], ...] = ((0.13, 0.2), (0.86, 0.84))
) -> tuple[Plate, Frame, Patch]:
    plate = plate_for(look, WIDE, choices)
    frame = on_body(plate, look, fit(plate, look, fill), plate.rng.uniform(-0.28, 0.28))
    props.clutter(plate, frame.scale, list(clutter))
    x, y = frame.points(np.array([[-90, -90]]))[0]
    glint(plate, x, y)
    return plate, frame, instrument.body(plate, frame, look, how, holes=holes)


def bare_wood(look: Look) -> Image.Image:
    """The stripped body alone, cavities cut, on the bench."""
    plate, frame, patch = _body_scene(look, "bare", ("mat", "ply", "cloth"), holes=False)
    if look.wood == "walnut":  # pale sapwood along one edge, as this tree has it
        _, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
        sapwood = smooth(v + 9 * plate.noise(patch, 90 * frame.scale, 3), v[patch.a > 0.5].max() - 50, v[patch.a > 0.5].max() - 41)
        plate.tint(Patch(patch.y, patch.x, (patch.a * sapwood).astype(F)), linear("#c9a277"), 0.45)
    instrument.cavities(plate, frame, look)
    props.shavings(plate, plate.width * 0.2, plate.height * 0.82, 70, 9)
    plate.tint(plate.stroke(frame.points(np.array([[look.end - 20, 0], [90, 0]])), 1.2), linear("#3a332c"), 0.4)
    return photograph(plate, *WIDE)


def primer(look: Look) -> Image.Image:
    """The body in primer grey."""
    plate, _, _ = _body_scene(look, "primer", ("paper", "cloth", "ply"), holes=True)
    return photograph(plate, *WIDE)


def sanding(look: Look) -> Image.Image:
    """The body with half its old finish gone, sanding block and dust."""
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


def _is_there(plate: Plate, patch: Patch, point: np.ndarray) -> bool:
    """Whether a point of the plate lies on the patch."""
    row, column = int(point[1]) - patch.y, int(point[0]) - patch.x
    return 0 <= row < patch.a.shape[0] and 0 <= column < patch.a.shape[1] and bool(patch.a[row, column] > 0.5)


def _kin(name: str) -> list[str]:
    """The colour and the five of the shelf that are nearest in hue."""

    def hue(one: str) -> float:
        r, g, b = colour(one)
        return float(np.arctan2(1.732 * (g - b), 2 * r - g - b))

    lively = [c for c in COLOURS if np.ptp(colour(c)) > 0.12 * colour(c).max() + 0.02]
    return [name, *sorted((c for c in lively if c != name), key=lambda c: abs((hue(c) - hue(name) + np.pi) % (2 * np.pi) - np.pi))[:5]]


def test_body(look: Look) -> Image.Image:
    """A scrap body with stripes of trial colours."""
    plate, frame, patch = _body_scene(look, "bare", ("paper", "mat"), holes=False)
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    tones = _kin(look.colour)
    wet = wood(plate, patch, frame, look.wood, look.own, 0.9)
    low, high = look.outline()[:, 0].min(), look.outline()[:, 0].max()
    step = (high - low) / 6.4
    for i, tone in enumerate(tones):
        a, b = low + (i + 0.3) * step, low + (i + 1.1) * step
        band = smooth(u - a, -0.5, 0.5) * smooth(b - u, -0.5, 0.5)
        coat = colour(str(tone)) if i % 2 else wet * np.sqrt(colour(str(tone))) * 1.2
        thin = np.clip(0.55 + (v + 150) / 320, 0.3, 1) if i % 2 else 1.0
        plate.lay(Patch(patch.y, patch.x, patch.a * band * thin), coat * np.ones_like(wet), edge=1, lift=0, gloss=0.9, rough=0.03)
        if not _is_there(plate, patch, frame.points(np.array([[a - 7, 0.0]]))[0]):
            continue
        column = look.outline()[np.abs(look.outline()[:, 0] - a + 7) < 9][:, 1]
        parts.tape(plate, frame.points(np.array([[a - 7, column.min() - 3], [a - 7, column.max() + 3]])), 13 * frame.scale)
    return photograph(plate, *WIDE)


def body_hanging(look: Look) -> Image.Image:
    """A finished body hanging to dry from a hook."""
    plate = plate_for(look, TALL, ("booth",))
    plate.rgb = blur(plate.rgb, 6) * 0.85
    scale = fit(plate, Look(look.file, look.scene, body=look.body, strings=look.strings), 0.86)
    o = look.outline()
    scale = 0.8 * 0.86 * min(plate.width / np.ptp(o[:, 1]), plate.height / np.ptp(o[:, 0]))
    frame = on_body(plate, look, scale, np.pi / 2 + plate.rng.uniform(-0.06, 0.06))
    frame = Frame(frame.x, frame.y + plate.height * 0.07, frame.scale, frame.angle)
    x, y = frame.points(np.array([[-110, 70]]))[0]
    glint(plate, x, y)
    top = frame.points(np.array([[look.end - 18, 0]]))[0]
    stick = np.array([[top[0] - 4, -10], [top[0], top[1] + 30]])
    parts.round_bar(plate, stick[0], np.array([top[0], top[1] - 150]), 5, parts.metal("steel"), 8, metal=True, rough=0.15)
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
    parts.round_bar(plate, np.array([hole[0], hole[1] - 120]), hole, 5, parts.metal("steel"), 6, metal=True, rough=0.15)
    return photograph(plate, *TALL, lean=0.02, depth=1.2)


def masked(look: Look) -> Image.Image:
    """The body with tape laid for a pattern, first colour under it."""
    plate, frame, patch = _body_scene(look, "striped" if look.look == "striped" else "solid", ("paper", "cloth"), holes=False)
    instrument.cavities(plate, frame, look)
    if look.look == "striped":
        return _taped_stripe(plate, frame, look)
    kind = look.pattern if look.look == "pattern" else "stripes"
    where = pattern(plate, patch, frame, kind, look.own)
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


def _taped_stripe(plate: Plate, frame: Frame, look: Look) -> Image.Image:
    """Tape down both sides of a bare stripe."""
    o = look.outline()
    for side in (-1, 1):
        for u0, u1 in ((look.end - 26, -30.0), (-48.0, o[:, 0].max() - 4)):
            line = np.array([[u, side * (instrument.STRIPE + 6) - 0.02 * u] for u in np.linspace(u0, u1, 8)])
            parts.tape(plate, frame.points(line), 15 * frame.scale)
    props.tape_roll(plate, Frame(plate.width * 0.85, plate.height * 0.2, frame.scale))
    return photograph(plate, *WIDE)


def clamps(look: Look) -> Image.Image:
    """A body with a new piece glued in, clamps across."""
    plate, frame, patch = _body_scene(look, "bare", ("ply", "mat"), holes=False, clutter=((0.12, 0.82),))
    low = float(look.outline()[:, 1].max())
    piece = curve([(-150, low * 0.55), (-60, low * 0.62), (40, low * 0.6), (60, low * 1.05), (-40, low * 1.12), (-150, low * 0.98)])
    full = np.zeros((plate.height, plate.width), F)
    full[patch.where] = patch.a
    strip = plate.polygon(frame.points(piece))
    strip = Patch(strip.y, strip.x, strip.a * full[strip.where])
    plate.lay(strip, wood(plate, strip, frame, "maple", look.own + 4), edge=1.2 * frame.scale, lift=0, gloss=0.06, rough=0.3)
    seam = frame.points(curve([(-150, low * 0.55), (-60, low * 0.62), (40, low * 0.6)], closed=False))
    plate.tint(plate.stroke(seam, 1.6), linear("#3a2415"), 0.7)
    for p in seam[::4]:
        x, y = p + plate.rng.normal(0, 2, 2)
        plate.lay(plate.disc(x, y, plate.rng.uniform(2, 5)), linear("#e7d9a8"), edge=3, lift=1.5, gloss=0.8)
    for u in (-125, -52, 22):
        column = look.outline()[np.abs(look.outline()[:, 0] - u) < 8][:, 1]
        a, b = frame.points(np.array([[u, column.min()], [u, column.max()]]))
        props.clamp(plate, a, b, 22 * frame.scale, str(plate.rng.choice(["cherry", "navy", "forest"])))
    return photograph(plate, *WIDE)


def spraying(look: Look) -> Image.Image:
    """The body on its stick in the booth, a cone of mist from the gun."""
    plate = plate_for(look, WIDE, ("booth",))
    plate.rgb = blur(plate.rgb, 5) * 0.8
    frame = on_body(plate, look, fit(plate, look, 0.76), np.pi / 2 - 0.22)
    frame = Frame(frame.x - plate.width * 0.16, frame.y + 40, frame.scale, frame.angle)
    end = frame.points(np.array([[look.end - 40, 0], [look.end - 400, 0]]))
    parts.round_bar(plate, end[0], end[1], 24 * frame.scale, linear("#c79a62"), 10)
    x, y = frame.points(np.array([[-90, 60]]))[0]
    glint(plate, x - plate.width * 0.3, y - plate.height * 0.45)
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
    parts.plate_of(
        plate,
        f,
        curve([(0, -5), (14, -11), (30, -13), (64, -14), (86, -8), (88, 8), (66, 13), (30, 12), (14, 10), (0, 5)]),
        steel,
        mm=12,
        edge=7,
        metal=True,
        rough=0.07,
    )
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
    """Several bodies in a row on the rack."""
    plate = plate_for(look, WIDE, ("ply", "concrete", "paper"))
    for y in (0.3, 0.72):
        rail = Frame(plate.width / 2, plate.height * y, 1.0, 0)
        patch = plate.polygon(rail.points(box(plate.width * 1.1, 36)))
        plate.lay(patch, wood(plate, patch, rail, "pine", 3, 0.2), edge=3, lift=18)
    o = look.outline()
    scale = min(plate.height * 0.7 / np.ptp(o[:, 0]), plate.width * 0.86 / 6 * 0.9 / np.ptp(o[:, 1]))
    glint(plate, plate.width * 0.4, plate.height * 0.35)
    for i in range(6):
        one = Look(look.file, look.scene, look.seed, look.body, look.wood, look.look, look.colour, look.second, look.pattern, look.strings, look.metal, copy=i)
        x = plate.width * (0.5 + (i - 2.5) * 0.143)
        frame = on_body(plate, one, scale, np.pi / 2 + plate.rng.uniform(-0.03, 0.03))
        frame = Frame(frame.x - plate.width / 2 + x, frame.y + plate.rng.uniform(-14, 14), scale, frame.angle)
        patch = instrument.body(plate, frame, one, mm=24)
        plate.dye(patch, np.ones(3, F) * plate.rng.uniform(0.88, 1.0))
        if look.look != "bare":
            parts.plate_of(plate, frame.at(o[:, 0].max() - 26, 0), box(9, 46, 2), parts.metal(look.metal), mm=6, edge=2, metal=True, rough=0.1)
    return photograph(plate, *WIDE, lean=0.1)
