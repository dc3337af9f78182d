"""A whole invented instrument, or its body at some stage of the work.

Invariant: everything about it comes from one row of the table of pictures.
"""

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from drawing import parts, shapes
from drawing.light import Frame, Patch, Plate, blur, box, circle, curve, linear, mix, smooth
from drawing.stuff import burst, colour, pattern, wood

STRIPE = 17.0
"""Half the width of a bare stripe down the middle, in millimetres."""


@dataclass(frozen=True)
class Look:
    """One row of the table: how the instrument is built and finished."""

    file: str
    scene: str
    seed: int = 0
    body: str = "leaf"
    wood: str = "ash"
    look: str = "solid"
    colour: str = "umber"
    second: str = ""
    pattern: str = "rays"
    strings: int = 4
    metal: str = "nickel"
    guard: str = "none"
    board: str = "dark"
    ground: str = ""
    copy: int = 0
    """Which of several alike in one picture."""
    of: str = ""
    """The folder of the build it shows, where its file lies elsewhere."""
    others: tuple[dict[str, str | int], ...] = ()
    """The instruments that stand beside it in a lot, as rows of their own; without them, strangers."""

    @property
    def chance(self) -> int:
        """What is left to chance in this picture: its camera, light and clutter."""
        return crc32(f"{self.file} {self.seed}".encode())

    @property
    def own(self) -> int:
        """What is left to chance in this instrument, the same in all pictures of one build: its grain and small choices."""
        return crc32(f"{self.of or '/'.join(self.file.split('/')[:2])} {self.copy}".encode())

    @property
    def long(self) -> bool:
        """A bass's scale."""
        return self.strings in (4, 5)

    @property
    def size(self) -> float:
        """The body against a bass's."""
        return 1.0 if self.long else 0.9

    @property
    def scale(self) -> float:
        """The scale length in millimetres."""
        return {3: 620.0}.get(self.strings, 864.0 if self.long else 648.0)

    @property
    def lean(self) -> float:
        """How far the headstock leans, which goes with the body's outline."""
        return {"leaf": 0.1, "pebble": -0.08, "wave": -0.15, "kite": 0.16, "kidney": 0.06, "drop": -0.04}.get(self.body, 0.0)

    @property
    def frets(self) -> int:
        """How many frets the neck has."""
        return 21 if self.long else 22

    @property
    def end(self) -> float:
        """Where the fingerboard ends, from the bridge."""
        return -self.scale * 2 ** (-self.frets / 12) + 9

    @property
    def spread(self) -> float:
        """From the first string to the last at the bridge."""
        return {3: 36, 4: 57, 5: 68}.get(self.strings, 52)

    @property
    def at_nut(self) -> float:
        """The neck's width at the nut."""
        return {3: 36, 4: 41, 5: 46}.get(self.strings, 43 if self.strings < 9 else 48)

    @property
    def at_end(self) -> float:
        """The neck's width at its end."""
        return self.at_nut + 19 if self.long else self.at_nut + 13

    def outline(self) -> np.ndarray:
        """The body's outline in its frame, its neck end where this neck ends."""
        points = shapes.body(self.body, self.size)
        if self.body == "box":
            return points
        shift = self.end - 30 * self.size - points[:, 0][np.abs(points[:, 1]) < 28].min()
        return points + [min(0.0, shift) if self.long else shift * 0.6, 0]


def finish(plate: Plate, patch: Patch, frame: Frame, look: Look, how: str | None = None) -> tuple[np.ndarray, float, float, np.ndarray | None]:
    """A body's colour for each pixel, its gloss, its roughness and its bumps."""
    how = how or look.look
    grain = wood(plate, patch, frame, look.wood, look.own)
    skin = 0.012 * plate.noise(patch, 14, 2) + 0.1 * plate.noise(patch, 120, 1)
    paint = colour(look.colour)
    if how == "bare":
        return grain, 0.06, 0.3, 0.12 * plate.noise(patch, 2, 1, (14, 1))
    wet = wood(plate, patch, frame, look.wood, look.own, 0.9)
    if how == "oil":
        return wet, 0.3, 0.16, 0.1 * plate.noise(patch, 2, 1, (14, 1))
    if how == "stain":
        tone = wet.mean(-1, keepdims=True)
        return (0.2 * wet + 0.8 * tone) * (0.5 + 1.3 * tone) * (0.12 + 1.9 * np.sqrt(paint)), 1.0, 0.02, skin
    if how == "burst":
        inner = colour(look.second) if look.second else None
        return burst(plate, patch, wet, paint, inner, 46 * frame.scale), 1.0, 0.02, skin
    if how == "metallic":
        flake = np.clip(plate.rng.standard_normal(patch.a.shape), -2, 4)[..., None]
        cloud = plate.noise(patch, 260, 2)[..., None]
        return paint * np.clip(1.05 + 0.13 * flake + 0.05 * cloud, 0.3, 2.2), 1.1, 0.035, skin
    if how == "pattern":
        other = colour(look.second or "cream")
        return mix(paint * np.ones_like(grain), other, pattern(plate, patch, frame, look.pattern, look.own)), 1.0, 0.02, skin
    if how == "primer":
        return colour("primer") * (1 + 0.03 * plate.noise(patch, 160, 3))[..., None], 0.08, 0.3, 0.12 * plate.noise(patch, 3, 2)
    if how == "striped":
        u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
        paint_of = finish(plate, patch, frame, look, "metallic")
        return mix(paint_of[0], wet, smooth(STRIPE - np.abs(v + 0.02 * u), -0.6, 0.6)), *paint_of[1:]
    if how == "worn":
        coat = paint * np.ones_like(grain)
        if look.look in ("burst", "pattern", "stain", "striped"):
            coat = finish(plate, patch, frame, look, look.look)[0]
        return worn(plate, patch, frame, coat, grain), 0.5, 0.1, 0.05 * plate.noise(patch, 5, 2) + 0.3 * plate.noise(patch, 90, 2)
    return paint * (1 + 0.012 * plate.noise(patch, 220, 2))[..., None] * np.ones_like(grain), 1.0, 0.02, skin


def worn(plate: Plate, patch: Patch, frame: Frame, paint: np.ndarray, grain: np.ndarray) -> np.ndarray:
    """An old finish: faded, yellowed, scratched and gone at the edges."""
    pad = int(30 * frame.scale)
    depth = blur(np.pad(patch.a, pad), 9 * frame.scale)[pad:-pad, pad:-pad]
    rim = 0.85 * smooth(plate.noise(patch, 34 * frame.scale, 4) * 0.5 + (0.8 - depth) * 2.6, 0.85, 1.05)
    u, v = frame.own(plate.X[patch.where], plate.Y[patch.where])
    arm = smooth(plate.noise(patch, 16 * frame.scale, 4) * 0.35 + 1.15 - np.hypot((u - 55) / 70, (v + 110) / 50), 0.5, 0.75)
    gone = np.clip(np.maximum(rim, arm), 0, 1)
    under = grain * np.array([0.5, 0.38, 0.28], np.float32)
    faded = paint * (0.85 + 0.16 * plate.noise(patch, 90 * frame.scale, 3))[..., None]
    faded = mix(faded, linear("#b59a62"), np.float32(0.16) * np.ones(patch.a.shape, np.float32))
    out = mix(faded, under, gone)
    scratch = smooth(plate.noise(patch, 1.4, 1, (70, 1)), 2.3, 3.2) + smooth(plate.noise(patch, 1.4, 1, (1, 60)), 2.5, 3.3)
    out = mix(out, out * 1.6 + 0.05, 0.5 * np.clip(scratch, 0, 1))
    grime = smooth(plate.noise(patch, 70 * frame.scale, 4), 0.4, 2.0)
    return np.clip(out * (1 - 0.4 * grime)[..., None], 0.004, 0.9)


def body(plate: Plate, frame: Frame, look: Look, how: str | None = None, *, mm: float = 40, holes: bool = False) -> Patch:
    """Lay a body down; returns where it lies."""
    outline = look.outline()
    patch = plate.polygon(frame.points(outline))
    albedo, gloss, rough, bump = finish(plate, patch, frame, look, how)
    side(plate, patch, albedo, mm * frame.scale)
    edge = (5.5 if look.body != "box" else 2.2) * frame.scale
    plate.lay(patch, albedo, edge=edge, lift=0, gloss=gloss, rough=rough, bump=bump)
    if holes:
        cavities(plate, frame, look)
    return patch


def side(plate: Plate, top: Patch, albedo: np.ndarray, thick: float) -> None:
    """The near side of a thing, which a camera leaning over the bench sees below its edge."""
    deep = max(1, round(thick * 0.2))
    y1 = min(plate.height, top.y + top.a.shape[0] + deep)
    grown = np.zeros((y1 - top.y, top.a.shape[1]), np.float32)
    for k in range(deep + 1):
        rows = min(top.a.shape[0], grown.shape[0] - k)
        np.maximum(grown[k : k + rows], top.a[:rows], out=grown[k : k + rows])
    swept = Patch(top.y, top.x, grown)
    plate.shade_under(swept, thick * 0.7, 0.8)
    shades = np.zeros((*grown.shape, 3), np.float32)
    rows = min(albedo.shape[0], grown.shape[0] - deep)
    shades[deep : deep + rows] = albedo[:rows]
    shades = np.where(shades > 0, shades, np.roll(shades, -deep, 0) + 0.02)
    plate.lay(swept, shades * 0.42, edge=1.5, lift=0, gloss=0.25, rough=0.1)


def pickups_at(look: Look) -> list[tuple[float, float]]:
    """Where the pickups sit: offset from the bridge, and lean."""
    end = look.end
    if look.strings == 3:
        return [(end * 0.45, 0.0)]
    if look.own % 3 == 0:
        return [(end * 0.48, 0.12)]
    return [(end * 0.27, 0.06), (end * 0.72, -0.04)]


def cavities(plate: Plate, frame: Frame, look: Look) -> None:
    """The holes of a bare body: neck pocket, pickups, controls, screws."""
    neck_pocket(plate, frame, look)
    for u, lean in pickups_at(look):
        hollow(plate, frame.at(u, 0, lean), box(33, look.spread + 18, 8), look, 20)
    for u, v in knobs_at(look):
        x, y = frame.points(np.array([[u, v]]))[0]
        plate.lay(plate.disc(x, y, 4.6 * frame.scale), linear("#1d130c"), edge=1.2, lift=0)
    for u in (-8, 22):
        for v in (-1, 1):
            x, y = frame.points(np.array([[u, v * (look.spread / 2 + 6)]]))[0]
            plate.lay(plate.disc(x, y, 1.5 * frame.scale), linear("#21150d"), edge=1, lift=0)


def neck_pocket(plate: Plate, frame: Frame, look: Look) -> None:
    """The pocket for the neck, open at the body's edge."""
    whole = plate.polygon(frame.points(look.outline()))
    full = np.zeros((plate.height, plate.width), np.float32)
    full[whole.where] = whole.a
    hollow(plate, frame, box(90, look.at_end, 5) + [look.end - 38, 0], look, 16, full)


def hollow(plate: Plate, frame: Frame, outline: np.ndarray, look: Look, mm: float, within: np.ndarray | None = None) -> None:
    """A routed hole: dark walls, a floor of raw wood in shadow."""
    hole = plate.polygon(frame.points(outline))
    if within is not None:
        hole = Patch(hole.y, hole.x, hole.a * within[hole.where])
    floor = wood(plate, hole, frame, look.wood, look.own + 3) * 0.6
    inside = hole
    plate.lay(hole, linear("#170e08"), edge=1, lift=0)
    dx, dy = -plate.sun[:2] * mm * frame.scale * 0.62
    lit = np.roll(inside.a, (round(dy), round(dx)), (0, 1)) * inside.a
    soft = blur(lit, 2.0 * frame.scale)
    plate.tint(Patch(inside.y, inside.x, inside.a * (0.25 + 0.75 * soft)), floor)


def knobs_at(look: Look) -> list[tuple[float, float]]:
    """Where the knobs sit: along the lower edge behind the bridge."""
    outline = look.outline()
    low = outline[outline[:, 0] > -60 * look.size]
    spots = []
    for u in (-44, -8, 28):
        edge = low[np.argmin(np.abs(low[:, 0] - u) + 1000 * (low[:, 1] < 0)), 1]
        spots.append((float(u), float(max(look.spread / 2 + 24, edge - 34 - (8 if u == 28 else 0)))))
    return spots if look.strings != 3 else spots[:1]


GUARDS = {"cream": "#dcd0ae", "black": "#141416", "pearl": "#d9d8d2", "umber": "#4f2413"}


def guard(plate: Plate, frame: Frame, look: Look) -> None:
    """A scratch plate along the lower side, its edge stepped."""
    if look.guard == "none":
        return
    outline = look.outline()
    e, s = look.end, look.size
    inner = [
        (e + 4, 14),
        (e - 6, 44),
        (e + 30, 78 * s),
        (e * 0.45, 88 * s),
        (-52, 112 * s),
        (20, 118 * s),
        (46, 92 * s),
        (30, 62),
        (-30, 46),
        (e * 0.5, 34),
        (e * 0.8, 18),
    ]
    shape = shapes.even(curve(inner), 4)
    inside = plate.polygon(frame.points(outline))
    core = smooth(blur(np.pad(inside.a, 60), 5 * frame.scale)[60:-60, 60:-60], 0.93, 0.97)
    patch = plate.polygon(frame.points(shape))
    full = np.zeros((plate.height, plate.width), np.float32)
    full[inside.where] = core
    patch = Patch(patch.y, patch.x, patch.a * full[patch.where])
    base = linear(GUARDS[look.guard]) * np.ones((*patch.a.shape, 3), np.float32)
    if look.guard == "pearl":
        base = base * (0.86 + 0.16 * np.tanh(2 * plate.noise(patch, 26 * frame.scale, 3)))[..., None]
    if look.guard == "umber":
        base = mix(base, linear("#a85a24"), smooth(plate.noise(patch, 17 * frame.scale, 3), 0.2, 1.1))
    plate.lay(patch, linear("#eee8d8"), edge=1, lift=2.6 * frame.scale, gloss=0.5)
    small = Patch(patch.y, patch.x, smooth(blur(patch.a, 1.2 * frame.scale), 0.72, 0.85))
    plate.lay(small, base, edge=1, lift=0, gloss=0.9, rough=0.03)


def hardware(plate: Plate, frame: Frame, look: Look, *, missing: int = 0, dark: str = "#17171a") -> None:
    """Guard, pickups, bridge, knobs and jack, as far as they are there."""
    guard(plate, frame, look)
    ring = {"cream": "#dcd0ae", "black": "#161618"}.get(look.guard if look.own % 2 else "")
    for u, lean in pickups_at(look):
        parts.pickup(plate, frame, u, 0, look.strings, look.spread * 0.94, dark, lean, ring)
    parts.bridge(plate, frame, look.strings, look.spread, look.metal)
    for u, v in knobs_at(look)[missing:]:
        parts.knob(plate, frame, u, v, look.metal)
    for u, v in knobs_at(look)[:missing]:
        x, y = frame.points(np.array([[u, v]]))[0]
        parts.plate_of(plate, frame.at(u, v), circle(5.5), parts.metal("steel"), mm=1, metal=True, rough=0.2)
        plate.lay(plate.disc(x, y, 3.1 * frame.scale), parts.metal("brass"), edge=1.5, lift=9 * frame.scale, metal=True, rough=0.15)


def whole(plate: Plate, frame: Frame, look: Look, how: str | None = None, *, missing: int = 0, strung: bool = True) -> None:
    """The instrument from the front."""
    body(plate, frame, look, how)
    paint = colour(look.colour) if look.look in ("solid", "metallic", "pattern") and how != "worn" and look.own % 2 else None
    parts.head(plate, frame, look.scale, look.strings, look.metal, paint, look.own, 1.0 if look.long else 0.86, look.lean, strung)
    parts.neck(plate, frame, look.scale, look.strings, look.frets, look.board, look.at_nut, look.at_end, look.own)
    hardware(plate, frame, look, missing=missing)
    if strung:
        parts.strings_over(plate, frame, look.scale, look.strings, look.at_nut, look.spread)
