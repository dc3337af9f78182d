"""A table seen from above, onto which things are laid one by one: each with a mask, a height, a colour and a gloss.

Lengths on the plate are pixels; colours are linear light. Invariant: knows nothing of instruments.
"""

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

F = np.float32


def linear(colour: str) -> np.ndarray:
    """A colour written `#rrggbb` as linear light (the sRGB curve taken as a power of 2.2)."""
    return np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)], F) ** F(2.2)


def blur(a: np.ndarray, radius: float) -> np.ndarray:
    """A near-Gaussian blur of about that standard deviation: three box blurs, edges repeated."""
    if radius < 0.4:
        return a
    half = max(1, round(radius * 0.88))
    for axis in (0, 1):
        for _ in range(3):
            pad = [(0, 0)] * a.ndim
            pad[axis] = (half + 1, half)
            sums = np.cumsum(np.pad(a, pad, mode="edge"), axis=axis, dtype=np.float64)
            n = a.shape[axis]
            upper = np.take(sums, range(2 * half + 1, 2 * half + 1 + n), axis=axis)
            lower = np.take(sums, range(n), axis=axis)
            a = ((upper - lower) / (2 * half + 1)).astype(F)
    return a


def smooth(x: np.ndarray, low: float, high: float) -> np.ndarray:
    """0 below `low`, 1 above `high`, an S between."""
    t = np.clip((x - low) / (high - low), 0, 1)
    return t * t * (3 - 2 * t)


def mix(a: np.ndarray, b: np.ndarray, t: np.ndarray) -> np.ndarray:
    """From a to b; `t` may lack the colour axis."""
    t = t[..., None] if np.ndim(t) == 2 else t
    return a * (1 - t) + b * t


def resized(a: np.ndarray, height: int, width: int, how: Image.Resampling = Image.Resampling.BICUBIC) -> np.ndarray:
    """A plane of floats at another size."""
    return np.asarray(Image.fromarray(a.astype(F)).resize((width, height), how), F)


@dataclass(frozen=True)
class Frame:
    """Where a thing lies: its own millimetres to the plate's pixels."""

    x: float
    y: float
    scale: float
    angle: float = 0.0
    flip: bool = False

    def points(self, points: np.ndarray) -> np.ndarray:
        """Own points (n × 2) as pixels."""
        p = np.asarray(points, float) * self.scale
        if self.flip:
            p = p * [1, -1]
        c, s = np.cos(self.angle), np.sin(self.angle)
        return p @ np.array([[c, s], [-s, c]]) + [self.x, self.y]

    def own(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Pixels as own millimetres."""
        c, s = np.cos(self.angle), np.sin(self.angle)
        u, v = (x - self.x) * c + (y - self.y) * s, -(x - self.x) * s + (y - self.y) * c
        return (u / self.scale).astype(F), (v / self.scale * (-1 if self.flip else 1)).astype(F)

    def at(self, u: float, v: float, turn: float = 0.0) -> "Frame":
        """A frame whose origin is a point of this one."""
        x, y = self.points(np.array([[u, v]]))[0]
        return Frame(x, y, self.scale, self.angle + turn * (-1 if self.flip else 1), self.flip)


@dataclass
class Patch:
    """A mask on a part of the plate."""

    y: int
    x: int
    a: np.ndarray

    @property
    def where(self) -> tuple[slice, slice]:
        """The part of the plate."""
        return slice(self.y, self.y + self.a.shape[0]), slice(self.x, self.x + self.a.shape[1])


class Plate:
    """The picture while things are laid onto it."""

    def __init__(self, width: int, height: int, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.width, self.height = width, height
        self.rgb: np.ndarray = np.zeros((height, width, 3), F)
        self.Y, self.X = np.mgrid[0:height, 0:width].astype(F)
        turn = self.rng.uniform(-0.5, 0.5)
        self.sun = np.array([-0.55 * np.cos(turn) + 0.5 * np.sin(turn), -0.5 * np.cos(turn) - 0.3 * np.sin(turn), 0.78])
        self.sun /= np.linalg.norm(self.sun)
        self.window = (self.rng.uniform(-0.42, -0.2), self.rng.uniform(-0.4, -0.2))

    # --- masks

    def polygon(self, *rings: np.ndarray, holes: tuple[np.ndarray, ...] = ()) -> Patch:
        """The mask of closed outlines in pixels, less the holes; edges smooth."""
        every = np.vstack(rings)
        x0, y0 = (int(v) for v in np.floor(every.min(0)) - 4)
        x1, y1 = (int(v) for v in np.ceil(every.max(0)) + 4)
        x0, y0 = max(x0, 0), max(y0, 0)
        x1, y1 = min(x1, self.width), min(y1, self.height)
        if x1 <= x0 or y1 <= y0:
            return Patch(0, 0, np.zeros((1, 1), F))
        n = 3
        image = Image.new("L", ((x1 - x0) * n, (y1 - y0) * n))
        pen = ImageDraw.Draw(image)
        for ring in rings:
            pen.polygon([tuple(p) for p in (ring - [x0, y0]) * n], fill=255)
        for ring in holes:
            pen.polygon([tuple(p) for p in (ring - [x0, y0]) * n], fill=0)
        small = image.resize((x1 - x0, y1 - y0), Image.Resampling.BOX)
        return Patch(y0, x0, np.asarray(small, F) / 255)

    def stroke(self, line: np.ndarray, width: float) -> Patch:
        """The mask of a line in pixels with round ends."""
        pad = width + 4
        x0, y0 = (max(0, int(v)) for v in np.floor(line.min(0) - pad))
        x1, y1 = np.ceil(line.max(0) + pad).astype(int)
        x1, y1 = min(int(x1), self.width), min(int(y1), self.height)
        if x1 <= x0 or y1 <= y0:
            return Patch(0, 0, np.zeros((1, 1), F))
        n = 3
        image = Image.new("L", ((x1 - x0) * n, (y1 - y0) * n))
        pen = ImageDraw.Draw(image)
        p = [tuple(q) for q in (line - [x0, y0]) * n]
        pen.line(p, fill=255, width=max(1, round(width * n)), joint="curve")
        r = width * n / 2
        for x, y in (p[0], p[-1]):
            pen.ellipse((x - r, y - r, x + r, y + r), fill=255)
        return Patch(y0, x0, np.asarray(image.resize((x1 - x0, y1 - y0), Image.Resampling.BOX), F) / 255)

    def disc(self, x: float, y: float, radius: float) -> Patch:
        """A round mask."""
        return self.polygon(circle(radius) + [x, y])

    def whole(self) -> Patch:
        """Everything."""
        return Patch(0, 0, np.ones((self.height, self.width), F))

    # --- noise

    def noise(self, patch: Patch, size: float, octaves: int = 4, stretch: tuple[float, float] = (1, 1)) -> np.ndarray:
        """Cloudy noise of mean 0, about ±1, with features of about `size` pixels."""
        h, w = patch.a.shape
        total, weight = np.zeros((h, w), F), 0.0
        for octave in range(octaves):
            cell = max(size / 2**octave, 1.0)
            gh, gw = int(h / (cell * stretch[1])) + 3, int(w / (cell * stretch[0])) + 3
            total += resized(self.rng.standard_normal((gh, gw)), h, w) / 2**octave
            weight += 1 / 4**octave
        return total / F(np.sqrt(weight))

    # --- laying things down

    def shade_under(self, patch: Patch, lift: float, strength: float = 0.75, soft: float = 0.35) -> None:
        """The shadow of a thing that stands `lift` pixels high."""
        pad = int(lift * 2.6 + 12)
        y0, x0 = patch.y - pad, patch.x - pad
        big = np.pad(patch.a, pad)
        dx, dy = -self.sun[0] * lift * 1.1, -self.sun[1] * lift * 1.1
        cast = np.roll(blur(big, max(1.0, lift * soft)), (round(dy), round(dx)), (0, 1))
        near = blur(big, max(1.0, lift * 0.22))
        dark = np.clip(strength * cast + 0.35 * near, 0, 0.92)
        ys, xs = max(0, -y0), max(0, -x0)
        ye, xe = min(big.shape[0], self.height - y0), min(big.shape[1], self.width - x0)
        if ye <= ys or xe <= xs:
            return
        part = self.rgb[y0 + ys : y0 + ye, x0 + xs : x0 + xe]
        part *= 1 - dark[ys:ye, xs:xe, None] * np.array([0.95, 0.92, 0.86], F)

    def sky(self, rx: np.ndarray, ry: np.ndarray, rough: float) -> np.ndarray:
        """What a mirror sees: a dim room, a tall window with bars, a lamp's strip; `rough` blurs it."""
        s = 0.02 + rough
        wx, wy = self.window
        pane = smooth(0.085 - np.abs(rx - wx), -s, s) * smooth(0.07 - np.abs(ry - wy), -s, s)
        bars = 1 - 0.75 * smooth(0.006 - np.abs(rx - wx - 0.01), -s * 0.3, s * 0.3) if rough < 0.05 else 1
        strip = smooth(0.03 - np.abs(ry - 0.55 + 0.15 * rx), -s, s) * smooth(0.6 - np.abs(rx), -0.2, 0.2)
        room = 0.22 + 0.18 * np.clip(-ry, -1, 1) + 0.06 * np.clip(-rx, -1, 1)
        return (room + 3.6 * pane * bars + 1.6 * strip).astype(F)

    def lay(
        self, patch: Patch, albedo: np.ndarray, *, edge: float = 3.0, lift: float = 6.0, gloss: float = 0.0, rough: float = 0.03, metal: bool = False,
        bump: np.ndarray | None = None, shadow: float = 0.7, dome: float = 0.0, tilt: float = 2.2, opacity: float = 1.0,
    ) -> None:  # fmt: skip
        """Lay a thing down: its edge rounded over `edge` pixels, standing `lift` pixels high.

        `albedo` is one colour or one for each pixel of the patch; `bump` adds height in pixels; `dome` rounds the whole.
        """
        if patch.a.size < 4 or not patch.a.any():
            return
        if lift > 0 and shadow > 0:
            self.shade_under(patch, lift, shadow)
        a = patch.a
        pad = int(edge * 3 + 2)
        t = np.clip((blur(np.pad(a, pad), edge * 0.55)[pad:-pad, pad:-pad] - 0.5) * 2.05, 0, 1)
        height = edge * np.sqrt(np.maximum(1 - (1 - t) ** 2, 0))
        if dome:
            wide = max(edge, min(a.shape) * 0.22)
            pad = int(wide * 3)
            height = height + dome * blur(np.pad(a, pad), wide)[pad:-pad, pad:-pad]
        if bump is not None:
            height = height + bump
        gy, gx = np.gradient(height) if min(height.shape) > 1 else (np.zeros_like(height), np.zeros_like(height))
        gx, gy = np.clip(gx, -tilt, tilt), np.clip(gy, -tilt, tilt)
        n = 1 / np.sqrt(1 + gx * gx + gy * gy)
        nx, ny = -gx * n, -gy * n
        part = self.rgb[patch.where]
        colour = self._shaded(patch, albedo, nx, ny, n, gloss, rough, metal)
        part[:] = mix(part, colour, a * opacity)

    def _shaded(self, patch: Patch, albedo: np.ndarray, nx: np.ndarray, ny: np.ndarray, nz: np.ndarray, gloss: float, rough: float, metal: bool) -> np.ndarray:
        vx = (self.X[patch.where] - self.width / 2) / self.width * 0.75
        vy = (self.Y[patch.where] - self.height / 2) / self.width * 0.75
        rx, ry = vx + 2 * nx * nz, vy + 2 * ny * nz
        if metal:
            light = 0.26 + 1.05 * self.sky(rx, ry, rough) + 0.3 * np.clip(nx * self.sun[0] + ny * self.sun[1], -1, 1)
            return albedo * np.minimum(np.maximum(light, 0.04), 0.9 + 0.35 * light)[..., None]
        lit = np.clip(nx * self.sun[0] + ny * self.sun[1] + nz * self.sun[2], 0, 1) / self.sun[2]
        colour = albedo * (0.34 * nz + 0.66 * lit)[..., None]
        if gloss:
            fresnel = 0.045 + 0.6 * (1 - nz) ** 3
            colour = colour + (gloss * fresnel * self.sky(rx, ry, rough))[..., None]
        return colour

    def tint(self, patch: Patch, colour: np.ndarray, strength: float = 1.0) -> None:
        """Lay flat colour, without height or shadow (a stain, a mark)."""
        part = self.rgb[patch.where]
        part[:] = mix(part, part * 0 + colour, patch.a * strength)

    def dye(self, patch: Patch, colour: np.ndarray, strength: float = 1.0) -> None:
        """Darken by a transparent colour."""
        part = self.rgb[patch.where]
        part[:] = mix(part, part * colour, patch.a * strength)


def circle(radius: float, n: int = 48) -> np.ndarray:
    """The points of a circle about the origin."""
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    return np.stack([np.cos(t), np.sin(t)], 1) * radius


def box(w: float, h: float, r: float = 0.0) -> np.ndarray:
    """The points of a rectangle about the origin, its corners rounded."""
    if r <= 0:
        return np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) / 2
    corners = []
    for cx, cy, start in ((w / 2 - r, h / 2 - r, 0), (-w / 2 + r, h / 2 - r, 90), (-w / 2 + r, -h / 2 + r, 180), (w / 2 - r, -h / 2 + r, 270)):
        t = np.radians(np.linspace(start, start + 90, 9))
        corners.append(np.stack([cx + r * np.cos(t), cy + r * np.sin(t)], 1))
    return np.vstack(corners)


def curve(points: list[tuple[float, float]], closed: bool = True, n: int = 14) -> np.ndarray:
    """A smooth line through the points (centripetal Catmull-Rom)."""
    p = np.array(points, float)
    p = np.vstack([p[-1:], p, p[:2]]) if closed else np.vstack([2 * p[:1] - p[1:2], p, 2 * p[-1:] - p[-2:-1]])
    out = []
    for p0, p1, p2, p3 in zip(p, p[1:], p[2:], p[3:], strict=False):
        t0 = 0.0
        t1, t2, t3 = np.cumsum([max(float(np.linalg.norm(b - a)), 1e-6) ** 0.5 for a, b in ((p0, p1), (p1, p2), (p2, p3))])
        t = np.linspace(t1, t2, n, endpoint=False)[:, None]
        a1 = (t1 - t) / (t1 - t0) * p0 + (t - t0) / (t1 - t0) * p1
        a2 = (t2 - t) / (t2 - t1) * p1 + (t - t1) / (t2 - t1) * p2
        a3 = (t3 - t) / (t3 - t2) * p2 + (t - t2) / (t3 - t2) * p3
        b1 = (t2 - t) / (t2 - t0) * a1 + (t - t0) / (t2 - t0) * a2
        b2 = (t3 - t) / (t3 - t1) * a2 + (t - t1) / (t3 - t1) * a3
        out.append((t2 - t) / (t2 - t1) * b1 + (t - t1) / (t2 - t1) * b2)
    line = np.vstack(out)
    return line if closed else np.vstack([line, p[-2:-1]])
