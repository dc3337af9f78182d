"""Outlines of invented bodies and headstocks, in millimetres: the bridge at the origin, the neck toward negative x.

Invariant: every outline is made up for the demo and lopsided on purpose; none is traced from anything.
"""

import numpy as np

from drawing.light import box, curve

_POINTS: dict[str, list[tuple[float, float]]] = {
    "sickle": [
        (-226, -31), (-258, -52), (-300, -92), (-352, -118), (-372, -140), (-345, -160), (-285, -162), (-215, -150), (-150, -128), (-95, -124), (-35, -142),
        (25, -168), (80, -166), (116, -128), (122, -60), (108, 10), (104, 70), (92, 128), (48, 170), (-18, 184), (-75, 166), (-128, 140), (-178, 138),
        (-226, 152), (-262, 150), (-272, 122), (-248, 84), (-222, 52), (-214, 31),
    ],
    "leaf": [
        (-222, -31), (-244, -44), (-248, -84), (-218, -130), (-160, -158), (-90, -172), (-10, -176), (60, -164), (112, -122), (146, -58), (158, 6), (138, 70),
        (96, 122), (36, 158), (-36, 168), (-100, 152), (-148, 130), (-196, 128), (-238, 142), (-266, 132), (-262, 104), (-232, 70), (-210, 48), (-206, 31),
    ],
    "pebble": [
        (-206, -31), (-214, -62), (-190, -112), (-140, -146), (-74, -160), (-4, -154), (60, -138), (108, -104), (132, -50), (130, 14), (112, 76), (70, 126),
        (8, 154), (-62, 158), (-126, 144), (-178, 112), (-204, 70), (-200, 31),
    ],
    "wave": [
        (-230, -31), (-262, -58), (-306, -88), (-336, -112), (-322, -138), (-270, -146), (-208, -132), (-160, -112), (-116, -110), (-64, -132), (0, -164),
        (66, -182), (118, -168), (146, -124), (140, -68), (116, -18), (112, 34), (120, 86), (98, 134), (46, 156), (-16, 150), (-66, 126), (-112, 116),
        (-158, 132), (-208, 158), (-250, 162), (-268, 136), (-250, 96), (-222, 58), (-214, 31),
    ],
    "kite": [
        (-224, -31), (-260, -60), (-318, -132), (-322, -150), (-300, -158), (-150, -116), (-120, -116), (20, -176), (48, -178), (136, -94), (142, -74), (112, 0),
        (112, 22), (126, 84), (118, 104), (20, 172), (-4, 174), (-120, 122), (-146, 122), (-238, 156), (-256, 148), (-256, 130), (-220, 60), (-212, 31),
    ],
    "kidney": [
        (-226, -31), (-268, -60), (-316, -96), (-322, -136), (-282, -164), (-210, -172), (-130, -168), (-50, -170), (30, -174), (94, -154), (132, -104),
        (140, -40), (126, 30), (102, 90), (60, 134), (4, 150), (-46, 130), (-80, 98), (-118, 88), (-156, 106), (-194, 138), (-236, 142), (-252, 112),
        (-232, 70), (-214, 31),
    ],
    "drop": [
        (-230, -30), (-236, -46), (-206, -66), (-150, -80), (-80, -92), (-10, -96), (56, -88), (98, -62), (112, -16), (106, 32), (76, 68), (24, 86),
        (-42, 88), (-108, 80), (-166, 70), (-214, 58), (-234, 44), (-226, 30),
    ],
}  # fmt: skip
BODIES = (*_POINTS, "box")


def body(name: str, size: float = 1.0) -> np.ndarray:
    """A body's outline; `size` 1 is a bass's."""
    if name == "box":
        return even(box(360, 190, 16) + [-90, 0], 1.5) * size
    return even(curve(_POINTS[name]), 3.0 if name == "kite" else 9.0) * size


def even(outline: np.ndarray, over: float) -> np.ndarray:
    """The closed outline without its small wobbles, averaged over about `over` mm of its length."""
    closed = np.vstack([outline, outline[:1]])
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    n = 720
    step = along[-1] / n
    at = np.arange(n) * step
    p = np.stack([np.interp(at, along, closed[:, 0]), np.interp(at, along, closed[:, 1])], 1)
    k = np.exp(-0.5 * (np.minimum(np.arange(n), n - np.arange(n)) * step / over) ** 2)
    spectrum = np.fft.fft(k / k.sum())[:, None]
    return np.fft.ifft(np.fft.fft(p, axis=0) * spectrum, axis=0).real


def headstock(strings: int) -> np.ndarray:
    """A headstock's outline, the nut at the origin and the tuners toward negative x: a leaning paddle with a scoop in its end."""
    n = 70 + 24 * min(strings, 7)
    return even(curve([
        (2, -21), (-14, -21.5), (-30, -27), (-46, -38), (-70, -43), (-n * 0.7, -46), (-n + 4, -50), (-n - 16, -42), (-n - 10, -22), (-n + 4, -6), (-n + 2, 12),
        (-n - 2, 26), (-n + 14, 38), (-n * 0.7, 40), (-70, 38), (-48, 34), (-30, 26), (-14, 21.5), (2, 21),
    ]), 2.5)  # fmt: skip
