"""An estimate, one figure or three that rise, and what was meant by figures that are neither.

Invariant: knows no particular key of the vocabulary, nor what is estimated.
"""

import re
from decimal import Decimal
from typing import Any

from purfle.base import meant
from purfle.base.times import Estimate
from purfle.base.trouble import Wrong
from purfle.notes.frontmatter.tree import Node, Scalar, Sequence
from purfle.notes.vocabulary import schemas
from purfle.notes.vocabulary.fields import Kind, Reading

_UNIT_BEHIND = re.compile(r"(?<=\d) *(?:h|hours?|d|days?)$", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"(\d{1,3}),(\d{1,2})(?: *(?:h|hours?|d|days?))?", re.IGNORECASE)
_FIGURES_ALONE = re.compile(r"[\d.\s()–-]*(?:\bto\b[\d.\s]*)?[\d.\s()–-]*")


def _one_or_three(kind: Kind, node: Node, reading: Reading) -> Any:
    """The one figure of an estimate; where several stand in one text, as in `1-4` or `1, 2, 4`, they are told as such."""
    try:
        return kind.read(node, reading)
    except Wrong:
        text = _UNIT_BEHIND.sub("", node.text.replace(",", " ")) if isinstance(node, Scalar) else ""
        figures = [Decimal(figure) for figure in meant.figures(text)]
        if len(figures) not in (2, 3) or sorted(figures) != figures or not _FIGURES_ALONE.fullmatch(text):
            raise
        mend = _estimate_mend(figures)
        if isinstance(node, Scalar) and (comma := _DECIMAL_COMMA.fullmatch(node.text.strip())):
            mend = f"write {comma[1]}.{comma[2]} if the comma was a decimal point, else [low, likely, high]"
        raise Wrong("estimate-disordered", f"{len(figures)} figures stand here without the brackets of an estimate", mend) from None


def _estimate_mend(figures: list[Decimal]) -> str:
    """What to write instead of figures that rise: of two, the likely one is the owner's to say and lies between."""
    if len(figures) not in (2, 3):
        return "write one figure, or [low, likely, high] from small to large"
    low, high = figures[0], figures[-1]
    likely = figures[1] if len(figures) == 3 else (low + high) / 2
    written = ", ".join(f"{figure.normalize():f}" for figure in (low, likely, high))
    return f"write [{written}]" if len(figures) == 3 else f"write [low, likely, high], such as [{written}]"


def estimate(kind: Kind) -> Kind:
    """One figure, or [low, likely, high] in that order; gives an `Estimate`."""

    def read(node: Node, reading: Reading) -> Estimate:
        if not isinstance(node, Sequence):
            figure = _one_or_three(kind, node, reading)
            return Estimate(figure, figure, figure)
        if len(node.items) == 1 and isinstance(only := node.items[0], Scalar):
            _one_or_three(kind, only, reading)
        figures = [kind.read(item, reading) for item in node.items]
        if len(figures) == 1:
            alone = f"{figures[0].normalize():f}"
            raise Wrong("estimate-disordered", f"{alone} stands alone in the brackets of an estimate", f"write {alone}, or [low, likely, high]")
        if len(figures) != 3 or sorted(figures) != figures:
            said = "these do not rise" if len(figures) == 3 else f"{len(figures)} stand here"
            raise Wrong("estimate-disordered", f"an estimate is one figure or three that rise, and {said}", _estimate_mend(sorted(figures)))
        return Estimate(*figures)

    def schema() -> dict[str, Any]:
        return schemas.any_of(kind.schema(), {"type": "array", "items": kind.schema(), "minItems": 3, "maxItems": 3})

    return Kind(f"{kind.says}, or [low, likely, high]", read, schema)
