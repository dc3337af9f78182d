"""Every pair of colours that is read as text on ground meets WCAG 2.2 AA, light, dark and printed."""

import re
from pathlib import Path

import pytest
from contrast import contrast

CSS = (Path(__file__).parents[1] / "site_templates" / "showroom" / "tokens.css").read_text("utf-8")
STATES = ("works", "finished", "sale", "sold", "delivered")
PAIRS = [
    *((f"{ground}-ink", ground) for ground in ("wall", "paper", "dado", "tag", "tape", "blue-tape", *STATES)),
    ("wall-soft", "wall"),
    ("wall-soft", "paper"),
    ("wall-link", "wall"),
    ("wall-link", "paper"),
    ("tag-soft", "tag"),
    ("tape-ink", "tape"),
    ("dado", "dado-ink"),
]
SEEN = [("focus", "wall"), ("focus", "paper"), ("dado-ink", "dado"), ("wall-soft", "paper"), ("rail", "wall")]
"""Outlines and borders that carry meaning: 3 : 1 (WCAG 2.2, 1.4.11)."""


def _tokens(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3}(?:[0-9a-f]{3})?);", block))


LIGHT = _tokens(CSS.split("@media")[0])
SCHEMES = {"light": LIGHT, "dark": LIGHT | _tokens(CSS.split("@media")[1]), "print": LIGHT | _tokens(CSS.split("@media")[2])}


@pytest.mark.parametrize(("colour", "ratio"), [("#777777", 4.4781), ("#767676", 4.5422), ("#595959", 7.0047), ("#949494", 3.0335), ("#000", 21), ("#fff", 1)])
def test_the_formula(colour: str, ratio: float) -> None:
    """Against white, by the formula of WCAG 2.2; with black it is 21 : 1, as 1.4.3 says of the most there is."""
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_text_can_be_read(scheme: str, ink: str, ground: str) -> None:
    assert contrast(SCHEMES[scheme][ink], SCHEMES[scheme][ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("line", "ground"), SEEN)
def test_what_outlines_can_be_seen(scheme: str, line: str, ground: str) -> None:
    assert contrast(SCHEMES[scheme][line], SCHEMES[scheme][ground]) >= 3
