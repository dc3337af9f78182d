"""Pictures from close by.

Invariant: each function takes a look and gives a photograph.
"""

import numpy as np
from PIL import Image

from drawing import instrument, parts, props, shapes
from drawing.camera import WIDE, glint, on_body, plate_for, tilt
from drawing.develop import photograph
from drawing.instrument import Look
from drawing.light import F, Frame, Patch, Plate, blur, box, circle, curve, linear, smooth
from drawing.stuff import wood


def _close(look: Look, spot: tuple[float, float], scale: float, angle: float, how: str | None = None, **camera: float) -> Image.Image:
    """The strung instrument with a spot of it large in the middle."""
    plate = plate_for(look, WIDE, ("ply", "cloth", "mat"))
    frame = on_body(plate, look, scale, angle, spot)
    glint(plate, plate.width * plate.rng.uniform(0.2, 0.4), plate.height * plate.rng.uniform(0.2, 0.35))
    instrument.whole(plate, frame, look, how)
    width, height = WIDE
    return photograph(plate, width, height, **{"lean": 0.12, "depth": 4.0, **camera})


def detail_bridge(look: Look) -> Image.Image:
    """Close: the bridge with its saddles and strings."""
    return _close(look, (6, 6), 6.2, 0.3 + 0.1 * (look.chance % 3))


def detail_knobs(look: Look) -> Image.Image:
    """Close: the knobs."""
    u, v = instrument.knobs_at(look)[1]
    return _close(look, (u - 8, v - 10), 6.0, -0.35 + 0.1 * (look.chance % 3), focus=0.5)


def pickups(look: Look) -> Image.Image:
    """Close: two pickups, their screws and the strings' ends."""
    return _close(look, (look.end * 0.5, 0), 5.2, 0.22 - 0.15 * (look.chance % 3))


def headstock(look: Look) -> Image.Image:
    """Close: the headstock with its tuners."""
    long = (70 + 24 * min(look.strings, 7)) * (1.0 if look.long else 0.86)
    return _close(look, (-look.scale - long * 0.42, 0), 4.6, 0.25 + 0.2 * (look.chance % 2))


def burst(look: Look) -> Image.Image:
    """Close: the edge of a burst with its fade."""
    plate = plate_for(look, WIDE, ("paper", "cloth"))
    o = look.outline()
    edge = o[np.argmin(np.abs(o[:, 0] - 10) + 1000 * (o[:, 1] > 0))]
    frame = on_body(plate, look, 3.4, 0.35, (edge[0] - 30, edge[1] + 112))
    glint(plate, plate.width * 0.3, plate.height * 0.36)
    instrument.body(plate, frame, look, "burst")
    return photograph(plate, *WIDE, lean=0.14, depth=3.4, focus=0.45)


def clear_gloss(look: Look) -> Image.Image:
    """Close: lamp reflections in a clear coat just rubbed out."""
    plate = plate_for(look, WIDE, ("cloth", "ply"))
    frame = on_body(plate, look, 2.7, -0.3, (20, 40))
    glint(plate, plate.width * 0.56, plate.height * 0.42)
    instrument.body(plate, frame, look)
    props.rag(plate, Frame(plate.width * 0.24, plate.height * 0.68, 2.6), "cream", 62)
    return photograph(plate, *WIDE, lean=0.16, depth=3.4)


def damage(look: Look) -> Image.Image:
    """Close: a crack, chips and bare patches in the old finish."""
    plate = plate_for(look, WIDE, ("concrete", "cloth"))
    o = look.outline()
    edge = o[np.argmin(np.abs(o[:, 0] - 30) + 1000 * (o[:, 1] < 0))]
    frame = on_body(plate, look, 3.6, -0.2, (edge[0] - 20, edge[1] - 80))
    patch = instrument.body(plate, frame, look, "worn")
    bare = wood(plate, patch, frame, look.wood, look.own)
    chip = smooth(plate.noise(patch, 55, 4) + 0.5 * plate.noise(patch, 12, 3), 1.45, 1.6)
    plate.lay(Patch(patch.y, patch.x, patch.a * chip), bare, edge=1.5, lift=0, bump=-2.5 * blur(chip, 1.5))
    start = np.array([edge[0] - 20, edge[1] - 2])
    line = start + np.cumsum(np.stack([plate.rng.normal(-5.5, 2.2, 30), plate.rng.normal(-3.4, 2.4, 30)], 1), 0)
    for width, tone, strength in ((5, "#2a1a10", 0.5), (2.2, "#0c0806", 0.95)):
        plate.tint(plate.stroke(frame.points(line), width), linear(tone), strength)
    return photograph(plate, *WIDE, lean=0.13, depth=3.2, exposure=0.95)


def neck(look: Look) -> Image.Image:
    """A neck alone, frets up."""
    plate = plate_for(look, WIDE, ("mat", "cloth", "ply"))
    angle = tilt(plate, 0.3, 0.45)
    scale = 0.86 * plate.width / (look.scale * 0.98)
    f = Frame(0, 0, scale, angle)
    x, y = f.points(np.array([[-look.scale * 0.69, 0]]))[0]
    frame = Frame(plate.width / 2 - x, plate.height / 2 - y, scale, angle)
    props.clutter(plate, frame.scale, [(0.24, 0.25), (0.72, 0.76)], never=("rag",))
    parts.head(plate, frame, look.scale, look.strings, look.metal, None, look.own, 1.0 if look.long else 0.86, look.lean, strung=False)
    heel = plate.polygon(frame.points(box(64, look.at_end, 6) + [look.end - 30, 0]))
    plate.lay(heel, wood(plate, heel, frame, "maple", look.own, 0.5), edge=3 * frame.scale, lift=16 * frame.scale, gloss=0.3)
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.own)
    return photograph(plate, *WIDE)


def fretwork(look: Look) -> Image.Image:
    """Close: frets under a levelling beam, board taped."""
    plate = plate_for(look, WIDE, ("mat", "ply"))
    frame = on_body(plate, look, 5.2, -0.24, (-look.scale * 0.5, 0))
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.own)
    length = look.scale + look.end
    for fret in range(6, look.frets):
        a, b = -look.scale * 2 ** (-fret / 12) + 2.2, -look.scale * 2 ** (-(fret + 1) / 12) - 2.2
        if fret > 12 + look.chance % 4:
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
    """Close: a fingerboard with lights in its markers, dark room."""
    plate = plate_for(look, WIDE, ("cloth",))
    plate.rgb *= 0.3
    frame = on_body(plate, look, 3.6, -0.3, (-look.scale * 0.55, 0))
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.own)
    parts.strings_over(plate, frame, look.scale, look.strings, look.at_nut, look.spread)
    plate.rgb *= 0.16
    for fret in (3, 5, 7, 9, 12, 15, 17):
        parts.marker(plate, frame, fret, look.scale, look.at_nut / 2, look.board, True)
    return photograph(plate, *WIDE, lean=0.14, depth=4.0)


def _opening(look: Look, plate: Plate, lining: bool) -> tuple[Frame, np.ndarray]:
    """A body's back with its control cavity open, filling the picture."""
    u, v = instrument.knobs_at(look)[1]
    frame = on_body(plate, look, 5.6, 0.12, (u - 4, v - 6))
    frame = Frame(frame.x, frame.y, frame.scale, frame.angle)
    instrument.body(plate, frame, look)
    ledge = shapes.even(curve([(u - 74, v - 34), (u, v - 44), (u + 64, v - 34), (u + 68, v + 18), (u, v + 32), (u - 74, v + 22)]), 6)
    centre = ledge.mean(0)
    rim = plate.polygon(frame.points(ledge))
    plate.lay(rim, wood(plate, rim, frame, look.wood, look.own) * 0.7, edge=2, lift=0)
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
    """Close: the open control cavity, empty, shielded with copper."""
    plate = plate_for(look, WIDE, ("cloth", "mat"))
    glint(plate, plate.width * 0.25, plate.height * 0.2)
    frame, centre = _opening(look, plate, True)
    for du in (-42, -4, 34):
        x, y = frame.points(np.array([centre + [du, -2]]))[0]
        plate.lay(plate.disc(x, y, 4.8 * frame.scale), linear("#0d0805"), edge=2, lift=0)
    return photograph(plate, *WIDE, lean=0.12, depth=3.6)


def wiring(look: Look) -> Image.Image:
    """Close: pots, wires, capacitor, jack in the cavity."""
    plate = plate_for(look, WIDE, ("cloth", "mat"))
    glint(plate, plate.width * 0.25, plate.height * 0.2)
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
        b = (
            spots[int(plate.rng.integers(3))] + [6 * plate.rng.integers(-1, 2), 22]
            if i % 2
            else centre + [plate.rng.choice([-66, 60]), plate.rng.uniform(-14, 10)]
        )
        mid = (a + b) / 2 + [plate.rng.normal(0, 8), plate.rng.uniform(-4, 10)]
        parts.wire(plate, frame.points(np.array([a, a + [0, 4], mid, b])), 1.9 * frame.scale, tones[i % len(tones)])
    u, v = spots[1] + [20, 12]
    cap = frame.at(u, v, 0.3)
    parts.wire(plate, cap.points(np.array([[-16, 2], [0, 0], [18, 3]])), 0.8 * frame.scale, "#b9b9b6")
    parts.plate_of(plate, cap, box(15, 9, 3), linear("#b5562b"), mm=6, edge=3, gloss=0.8, rough=0.05)
    return photograph(plate, *WIDE, lean=0.12, depth=3.4)
