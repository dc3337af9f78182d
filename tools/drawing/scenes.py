"""Every scene of the table by its name.

Invariant: the names are those at the head of the table, and no others.
"""

from collections.abc import Callable

from PIL import Image

from drawing import benchtop, bodies, close, whole
from drawing.instrument import Look

SCENES: dict[str, Callable[[Look], Image.Image]] = {
    "front": whole.front,
    "back": whole.back,
    "portrait": whole.portrait,
    "before": whole.before,
    "lot": whole.lot,
    "bare-wood": bodies.bare_wood,
    "primer": bodies.primer,
    "sanding": bodies.sanding,
    "test-body": bodies.test_body,
    "body-hanging": bodies.body_hanging,
    "masked": bodies.masked,
    "clamps": bodies.clamps,
    "spraying": bodies.spraying,
    "boards-batch": bodies.boards_batch,
    "detail-bridge": close.detail_bridge,
    "detail-knobs": close.detail_knobs,
    "pickups": close.pickups,
    "headstock": close.headstock,
    "burst": close.burst,
    "clear-gloss": close.clear_gloss,
    "damage": close.damage,
    "neck": close.neck,
    "fretwork": close.fretwork,
    "leds": close.leds,
    "cavity": close.cavity,
    "wiring": close.wiring,
    "parts-laid-out": benchtop.parts_laid_out,
    "case": benchtop.case,
    "finish-cans": benchtop.finish_cans,
    "bench": benchtop.bench,
}
