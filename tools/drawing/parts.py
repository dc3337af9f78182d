"""The things that are screwed, glued and strung onto a body.

Each function lays one thing on the plate, given the frame it is measured in. Invariant: no brand's mark, no brand's outline.
"""

from typing import Any

import numpy as np

from drawing.light import F, Frame, Patch, Plate, box, curve, linear, mix, smooth
from drawing.shapes import headstock
from drawing.stuff import wood

METALS = {"nickel": "#d4d1c9", "black": "#2b2b2e", "brass": "#c9a04e", "steel": "#bfc2c4", "copper": "#c8794a"}


def metal(name: str) -> np.ndarray:
    """A metal's colour."""
    return linear(METALS[name])


def plate_of(plate: Plate, frame: Frame, outline: np.ndarray, colour: np.ndarray, *, mm: float = 2.0, edge: float = 0.9, **more: Any) -> Patch:
    """A flat piece `mm` thick."""
    patch = plate.polygon(frame.points(outline))
    plate.lay(patch, colour, edge=max(1.0, edge * frame.scale), lift=mm * frame.scale, **more)
    return patch


def screw(plate: Plate, frame: Frame, u: float, v: float, kind: str = "nickel", radius: float = 2.6) -> None:
    """A countersunk screw with a cross in its head."""
    x, y = frame.points(np.array([[u, v]]))[0]
    r = radius * frame.scale
    if r < 1.2:
        plate.lay(plate.disc(x, y, max(r, 1.0)), metal(kind), edge=1, lift=0.5, metal=True, rough=0.2)
        return
    plate.lay(plate.disc(x, y, r * 1.18), metal(kind) * 0.35, edge=r * 0.4, lift=0)
    plate.lay(plate.disc(x, y, r), metal(kind), edge=r * 0.7, lift=r * 0.25, metal=True, rough=0.12)
    turn = plate.rng.uniform(0, np.pi)
    for a in (turn, turn + np.pi / 2):
        d = np.array([np.cos(a), np.sin(a)]) * r * 0.55
        plate.tint(plate.stroke(np.array([[x, y] - d, [x, y] + d]), max(1.0, r * 0.26)), linear("#26221f"), 0.85)


def knob(plate: Plate, frame: Frame, u: float, v: float, kind: str, radius: float = 9.5) -> None:
    """A turned knob with a knurled skirt and a pointer."""
    x, y = frame.points(np.array([[u, v]]))[0]
    r = radius * frame.scale
    t = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    knurl = np.stack([np.cos(t), np.sin(t)], 1) * (r * (1 + 0.022 * np.sign(np.sin(t * 36))))[:, None]
    colour = metal(kind)
    shiny = kind != "black"
    plate.lay(
        plate.polygon(knurl + [x, y]), colour * (0.75 if shiny else 1), edge=r * 0.3, lift=15 * frame.scale, metal=shiny, rough=0.14, gloss=0.5, shadow=0.8
    )
    top = plate.disc(x, y, r * 0.8)
    rings = 0.25 * np.sin(np.hypot(plate.X[top.where] - x, plate.Y[top.where] - y) * 2.4)
    plate.lay(top, colour, edge=r * 0.16, lift=0, metal=shiny, rough=0.09, gloss=0.8, bump=rings * min(1, r / 14), dome=r * 0.12)
    a = plate.rng.uniform(-0.9, 0.9) - np.pi / 2
    d = np.array([np.cos(a), np.sin(a)]) * r
    line = np.array([[x, y] + 0.3 * d, [x, y] + 0.72 * d])
    plate.tint(plate.stroke(line, max(1.2, r * 0.11)), linear("#efe9da" if kind == "black" else "#1c1a18"), 0.9)


def pickup(
    plate: Plate, frame: Frame, u: float, v: float, strings: int, width: float, colour: str = "#17171a", slant: float = 0.0, ring: str | None = None
) -> None:
    """A pickup with its pole pieces, in a ring or let straight into the body."""
    f = frame.at(u, v, slant)
    deep = 30 if strings <= 5 else 34
    shape = box(deep, width + 14, 6)
    if ring:
        plate_of(plate, f, box(deep + 15, width + 32, 5), linear(ring), mm=4, gloss=0.5)
        for a, b in ((-1, -1), (1, -1), (-1, 1), (1, 1)):
            screw(plate, f, a * (deep / 2 + 3.5), b * (width / 2 + 11.5), radius=1.7)
    plate.lay(plate.polygon(f.points(box(deep + 1.6, width + 15.6, 7))), linear("#0c0a09"), edge=1, lift=0)
    plate_of(plate, f, shape, linear(colour), mm=6, edge=1.7, gloss=0.8, rough=0.06)
    rows = (-6, 6) if strings <= 5 else (0,)
    for i in range(strings):
        y = -width / 2 + width * i / (strings - 1) if strings > 1 else 0
        for row in rows:
            x, yy = f.points(np.array([[row, y * 0.96]]))[0]
            plate.lay(plate.disc(x, yy, 2.5 * f.scale), metal("steel"), edge=1.2 * f.scale, lift=1.2 * f.scale, metal=True, rough=0.12)


def bridge(plate: Plate, frame: Frame, strings: int, spread: float, kind: str) -> None:
    """A plate with one block saddle for each string."""
    w = spread + 22
    plate_of(plate, frame.at(12, 0), box(52, w, 3.5), metal(kind), mm=3, edge=0.8, metal=kind != "black", rough=0.1, gloss=0.6)
    plate_of(plate, frame.at(36, 0), box(6, w, 1.5), metal(kind), mm=12, edge=1.6, metal=kind != "black", rough=0.06, gloss=0.6)
    for i, y in enumerate(_ys(strings, spread)):
        step = spread / max(1, strings - 1)
        shift = 2.2 * ((i * 37) % 3 - 1) + i * 0.9
        f = frame.at(1 + shift, y)
        rod = plate.stroke(frame.points(np.array([[6 + shift, y], [34, y]])), 2.6 * frame.scale)
        plate.lay(rod, metal("steel"), edge=frame.scale, lift=4 * frame.scale, metal=True, rough=0.12)
        plate_of(plate, f, box(13, min(step * 0.82, 15), 1.6), metal(kind if kind != "black" else "steel"), mm=7, edge=1.5, metal=True, rough=0.07)
        for side in (-0.28, 0.28):
            x, yy = f.points(np.array([[-1.5, side * min(step, 17)]]))[0]
            plate.lay(plate.disc(x, yy, 0.75 * frame.scale), linear("#1b1815"), edge=1, lift=0)
    for a in (-1, 1):
        for u in (-8, 22):
            screw(plate, frame, u, a * (w / 2 - 5), kind if kind != "black" else "steel", 2.3)


def _ys(strings: int, spread: float) -> np.ndarray:
    return np.linspace(-spread / 2, spread / 2, strings) if strings > 1 else np.zeros(1)


def neck_outline(scale: float, length: float, at_nut: float, at_end: float) -> np.ndarray:
    """The neck from the nut to `length` along the strings (both from the bridge's frame: the nut is at −scale)."""
    a, b = -scale, -scale + length
    return np.array([[a, -at_nut / 2], [b - 8, -at_end / 2], [b, -at_end / 2 + 6], [b, at_end / 2 - 6], [b - 8, at_end / 2], [a, at_nut / 2]])


def neck(
    plate: Plate, frame: Frame, scale: float, strings: int, frets: int, board: str, at_nut: float, at_end: float, seed: int, *, lights: bool = False
) -> None:
    """A neck with its frets; the headstock is `head`."""
    length = scale * (1 - 2 ** (-frets / 12)) + 9
    outline = neck_outline(scale, length, at_nut, at_end)
    under = plate.polygon(frame.points(outline * [1, 1.02]))
    plate.lay(under, wood(plate, under, frame, "maple", seed + 5, 0.6), edge=2 * frame.scale, lift=16 * frame.scale, gloss=0.3, shadow=0.75)
    patch = plate.polygon(frame.points(outline))
    face = wood(plate, patch, frame, {"dark": "dark", "red": "red"}.get(board, "maple"), seed + 6, 0.3)
    plate.lay(
        patch, face, edge=1.6 * frame.scale, lift=0, gloss=0.22 if board != "maple" else 0.7, rough=0.2 if board != "maple" else 0.05, dome=2.5 * frame.scale
    )
    for fret in range(1, frets + 1):
        u = -scale * 2 ** (-fret / 12)
        half = _half(u, scale, length, at_nut, at_end)
        wire = plate.stroke(frame.points(np.array([[u, -half + 0.6], [u, half - 0.6]])), max(1.3, 2.5 * frame.scale))
        plate.lay(wire, metal("steel") * 1.05, edge=max(1, 1.25 * frame.scale), lift=1.3 * frame.scale, metal=True, rough=0.09)
        marker(plate, frame, fret, scale, half, board, lights)
    nut = box(4.5, at_nut - 0.5, 0.8) + [-scale - 2, 0]
    plate_of(plate, frame, nut, linear("#e3d8bd"), mm=2.5, edge=1, gloss=0.4)


def _half(u: float, scale: float, length: float, at_nut: float, at_end: float) -> float:
    return (at_nut + (at_end - at_nut) * (u + scale) / length) / 2


def marker(plate: Plate, frame: Frame, fret: int, scale: float, half: float, board: str, lights: bool) -> None:
    """A leaning bar between two frets; two at the octave."""
    if fret not in (3, 5, 7, 9, 12, 15, 17, 19, 21):
        return
    u = -scale * (2 ** (-fret / 12) + 2 ** (-(fret - 1) / 12)) / 2
    for v in (-half * 0.45, half * 0.45) if fret == 12 else (0.0,):
        x, y = frame.points(np.array([[u, v]]))[0]
        r = 3.4 * frame.scale
        if lights:
            glow = np.exp(-((plate.X - x) ** 2 + (plate.Y - y) ** 2) / (2 * (r * 2.6) ** 2))
            plate.rgb += 0.7 * glow[..., None] * linear("#58d6ff")
            plate.tint(plate.disc(x, y, r * 0.9), linear("#ffffff") * 2.6, 1)
        else:
            plate.lay(plate.disc(x, y, r), linear("#ded6c4" if board != "maple" else "#2a211a"), edge=1, lift=0, gloss=0.8, rough=0.06)


def head(
    plate: Plate,
    frame: Frame,
    scale: float,
    strings: int,
    kind: str,
    face: np.ndarray | None,
    seed: int,
    size: float = 1.0,
    lean: float = 0.0,
    strung: bool = True,
) -> None:
    """The headstock with posts and keys, leaning to a side; `face` is its colour, else bare maple."""
    x, y = frame.points(np.array([[-scale - 3, 0]]))[0]
    f = Frame(x, y, frame.scale * size, frame.angle, frame.flip)
    n = 70 + 24 * min(strings, 7)
    upper, lower = (strings + 1) // 2, strings // 2
    spots: list[tuple[float, float, int]] = [(-52 - (n - 74) * (i + 0.3) / max(upper, 1), -28 - 2 * i, -1) for i in range(upper)]
    spots += [(-52 - (n - 74) * (i + 0.3) / max(upper, 1), 25 + i, 1) for i in range(lower)]
    spots = [(u, v + lean * u, side) for u, v, side in spots]
    outline = headstock(strings)
    outline = outline + np.stack([np.zeros(len(outline)), lean * np.minimum(outline[:, 0] + 12, 0)], 1)
    for u, v, side in spots:
        shaft = plate.stroke(f.points(np.array([[u, v], [u - 2, v + side * 32]])), 4 * f.scale)
        plate.lay(shaft, metal(kind), edge=1.6 * f.scale, lift=9 * f.scale, metal=kind != "black", rough=0.1)
        plate.lay(plate.polygon(f.at(u - 2, v + side * 38).points(curve([(-9, -3), (-7, 4), (0, 7), (7, 4), (9, -3), (0, -6)]) * [1, side])), metal(kind),
                  edge=3 * f.scale, lift=9 * f.scale, metal=kind != "black", rough=0.07, gloss=0.6)  # fmt: skip
    patch = plate.polygon(f.points(outline))
    bare = wood(plate, patch, f, "maple", seed + 9, 0.5)
    plate.lay(patch, bare if face is None else face * np.ones_like(bare), edge=2.2 * f.scale, lift=15 * f.scale, gloss=0.6, rough=0.04)
    for u, v, _ in spots:
        x, y = f.points(np.array([[u, v]]))[0]
        plate.lay(plate.disc(x, y, 7.2 * f.scale), metal(kind), edge=1.5 * f.scale, lift=1.5 * f.scale, metal=kind != "black", rough=0.08, gloss=0.5)
        plate.lay(plate.disc(x, y, 4.0 * f.scale), metal(kind), edge=1.6 * f.scale, lift=10 * f.scale, metal=kind != "black", rough=0.05, gloss=0.6)
    if not strung:
        return
    ys = _ys(strings, 32)
    order = sorted(range(len(spots)), key=lambda i: spots[i][0], reverse=True)
    uppers = [i for i in order if spots[i][2] < 0]
    lowers = [i for i in order if spots[i][2] > 0]
    # The outer strings go to the nearest posts, the inner ones to the farthest.
    for index, spot in enumerate(uppers):
        _head_string(plate, f, ys[index], spots[spot], index, strings)
    for index, spot in enumerate(lowers):
        _head_string(plate, f, ys[strings - 1 - index], spots[spot], strings - 1 - index, strings)


def _head_string(plate: Plate, f: Frame, y: float, spot: tuple[float, float, int], index: int, strings: int) -> None:
    w = max(1.1, _gauge(index, strings) * f.scale)
    line = f.points(np.array([[0, y], [spot[0] + 2, spot[1] + (3 if spot[1] < 0 else -3)]]))
    plate.lay(plate.stroke(line, w), metal("steel"), edge=w / 2, lift=5 * f.scale, metal=True, rough=0.15)


def _gauge(index: int, strings: int) -> float:
    """A string's thickness in millimetres as seen, the lowest first."""
    thick, thin = (2.5, 1.1) if strings <= 5 else (1.25, 0.4)
    return thick + (thin - thick) * index / max(1, strings - 1)


def strings_over(plate: Plate, frame: Frame, scale: float, strings: int, at_nut: float, spread: float, tail: float = 34) -> None:
    """The strings from the nut to behind the bridge."""
    for i, (a, b) in enumerate(zip(_ys(strings, at_nut - 8), _ys(strings, spread), strict=True)):
        w = max(1.15, _gauge(i, strings) * frame.scale)
        ends = np.array([[-scale, a], [0, b], [tail, b]])
        along = np.vstack([np.linspace(ends[0], ends[1], 30), ends[2:]])
        patch = plate.stroke(frame.points(along), w)
        wound = None
        if w > 6 and (strings <= 5 or i < strings / 2):
            u, _ = frame.own(plate.X[patch.where], plate.Y[patch.where])
            wound = (0.35 * np.sin(u * frame.scale * 2.1)).astype(F)
        colour = metal("steel") * (1.1 if wound is None else 0.95)
        plate.lay(patch, colour, edge=w / 2, lift=5 * frame.scale, metal=True, rough=0.14, bump=wound, shadow=0.6, tilt=1.6)


def wire(plate: Plate, points: np.ndarray, width: float, colour: str) -> None:
    """An insulated wire through points in pixels."""
    plate.lay(plate.stroke(curve([tuple(p) for p in points], closed=False), width), linear(colour), edge=width / 2, lift=width * 0.9, gloss=0.35, rough=0.12)


def tape(plate: Plate, line: np.ndarray, width: float, colour: str = "#c9a95f", torn: bool = True) -> None:
    """A strip of masking tape along a line of pixels, its ends torn and its paper creped."""
    line = np.asarray(line, float)
    steps = np.diff(line, axis=0)
    across = np.stack([-steps[:, 1], steps[:, 0]], 1) / (np.linalg.norm(steps, axis=1)[:, None] + 1e-9)
    across = np.vstack([across, across[-1:]])
    left, right = line + across * width / 2, line - across * width / 2
    if torn:
        jag = [right[-1] + (left[-1] - right[-1]) * t + steps[-1] / np.linalg.norm(steps[-1]) * plate.rng.uniform(-2, 3) for t in (0.8, 0.6, 0.4, 0.2)]
        outline = np.vstack([left, jag, right[::-1]])
    else:
        outline = np.vstack([left, right[::-1]])
    patch = plate.polygon(outline)
    creped = 0.22 * plate.noise(patch, 2.0, 2)
    here = plate.rgb[patch.where].copy()
    plate.lay(
        patch,
        mix(linear(colour) * np.ones_like(here), here, F(0.14) * np.ones(patch.a.shape, F)),
        edge=1,
        lift=1.6,
        gloss=0.12,
        rough=0.3,
        bump=creped,
        shadow=0.5,
    )


def dust(plate: Plate, patch: Patch, colour: np.ndarray, amount: float, size: float = 2.0) -> None:
    """Specks and a veil of sanding dust."""
    veil = np.clip(0.35 * amount + 0.3 * amount * plate.noise(patch, 120, 4), 0, 0.8)
    specks = smooth(plate.noise(patch, size, 1), 2.6 - amount, 3.2 - amount * 0.6)
    plate.tint(Patch(patch.y, patch.x, patch.a * np.clip(veil + 0.5 * specks, 0, 0.9)), colour)


def round_bar(plate: Plate, a: np.ndarray, b: np.ndarray, width: float, colour: np.ndarray, lift: float, **more: Any) -> None:
    """A straight bar between two points in pixels."""
    plate.lay(plate.stroke(np.array([a, b], float), width), colour, edge=width / 2, lift=lift, **more)
