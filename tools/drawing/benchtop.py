"""Pictures of what lies on the bench beside the instrument.

Invariant: each function takes a look and gives a photograph.
"""

import numpy as np
from PIL import Image

from drawing import parts, props, shapes
from drawing.camera import WIDE, glint, lying, plate_for
from drawing.develop import photograph
from drawing.instrument import Look
from drawing.light import F, Frame, Patch, blur, box, circle, curve, linear, mix, smooth
from drawing.stuff import colour, wood


def parts_laid_out(look: Look) -> Image.Image:
    """Bridge, pickups, knobs, tuners, screws in rows on paper."""
    plate = plate_for(look, WIDE, ("paper",))
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
        near, far = f.points(np.array([[0, 6], [0, 32]]))
        parts.round_bar(plate, near, far, 5 * s, parts.metal(look.metal), 5, metal=look.metal != "black", rough=0.1)
        parts.plate_of(
            plate,
            f.at(0, 38),
            curve([(-10, -3), (-8, 5), (0, 8), (8, 5), (10, -3), (0, -5)]),
            parts.metal(look.metal),
            mm=6,
            edge=3,
            metal=look.metal != "black",
            rough=0.07,
            gloss=0.5,
        )
        parts.plate_of(plate, f, circle(5), parts.metal(look.metal), mm=8, edge=2, metal=look.metal != "black", rough=0.06, gloss=0.5)
    for i in range(14):
        x, y = mid.points(np.array([[76 + 20 * (i % 7), 40 + 34 * (i // 7)]]))[0]
        props.screws(plate, x, y, 1.5, 1, s * 0.9)
    props.clutter(plate, s * 0.9, [(0.5, 0.87)], never=("screws", "rag", "tape"))
    return photograph(plate, *WIDE)


def case(look: Look) -> Image.Image:
    """The matching case, lid open, the instrument's shape in the lining."""
    plate = plate_for(look, WIDE, ("concrete", "ply", "cloth"))
    frame = lying(plate, look, -0.1, 0.8)
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
        plate.lay(
            nap, colour(look.second or "cherry") * pile[..., None] * (0.7 if inside else 0.6), edge=10 * f.scale, lift=0, bump=0.5 * plate.noise(nap, 2.5, 2)
        )
        well = Patch(nap.y, nap.x, nap.a * (1 - smooth(blur(np.pad(nap.a, 90), 26)[90:-90, 90:-90], 0.5, 0.95)))
        plate.dye(well, np.array([0.3, 0.28, 0.26], F), 0.75)
    grown = shapes.even(o, 14) * 1.03
    slot = parts.neck_outline(look.scale + 180, look.scale + look.end + 180, 92, 78)
    recess = plate.polygon(frame.points(grown), frame.points(slot))
    pile = 1 + 0.14 * plate.noise(recess, 2, 1)
    plate.lay(recess, colour(look.second or "cherry") * 0.42 * pile[..., None], edge=3, lift=0)
    rim = Patch(recess.y, recess.x, recess.a * (1 - smooth(blur(np.pad(recess.a, 60), 12)[60:-60, 60:-60], 0.55, 0.98)))
    plate.dye(rim, np.array([0.2, 0.18, 0.17], F), 0.85)
    for u in (u0 + 240, u1 - 160):
        parts.plate_of(plate, frame.at(u, v - 4), box(44, 26, 4), parts.metal("brass"), mm=5, edge=1.5, metal=True, rough=0.1)
        parts.plate_of(plate, frame.at(u, v + 4), box(22, 14, 3), parts.metal("brass"), mm=5, edge=2, metal=True, rough=0.06)
    return photograph(plate, *WIDE)


def finish_cans(look: Look) -> Image.Image:
    """Tins, strainers, stir sticks and a colour card in `colour` and `second`."""
    plate = plate_for(look, WIDE, ("paper", "ply"))
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
    glint(plate, plate.width * 0.35, plate.height * 0.36)
    for (fx, fy), tone in zip(spots, tones, strict=True):
        props.tin(plate, Frame(plate.width * fx, plate.height * fy, s), colour(tone), 44 if tone != "honey" else 34)
    props.brush(plate, Frame(plate.width * 0.2, plate.height * 0.78, s * 0.9, -0.5))
    return photograph(plate, *WIDE, lean=0.12, depth=3.0)


def bench(look: Look) -> Image.Image:
    """The bench with tools and no instrument (for the shop's own page)."""
    plate = plate_for(look, WIDE, ("ply",))
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
