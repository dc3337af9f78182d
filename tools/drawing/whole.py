"""Pictures of whole instruments.

Invariant: each function takes a look and gives a photograph.
"""

from collections.abc import Iterator

import numpy as np
from PIL import Image

from drawing import instrument, parts, props, shapes
from drawing.camera import TALL, WIDE, glint, lying, plate_for, tilt
from drawing.develop import photograph
from drawing.instrument import Look
from drawing.light import Frame, Patch, Plate, blur, box, curve, linear, smooth
from drawing.stuff import wood


def front(look: Look) -> Image.Image:
    """The whole instrument from the front, strung."""
    plate = plate_for(look, WIDE, ("ply", "paper", "cloth", "concrete"))
    frame = lying(plate, look, tilt(plate))
    props.clutter(plate, frame.scale, [(0.2, 0.26), (0.62, 0.83)] if look.chance % 2 else [(0.3, 0.2)])
    x, y = frame.points(np.array([[-40, -120]]))[0]
    glint(plate, x, y)
    instrument.whole(plate, frame, look)
    return photograph(plate, *WIDE)


def back(look: Look) -> Image.Image:
    """The whole instrument from the back: neck bolts, battery or control cover."""
    plate = plate_for(look, WIDE, ("cloth", "ply", "mat"))
    base = lying(plate, look, tilt(plate, 0.15, 0.3))
    frame = Frame(base.x, base.y, base.scale, base.angle, flip=True)
    size = 1.0 if look.long else 0.86
    parts.head(plate, frame, look.scale, look.strings, look.metal, None, look.own, size, look.lean, strung=False)
    instrument.body(plate, frame, look)
    length = look.scale + look.end
    tube = plate.polygon(frame.points(parts.neck_outline(look.scale, length, look.at_nut, look.at_end)))
    reach = smooth(frame.own(plate.X[tube.where], plate.Y[tube.where])[0], look.end - 66, look.end - 60)
    tube = Patch(tube.y, tube.x, tube.a * (1 - reach))
    plate.lay(tube, wood(plate, tube, frame, "maple", look.own, 0.7), edge=18 * frame.scale, lift=14 * frame.scale, gloss=0.4, rough=0.06)
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
        u, v = c + (p - c) * 0.84
        parts.screw(plate, frame, u, v, look.metal, 2.2)
    return photograph(plate, *WIDE)


def portrait(look: Look) -> Image.Image:
    """The whole instrument upright against a wall."""
    plate = plate_for(look, TALL, ("brick", "booth", "concrete"))
    plate.rgb = blur(plate.rgb, 1.2)
    base = lying(plate, look, np.pi / 2, 1.0)
    frame = Frame(base.x, base.y, base.scale, np.pi / 2 + plate.rng.uniform(-0.03, 0.03))
    hook = frame.points(np.array([[-look.scale - 20, 0]]))[0]
    for side in (-1, 1):
        peg = frame.points(np.array([[-look.scale - 16, side * 30]]))[0]
        parts.round_bar(plate, hook + [side * 4, -14], peg, 13, linear("#27211c"), 10, gloss=0.3)
    x, y = frame.points(np.array([[-90, 110]]))[0]
    glint(plate, x, y)
    instrument.whole(plate, frame, look)
    return photograph(plate, *TALL, lean=0.03, depth=1.4)


def before(look: Look) -> Image.Image:
    """The whole instrument as found: scratched, faded, dirty, a knob missing."""
    plate = plate_for(look, WIDE, ("ply", "cloth", "paper"))
    frame = lying(plate, look, tilt(plate, 0.1, 0.36))
    instrument.whole(plate, frame, look, "worn", missing=1 + look.own % 2, strung=look.own % 3 != 0)
    patch = plate.polygon(frame.points(look.outline()))
    parts.dust(plate, patch, linear("#9a917f"), 0.35)
    return photograph(plate, *WIDE, exposure=0.88)


def lot(look: Look) -> Image.Image:
    """Several instruments as found, in a row against a wall."""
    plate = plate_for(look, WIDE, ("brick", "concrete"))
    floor = plate.polygon(np.array([[0, plate.height * 0.8], [plate.width, plate.height * 0.8], [plate.width, plate.height], [0, plate.height]]))
    f = Frame(0, plate.height * 0.9, 0.5, 0)
    planks = 1 - 0.5 * smooth(1.6 - np.abs(plate.Y[floor.where] % 64 - 32), -0.5, 0.5)
    plate.lay(floor, wood(plate, floor, f, "ply", 5, 0.6) * 0.5 * planks[..., None], edge=2, lift=0)
    row = [Look(scene=look.scene, seed=look.seed, **other) for other in look.others]  # type: ignore[arg-type]
    for i, other in enumerate([row[0], look, *row[1:]] if row else _strangers(plate, look)):
        scale = 0.79
        x = plate.width * (0.24 + 0.27 * i)
        foot = plate.height * 0.885 - other.outline()[:, 0].max() * scale
        frame = Frame(x, foot, scale, np.pi / 2 + plate.rng.uniform(-0.1, 0.1))
        instrument.whole(plate, frame, other, "worn", missing=i % 3, strung=i != 1)
    return photograph(plate, *WIDE, lean=0.02, exposure=0.9)


def _strangers(plate: Plate, look: Look) -> Iterator[Look]:
    names = plate.rng.permutation([b for b in shapes.BODIES if b not in ("box", "drop")])
    tones = plate.rng.permutation(["cherry", "cream", "umber", "teal", "black", "mustard", "slate", "white"])
    for i in range(3):
        yield Look(
            look.file,
            look.scene,
            look.seed,
            str(names[i]),
            "ash",
            "worn",
            str(tones[i]),
            strings=4 if (i + look.chance) % 2 else 6,
            guard=("none", "cream", "black")[i % 3],
            copy=i,
        )
