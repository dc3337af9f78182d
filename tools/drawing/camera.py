"""Where the camera stands: how a thing is laid so that it fills the picture.

Invariant: nothing is drawn here but the ground.
"""

import numpy as np

from drawing.instrument import Look
from drawing.light import Frame, Plate
from drawing.stuff import ground

WIDE, TALL = (1400, 980), (980, 1400)
_OVER = 1.16  # the plate is larger than the picture, so that the camera may lean and turn


def plate_for(look: Look, size: tuple[int, int], choices: tuple[str, ...]) -> Plate:
    """A plate with its ground."""
    plate = Plate(round(size[0] * _OVER), round(size[1] * _OVER), look.chance)
    ground(plate, look.ground or choices[look.chance % len(choices)])
    return plate


def lying(plate: Plate, look: Look, angle: float, fill: float = 0.98) -> Frame:
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


def on_body(plate: Plate, look: Look, scale: float, angle: float, spot: tuple[float, float] | None = None) -> Frame:
    """A frame that puts a spot of the body, or its middle, in the middle of the plate."""
    if spot is None:
        o = look.outline()
        spot = ((o[:, 0].max() + o[:, 0].min()) / 2, (o[:, 1].max() + o[:, 1].min()) / 2)
    x, y = Frame(0, 0, scale, angle).points(np.array([spot]))[0]
    return Frame(plate.width / 2 - x, plate.height / 2 - y, scale, angle)


def fit(plate: Plate, look: Look, fill: float = 0.8) -> float:
    """The scale at which the body alone fills the plate."""
    o = look.outline()
    return fill * 0.86 * min(plate.width / np.ptp(o[:, 0]), plate.height / np.ptp(o[:, 1]))


def glint(plate: Plate, x: float, y: float) -> None:
    """Move the window so that a flat gloss at that spot shows it."""
    plate.window = ((x - plate.width / 2) / plate.width * 0.75, (y - plate.height / 2) / plate.width * 0.75)


def tilt(plate: Plate, low: float = 0.22, high: float = 0.4) -> float:
    """An angle of chance, the headstock lower than the body."""
    return float(-plate.rng.uniform(low, high))
